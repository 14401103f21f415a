package panels

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// The boards of slots and the air between them fill what the slot takes out of the box, whatever its shape.
func TestSlotBoardsAndAirFill(t *testing.T) {
	shapes := map[string]int{}
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 7))
		spec, ok := randomFitted(r)
		if !ok || spec.Port == nil || spec.Port.Height == 0 {
			continue
		}
		spec.Driver = Driver{Frame: 0.1, Cutout: 0.09, Depth: 0.04}
		spec.Count = 1
		sc, _, err := plan(&spec)
		if err != nil {
			continue
		}
		k := sc.slot()
		l := &k.legs[0]
		wood := 0.0
		for i := range k.roofs {
			wood += k.roofs[i].Volume
		}
		for _, p := range sc.portPieces() {
			if p.role != SlotRoof {
				wood += p.board.Volume
			}
		}
		air := math.Abs(solid.LoopArea(k.air, l.w)) * k.clear
		var all []r3.Vec // air and roofs
		for i := range len(k.legs) + 1 {
			all = append(all, k.gate(i, 0, 0))
		}
		for i := len(k.legs); i >= 0; i-- {
			all = append(all, k.gate(i, k.h+k.t, k.h+k.t))
		}
		taken := math.Abs(solid.LoopArea(all, l.w)) * (k.x1 - k.x0)
		if len(k.roofs) < len(k.legs) { // folded: two layers up to the wall ahead
			wall, top := l.to(k.gate(1, 0, 0))[0], k.h+k.t
			taken = (2*wall*top - l.to(k.gate(3, 0, 0))[0]*top) * (k.x1 - k.x0)
		}
		if math.Abs(wood+air-taken) > 1e-9*taken {
			t.Errorf("seed %d: wood %g and air %g are not %g", seed, wood, air, taken)
		}
		if math.Abs(wood+air-sc.fitted.ports[0].volume) > 1e-9*sc.fitted.ports[0].volume {
			t.Errorf("seed %d: wood %g and air %g are not %g: %d legs, fold %v, sides %v %v, fins %d", seed, wood, air, sc.fitted.ports[0].volume, len(k.legs), !k.boarded(1), k.low, k.high, k.fins)
		}
		name := fmt.Sprintf("%d legs", len(k.legs))
		if len(k.roofs) < len(k.legs) {
			name = "fold"
		}
		shapes[name]++
		if k.fins > 0 {
			shapes["fins"]++
		}
		if k.low || k.high {
			shapes["side pieces"]++
		}
	}
	t.Log(shapes)
	for _, want := range []string{"1 legs", "2 legs", "3 legs", "fold", "fins", "side pieces"} {
		if shapes[want] == 0 {
			t.Errorf("no slot with %s was made", want)
		}
	}
}

// scad writes solids for OpenSCAD, in mm, and adds up their volumes, mm3; round things have sides sides, bends steps pieces.
type scad struct {
	parts  []string
	volume float64
}

const (
	sides = 12
	steps = 4
)

// disc is the area of a regular figure of that many sides.
func (s *scad) disc(r float64) float64 { return sides / 2 * math.Sin(2*math.Pi/sides) * r * r * 1e6 }

func (s *scad) board(b *Board) {
	var at, faces []string
	n := len(b.Outer)
	for _, p := range append(append([]r3.Vec{}, b.Outer...), b.Inner...) {
		at = append(at, fmt.Sprintf("[%.9g,%.9g,%.9g]", p.X*1000, p.Y*1000, p.Z*1000))
	}
	var outer, inner []string // clockwise as seen from outside
	for k := range n {
		outer = append(outer, fmt.Sprint(n-1-k))
		inner = append(inner, fmt.Sprint(n+k))
		faces = append(faces, fmt.Sprintf("[%d,%d,%d,%d]", k, (k+1)%n, n+(k+1)%n, n+k))
	}
	faces = append(faces, "["+strings.Join(outer, ",")+"]", "["+strings.Join(inner, ",")+"]")
	s.volume += b.Volume * 1e9
	s.parts = append(s.parts, fmt.Sprintf("polyhedron(points=[%s],faces=[%s],convexity=4);", strings.Join(at, ","), strings.Join(faces, ",")))
}

// airPolyhedron writes a solid by the triangles of its faces.
func airPolyhedron(a *solid.Solid) string {
	var at, faces []string
	for i := range a.Faces {
		for _, t := range triangles(&a.Faces[i]) {
			n := len(at)
			for _, p := range t {
				at = append(at, fmt.Sprintf("[%.9g,%.9g,%.9g]", p.X*1000, p.Y*1000, p.Z*1000))
			}
			faces = append(faces, fmt.Sprintf("[%d,%d,%d]", n+2, n+1, n))
		}
	}
	return fmt.Sprintf("polyhedron(points=[%s],faces=[%s],convexity=6);\n", strings.Join(at, ","), strings.Join(faces, ","))
}

