package design

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/search"
	"cubby/internal/unit"
)

var long = flag.Bool("long", false, "search many more random jobs")

// beaten is by how much another answer of the search for the same job may be the better one: 0.2 dB, for aim compact 2 % of
// the size.
func beaten(r *Result) float64 {
	d := &r.Designs[0]
	if r.Request.Aim == Compact {
		return 0.02 * math.Abs(d.Score)
	}
	return 0.2
}

// randomJobs are invented drivers in invented spaces, the aims in turn, with a source of random numbers for each.
func randomJobs(few, many int, seed uint64, do func(what string, req Request, rng *rand.Rand)) {
	n := few
	if *long {
		n = many
	}
	requests := rankRequests()
	for i, e := range invented(n, seed) {
		name := []string{"wedge", "low"}[i%2]
		req := requests[name]
		req.Driver, req.Frame, req.Aim = e.Spec, e.Frame, []Aim{Low, Loud, Flat, Compact}[i/2%4]
		space := *req.Space.Space
		own := *req.Space
		own.Space = &space
		req.Space = &own
		do(fmt.Sprintf("%s, aim %s, %s", name, req.Aim, e.Spec.Name), req, rand.New(rand.NewPCG(seed, uint64(i))))
	}
}

// TestNotBeatenByItself holds that no job whose limits pin volume and tuning is answered with more than the job without them.
func TestNotBeatenByItself(t *testing.T) {
	pinned := 0
	randomJobs(6, 80, 31, func(what string, req Request, rng *rand.Rand) {
		free := mustRun(t, req)
		most := 0.12
		if len(free.Designs) > 0 {
			most = 1.6 * free.Designs[0].Box.NetVolume
		}
		for range 2 {
			one := req
			v, fb := math.Min(0.11, most*(0.3+0.7*rng.Float64())), 22+26*rng.Float64()
			one.Limits.Volume = [2]float64{0.96 * v, 1.04 * v}
			one.Limits.Tuning = [2]float64{fb - 1, fb + 1}
			r := mustRun(t, one)
			if len(r.Designs) == 0 {
				continue
			}
			pinned++
			if len(free.Designs) == 0 {
				t.Errorf("%s: nothing was found, %.1f l at %.1f Hz with limits: %+v", what, v*1000, fb, free.Outcomes)
				continue
			}
			if d := &r.Designs[0]; d.Score > free.Designs[0].Score+beaten(free) {
				f := &free.Designs[0]
				t.Errorf("%s: a %s box of %.1f l (%.1f Hz) with %.2f was found, a %s one of %.1f l (%.1f Hz) with %.2f with limits", what, f.Kind, 1000*f.Box.NetVolume,
					f.Figures.Fb, f.Score, d.Kind, 1000*d.Box.NetVolume, d.Figures.Fb, d.Score)
			}
		}
	})
	if pinned == 0 {
		t.Error("no job with limits has an answer: the test proves nothing")
	}
}

// TestLargerSpaceIsNoWorse holds that a wider and higher space is not answered with a worse box.
func TestLargerSpaceIsNoWorse(t *testing.T) {
	randomJobs(4, 60, 47, func(what string, req Request, rng *rand.Rand) {
		width, depth, height := 0.5+0.4*rng.Float64(), 0.36+0.1*rng.Float64(), 0.32+0.1*rng.Float64()
		req.Mount.Face, req.Space.Passage = "front", nil
		req.Space.Space = square(width, depth, height)
		small := mustRun(t, req)
		if len(small.Designs) == 0 {
			return
		}
		req.Space.Space = square(width*(1+0.15*rng.Float64()), depth, height+0.05*rng.Float64())
		large := mustRun(t, req)
		if len(large.Designs) == 0 {
			t.Errorf("%s: nothing in the larger space: %+v", what, large.Outcomes)
			return
		}
		if a, b := small.Designs[0].Score, large.Designs[0].Score; b < a-beaten(small) {
			t.Errorf("%s: %.2f in %.0f x %.0f x %.0f mm, %.2f in a larger space", what, a, 1000*width, 1000*depth, 1000*height, b)
		}
	})
}

