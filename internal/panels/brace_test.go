package panels

import (
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/plane"
	"pgregory.net/rapid"
)

// Braces of random boxes: what is deducted for them is their wood, openings taken off; windows open half of the section or
// more; strips are no more than four times as tall as thick, stand inside with one edge on their panel, and keep 25 mm to
// drivers and ports; no panel resonates lower with braces than without.
func TestBracesOfRandomBoxes(t *testing.T) {
	kinds := map[string]int{}
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := equip(r, randomSpec(r))
		s.Brace.Lowest = 100 + 300*r.Float64()
		m, err := plan(s)
		if err != nil {
			return
		}
		m.makePanels()
		m.checkPlates()
		wood := 0.0
		for _, p := range m.box.Panels {
			if p.Role == Brace {
				wood += p.Volume - p.opened()
			}
		}
		for _, d := range m.box.Deductions {
			if d.Name == "braces" {
				wood -= d.Volume
			}
		}
		if math.Abs(wood) > 1e-12 {
			t.Errorf("braces are deducted with %g m3 too little", wood)
		}
		for _, b := range m.braces {
			kinds["window"]++
			if b.open < braceOpen {
				t.Errorf("%s opens only %.2f of the section", b.name, b.open)
			}
		}
		for _, x := range m.strips {
			kinds["strip"]++
			m.checkStrip(t, x)
		}
		for _, r := range m.box.Resonances {
			if r.After < r.Before*(1-1e-9) {
				t.Errorf("%s resonates at %g Hz with braces and at %g without", r.Panel, r.After, r.Before)
			}
		}
	})
	if kinds["window"] == 0 || kinds["strip"] == 0 {
		t.Errorf("some kind was never made: %v", kinds)
	}
}

// A window brace leaves a tube that passes it free, by a window, a hole or a notch.
func TestBracesLetTubesPass(t *testing.T) {
	kinds := map[string]int{}
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		m, err := plan(randomSpec(r))
		if err != nil {
			return
		}
		tube := tubeAcross(r, m)
		m.bodies = append(m.bodies, tube)
		b, err := m.makeBrace("brace", (m.inLeft+m.inRight)/2)
		if err != nil || b.open < braceOpen {
			return
		}
		switch {
		case b.notched:
			kinds["notch"]++
		case len(b.holes) > 0:
			kinds["hole"]++
		default:
			kinds["window"]++
		}
		b.checkPassage(t, tube)
	})
	if kinds["notch"] == 0 || kinds["hole"] == 0 || kinds["window"] == 0 {
		t.Errorf("some kind was never made: %v", kinds)
	}
}

// tubeAcross draws a tube along the whole width, somewhere in the inside section.
func tubeAcross(r *rand.Rand, m *maker) solid {
	radius := 0.02 + 0.03*r.Float64()
	box := m.wrap.inside.Bounds()
	c := box.Min.Add(plane.Point{X: box.Width() * r.Float64(), Y: box.Height() * r.Float64()})
	half := plane.Point{X: radius, Y: radius}
	return solid{name: "port", x0: m.inLeft, x1: m.inRight, area: plane.Rect{Min: c.Sub(half), Max: c.Add(half)}.Polygon()}
}

// checkPassage finds the wood of a brace clear of a tube that passes, all round, and what is left of the brace at its hole strong.
func (b brace) checkPassage(t *rapid.T, tube solid) {
	box := tube.area.Bounds()
	c, r := box.Min.Add(box.Max).Mul(0.5), box.Width()/2+braceHole-touching
	for k := range 72 {
		p := c.Add(plane.Point{X: r}.Rotate(2 * math.Pi * float64(k) / 72))
		open := !b.outline.Contains(p)
		for _, h := range b.holes {
			open = open || math.Hypot(p.X-h.X, p.Y-h.Y) <= h.Diameter/2
		}
		for _, w := range b.windows {
			open = open || roundedHas(w, p)
		}
		if !open {
			t.Errorf("%s has wood in the way of a tube at %v: %+v", b.name, p, b)
			return
		}
	}
	for _, h := range b.holes {
		if lip := b.outline.Distance(plane.Point{X: h.X, Y: h.Y}) - h.Diameter/2; lip < braceLip-touching {
			t.Errorf("%s has %g m of wood between a hole and its edge", b.name, lip)
		}
	}
}

