package panels

import (
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/plane"

	"pgregory.net/rapid"
)

// A box of 900 mm, ends over, of 15 mm board: by hand, the wall's edge of 870 mm takes screws at 70, 216, 362, 508, 654 and 800 mm
// (730 mm in five steps of 146), 7.5 mm from the edge that covers the wall.
func TestScrewsByHand(t *testing.T) {
	b, err := Build(Spec{Section: mm(0, 0, 330, 0, 330, 260, 0, 260), Width: 0.9, Wood: board(15), Face: "front"})
	if err != nil {
		t.Fatal(err)
	}
	rows := b.ScrewRows()
	if len(rows) != 4+8 {
		t.Fatalf("%d rows, want 4 between walls and 8 at the ends", len(rows))
	}
	for _, r := range rows {
		if r.Through != "bottom" || r.Into != "back" {
			continue
		}
		want := []float64{0.070, 0.216, 0.362, 0.508, 0.654, 0.800}
		if len(r.At) != len(want) {
			t.Fatalf("%d screws, want %d", len(r.At), len(want))
		}
		for k := range want {
			if math.Abs(r.At[k]-want[k]) > 1e-9 {
				t.Errorf("screw %d at %.4f m, want %.4f", k, r.At[k], want[k])
			}
		}
		if math.Abs(r.Inset-0.0075) > 1e-9 || r.Lean > 1e-9 {
			t.Errorf("inset %.4f m, lean %.4f, want 0.0075 and square", r.Inset, r.Lean)
		}
		return
	}
	t.Error("no row through the bottom into the back")
}

// The lip of a rabbeted end takes no screws: it is clamped.
func TestNoScrewsInTheLipOfARabbet(t *testing.T) {
	w := board(18)
	w.Ends = EndsRabbeted
	b, err := Build(Spec{Section: mm(0, 0, 330, 0, 330, 300, 0, 300), Width: 0.5, Wood: w, Face: "front"})
	if err != nil {
		t.Fatal(err)
	}
	ends := 0
	for _, r := range b.ScrewRows() {
		if b.panel(r.Through).Role != End {
			continue
		}
		if ends++; len(r.At) > 0 || r.Why == "" {
			t.Errorf("%d screws through the %s into the %s, why none: %q", len(r.At), r.Through, r.Into, r.Why)
		}
	}
	if ends != 8 {
		t.Errorf("%d rows at the ends, want 8", ends)
	}
}

// Every screw of random boxes stands on its panel, clear of its openings, enters the other panel through the joint, and stays a
// quarter of its board off both faces for the first 10 mm.
func TestScrewsEnterTheWood(t *testing.T) {
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		b := built(t, equip(r, randomSpec(r)))
		if b == nil {
			return
		}
		for _, row := range b.ScrewRows() {
			p, q := b.panel(row.Through), b.panel(row.Into)
			for k := range row.At {
				checkScrew(t, b, row, row.Place(k), p, q)
			}
		}
	})
}

func checkScrew(t *rapid.T, b *Box, row ScrewRow, at plane.Point, p, q *Panel) {
	where := p.Place.At(at.X, at.Y, 0)
	out := p.Place.Out()
	if p.Role == Wall && q.Role == Wall {
		d := plane.Point{X: where[1], Y: where[2]}
		u := q.Section[1].Sub(q.Section[0]).Unit()
		if u.Dot(plane.Point{X: out[1], Y: out[2]}) > 0 {
			u = u.Mul(-1)
		}
		depth := p.Thickness/math.Cos(row.Lean) + 0.010
		tip := d.Add(u.Mul(depth))
		deep := tip.Sub(q.Section[0]).Dot(q.Section[1].Sub(q.Section[0]).Unit().Left())
		if deep < q.Thickness/4 || deep > q.Thickness*3/4 {
			t.Fatalf("%s into %s: %.4f m deep in a board of %.4f m", p.Name, q.Name, deep, q.Thickness)
		}
		if row.Lean < 40*degree && !q.Section.CCW().Contains(tip) {
			t.Fatalf("%s into %s: the tip %v is not in the wood of %v", p.Name, q.Name, tip, q.Section)
		}
	}
	if p.Role == End {
		if !p.Outline.CCW().Contains(at) {
			t.Fatalf("%s into %s: %v is not on the end", p.Name, q.Name, at)
		}
		d := plane.Point{X: where[1], Y: where[2]}
		if !q.Section.CCW().Contains(d) {
			t.Fatalf("%s into %s: %v is not over the wall's edge", p.Name, q.Name, d)
		}
	}
	for _, h := range p.Holes {
		if h.Diameter > 0 && math.Hypot(at.X-h.X, at.Y-h.Y) < h.Diameter/2+ScrewClear-1e-9 {
			t.Fatalf("%s into %s: a screw in opening %+v", p.Name, q.Name, h)
		}
	}
}
