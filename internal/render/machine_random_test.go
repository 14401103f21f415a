package render

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/panels"
	"cubby/internal/unit"
)

// checkMachines holds every board of a box to what its files promise: closed solids of the panels' volume, outlines that run
// the right way round and lie on their drawing, and nothing left out without a word. The record counts a rabbet as far as the
// board that stops in it reaches; the file has it along the whole edge, as a cutter that runs through leaves it: a board's
// thickness more at either end.
func checkMachines(t interface{ Errorf(string, ...any) }, name string, b *panels.Box) {
	for i := range b.Panels {
		p := &b.Panels[i]
		if p.Volume == 0 { // a piece that a test has thrown in
			continue
		}
		whole := *p
		whole.Holes = nil
		m, left := solidOf(&whole)
		near := 1e-9
		for _, r := range p.Rabbets {
			near += 2.2 * r.Width * r.Depth * p.Thickness / p.Volume // see above
		}
		if bad := openEdges(m); bad > 0 || len(left) > 0 {
			t.Errorf("%s: %s has %d open edges and leaves out %v", name, p.Name, bad, left)
		}
		if v := m.volume(); math.Abs(v/p.Volume-1) > near {
			t.Errorf("%s: %s (%v): solid of %.12g m3, panel %.12g", name, p.Name, p.Role, v, p.Volume)
		}
		m, _ = solidOf(p)
		if bad := openEdges(m); bad > 0 || !(m.volume() > 0) || m.volume() > p.Volume*(1+near) {
			t.Errorf("%s: %s with openings has %d open edges and %.9g m3 of %.9g", name, p.Name, bad, m.volume(), p.Volume)
		}
		checkFlat(t, name, PanelFlat(p, MachineOptions{Units: unit.Metric}))
	}
}

func checkFlat(t interface{ Errorf(string, ...any) }, name string, f Flat) {
	lo, hi := bounds(f.outline())
	if math.Abs(lo.X)+math.Abs(lo.Y) > 1e-9 || hi.Sub(f.size).Norm() > 1e-9 {
		t.Errorf("%s: %s: outline from %v to %v on a drawing of %v", name, f.Title, lo, hi, f.size)
	}
	for _, k := range f.tracks {
		a := k.area()
		switch k.op {
		case opCut:
			if a <= 0 {
				t.Errorf("%s: %s: outline runs clockwise", name, f.Title)
			}
		case opThrough, opPocket:
			if a >= 0 {
				t.Errorf("%s: %s: %s runs counter-clockwise", name, f.Title, k.title)
			}
		}
		for _, p := range k.ring() {
			if p.X < -1e-6 || p.Y < -1e-6 || p.X > f.size.X+1e-6 || p.Y > f.size.Y+1e-6 {
				t.Errorf("%s: %s: %s leaves the drawing at %v", name, f.Title, k.layer.words(unit.Metric), p)
				break
			}
		}
	}
	for _, l := range f.layers() {
		if w := l.words(unit.Inch); strings.ContainsAny(w, `<>/\":;?*|,=`+"`") || w == "" {
			t.Errorf("%s: a layer cannot be called %q", name, w)
		}
	}
}

func TestMachineFilesOfWorkedBoxes(t *testing.T) {
	for _, c := range shopCases() {
		checkMachines(t, c.name, shopResult(t, c).Designs[0].Box)
	}
	for name, b := range pocketBoxes(t) {
		checkMachines(t, name, b)
	}
}

func TestMachineFilesOfRandomBoxes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := randomCase(rt)
		if rapid.Bool().Draw(rt, "slot") {
			c.spec.Port = &panels.Port{Height: 0.03, Length: 0.3, Width: rapid.SampledFrom([]float64{0, 0.15}).Draw(rt, "slot width")}
		}
		if rapid.Bool().Draw(rt, "removable") {
			c.spec.Mounting.Removable = true
		}
		if rapid.Bool().Draw(rt, "recess") {
			c.spec.Mounting.Recess = 0.003
		}
		b, err := panels.Build(c.spec)
		if err != nil {
			return
		}
		checkMachines(rt, "random", b)
	})
}

// area is what a track encloses, + counter-clockwise, arcs counted exactly.
func (t track) area() float64 {
	sum := 0.0
	for i, b := range t.bends {
		c := t.bends[(i+1)%len(t.bends)]
		sum += b.Cross(c.Point) / 2
		if b.bulge != 0 {
			chord, a := c.Sub(b.Point).Norm(), 4*math.Atan(b.bulge)
			r := chord / (2 * math.Sin(a/2))
			sum += r * r * (a - math.Sin(a)) / 2
		}
	}
	return sum
}