func matrix(x, y, z, o r3.Vec) string {
	row := func(a, b, c, d float64) string { return fmt.Sprintf("[%.9g,%.9g,%.9g,%.9g]", a, b, c, d*1000) }
	return "[" + row(x.X, y.X, z.X, o.X) + "," + row(x.Y, y.Y, z.Y, o.Y) + "," + row(x.Z, y.Z, z.Z, o.Z) + ",[0,0,0,1]]"
}

func (s *scad) cone(from, dir r3.Vec, l, r0, r1 float64) {
	if l < 1e-9 {
		return
	}
	u, v := solid.Axes(dir)
	s.volume += (s.disc(r0) + s.disc(math.Sqrt(r0*r1)) + s.disc(r1)) / 3 * l * 1000
	s.parts = append(s.parts, fmt.Sprintf("multmatrix(%s) cylinder(h=%.9g,r1=%.9g,r2=%.9g,$fn=12);", matrix(u, v, dir, from), l*1000, r0*1000, r1*1000))
}

// tube writes a tube's part inside the box with real bends.
func (s *scad) tube(sc *scene, t *port) {
	f, p := &sc.faces[t.face], sc.spec.Port
	r, bend := p.outside()/2, p.elbowRadius()
	at := f.at(t.at, f.t)
	for i, l := range t.path.Legs {
		d := t.path.Directions[i]
		if i == 0 {
			l -= f.t
		}
		s.cone(at, d, l, r, r)
		at = r3.Add(at, r3.Scale(l, d))
		if i+1 < len(t.path.Legs) {
			e := t.path.Directions[i+1]
			hub := r3.Add(at, r3.Scale(bend, e))
			s.volume += steps * math.Sin(math.Pi/2/steps) * s.disc(r) * bend * 1000
			s.parts = append(s.parts, fmt.Sprintf("multmatrix(%s) rotate_extrude(angle=90,$fn=16) translate([%.9g,0]) circle(r=%.9g,$fn=12);",
				matrix(r3.Scale(-1, e), d, r3.Cross(r3.Scale(-1, e), d), hub), bend*1000, r*1000))
			at = r3.Add(hub, r3.Scale(bend, d))
		}
	}
}

// Everything in a dozen boxes with elbows and bends, put together by OpenSCAD, has the volume of its parts: nothing intersects.
func TestFittingsAgainstOpenSCAD(t *testing.T) {
	if _, err := exec.LookPath("openscad"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	want := 4
	if os.Getenv("CI") == "true" || *long {
		want = 12
	}
	made, elbows, bends := 0, 0, 0
	for seed := uint64(0); made < want && seed < 4000; seed++ {
		r := rand.New(rand.NewPCG(seed, 3))
		spec, ok := randomFitted(r)
		if !ok || spec.Port == nil {
			continue
		}
		spec.Driver.Vent = false
		sc, box, err := plan(&spec)
		if err != nil || len(box.Ports[0].Legs) < 2 || box.Drivers.DepthBehind < spec.Driver.Depth {
			continue
		}
		slot := box.Ports[0].Height > 0
		if slot && bends >= want/2 || !slot && elbows >= want/2 {
			continue
		}
		if slices.ContainsFunc(box.Checks, func(c Check) bool { return c.Status == Fail && c.Unit == "m" && c.Name != "wood round the bolts" }) {
			continue // too tight, which is said
		}
		var s scad
		air := airPolyhedron(sc.shell.air)
		for _, p := range sc.portPieces() {
			s.board(&p.board)
		}
		for i := 0; i < len(sc.fitted.ports) && !slot; i++ {
			s.tube(sc, &sc.fitted.ports[i])
		}
		for _, b := range sc.bodies {
			if b.kind == driverBody || b.kind == terminalBody && b.discs[0].radius > 0 {
				d := b.discs
				// the magnet goes on behind the basket
				if b.kind == driverBody && spec.drivers().neck() > sc.driverFace().t && math.Abs(r3.Norm(r3.Sub(d[1].at, d[0].at))-(spec.drivers().sunk()-sc.driverFace().t)) < 1e-9 {
					s.cone(r3.Sub(d[0].at, r3.Scale(spec.drivers().neck()-sc.driverFace().t, sc.driverFace().N)), d[0].n, spec.drivers().sunk()-spec.drivers().neck(), d[0].radius, d[1].radius)
					continue
				}
				s.cone(d[0].at, d[0].n, r3.Norm(r3.Sub(d[1].at, d[0].at)), d[0].radius, d[1].radius)
			}
		}
		made++
		if slot {
			bends++
		} else {
			elbows++
		}
		if one := scadVolume(t, "union() {\n"+strings.Join(s.parts, "\n")+"\n}\n"); math.Abs(one-s.volume) > 2e-6*s.volume {
			t.Errorf("seed %d: together %.9g, apart %.9g mm3", seed, one, s.volume)
		}
		whole := sc.shell.air.Volume() * 1e9
		if one := scadVolume(t, "union() {\n"+air+strings.Join(s.parts, "\n")+"\n}\n"); math.Abs(one-whole) > 2e-6*whole {
			t.Errorf("seed %d: with what stands in it the air is %.9g, without %.9g mm3", seed, one, whole)
		}
	}
	if made < want || elbows == 0 || bends == 0 {
		t.Fatalf("%d boxes, %d with elbows, %d with bends", made, elbows, bends)
	}
	t.Logf("%d with elbows, %d with bends", elbows, bends)
}

// scadVolume is the volume of what a program of OpenSCAD makes, mm3; admesh, where it is there, has to find the same.
func scadVolume(t *testing.T, src string) float64 {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "a.scad"), filepath.Join(dir, "a.stl")
	if err := os.WriteFile(in, []byte(src), 0o600); err != nil {
		t.Fatal(err)
	}
	if text, err := exec.Command("openscad", "--export-format", "binstl", "-o", out, in).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	v := meshVolume(data)
	text, err := exec.Command("admesh", "--exact", out).Output()
	switch _, after, found := strings.Cut(string(text), "Volume   :"); {
	case err != nil && os.Getenv("CI") != "true": // it is not there
	case err != nil || !found:
		t.Errorf("admesh: %v\n%s", err, text)
	default:
		var other float64 // in single precision
		if _, err := fmt.Sscan(after, &other); err != nil || math.Abs(other-v) > 2e-5*v {
			t.Errorf("admesh makes it %g mm3, not %g (%v)", other, v, err)
		}
	}
	return v
}