// TestOffersAreWhatTheySay holds that every design that is offered is built again to the same figures, that it does not pass a
// limit of the search, that its settings and its score are those of its circuit, and that it can be carried in.
func TestOffersAreWhatTheySay(t *testing.T) {
	randomJobs(4, 40, 59, func(what string, req Request, _ *rand.Rand) {
		r := mustRun(t, req)
		p, err := newRig(&r.Request)
		if err != nil {
			t.Fatal(err)
		}
		m, err := search.New(p.task())
		if err != nil {
			t.Fatal(err)
		}
		for i := range r.Designs {
			d := &r.Designs[i]
			what := fmt.Sprintf("%s, offer %d (%s): ", what, i+1, d.Because)
			box, err := panels.Build(d.Box.Spec)
			if err != nil {
				t.Errorf("%s%v", what, err)
				continue
			}
			within(t, what+"net volume", box.NetVolume, d.Box.NetVolume, 1e-12)
			within(t, what+"net volume that was searched for", d.Box.NetVolume, d.candidate.Volume, 1e-9)
			within(t, what+"outside volume", box.OuterVolume, d.Box.OuterVolume, 1e-12)
			e := m.EvaluateCircuit(d.candidate, d.Circuit.Without())
			if e.Out != search.Feasible || d.Carry.Answer == cavity.Cannot {
				t.Errorf("%sout for its %s; carried in: %v", what, e.Out, d.Carry.Answer)
			}
			within(t, what+"score", e.Score, d.Score, 1e-9*math.Abs(d.Score))
			if e.Settings != d.Evaluation.Settings {
				t.Errorf("%ssettings %+v, its circuit's are %+v", what, d.Evaluation.Settings, e.Settings)
			}
			if i > 0 && d.Evaluation.Settings.Full > 0 && d.Evaluation.Settings.Allowed < d.Evaluation.Settings.Full/2*(1-slack) {
				t.Errorf("%sit may play at %.0f of %.0f W", what, d.Evaluation.Settings.Allowed, d.Evaluation.Settings.Full)
			}
		}
	})
}

// TestBesideTheHump is a fitter's case: 52 x 17 x 12 in with a hump of 10 x 3 in through the middle and a wish for 0.6 cu ft.
// There is room enough on the floor on either side of the hump; nobody builds over it.
func TestBesideTheHump(t *testing.T) {
	const cubicFoot = 0.028316846592
	req := wedgeRequest()
	req.Space.Space, req.Space.Passage = square(52*inch, 17*inch, 12*inch), nil
	req.Space.Blocks = append(req.Space.Blocks, around("hump", 21*inch, 10*inch, 0, 17*inch, 0, 3*inch))
	req.Kinds = []Kind{Sealed}
	req.Driver.Sd, req.Driver.Vas, req.Frame.Frame, req.Frame.Cutout, req.Frame.Circle = 0.0216, 0.015, 0.212, 0.186, 0.199
	req.Limits.Volume = [2]float64{0.6 * cubicFoot, 0.6 * cubicFoot}
	r := mustRun(t, req)
	if len(r.Designs) == 0 {
		t.Fatalf("no box: %+v", r.Outcomes)
	}
	d := &r.Designs[0]
	within(t, "net volume", d.Box.NetVolume, 0.6*cubicFoot, volumeWithin*0.6*cubicFoot)
	lo, hi := d.Box.Spec.Outside.Bounds()
	if on := d.Placed.Stands.On; on != cavity.OnFloor || lo.X < 31*inch && hi.X > 21*inch {
		t.Errorf("it stands from %v to %v, %s", lo, hi, r.Request.StandingText(d))
	}
	// the hump is in the middle: the other side of it is as good
	if other := "from " + unit.FormatLength(31*inch+req.Space.Gap, req.Units); !strings.HasPrefix(d.RunnerUp, "as good") || !strings.Contains(d.RunnerUp, other) {
		t.Errorf("not said of the other side: %s, wanted %s", d.RunnerUp, other)
	}
	req.Space.Blocks[0] = around("hump", 5*inch, 10*inch, 0, 17*inch, 0, 3*inch)
	if d := &mustRun(t, req).Designs[0]; strings.Contains(d.RunnerUp, "as good") {
		t.Errorf("as good beside a hump that leaves one place: %s", d.RunnerUp)
	}
}

