"""Reads every DXF of a folder with ezdxf, audits it, and rebuilds what the JSON of the same run says of panels and sheets.

usage: check_dxf.py DESIGN.json DXF_DIR BIT_MM CLEARANCE_MM|saw
The geometry is worked out here again from the JSON alone (sections, outlines, edges, holes), by shapely.
"""
import glob, json, math, os, sys
import ezdxf
from shapely.geometry import Polygon, Point, box

TOL = 0.01  # mm
doc = json.load(open(sys.argv[1]))
folder, bit, clearance = sys.argv[2], float(sys.argv[3]), sys.argv[4]
design = doc["designs"][0]
bad = []


def fault(*what):
    bad.append(" ".join(str(w) for w in what))


def load(name):
    d = ezdxf.readfile(name)
    audit = d.audit()
    for e in list(audit.errors) + list(audit.fixes):
        fault(name, "audit:", e.code, e.message)
    if d.dxfversion != "AC1015":
        fault(name, "is", d.dxfversion)
    scale = {4: 1.0, 1: 25.4}[d.units]
    seen = set()
    out = []
    for e in d.modelspace():
        layer = e.dxf.layer
        if layer not in d.layers:
            fault(name, "layer", layer, "is not in the table")
        kind = e.dxftype()
        if kind == "LWPOLYLINE":
            if not e.closed:
                fault(name, layer, "an open path")
            pts = [(x * scale, y * scale, b) for x, y, b in e.get_points("xyb")]
            key = (layer, tuple(sorted((round(x, 4), round(y, 4)) for x, y, _ in pts)))
            out.append((layer, "path", pts))
        elif kind == "CIRCLE":
            c, r = e.dxf.center, e.dxf.radius * scale
            key = (layer, round(c.x * scale, 4), round(c.y * scale, 4), round(r, 4))
            out.append((layer, "circle", (c.x * scale, c.y * scale, r)))
        elif kind == "TEXT":
            key = None
        else:
            fault(name, layer, "an entity of kind", kind)
            continue
        if key is not None:
            if key in seen:
                fault(name, layer, "an entity twice")
            seen.add(key)
    ext = [d.header["$EXTMAX"][0] * scale, d.header["$EXTMAX"][1] * scale]
    for layer, kind, v in out:
        pts = [(v[0] - v[2], v[1] - v[2]), (v[0] + v[2], v[1] + v[2])] if kind == "circle" else flatten(v)
        for x, y in pts:
            if not (-TOL < x < ext[0] + TOL and -TOL < y < ext[1] + TOL):
                fault(name, layer, "leaves the drawing at", round(x, 3), round(y, 3))
                break
    return out, ext


def arc(p, q):
    x0, y0, b = p
    x1, y1 = q[0], q[1]
    a = 4 * math.atan(b)
    cx = (x0 + x1) / 2 - (y1 - y0) * (1 - b * b) / (4 * b)
    cy = (y0 + y1) / 2 + (x1 - x0) * (1 - b * b) / (4 * b)
    return cx, cy, math.hypot(x0 - cx, y0 - cy), math.atan2(y0 - cy, x0 - cx), a


def flatten(pts, n=720):
    out = []
    for i, p in enumerate(pts):
        out.append((p[0], p[1]))
        if p[2]:
            cx, cy, r, s, a = arc(p, pts[(i + 1) % len(pts)])
            m = max(4, int(n * abs(a) / (2 * math.pi)))
            out += [(cx + r * math.cos(s + a * k / m), cy + r * math.sin(s + a * k / m)) for k in range(1, m)]
    return out


def area(pts):
    """Signed, arcs exactly."""
    s = 0.0
    for i, p in enumerate(pts):
        q = pts[(i + 1) % len(pts)]
        s += (p[0] * q[1] - p[1] * q[0]) / 2
        if p[2]:
            _, _, r, _, a = arc(p, q)
            s += r * r * (a - math.sin(a)) / 2
    return s


def mouth(panel, h, poly):
    """The rectangle of a slot's mouth, drawn out over the edge that it reaches; None if it is all inside."""
    r = [h["x_mm"] - h["length_mm"] / 2, h["y_mm"] - h["width_mm"] / 2, h["x_mm"] + h["length_mm"] / 2, h["y_mm"] + h["width_mm"] / 2]
    b = poly.bounds
    hit = False
    for i in range(2):
        if r[i] <= b[i] + 0.011:
            r[i], hit = b[i] - 50, True
        if r[i + 2] >= b[i + 2] - 0.011:
            r[i + 2], hit = b[i + 2] + 50, True
    return box(*r) if hit else None


