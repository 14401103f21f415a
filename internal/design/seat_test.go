package design

import (
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/plane"
)

// TestSeatByCut: where a slope leaves the driver's face too narrow, the face moves into the box until the driver sits on
// it, and the slope is kept for the air that it holds; by the least cut that does.
func TestSeatByCut(t *testing.T) {
	req := wedgeRequest()
	req.Mount, req.Frame.Depth = Mount{Face: "top", AirInFront: 0.02}, 0.12
	req.Space.Section = plane.Polygon{{X: 0, Y: 0}, {X: 0.5, Y: 0}, {X: 0.5, Y: 0.15}, {X: 0.22, Y: 0.34}, {X: 0, Y: 0.34}}
	p, err := newPlant(&req)
	if err != nil {
		t.Fatal(err)
	}
	if p.shapes, err = p.space().Shapes(); err != nil {
		t.Fatal(err)
	}
	rooms, _ := p.rooms()
	var cut room
	for _, r := range rooms {
		if p.shapes[r.index].Kind != cavity.Rectangle && r.netAtFull > cut.netAtFull {
			cut = r
		}
	}
	if cut.netAtFull < 1.1*rooms[0].netAtFull || cut.shortfall >= failedCheck {
		t.Fatalf("the sloped shape holds %.1f l (shortfall %d), the %s %.1f l", 1000*cut.netAtFull, cut.shortfall, p.shapes[rooms[0].index].Kind, 1000*rooms[0].netAtFull)
	}
	if !strings.Contains(strings.Join(cut.notes, " "), "wide enough for the driver") {
		t.Errorf("the cut is not told of: %q", cut.notes)
	}
	whole := p.shapes[cut.index].Section.Bounds()
	height := cut.section.Bounds().Height()
	if height >= whole.Height() {
		t.Errorf("the top is not moved: %v", height)
	}
	// A cut smaller by 2 mm does worse.
	uncut, _ := p.newRoom(cut.index, p.shapes[cut.index].Section)
	if r, ok := p.faceCut(uncut, whole.Height()-height-0.002); ok && r.shortfall <= cut.shortfall {
		t.Errorf("2 mm less would have done: shortfall %d, with the cut %d", r.shortfall, cut.shortfall)
	}
}
