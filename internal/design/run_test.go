package design

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
)

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g within %.2g", what, got, want, tolerance)
	}
}

// TestLoopIsClosed checks that a finished design is one whole: its net volume is what the wood leaves, its circuit plays
// that volume, and its port has the length that tunes it.
func TestLoopIsClosed(t *testing.T) {
	for _, aim := range []Aim{Flat, Low, Loud, Compact} {
		req := wedgeRequest()
		req.Aim = aim
		r := mustRun(t, req)
		if len(r.Designs) == 0 {
			t.Fatalf("aim %s: no design: %+v", aim, r.Outcomes)
		}
		for _, d := range r.Designs {
			b := d.Box
			taken := 0.0
			for _, x := range b.Deductions {
				taken += x.Volume
			}
			within(t, "net volume", b.NetVolume, b.InsideVolume-taken, 1e-12)
			within(t, "circuit's volume", d.Circuit.System.Box.Volume, b.NetVolume, 1e-12)
			// an amplifier of 400 W into 4 ohm gives 40 V into any load: turned down it must give what the meter is to show
			if set := d.Evaluation.Settings; set.Allowed > 0 {
				within(t, "gain", set.Turn, 20*math.Log10(40/set.Volts), 1e-9)
				within(t, "power", set.Allowed, set.Full*math.Pow(10, -set.Down/10), 1e-9*set.Full)
			}
			within(t, "outside volume", b.OuterVolume, b.InsideVolume+b.WallVolume, 1e-9*b.OuterVolume)
			if d.Port == nil {
				continue
			}
			length, ok := thielesmall.PortLength(r.Air, b.NetVolume, d.Figures.Fb, d.Port.Area, d.Port.Count, d.Port.EndInner+d.Port.EndOuter)
			if !ok {
				t.Fatalf("no port tunes %v to %v Hz", b.NetVolume, d.Figures.Fb)
			}
			within(t, "port length", d.Port.Effective, length, 5e-6)
			// Helmholtz: the acting length with its ends goes with 1/fb^2, so that it changes by -2/fb of itself a hertz
			acts := d.Port.Effective + d.Port.EndInner + d.Port.EndOuter
			within(t, "change of the port a hertz", d.Port.MillimetrePerHertz, -2*acts/d.Figures.Fb, 0.03*acts/d.Figures.Fb)
			for _, step := range d.Port.Trim {
				wants := d.Figures.Fb * math.Sqrt(acts/(acts+step.Length-d.Port.Length)) // Helmholtz again
				within(t, "tuning by length", step.Tuning, wants, 1e-3*wants)
			}
			for i := range b.Ports {
				within(t, "port in wood", b.Ports[i].Length, d.Port.Length, 5e-6)
			}
		}
	}
}

// TestWishedVolume checks that the width shrinks until the net volume is right to 0.1 %.
func TestWishedVolume(t *testing.T) {
	for _, litres := range []float64{14, 20, 30, 45} {
		req := wedgeRequest()
		req.Kinds = []Kind{Sealed}
		req.Limits.Volume = [2]float64{litres / 1000, litres / 1000}
		r := mustRun(t, req)
		if len(r.Designs) == 0 {
			t.Errorf("%v l: %+v", litres, r.Outcomes)
		}
		for _, d := range r.Designs {
			within(t, "net volume", d.Box.NetVolume, litres/1000, 1.001e-3*litres/1000)
		}
	}
}

// TestWishedQtc holds that one Qtc is met, to the figure to which it is stated, and that one which the space cannot give is
// refused with the air that it takes.
func TestWishedQtc(t *testing.T) {
	req := wedgeRequest()
	req.Kinds = []Kind{Sealed}
	for _, q := range []float64{0.6, 0.707, 0.8} {
		req.Limits.Qtc = [2]float64{q, q}
		r := mustRun(t, req)
		if len(r.Designs) == 0 {
			t.Errorf("Qtc %v: %+v", q, r.Outcomes)
		}
		for _, d := range r.Designs {
			if math.Abs(d.Figures.Qtc-q) > qtcStep/2 {
				t.Errorf("Qtc %v is wished for, the %s box has %.3f", q, d.Because, d.Figures.Qtc)
			}
		}
	}
	req.Limits.Qtc = [2]float64{0.45, 0.45}
	if r := mustRun(t, req); len(r.Designs) != 0 || !strings.Contains(r.Outcomes[0].Reason, "no box gives") {
		t.Errorf("Qtc 0.45: %+v", r.Outcomes)
	}
}

func TestWishBeyondTheSpace(t *testing.T) {
	req := wedgeRequest()
	req.Limits.Volume = [2]float64{0.5, 0.5}
	r := mustRun(t, req)
	if len(r.Designs) != 0 {
		t.Fatalf("500 l were found in a space of about 130 l")
	}
	for _, o := range r.Outcomes {
		if o.Status != "impossible" || o.Reason == "" {
			t.Errorf("%s: %q %q, want impossible with a reason", o.Kind, o.Status, o.Reason)
		}
	}
}

