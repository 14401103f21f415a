package work

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
)

// checkEdges sees that what is sawn through a panel leaves it whole, that every side and rabbet comes out where the panel has it, that
// a rabbet finds its edge sawn, and that a fence stands at the farthest edge.
func checkEdges(b *panels.Box, _ *nest.Layout, p *Plan) error {
	sawn := map[int]int{} // the last cut that the saw makes on a panel
	for _, c := range p.Cuts {
		if c.Sheet < 0 && (c.Tool == Bevel || c.Tool == Taper || c.Tool == Notch) {
			sawn[c.Take.Panel] = c.No
		}
	}
	for _, c := range p.Cuts {
		if c.Sheet >= 0 || c.Take.Kind != Board {
			continue
		}
		q := &b.Panels[c.Take.Panel]
		var err error
		switch c.Tool {
		case Rabbet:
			err = checkRabbet(q, c, sawn[c.Take.Panel])
		case Taper, Notch:
			err = checkSide(q, c)
		case Bevel:
			if r, _ := rimOf(q, c.At.Index); c.Reference.Index >= 0 {
				ref, _ := rimOf(q, c.Reference.Index)
				for k := range q.Edges {
					if o, ok := rimOf(q, k); ok && o.n.Dot(r.n) < -1+1e-6 && o.outer > ref.outer+same {
						err = fmt.Errorf("the fence stands %.1f mm inside the farthest edge", (o.outer-ref.outer)*1000)
					}
				}
			}
		}
		if err != nil {
			return fmt.Errorf("cut %d, %s %s: %w", c.No, c.Tool, q.Name, err)
		}
	}
	return nil
}

// checkRabbet compares the width on the blank with where the raised field begins when all is trimmed.
func checkRabbet(q *panels.Panel, c Cut, sawn int) error {
	k := slices.IndexFunc(q.Rabbets, func(s panels.RabbetStep) bool { return s.Edge == c.At.Index })
	switch {
	case c.No < sawn:
		return fmt.Errorf("its edge is not sawn before cut %d", sawn)
	case k < 0 || math.Abs(c.Fence-q.Flush-q.Rabbets[k].Width) > same:
		return fmt.Errorf("%.2f mm wide on the blank", c.Fence*1000)
	}
	return nil
}

// checkSide compares both ends of a side, measured from its reference, with the outline, and what a through cut would take off.
func checkSide(q *panels.Panel, c Cut) error {
	g := q.CutOutline()
	box := g.Bounds()
	from := map[string]func(plane.Point) float64{"left": func(p plane.Point) float64 { return p.X - box.Min.X }, "right": func(p plane.Point) float64 { return box.Max.X - p.X },
		"bottom": func(p plane.Point) float64 { return p.Y - box.Min.Y }, "top": func(p plane.Point) float64 { return box.Max.Y - p.Y }}[c.Reference.Side]
	u, v := g.Edge(c.At.Index)
	if math.Abs(from(u)-c.Fence) > same || math.Abs(from(v)-c.Far) > same {
		return fmt.Errorf("%.1f to %.1f mm from the %s", c.Fence*1000, c.Far*1000, c.Reference.Side)
	}
	if k := c.Reference.Index; k >= 0 {
		if a, e := g.Edge(k); math.Abs(from(a))+math.Abs(from(e)) > same {
			return fmt.Errorf("side %d does not lie at the %s", k, c.Reference.Side)
		}
	}
	through := !slices.ContainsFunc(g, func(p plane.Point) bool { return v.Sub(u).Cross(p.Sub(u)) < -same*v.Sub(u).Norm() })
	if short := slices.Contains(c.Marks, StopShort); short == through {
		return fmt.Errorf("marked %v, and a through cut would leave the panel whole: %v", c.Marks, through)
	}
	return nil
}

// TestPlanOfPocketedBoxes plans wedges with a pocket at one end or between both, with every joint and end.
func TestPlanOfPocketedBoxes(t *testing.T) {
	built := 0
	for joint := panels.Butt; joint <= panels.Rabbet; joint++ {
		for ends := panels.EndsOver; ends <= panels.EndsRabbeted; ends++ {
			for _, right := range []float64{0.5, 0.4} {
				o, err := solid.Straight(plane.Polygon{{}, {X: 0.4}, {X: 0.4, Y: 0.15}, {X: 0.13, Y: 0.28}, {Y: 0.28}}, solid.Across, 0, 0.5)
				if err != nil {
					t.Fatal(err)
				}
				if o, err = o.Pocket(solid.Box{Name: "hump", Min: r3.Vec{X: 0.3, Y: 0.23, Z: -1}, Max: r3.Vec{X: right, Y: 1, Z: 0.06}}); err != nil {
					t.Fatal(err)
				}
				b, err := panels.Build(panels.Spec{Outside: o, Count: 1, Face: "front", Driver: panels.Driver{Frame: 0.2, Cutout: 0.18, Depth: 0.08, Magnet: 0.12},
					Wood: panels.Wood{Board: "MDF", Thickness: 0.015, Joints: joint, Ends: ends, Flush: 0.001}})
				if err != nil {
					continue
				}
				built++
				l := layout(t, b)
				for _, check := range []func(*panels.Box, *nest.Layout, *Plan) error{replayCuts, checkSetups, replaySteps, openedInTime, checkEdges} {
					if err := check(b, l, Make(b, l)); err != nil {
						t.Errorf("%v, ends %v, to %.1f m: %v", joint, ends, right, err)
					}
				}
			}
		}
	}
	if built < 12 {
		t.Errorf("only %d of 18 boxes could be built", built)
	}
}