// roundedHas reports whether a point is in a window with round corners.
func roundedHas(w plane.Rect, p plane.Point) bool {
	r := windowRadius(w)
	dx := math.Max(math.Abs(p.X-(w.Min.X+w.Max.X)/2)-w.Width()/2+r, 0)
	dy := math.Max(math.Abs(p.Y-(w.Min.Y+w.Max.Y)/2)-w.Height()/2+r, 0)
	return math.Hypot(dx, dy) <= r+touching
}

func (m *maker) checkStrip(t *rapid.T, s strip) {
	if s.height > 4*s.t+1e-12 || s.length < stripLeast {
		t.Errorf("%s is %g long, %g tall and %g thick", s.name, s.length, s.height, s.t)
	}
	if got, want := s.body.area.Area()*(s.body.x1-s.body.x0), s.length*s.height*s.t; math.Abs(got-want) > 1e-12 {
		t.Errorf("%s stands in %g m3, its wood is %g", s.name, got, want)
	}
	if out := s.body.area.Area() - s.body.area.IntersectArea(m.wrap.inside); out > 1e-9 {
		t.Errorf("%s stands out of the inside by %g m2", s.name, out)
	}
	// one edge lies on the panel, and the far one a height away from it
	var on, off [2]float64
	for k, x := range [...]float64{0, s.length} {
		on[k], off[k] = m.over(s.on, s.place.At(x, 0, 0)), m.over(s.on, s.place.At(x, s.height, 0))
	}
	for k := range on {
		if math.Abs(on[k]) > 1e-9 || math.Abs(off[k]-s.height) > 1e-9 {
			t.Errorf("%s is %g over the %s, its free edge %g", s.name, on[k], s.on, off[k])
		}
	}
	for _, b := range m.bodies {
		if kind := wallKind(b.name); kind != "driver" && kind != "port" || b.x0 >= s.body.x1+braceClear || s.body.x0 >= b.x1+braceClear {
			continue
		}
		for _, p := range s.body.area {
			if b.area.Contains(p) || b.area.Distance(p) < braceClear-1e-9 {
				t.Errorf("%s is nearer than 25 mm to %s", s.name, b.name)
			}
		}
	}
}

// over is how far a place of the space lies inside from the inner face of a panel.
func (m *maker) over(name string, p [3]float64) float64 {
	switch name {
	case leftEnd:
		return p[0] - m.inLeft
	case rightEnd:
		return m.inRight - p[0]
	}
	for i, n := range m.wrap.names {
		if n == name {
			return m.wrap.inn[i].Distance(plane.Point{X: p[1], Y: p[2]})
		}
	}
	return math.NaN()
}

// A box 400 x 300 x 500 of 12 mm board, by hand: its ends are plates of 376 x 276 inside. One upright strip at 0.42 of the
// depth leaves a span of 0.58 of it, less its own thickness.
func TestStripOnAnEnd(t *testing.T) {
	s := Spec{Section: mm(0, 0, 400, 0, 400, 300, 0, 300), Width: 0.5, Wood: board(12), Face: "top",
		Driver: Driver{Frame: 0.2, Cutout: 0.18, Magnet: 0.1, Depth: 0.09}}
	rho := s.Wood.density()
	alone := PlateResonance(0.376, 0.276, 0.012, boardOf(s.Wood.Board).modulus, rho)
	split := PlateResonance(0.58*(0.376-0.012), 0.276, 0.012, boardOf(s.Wood.Board).modulus, rho)
	s.Brace.Lowest = (alone + split) / 2
	b, err := Build(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, end := range []string{leftEnd, rightEnd} {
		p := b.panel("strip on the " + end)
		if p == nil {
			t.Fatalf("no strip on the %s", end)
		}
		if math.Abs(p.Length-(0.276-stripPlay)) > 1e-12 || math.Abs(p.Width-0.036) > 1e-12 {
			t.Errorf("the strip on the %s is %g x %g", end, p.Length, p.Width)
		}
		for _, r := range b.Resonances {
			if r.Panel == end && (math.Abs(r.Before-alone) > 1e-9 || math.Abs(r.After-split) > 1e-9) {
				t.Errorf("the %s resonates at %g and %g Hz, want %g and %g", end, r.Before, r.After, alone, split)
			}
		}
	}
}