def edge_index(poly, name):
    """The side of an outline that a panel's edge is: e0, e1 ... in order, y0 y1 x0 x1 by where it lies."""
    if name[0] == "e":
        return int(name[1:])
    pts, axis = list(poly.exterior.coords), "xy".index(name[0])
    at = poly.bounds[axis + 2 * int(name[1])]
    return next(i for i in range(len(pts) - 1) if abs(pts[i][axis] - at) < 1e-6 and abs(pts[i + 1][axis] - at) < 1e-6)


def moved_edges(poly, by):
    """A counter-clockwise outline with some of its sides moved out, the others where they were."""
    pts = list(poly.exterior.coords)[:-1]
    n, lines = len(pts), []
    for i in range(n):
        (x0, y0), (x1, y1) = pts[i][:2], pts[(i + 1) % n][:2]
        l = math.hypot(x1 - x0, y1 - y0)
        nx, ny = (y1 - y0) / l, -(x1 - x0) / l
        lines.append((nx, ny, nx * x0 + ny * y0 + by.get(i, 0)))
    out = []
    for i in range(n):
        a, b, c = lines[i - 1]
        d, e, f = lines[i]
        k = a * e - b * d
        out.append(((c * e - b * f) / k, (a * f - c * d) / k))
    return Polygon(out)


def expect(p):
    """The outline of the longer face as cut, in the panel's frame, and the holes that stay holes."""
    t, flush = p["thickness_mm"], p.get("flush_mm", 0)
    if "section_mm" in p:
        o, y = p["place"]["origin_mm"], p["place"]["y"]
        ys = [(c[0] - o[1]) * y[1] + (c[1] - o[2]) * y[2] for c in p["section_mm"]]
        poly = box(0, min(ys), p["length_mm"], max(ys))
    else:
        poly = Polygon(p["outline_mm"]) if "outline_mm" in p else box(0, 0, p["length_mm"], p["width_mm"])
        if flush:
            poly = poly.buffer(flush, join_style=2, mitre_limit=20)
        grow = {}
        for e in p["edges"]:
            if e["tilt_deg"] < -1e-9:
                grow[edge_index(poly, e["edge"])] = t * math.tan(math.radians(-e["tilt_deg"]))
        if grow:
            poly = moved_edges(poly, grow)
    holes = []
    for h in p["holes"]:
        m = mouth(p, h, poly) if h["kind"] == "slot" else None
        if m is None:
            holes.append(h)
        else:
            poly = poly.difference(m)
    return poly, holes


def check_hole(name, p, h, ents, off):
    x, y = h["x_mm"] - off[0], h["y_mm"] - off[1]
    deep = "through" if not h.get("depth_mm") or h["depth_mm"] >= p["thickness_mm"] else "deep"
    for i, (layer, kind, v) in enumerate(ents):
        if deep not in layer:
            continue
        if h.get("diameter_mm"):
            if kind == "circle":
                ok = math.hypot(v[0] - x, v[1] - y) < TOL and abs(2 * v[2] - h["diameter_mm"]) < TOL
            else:
                g = flatten(v)
                c = Polygon(g).centroid
                want = math.pi * h["diameter_mm"] ** 2 / 4
                ok = (math.hypot(c.x - x, c.y - y) < TOL and abs(area(v) + want) < TOL * math.pi * h["diameter_mm"]
                      and all(abs(math.hypot(a - x, b - y) - h["diameter_mm"] / 2) < TOL for a, b in g))
        elif kind == "path":
            l, w, r = h["length_mm"], h["width_mm"], h.get("radius_mm", 0)
            c = Polygon(flatten(v)).centroid
            want = l * w - (4 - math.pi) * r * r
            if bit and r < bit / 2 - 1e-6:
                want = l * w + 4 * (math.pi / 2 - 1) * bit * bit / 4 if 2 * bit / 2 * math.sqrt(2) <= min(l, w) else l * w
            ok = math.hypot(c.x - x, c.y - y) < TOL and abs(area(v) + want) < TOL * 2 * (l + w)
        else:
            ok = False
        if ok:
            if h.get("depth_mm") and deep == "deep":
                words = layer.split()
                d = float(words[words.index("deep") - 2]) * (25.4 if words[words.index("deep") - 1] == "in" else 1)
                if abs(d - h["depth_mm"]) > TOL:
                    fault(name, layer, "is not", h["depth_mm"], "mm deep")
            if (h["from"] == "inner" and deep == "deep") != layer.startswith("from inside"):
                fault(name, layer, "is on the wrong face")
            del ents[i]
            return
    fault(name, "no entity for", h)