// meshVolume is the volume in a binary STL, mm3.
func meshVolume(data []byte) float64 {
	n := binary.LittleEndian.Uint32(data[80:])
	float := func(at int) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(data[at:]))) }
	v := 0.0
	var o r3.Vec
	for i := range int(n) {
		at := 84 + 50*i + 12
		var p [3]r3.Vec
		for k := range p {
			p[k] = r3.Vec{X: float(at + 12*k), Y: float(at + 12*k + 4), Z: float(at + 12*k + 8)}
		}
		if i == 0 {
			o = p[0]
		}
		v += r3.Dot(r3.Sub(p[0], o), r3.Cross(r3.Sub(p[1], o), r3.Sub(p[2], o))) / 6
	}
	return v
}

// A driver in the top stands in the way of a tube from the middle of the front; beside it there is room for one many times as long.
func TestTubeGoesBesideTheDriver(t *testing.T) {
	spec := Spec{Outside: across(t, plane.Polygon{{}, {X: 0.64}, {X: 0.64, Y: 0.22}, {Y: 0.22}}, 0, 0.56), Wood: Wood{Board: "MDF", Thickness: 0.018}, Face: "top",
		Driver: Driver{Frame: 0.33, Cutout: 0.3, Depth: 0.15, Magnet: 0.2},
		Port:   &Port{Count: 1, Bore: 0.08, Face: "front", Length: 0.5}}
	sc, _, err := plan(&spec)
	if err != nil {
		t.Fatal(err)
	}
	sc.fitted.ports, sc.bodies = nil, sc.behind(sc.fitted.drivers)
	front, _ := sc.shell.resolve("front")
	f := &sc.faces[front]
	middle := sc.straight(f, f.mid, math.Inf(-1))
	_, half := spec.Port.mouthAir()
	reach, err := PortReach(spec)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("from the middle %.0f mm, from the best place %.0f mm", (middle.most-half)*1000, reach.Most*1000)
	if middle.most-half > 0.15 || reach.Most < 0.55 {
		t.Errorf("from the middle %g, from the best place %g", middle.most-half, reach.Most)
	}
}

// triangles cuts a face, holes and all, into triangles by cutting off ears (Meisters, "Polygons have ears", 1975; from memory).
func triangles(f *solid.Face) [][3]r3.Vec {
	g := slices.Clone(f.Loops[0].At)
	left := func(a, b, c r3.Vec) float64 { return r3.Dot(f.N, r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) }
	for _, hole := range f.Loops[1:] { // joined to the outline along its shortest bridge
		h := hole.At
		bi, bk, least := 0, 0, math.Inf(1)
		for i, a := range g {
			for k, b := range h {
				if d := r3.Norm(r3.Sub(a, b)); d < least {
					bi, bk, least = i, k, d
				}
			}
		}
		g = slices.Concat(g[:bi+1], h[bk:], h[:bk+1], g[bi:])
	}
	var out [][3]r3.Vec
	for len(g) > 2 {
		n, ear := len(g), 0 // the first, where what is left has no area
		for i, b := range g {
			a, c := g[(i+n-1)%n], g[(i+1)%n]
			in := func(p r3.Vec) bool {
				return p != a && p != b && p != c && left(a, b, p) >= 0 && left(b, c, p) >= 0 && left(c, a, p) >= 0
			}
			if left(a, b, c) > 0 && !slices.ContainsFunc(g, in) {
				ear = i
				break
			}
		}
		out = append(out, [3]r3.Vec{g[(ear+n-1)%n], g[ear], g[(ear+1)%n]})
		g = slices.Delete(g, ear, ear+1)
	}
	return out
}
