package design

import (
	"math"
	"strings"
	"testing"

	cavity "cubby/internal/cavity/old"
	"cubby/internal/panels"
	"cubby/internal/plane"
)

// Whatever dimension gives way, a wished volume comes out to 0.1 %, and the other two dimensions are those of the space.
func TestShrinkByEachDimension(t *testing.T) {
	for _, by := range []Shrink{"", ShrinkWidth, ShrinkDepth, ShrinkHeight} {
		for _, stepped := range []bool{false, true} {
			req := wedgeRequest()
			req.Space.Width, req.Space.Shrink = 0.5, by
			req.Space.Passage = nil
			if stepped {
				req.Space.Section = plane.Polygon{{X: 0, Y: 0}, {X: 0.5, Y: 0}, {X: 0.5, Y: 0.2}, {X: 0.38, Y: 0.2}, {X: 0.38, Y: 0.4}, {X: 0, Y: 0.4}}
			}
			const wished = 0.042
			req.Limits.Volume = [2]float64{wished, wished}
			req.Kinds = []Kind{Sealed}
			r := mustRun(t, req)
			if len(r.Designs) != 1 {
				t.Fatalf("%q: %+v", by, r.Outcomes)
			}
			b := r.Designs[0].Box
			if off := b.NetVolume/wished - 1; math.Abs(off) > volumeWithin {
				t.Errorf("%q, stepped %t: net air off by %.2f %%", by, stepped, 100*off)
			}
			size := b.Section.Bounds()
			full := func(what string, got, want float64, gives bool) {
				if gives == (want-got < 1e-3) {
					t.Errorf("%q, stepped %t: %s %g of %g", by, stepped, what, got, want)
				}
			}
			space := req.Space.Section.Bounds()
			full("width", b.Width, 0.5-2*0.008, by == "" || by == ShrinkWidth)
			if stepped || by != ShrinkHeight { // a lower box under a sloping back is less deep too
				full("depth", size.Width(), r.Designs[0].Shape.Section.Bounds().Width(), by == ShrinkDepth)
			}
			full("height", size.Height(), space.Height()-2*0.008, by == ShrinkHeight)
		}
	}
}

// The table of air by size agrees with boxes built at sizes in between to two per cent: the search starts from it.
func TestSizingAgainstBoxes(t *testing.T) {
	for _, by := range []Shrink{ShrinkWidth, ShrinkDepth, ShrinkHeight} {
		req := wedgeRequest()
		req.Space.Shrink = by
		h := huntFor(t, &req)
		for i := range h.rooms {
			r := &h.rooms[i]
			for k := 60; k < 100; k += 7 {
				size := r.sizing.full * float64(k) / 100
				box, err := panels.Build(r.sized(size))
				if err != nil || len(box.Deductions) != 1 { // braces come and go with the size
					continue
				}
				if got := r.sizeFor(box.NetVolume); math.Abs(got-size) > 0.02*r.sizing.full { // a slope that goes takes its bevels along
					t.Errorf("%s, room %d: %g m is tabled as %g", by, i, size, got)
				}
			}
		}
	}
}

// A block beside the box is spoken of where the box is as wide as it lets it be, and not where the box is narrower anyway.
func TestBlockBesideANarrowerBox(t *testing.T) {
	for _, c := range []struct {
		share float64 // of the most air that the space gives
		told  bool
	}{{0.7, false}, {1, true}} {
		req := wedgeRequest()
		req.Space.Passage, req.Space.Width = nil, 0.9
		req.Space.Blocks = []cavity.Block{{Name: "post", Left: 0.45, Width: 0.05, Front: 0, Depth: 0.5, Height: 1}}
		req.Kinds = []Kind{Sealed}
		wished := c.share * largestNet(huntFor(t, &req).rooms)
		req.Limits.Volume = [2]float64{wished, wished}
		r := mustRun(t, req)
		if len(r.Designs) == 0 {
			t.Fatalf("%g: %+v", c.share, r.Outcomes)
		}
		text := strings.Join(r.Designs[0].Warnings, "; ")
		if got := strings.Contains(text, "stands left of the post"); got != c.told {
			t.Errorf("box %g m wide of %g: told of the post %t, want %t: %s", r.Designs[0].Box.Width, r.Designs[0].Shape.Width, got, c.told, text)
		}
	}
}