func TestSameEveryRun(t *testing.T) {
	a, b := mustRun(t, wedgeRequest()), mustRun(t, wedgeRequest())
	for i := range a.Designs {
		x, y := a.Designs[i], b.Designs[i]
		if x.Score != y.Score || x.Box.NetVolume != y.Box.NetVolume || x.Box.OuterVolume != y.Box.OuterVolume {
			t.Errorf("design %d differs between runs: %v %v, %v %v", i, x.Score, y.Score, x.Box.OuterVolume, y.Box.OuterVolume)
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Run(ctx, wedgeRequest()); err == nil {
		t.Error("Run with a cancelled context gave no error")
	}
}

func BenchmarkRun(b *testing.B) {
	for b.Loop() {
		mustRun(b, wedgeRequest())
	}
}

// TestDriverBesideBlock: where the most air lies above a rail but the driver has no depth there, the box stands beside it.
func TestDriverBesideBlock(t *testing.T) {
	req := wedgeRequest()
	req.Kinds = []Kind{Sealed}
	req.Mount, req.Frame.Depth = Mount{Face: "top", AirInFront: 0.04}, 0.153
	req.Space.Space = square(1.1, 0.45, 0.245)
	req.Space.Blocks = append(req.Space.Blocks, around("rail", 0.4, 0.05, 0, 0.45, 0, 0.03))
	d := mustRun(t, req).Designs[0]
	if d.Verdict == DoesNotSuit {
		t.Errorf("%s", d.VerdictText)
	}
	lo, hi := d.Box.Spec.Outside.Bounds()
	if hi.X > 0.4 && lo.X < 0.45 && lo.Z < 0.03 && len(d.Placed.Pockets) == 0 {
		t.Errorf("the box stands from %v to %v, in the rail from 0.4 to 0.45", lo, hi)
	}
}

// TestSmallBoxInLargeSpace: a large space does not force a large box.
func TestSmallBoxInLargeSpace(t *testing.T) {
	for _, face := range []string{"front", "top", "left"} {
		req := wedgeRequest()
		req.Aim, req.Kinds, req.Mount.Face = Compact, []Kind{Sealed}, face
		req.Space.Space, req.Space.Passage = square(3, 2, 1.5), nil
		d := mustRun(t, req).Designs[0]
		if litres := d.Box.NetVolume * 1000; litres > 30 {
			t.Errorf("face %s: %.0f l net for a driver with a Vas of 35 l", face, litres)
		}
	}
}

// TestTrim holds that factory edges are trimmed unless the job says that they are good.
func TestTrim(t *testing.T) {
	for _, c := range []struct {
		name string
		saw  Saw
		want float64
	}{
		{"unsaid", Saw{}, 0.005},
		{"unsaid, a wide kerf", Saw{Kerf: 0.006}, 0.007},
		{"stated", Saw{Trim: 0.010}, 0.010},
		{"good edges", Saw{NoTrim: true}, 0},
	} {
		req := wedgeRequest()
		req.Saw = c.saw
		r := mustRun(t, req)
		within(t, c.name, r.Request.Saw.Trim, c.want, 1e-9)
	}
}

// TestBuiltAsSought holds that a box is not chosen for a slot across its whole width which finds a place only across an end,
// where it is far narrower, as long as another port does: the box offered passes no limit of the search.
func TestBuiltAsSought(t *testing.T) {
	req := wedgeRequest()
	req.Driver = thielesmall.Spec{Name: "Test 10", Fs: 30, Qms: 5.2, Qes: 0.54, Vas: 0.026, Sd: 0.033, Re: 3.4, Le: 0.0012, Xmax: 0.012, Power: 400, Impedance: 4}
	req.Frame = panels.Driver{Frame: 0.266, Cutout: 0.235, Depth: 0.098, Magnet: 0.146, Displacement: 0.0013, Circle: 0.253, Bolts: 8, Hole: 0.0055, Vent: true}
	req.Amplifier.Filters = append(req.Amplifier.Filters, thielesmall.Filter{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 2, Frequency: 25})
	req.Space.Space = uniform(1.07, plane.Polygon{{X: 0, Y: 0}, {X: 0.36, Y: 0}, {X: 0.385, Y: 0.23}, {X: 0, Y: 0.19}})
	req.Space.Passage = nil
	req.Mount = Mount{Face: "top", AirInFront: 0.032}
	req.Kinds = []Kind{Vented}
	r := mustRun(t, req)
	if len(r.Designs) == 0 {
		t.Fatalf("no vented box: %+v", r.Outcomes)
	}
	for _, d := range r.Designs {
		if d.Verdict == DoesNotSuit || d.Evaluation.Out != 0 {
			t.Errorf("%s; out of the search for its %s", d.VerdictText, d.Evaluation.Out)
		}
	}
}

// TestEveryVolumeBetween holds that where the driver leaves the width little to give, less depth takes over without a gap, and
// that a volume too small for the driver is refused with the least that takes it.
func TestEveryVolumeBetween(t *testing.T) {
	req := wedgeRequest()
	req.Kinds = []Kind{Sealed}
	req.Space.Passage = nil
	req.Space.Space = square(0.35, 0.42, 0.22)
	req.Mount = Mount{Face: "top", AirInFront: 0.03}
	req.Frame.Depth, req.Limits.Qtc = 0.07, [2]float64{0.3, 2}
	for litres := 10.5; litres < 14.5; litres += 0.25 {
		req.Limits.Volume = [2]float64{litres / 1000, litres / 1000}
		r := mustRun(t, req)
		if len(r.Designs) == 0 {
			t.Errorf("%v l: %+v", litres, r.Outcomes)
			continue
		}
		within(t, "net volume", r.Designs[0].Box.NetVolume, litres/1000, 2e-3*litres/1000)
	}
	req.Limits.Volume = [2]float64{0.001, 0.001}
	req.Limits.Qtc = [2]float64{0.3, 4}
	for _, shrink := range []Shrink{"", ShrinkDepth} { // the depth alone: the driver's own face keeps its height
		req.Space.Shrink = shrink
		r := mustRun(t, req)
		if len(r.Designs) != 0 || r.Outcomes[0].Status != "impossible" || !strings.HasPrefix(r.Outcomes[0].Reason, "the smallest box that takes the driver has ") {
			t.Errorf("1 l: %+v", r.Outcomes)
		}
	}
}

// TestHotAir holds that air beyond the published formula is said to be so.
func TestHotAir(t *testing.T) {
	for celsius, want := range map[float64]bool{20: false, 45: true} {
		req := wedgeRequest()
		req.Kinds = []Kind{Sealed}
		req.Air = thielesmall.Conditions{Temperature: celsius, Pressure: 101325, Humidity: 0.5}
		said := slices.ContainsFunc(mustRun(t, req).Assumptions, func(s string) bool { return strings.Contains(s, "extrapolated") })
		if said != want {
			t.Errorf("%v C: extrapolated is said: %v", celsius, said)
		}
	}
}

// TestRunInStages: the first design of the wedge, whose first box is its best, is that of the whole; the best alone has no others.
func TestRunInStages(t *testing.T) {
	var early *Result
	whole, err := RunTelling(context.Background(), wedgeRequest(), func(r *Result) error { early = r; return nil })
	if err != nil {
		t.Fatal(err)
	}
	only, err := run(context.Background(), wedgeRequest(), nil, true)
	if err != nil {
		t.Fatal(err)
	}
	if early == nil || len(early.Designs) != 1 || early.Spread != nil || len(only.Designs) != 1 || len(whole.Designs) < 2 || whole.Spread == nil {
		t.Fatalf("the first stage %v, stopped there %d designs, the whole %d", early != nil, len(only.Designs), len(whole.Designs))
	}
	for _, r := range []*Result{early, only} {
		if a, b := &r.Designs[0], &whole.Designs[0]; a.Score != b.Score || a.VerdictText != b.VerdictText || a.Box.NetVolume != b.Box.NetVolume {
			t.Errorf("%s, the whole: %s", a.VerdictText, b.VerdictText)
		}
		if len(r.Assumptions) == 0 {
			t.Error("no assumptions")
		}
	}
}

// TestLeaningFrontIsPulledBack holds that before a back rest that leans into the space the box leans with it, its air kept square
// to the front: a plumb front would be far less deep, and a plumb strip of a leaning one too low for the driver.
func TestLeaningFrontIsPulledBack(t *testing.T) {
	req := wedgeRequest()
	req.Space = &Space{Space: uniform(0.65, plane.Polygon{{X: 0, Y: 0}, {X: 0.24, Y: 0}, {X: 0.33, Y: 0.05}, {X: 0.33, Y: 0.5}, {X: 0, Y: 0.53}})}
	req.Space.Leans = []cavity.Lean{{Side: cavity.Front, Angle: 15 * math.Pi / 180}}
	req.Space.Open, req.Kinds, req.Aim = []cavity.Side{cavity.Roof}, []Kind{Sealed}, Flat
	req.Limits.Volume = [2]float64{0.03, 0.03}
	r := mustRun(t, req)
	if len(r.Designs) == 0 {
		t.Fatalf("no box: %+v", r.Outcomes)
	}
	d := &r.Designs[0]
	leans := false
	for _, f := range d.Box.Air.Faces {
		leans = leans || f.N.Y < -0.9 && f.N.Z > 0.25
	}
	if !leans || d.Placed.Region.Axis != cavity.Across || d.Placed.Stands.On != cavity.OnFloor {
		t.Errorf("%s, on %v", d.ShapeName(), d.Placed.Stands.On)
	}
}
