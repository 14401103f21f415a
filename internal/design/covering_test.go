package design

import (
	"math"
	"testing"

	cavity "cubby/internal/cavity/old"
	"cubby/internal/panels"
	"cubby/internal/plane"
)

// thick is the box with its covering and gasket, as a section and a stretch across.
func thick(b *panels.Box) (section plane.Polygon, left, right float64) {
	names := panels.Names(b.Section)
	n := len(names)
	side := func(i int) plane.Line {
		p, q := b.Section.Edge(i)
		return plane.LineThrough(p, q).Offset(-b.Covers(names[i]))
	}
	for i := range names {
		p, _ := side((i + n - 1) % n).Meet(side(i))
		section = append(section, p)
	}
	return section, b.Left - b.Covers("left end"), b.Left + b.Width + b.Covers("right end")
}

// Covered, and with the gasket of a removable face, the box keeps the gap to the space and to every block; bare it leaves
// no more than that; and the opening that it is carried through is less by twice the covering.
func TestCoveredBoxKeepsTheGap(t *testing.T) {
	const slack = 1e-9
	for _, faces := range [][]string{nil, {"top"}, {"front", "left"}, {"back", "bottom", "right"}} {
		for _, loose := range []bool{false, true} {
			req := wedgeRequest()
			req.Kinds = []Kind{Sealed}
			req.Space.Passage = &cavity.Opening{Width: 1.2, Height: 0.5}
			if loose {
				req.Mount.Face = "front"
				req.Space.Section = plane.Polygon{{}, {X: 0.42}, {X: 0.42, Y: 0.42}, {Y: 0.42}}
				req.Space.Blocks = []cavity.Block{{Name: "rail", Left: 0.9, Width: 0.05, Front: 0, Depth: 0.42, Floor: 0, Height: 0.03}}
				req.Mount.Removable = true
			}
			bare := mustRun(t, req)
			req.Wood.Covering = &panels.Covering{Thickness: 0.004, Faces: faces}
			r := mustRun(t, req)
			if len(r.Designs) == 0 {
				t.Fatalf("covered on %v: no design: %+v", faces, r.Outcomes)
			}
			d := r.Designs[0]
			section, left, right := thick(d.Box)
			space := req.Space.Section.CCW()
			for i := range space {
				p, q := space.Edge(i)
				wall := plane.LineThrough(p, q)
				for _, v := range section {
					if room := wall.Distance(v); room < req.Space.Gap-slack {
						t.Errorf("covered on %v, removable %v: %g to wall %d of the space, want %g", faces, loose, room, i, req.Space.Gap)
					}
				}
			}
			if left < req.Space.Gap-slack || right > req.Space.Width-req.Space.Gap+slack {
				t.Errorf("covered on %v: stands from %g to %g across", faces, left, right)
			}
			for _, b := range req.Space.Blocks {
				g := req.Space.Gap
				if left >= b.Left+b.Width+g-slack || right <= b.Left-g+slack {
					continue
				}
				grown := plane.Rect{Min: plane.Point{X: b.Front - g + slack, Y: b.Floor - g + slack}, Max: plane.Point{X: b.Front + b.Depth + g - slack, Y: b.Floor + b.Height + g - slack}}
				if area := section.IntersectArea(grown.Polygon()); area > slack {
					t.Errorf("covered on %v: %g m2 too near to the %s", faces, area, b.Name)
				}
			}
			if len(bare.Designs) > 0 {
				less := bare.Designs[0].Carry.Clearance[0] - d.Carry.Clearance[0]
				if d.Carry.Attitude == bare.Designs[0].Carry.Attitude && math.Abs(d.Box.Width-bare.Designs[0].Box.Width) < slack && less < 0 {
					t.Errorf("covered on %v: more room in the passage than bare", faces)
				}
			}
		}
	}
}
