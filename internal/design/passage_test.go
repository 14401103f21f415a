package design

import (
	"math"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/thielesmall"

	"math/rand/v2"
)

// boxyRequest is an invented job: a 10 in driver for a larger box than the passage lets in as the space would have it.
func boxyRequest(width, depth, height float64) Request {
	req := wedgeRequest()
	req.Driver = thielesmall.Spec{Name: "Test 10 flat", Fs: 36, Qes: 0.62, Qms: 4.8, Vas: 0.017, Sd: 0.032, Re: 3.3, Le: 0.0013, Xmax: 0.010, Xmech: 0.015, Power: 300, Impedance: 4}
	req.Frame.Depth, req.Frame.Frame, req.Frame.Cutout, req.Frame.Circle = 0.095, 0.264, 0.232, 0.250
	req.Space = &Space{Space: square(width, depth, height)}
	return req
}

// TestPassageBounds holds that a search is not spent on boxes that cannot be carried in: through an opening that lets a large
// vented box in by its height alone the answer is that box, and no worse than the one in a space of the height that goes
// through.
func TestPassageBounds(t *testing.T) {
	req := boxyRequest(1, 0.4, 0.45)
	req.Space.Passage = &cavity.Opening{Width: 0.38, Height: 0.3}
	r := mustRun(t, req)
	if len(r.Designs) == 0 || len(r.SearchNotes) > 0 {
		t.Fatalf("%d designs, %v, %+v", len(r.Designs), r.SearchNotes, r.Outcomes)
	}
	best := &r.Designs[0]
	if best.Kind != Vented || best.Carry.Answer == cavity.Cannot {
		t.Errorf("a %s box, carry-in %v: %+v", best.Kind, best.Carry.Answer, r.Outcomes)
	}
	low := boxyRequest(1, 0.4, 0.316)
	low.Space.Passage = nil
	if other := mustRun(t, low).Designs[0]; other.Score > best.Score+beaten(r) {
		t.Errorf("score %.2f, in a space that is as low as the opening %.2f", best.Score, other.Score)
	}
}

// TestNoOfferBeatsTheFirst holds that no design beside the first has a better score, over invented jobs with passages. The
// score of aim compact is a size, and a smaller box may keep less of the level.
func TestNoOfferBeatsTheFirst(t *testing.T) {
	rng, offers := rand.New(rand.NewPCG(7, 1)), 0
	n := 5
	if *long {
		n = 120
	}
	for i := range n {
		between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
		w, d, h := between(0.5, 1.1), between(0.35, 0.6), between(0.35, 0.6)
		req := boxyRequest(w, d, h)
		req.Aim = []Aim{Low, Loud, Flat}[i%3]
		req.Space.Passage = &cavity.Opening{Width: between(0.3, math.Max(w, d)), Height: between(0.29, h)}
		r := mustRun(t, req)
		for _, o := range r.Designs {
			if offers++; o.Carry.Answer == cavity.Cannot {
				t.Errorf("%.2f x %.2f x %.2f m: the %s cannot be carried in", w, d, h, o.Because)
			}
			if o.Score > r.Designs[0].Score {
				t.Errorf("%.2f x %.2f x %.2f m, passage %v, aim %s: the %s scores %.3f, the first %.3f", w, d, h, *req.Space.Passage, req.Aim, o.Because, o.Score, r.Designs[0].Score)
			}
		}
	}
	if offers < 2*n {
		t.Errorf("%d designs in %d jobs", offers, n)
	}
}
