package render

import (
	"fmt"
	"math"
	"sort"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// datum is where a panel's places are measured from. X runs from the left side of the drawing, or from the right one when
// FromRight; Y runs from the lower side, or from the upper one when FromTop.
type datum struct {
	FromRight, FromTop bool
	XName, YName       string  // "edge to LEFT END", "edge to FRONT"
	Note               string  // "measure on the outer face", or empty
	Width, Height      float64 // of the face that is measured, m
}

// datumOf chooses the reference corner. X is from the left end, which is always square. Y is from a square edge if there is one;
// else from the edge whose outer face is the long one, because a tape hooks on it; else from the outer arris, which must be
// measured on the outer face. Outlines are measured from the front and the bottom of the rectangle round them.
func datumOf(p panels.Panel) datum {
	if len(p.Outline) > 0 {
		return outlineDatum(p)
	}
	g := datum{XName: "edge to LEFT END", Width: p.Length, Height: reach(p)}
	y0, has0 := edgeNamed(p, "y0")
	y1, has1 := edgeNamed(p, "y1")
	if !has0 && !has1 {
		g.YName = "the lower edge"
		return g
	}
	sq0, sq1 := has0 && !bevelled(y0), has1 && !bevelled(y1)
	switch {
	case sq0:
	case sq1:
		g.FromTop = true
	case y0.Tilt > 0:
	case y1.Tilt > 0:
		g.FromTop = true
	default:
		g.Note = "measure on the outer face: the inner one stands out"
	}
	e := y0
	if g.FromTop {
		e = y1
	}
	g.YName = "edge to " + place(e.Meets)
	return g
}

// outlineDatum measures ends and other outlines from the front: the left end, seen from outside, has it on the right. Where there is
// neither front nor bottom, from the edges that lie at the left and at the foot of the drawing, named after what they meet.
func outlineDatum(p panels.Panel) datum {
	lo, hi := bounds(p.Outline)
	g := datum{XName: "the left", YName: "the lower side", Width: hi.X - lo.X, Height: hi.Y - lo.Y}
	for i := range min(len(p.Outline), len(p.Edges)) {
		a, b := p.Outline.Edge(i)
		switch m := place(p.Edges[i].Meets); {
		case m == "":
		case a.X < lo.X+sameFace && b.X < lo.X+sameFace:
			g.XName = "edge to " + m
		case a.Y < lo.Y+sameFace && b.Y < lo.Y+sameFace:
			g.YName = "edge to " + m
		}
	}
	if p.Role == panels.Cleat { // equal pieces lie different ways round: their notes say which
		g.XName, g.YName = "the triangle", "the triangle"
		return g
	}
	switch {
	case p.Place.X.Y > 0.99:
		g.XName = "the FRONT"
	case p.Place.X.Y < -0.99:
		g.XName, g.FromRight = "the FRONT", true
	}
	if p.Place.Y.Z > 0.99 {
		g.YName = "the BOTTOM"
	}
	return g
}

// place turns a point of the panel frame into distances from the datum.
func (g datum) place(p plane.Point) (x, y float64) {
	x, y = p.X, p.Y
	if g.FromRight {
		x = g.Width - x
	}
	if g.FromTop {
		y = g.Height - y
	}
	return x, y
}

// opening is one hole as printed: numbered, with its places from the datum and the closing distances.
type opening struct {
	No                   int
	Hole                 panels.Hole
	X, CloseX, Y, CloseY float64
}

// centredWithin is how far reference and closing distance may differ for a hole to be called centred, m: the last printed digit.
const centredWithin = 1e-4

// openings numbers the holes of a panel: large openings first, then the small holes in the order in which they were placed.
func openings(p panels.Panel) []opening {
	g := datumOf(p)
	hs := append([]panels.Hole(nil), p.Holes...)
	sort.SliceStable(hs, func(i, j int) bool { return !smallHole(hs[i]) && smallHole(hs[j]) })
	out := make([]opening, len(hs))
	for i, h := range hs {
		x, y := g.place(plane.Point{X: h.X, Y: h.Y})
		out[i] = opening{No: i + 1, Hole: h, X: x, CloseX: g.Width - x, Y: y, CloseY: g.Height - y}
	}
	return out
}

func smallHole(h panels.Hole) bool { return h.Kind == "bolt" || h.Kind == "fixing" }

// shortUses are what small holes are for, as a table has room for it.
var shortUses = map[panels.HoleUse]string{panels.UseFaceScrew: "face screw", panels.UseFaceInsert: "face insert", panels.UseTerminalScrew: "plate screw",
	panels.UseFlangeScrew: "flange screw", panels.UseInsert: "vehicle insert", panels.UseBracket: "vehicle bracket"}

// kindText is an opening's kind in the shop's words.
func kindText(h panels.Hole) string {
	if t, ok := shortUses[h.Use]; ok {
		return t
	}
	if h.Kind == panels.HoleDriver && h.Use == panels.UseRadiator {
		return "radiator"
	}
	t := map[panels.HoleKind]string{"driver": "driver", "bolt": "bolt hole", "port": "port tube", "terminal": "terminal",
		"cable": "cable hole", "slot": "port mouth", "recess": "recess", "fixing": "fixing hole"}[h.Kind]
	if t == "" {
		t = string(h.Kind)
	}
	return t
}

// sizeText is an opening's size: Ø 233.0, or 120.0 × 60.0 R 6.0.
func (s *shop) sizeText(h panels.Hole) string {
	if h.Diameter > 0 {
		return "Ø " + s.m.sloped(h.Diameter)
	}
	t := s.m.sloped(h.Length) + " × " + s.m.sloped(h.Width)
	if h.Radius > 0 {
		t += " R " + s.m.sloped(h.Radius)
	}
	return t
}

func (s *shop) depthText(h panels.Hole) string {
	t := "through"
	if h.Depth > 0 {
		t = s.m.sloped(h.Depth) + " deep"
	}
	if h.From == "inner" {
		t += ", from inside"
	}
	return t
}

// openingWide is the width that the table of openings takes at most, mm.
const openingWide = 89.4

// openingTable lists every hole of a panel with its place from the reference corner, and in parentheses the closing distances of what
// is large: they must add up with the first to the size of the face.
func (s *shop) openingTable(p panels.Panel) table {
	g := datumOf(p)
	t := table{Columns: []column{{Head: "No.", Width: 8, Align: AlignCentre}, {Head: "What", Width: 19}, {Head: "X from " + g.XName, Width: 23},
		{Head: "Y from " + g.YName, Width: 23}, {Head: "Size"}}}
	if s.m.sys == unit.Inch { // a fraction, and its exact figure under it
		t.Columns[2].Width, t.Columns[3].Width = 20, 20
	}
	if p.Flush > 0 {
		t.Columns[2].Head, t.Columns[3].Head = t.Columns[2].Head+", trimmed", t.Columns[3].Head+", trimmed"
	}
	for _, o := range openings(p) {
		if isStrip(p, o.Hole) {
			t.Rows = append(t.Rows, cells(fmt.Sprint(o.No), kindText(o.Hole), "whole edge", s.stripText(p), s.sizeText(o.Hole)+", cut off last"))
			continue
		}
		size := s.sizeText(o.Hole)
		if d := s.depthText(o.Hole); d != "through" {
			size += ", " + d
		}
		what := kindText(o.Hole)
		if work.Notched(&p, o.Hole) {
			what += ", a notch"
		}
		if centred := centredText(o); centred != "" {
			what += "\n" + centred
		}
		t.Rows = append(t.Rows, cells(fmt.Sprint(o.No), what, s.placeText(o.Hole, o.X, o.CloseX), s.placeText(o.Hole, o.Y, o.CloseY), size))
	}
	return t
}

// placeText is the distance of a hole from its reference, with the closing distance of a large one.
func (s *shop) placeText(h panels.Hole, from, rest float64) string {
	t := s.m.stack(from)
	switch {
	case smallHole(h):
		return t
	case s.m.sys == unit.Inch:
		return t + "\n(" + s.m.rest(from+rest, from) + ")"
	}
	return t + " (" + s.m.rest(from+rest, from) + ")"
}

// centredText says in which directions a large hole sits in the middle.
func centredText(o opening) string {
	x, y := math.Abs(o.X-o.CloseX) < centredWithin, math.Abs(o.Y-o.CloseY) < centredWithin
	switch {
	case smallHole(o.Hole) || !x && !y:
		return ""
	case x && y:
		return "CENTRED"
	case x:
		return "X CENTRED"
	}
	return "Y CENTRED"
}

// stripText is from where to where the strip goes that a slot's mouth takes off an edge, in the direction that the table counts.
func (s *shop) stripText(p panels.Panel) string {
	key, h := mouthStrip(p)
	if w := reach(p); (key == "y1") != datumOf(p).FromTop {
		return s.m.bare(w-h) + " to " + s.m.bare(w)
	}
	return "0 to " + s.m.bare(h)
}

// circleText describes the bolt circle round each driver opening: circle, count and where the first hole stands.
func (s *shop) circleText(p panels.Panel) []string {
	var out []string
	for _, d := range openings(p) {
		if d.Hole.Kind != "driver" {
			continue
		}
		n, r, start := 0, 0.0, 0.0
		for _, b := range s.boltsOf(p, d.Hole) {
			dx, dy := b.Hole.X-d.Hole.X, b.Hole.Y-d.Hole.Y
			if n == 0 {
				r = math.Hypot(dx, dy)
				start = math.Mod(math.Atan2(dx, dy)*180/math.Pi+360, 360)
			}
			n++
		}
		if n > 0 {
			out = append(out, fmt.Sprintf("Bolts round opening %d: %d on a circle of Ø %s, the first at %.1f° from straight up the drawing, clockwise as seen on the outer face, then every %.1f°.",
				d.No, n, s.m.sloped(2*r), start, 360/float64(n)))
		}
	}
	return out
}

// boltsOf gives the bolt holes that are nearer to this driver opening than to any other of the panel.
func (s *shop) boltsOf(p panels.Panel, driver panels.Hole) []opening {
	var out []opening
	for _, b := range openings(p) {
		if b.Hole.Kind != "bolt" {
			continue
		}
		own := math.Hypot(b.Hole.X-driver.X, b.Hole.Y-driver.Y)
		nearest := true
		for _, h := range p.Holes {
			if h.Kind == "driver" && math.Hypot(b.Hole.X-h.X, b.Hole.Y-h.Y) < own-1e-9 {
				nearest = false
			}
		}
		if nearest {
			out = append(out, b)
		}
	}
	return out
}