// TestWishLooksBeyondPlainBoxes: where only shapes with more work hold what is wished for, they are searched, and a box round the
// tunnel on the floor comes before one that hangs over it.
func TestWishLooksBeyondPlainBoxes(t *testing.T) {
	req := wedgeRequest()
	s := &cavity.Space{Gap: 0.006, Blocks: []cavity.Block{
		{Name: "tunnel", Axis: cavity.Depth, Lo: -1, Hi: 2, Outline: plane.Polygon{{X: 0.48}, {X: 0.72}, {X: 0.68, Y: 0.095}, {X: 0.52, Y: 0.095}}},
		around("left leg", 0.2, 0.045, 0.05, 0.06, 0, 1), around("right leg", 0.96, 0.045, 0.05, 0.06, 0, 1)}}
	for i, x := range []float64{0, 0.3, 0.9, 1.2} {
		h := 0.003 * float64(i%3)
		s.Stations = append(s.Stations, cavity.Station{FromLeft: x, Back: 0.42, Roof: []cavity.Height{{Depth: 0, Height: 0.235 + h}, {Depth: 0.13, Height: 0.245 + h}, {Depth: 0.3, Height: 0.225 + h}, {Depth: 0.42, Height: 0.195 + h}}})
	}
	req.Space.Space, req.Space.Passage, req.Kinds = s, nil, []Kind{Sealed}
	req.Mount = Mount{Face: "top", AirInFront: 0.02}
	req.Driver.Sd, req.Driver.Vas, req.Frame.Frame, req.Frame.Cutout, req.Frame.Circle = 0.0216, 0.015, 0.212, 0.186, 0.199
	req.Limits.Volume = [2]float64{0.030, 0.030}
	r := mustRun(t, req)
	if len(r.Designs) == 0 {
		t.Fatalf("no box: %+v", r.Outcomes)
	}
	if d := &r.Designs[0]; d.Placed.Stands.On != cavity.OnFloor || len(d.Placed.Region.Pockets) == 0 {
		t.Errorf("it stands %s, its shape: %s", r.Request.StandingText(d), d.ShapeName())
	}
}

// TestNoSliverOfASlope: nobody bevels a back twice for a quarter of an inch that leans over the height.
func TestNoSliverOfASlope(t *testing.T) {
	req := wedgeRequest()
	req.Space.Space, req.Space.Passage, req.Kinds = uniform(24*inch, plane.Polygon{{}, {X: 14 * inch}, {X: 13.75 * inch, Y: 11 * inch}, {Y: 11 * inch}}), nil, []Kind{Sealed}
	req.Driver.Sd, req.Driver.Vas, req.Frame.Frame, req.Frame.Cutout, req.Frame.Circle = 0.0216, 0.015, 0.212, 0.186, 0.199
	r := mustRun(t, req)
	if len(r.Designs) == 0 || !r.Designs[0].Placed.Region.Rectangle {
		t.Errorf("%+v", r.Outcomes)
	}
}

// TestCarryInSteers holds that a box that does not go through the passage gives way to one that does.
func TestCarryInSteers(t *testing.T) {
	req := wedgeRequest()
	req.Space.Passage = nil
	open := mustRun(t, req).Designs[0]
	lo, hi := open.Box.Spec.Outside.Bounds()
	req.Space.Passage = &cavity.Opening{Width: hi.X - lo.X - 0.15, Height: math.Min(hi.Y-lo.Y, hi.Z-lo.Z) - 0.03}
	through := *req.Space.Passage
	if c := cavity.CarryIn(cavity.Body{Corners: open.Box.Spec.Outside.Hull()}, through); c.Answer == cavity.Passes {
		t.Fatalf("the best box passes %v: the test proves nothing", through)
	}
	r, err := Run(context.Background(), req)
	if err != nil || len(r.Designs) == 0 {
		t.Fatalf("nothing smaller is found: %v %+v", err, r.Outcomes)
	}
	for _, d := range r.Designs {
		if d.Carry.Answer == cavity.Cannot || d.Carry.Answer == cavity.NotChecked {
			t.Errorf("the %s box cannot be carried in", d.Because)
		}
	}
	req.Space.Passage = &cavity.Opening{Width: 0.2, Height: 0.15}
	req.Kinds = []Kind{Sealed}
	if r = mustRun(t, req); len(r.Designs) > 0 || !strings.Contains(r.Outcomes[0].Reason, "does not go through the passage of 200.0 mm x 150.0 mm") {
		t.Errorf("through 200 x 150 mm: %d designs, %+v", len(r.Designs), r.Outcomes)
	}
}