pieces = []
for p in design["panels"]:
    names = glob.glob(os.path.join(folder, "panel-" + p["id"] + "-*.dxf"))
    if len(names) != 1:
        fault("panel", p["id"], "has files", names)
        continue
    name = names[0]
    ents, ext = load(name)
    poly, holes = expect(p)
    off = poly.bounds[:2]
    outlines = [v for layer, kind, v in ents if layer == "outline"]
    if len(outlines) != 1:
        fault(name, "has", len(outlines), "outlines")
        continue
    got = Polygon(flatten(outlines[0]))
    want = Polygon([(x - off[0], y - off[1]) for x, y in poly.exterior.coords])
    if got.hausdorff_distance(want) > TOL or abs(got.area - want.area) > TOL * want.length:
        fault(name, "outline is", round(got.hausdorff_distance(want), 4), "mm off")
    if area(outlines[0]) <= 0:
        fault(name, "outline runs clockwise")
    work = [e for e in ents if e[0].replace("from inside ", "").split()[0] in ("hole", "pocket", "drill")]
    for layer, kind, v in work:
        if kind == "path" and area(v) >= 0:
            fault(name, layer, "runs counter-clockwise")
    for h in holes:
        check_hole(name, p, h, work, off)
    if work:
        fault(name, "has", len(work), "entities that no hole is for")
    for e in p["edges"]:
        if abs(e["tilt_deg"]) > 0.05:
            layer = "bevel edge %s deg %s face long" % (("%.1f" % abs(e["tilt_deg"])).replace(".0", ""), e["long_face"])
            if not any(l == layer for l, _, _ in ents):
                fault(name, "has no layer", layer)
    pieces += [round(got.area, 1)] * max(1, p["count"])

laid = []
files = sorted(glob.glob(os.path.join(folder, "sheet-*.dxf")))
for name in files:
    ents, ext = load(name)
    sheets = [Polygon(flatten(v)) for layer, _, v in ents if layer == "sheet"]
    parts = [Polygon(flatten(v)) for layer, _, v in ents if layer == "outline"]
    for layer, kind, v in ents:
        if layer == "outline" and area(v) <= 0:
            fault(name, "an outline runs clockwise")
        if layer.split()[0] in ("hole", "pocket") and area(v) >= 0:
            fault(name, layer, "runs counter-clockwise")
    if len(sheets) != 1:
        fault(name, "has", len(sheets), "sheets")
        continue
    least = float(clearance) if clearance != "saw" else min(c["kerf_mm"] for s in design["sheets"] for c in s["cuts"])
    for i, a in enumerate(parts):
        if not sheets[0].buffer(1e-6).contains(a):
            fault(name, "a part leaves the sheet")
        for b in parts[:i]:
            if a.distance(b) < least - 0.002:
                fault(name, "two parts are", round(a.distance(b), 4), "mm apart")
    for layer, kind, v in ents:
        if layer.split()[0] in ("hole", "pocket", "drill"):
            x, y = (v[0], v[1]) if kind == "circle" else Polygon(flatten(v)).centroid.coords[0]
            if not any(a.contains(Point(x, y)) for a in parts):
                fault(name, layer, "lies on no part")
    laid += [round(a.area, 1) for a in parts]
layers = max(p.get("layers", 1) for p in design["panels"])
if len(laid) != len(pieces) or any(abs(a - b) > 0.15 for a, b in zip(sorted(laid), sorted(pieces))):  # mm2, both rounded to 0.1
    fault("sheets hold", len(laid), "parts, panels make", len(pieces), sorted(set(laid) ^ set(pieces)))
if len(files) > len(design["sheets"]):
    fault("the router's layout takes", len(files), "sheets, the saw's", len(design["sheets"]))
for b in bad:
    print(b)
print("%d drawings read, %d faults" % (len(design["panels"]) + len(files), len(bad)))
sys.exit(1 if bad else 0)
