package design

import (
	"fmt"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/panels"
)

// Covered, and with the gasket of a removable face, the box keeps the gap to the space and to every block; and the opening
// that it is carried through is less by twice the covering.
func TestCoveredBoxKeepsTheGap(t *testing.T) {
	const slack = 1e-6 // m
	for _, faces := range [][]string{nil, {"top"}, {"back", "bottom", "right"}} {
		for _, loose := range []bool{false, true} {
			what := fmt.Sprintf("covered on %v, removable %v: ", faces, loose)
			req := wedgeRequest()
			req.Kinds = []Kind{Sealed}
			req.Space.Passage = &cavity.Opening{Width: 1.2, Height: 0.5}
			if loose {
				req.Space.Space = square(1.1, 0.42, 0.42)
				req.Space.Blocks = append(req.Space.Blocks, around("rail", 0.9, 0.05, 0, 0.42, 0, 0.03))
				req.Mount.Removable = true
			}
			bare := mustRun(t, req)
			req.Wood.Covering = &panels.Covering{Thickness: 0.004, Faces: faces}
			r := mustRun(t, req)
			if len(r.Designs) == 0 || len(bare.Designs) == 0 {
				t.Fatalf("%sno design: %+v", what, r.Outcomes)
			}
			d := r.Designs[0]
			room, err := req.Space.Settle()
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range d.Box.Covered().Hull() {
				if !room.Clear(p) {
					t.Errorf("%sthe corner at %v is not clear", what, p)
				}
			}
			lo, hi := d.Box.Covered().Bounds()
			for i := range req.Space.Blocks { // the rail lies on the floor: a box clear of it is above it or beside it
				rail := req.Space.Blocks[i].Outline.Bounds()
				g := req.Space.Gap - slack
				if lo.Z < rail.Max.Y+g && lo.X < rail.Max.X+g && hi.X > rail.Min.X-g && len(d.Placed.Pockets) == 0 {
					t.Errorf("%sfrom %v to %v, too near to the rail", what, lo, hi)
				}
			}
			if got, most := d.Carry.Clearance, bare.Designs[0].Carry.Clearance; d.Box.OuterVolume >= bare.Designs[0].Box.OuterVolume && got[0] > most[0]+slack {
				t.Errorf("%smore room in the passage than bare: %v, %v", what, got, most)
			}
		}
	}
}
