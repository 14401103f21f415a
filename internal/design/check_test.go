package design

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
)

func block(width, depth, height float64) (section plane.Polygon, w float64) {
	return plane.Polygon{{X: 0, Y: 0}, {X: depth, Y: 0}, {X: depth, Y: height}, {X: 0, Y: height}}, width
}

// shelfRequest is a plain case in which everything passes: a regular 10 in driver, a modest amplifier with a high-pass,
// and a sealed box of 18 l. Each scenario changes one thing.
func shelfRequest() Request {
	r := wedgeRequest()
	r.Driver.Xmech = 0
	r.Frame.Circle, r.Frame.Hole = 0.256, 0.005
	r.Amplifier = &Amplifier{Power: 200, Into: 4, MinimumLoad: 4, Filters: []thielesmall.Filter{
		{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 4, Frequency: 30},
		{Kind: thielesmall.LowPass, Type: thielesmall.Butterworth, Order: 2, Frequency: 80},
	}}
	section, width := block(0.4, 0.3, 0.3)
	r.Boxes = []ReadyBox{{
		Name: "shelf box", Kind: Sealed, NetVolume: 0.018, Shell: Shell{Section: section, Width: width, Wall: 0.015},
		Hole: Hole{Opening: 0.238, Depth: 0.2},
	}}
	return r
}

func vented(r *Request, net, bore, length float64) {
	r.Boxes[0] = ReadyBox{
		Name: "port box", Kind: Vented, NetVolume: net, Hole: Hole{Opening: 0.238, Depth: 0.2},
		Port: ReadyPort{Count: 1, Diameter: bore, Length: length},
	}
}

// TestScenarios are cases as a fitter meets them. status is that of the named check; the reason is in the name.
func TestScenarios(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*Request)
		check  string
		want   panels.Status
	}{
		{"opening right to the millimetre", func(r *Request) {}, "driver opening", panels.Pass},
		{"opening 3 mm over is still a pass", func(r *Request) { r.Boxes[0].Opening = 0.241 }, "driver opening", panels.Pass},
		{"opening 3.1 mm over is covered by the frame", func(r *Request) { r.Boxes[0].Opening = 0.2411; r.Frame.Circle = 0.259 }, "driver opening", panels.Marginal},
		{"opening 1 mm small is opened up", func(r *Request) { r.Boxes[0].Opening = 0.237 }, "driver opening", panels.Marginal},
		{"opening 10 mm small can still be opened up", func(r *Request) { r.Boxes[0].Opening = 0.228 }, "driver opening", panels.Marginal},
		{"opening 10.1 mm small is too much by hand", func(r *Request) { r.Boxes[0].Opening = 0.2279 }, "driver opening", panels.Fail},
		{"opening as wide as the frame less 6 mm is covered", func(r *Request) { r.Boxes[0].Opening = 0.260; r.Frame.Circle = 0 }, "driver opening", panels.Marginal},
		{"opening wider than that is not covered", func(r *Request) { r.Boxes[0].Opening = 0.2601; r.Frame.Circle = 0 }, "driver opening", panels.Fail},
		{"bolt holes 6 mm from a large opening hold", func(r *Request) { r.Boxes[0].Opening = 0.242; r.Frame.Circle = 0.259 }, "driver opening", panels.Marginal},
		{"bolt holes nearer would break out", func(r *Request) { r.Boxes[0].Opening = 0.242; r.Frame.Circle = 0.2588 }, "driver opening", panels.Fail},
		{"opening not stated is not checked", func(r *Request) { r.Boxes[0].Opening = 0 }, "driver opening", panels.NotChecked},

		{"bolt circles 1 mm apart are one", func(r *Request) { r.Boxes[0].Circle = 0.257 }, "bolt circle", panels.Pass},
		{"bolt circles further apart want new holes", func(r *Request) { r.Boxes[0].Circle = 0.2572 }, "bolt circle", panels.Marginal},

		{"vented pole with 25 mm behind it breathes", func(r *Request) { r.Boxes[0].Depth = 0.160 }, "depth behind the driver", panels.Pass},
		{"vented pole with 24.9 mm is a caution", func(r *Request) { r.Boxes[0].Depth = 0.1599 }, "depth behind the driver", panels.Marginal},
		{"magnet that just touches is a caution", func(r *Request) { r.Boxes[0].Depth = 0.135 }, "depth behind the driver", panels.Marginal},
		{"magnet against the wall fails", func(r *Request) { r.Boxes[0].Depth = 0.1349 }, "depth behind the driver", panels.Fail},
		{"closed back needs only 6 mm", func(r *Request) { r.Frame.Vent = false; r.Boxes[0].Depth = 0.141 }, "depth behind the driver", panels.Pass},
		{"stated depth deeper than the outside is a contradiction", func(r *Request) { r.Boxes[0].Depth = 0.289 }, "depth behind the driver", panels.Marginal},
		{"and fails where the outside leaves too little", func(r *Request) { r.Boxes[0].Depth, r.Frame.Depth = 0.4, 0.29 }, "depth behind the driver", panels.Fail},
		{"stated depth 3 mm over the outside is a tape's error", func(r *Request) { r.Boxes[0].Depth = 0.288 }, "depth behind the driver", panels.Pass},

		{"18 mm of air before a 12 mm cone", func(r *Request) { r.Mount.AirInFront = 0.018 }, "air in front of the cone", panels.Pass},
		{"17.9 mm of air is tight", func(r *Request) { r.Mount.AirInFront = 0.0179 }, "air in front of the cone", panels.Marginal},
		{"12 mm of air is Xmax and no more", func(r *Request) { r.Mount.AirInFront = 0.012 }, "air in front of the cone", panels.Marginal},
		{"11.9 mm of air lets the cone hit", func(r *Request) { r.Mount.AirInFront = 0.0119 }, "air in front of the cone", panels.Fail},
		{"air in front not stated is not checked", func(r *Request) { r.Mount.AirInFront = 0 }, "air in front of the cone", panels.NotChecked},

		{"sealed Qtc just under 1.0 passes", sealedQtc(0.999), "sealed Qtc", panels.Pass},
		{"sealed Qtc just over 1.0 booms a little", sealedQtc(1.001), "sealed Qtc", panels.Marginal},
		{"sealed Qtc just under 1.25 is the last caution", sealedQtc(1.249), "sealed Qtc", panels.Marginal},
		{"sealed Qtc over 1.25 is a box too small", sealedQtc(1.251), "sealed Qtc", panels.Fail},
		{"sealed Qtc just over 0.5 passes", sealedQtc(0.501), "sealed Qtc", panels.Pass},
		{"sealed Qtc under 0.5 is larger than useful", sealedQtc(0.499), "sealed Qtc", panels.Marginal},

		{"claimed 25 l of an outside that gives 25 l", func(r *Request) { r.Boxes[0].NetVolume = 0.025 }, "net volume", panels.Pass},
		{"claimed 18 l of an outside that gives 25 l: a thick front, or a slip", func(r *Request) {}, "net volume", panels.Marginal},
		{"nothing claimed: the outside and the wall say it", func(r *Request) { r.Boxes[0].NetVolume = 0 }, "net volume", panels.NotChecked},
		{"claimed more than the inside cannot be true", func(r *Request) { r.Boxes[0].NetVolume = 0.040 }, "net volume", panels.Fail},

		{"load as the amplifier allows", func(r *Request) {}, "load as wired", panels.Pass},
		{"load under the amplifier's least fails", func(r *Request) { r.Amplifier.MinimumLoad = 4.1 }, "load as wired", panels.Fail},
		{"rated power exactly delivered passes", func(r *Request) { r.Amplifier.Power = 400 }, "delivered power", panels.Pass},
		{"a little over rated power is a gain setting", func(r *Request) { r.Amplifier.Power = 401 }, "delivered power", panels.Marginal},
		{"twice rated power is the last caution", func(r *Request) { r.Amplifier.Power = 800 }, "delivered power", panels.Marginal},
		{"over twice rated power burns coils", func(r *Request) { r.Amplifier.Power = 801 }, "delivered power", panels.Fail},
		{"no amplifier: power not checked", func(r *Request) { r.Amplifier = nil }, "delivered power", panels.NotChecked},
		{"no amplifier: the driver's rating is full power", func(r *Request) { r.Amplifier = nil }, "excursion at full power", panels.Marginal},
		{"no amplifier, no rating: excursion not checked", func(r *Request) { r.Amplifier = nil; r.Driver.Power = 0 }, "excursion at full power", panels.NotChecked},
		{"modest amplifier with a high-pass keeps the cone", func(r *Request) {}, "excursion at full power", panels.Pass},
		{"large amplifier without high-pass: set one", func(r *Request) { r.Amplifier.Power = 390; r.Amplifier.Filters = nil }, "excursion at full power", panels.Marginal},
		{"far too large an amplifier is held to the driver's rating", func(r *Request) { r.Amplifier.Power = 3000 }, "excursion at full power", panels.Marginal},
		{"over twice Xmax at full power fails", func(r *Request) { r.Amplifier.Power = 400; r.Driver.Xmax = 0.006 }, "excursion at full power", panels.Fail},

		{"well sized port is quiet", func(r *Request) { vented(r, 0.045, 0.10, 0.25); r.Amplifier.Power = 60 }, "port air speed at full power", panels.Pass},
		{"medium port is a caution", func(r *Request) { vented(r, 0.045, 0.10, 0.25); r.Amplifier.Power = 200 }, "port air speed at full power", panels.Marginal},
		{"narrow port roars", func(r *Request) { vented(r, 0.045, 0.05, 0.10) }, "port air speed at full power", panels.Fail},
		{"box far too large for the tuning peaks", func(r *Request) { vented(r, 0.120, 0.15, 0.12) }, "response peak", panels.Fail},
		{"short duct sings far above the low-pass", func(r *Request) { vented(r, 0.045, 0.10, 0.25) }, "first duct resonance", panels.Pass},
		{"long duct sings near the low-pass", func(r *Request) { vented(r, 0.045, 0.15, 0.90) }, "first duct resonance", panels.Marginal},
		{"very long duct sings in the band", func(r *Request) { vented(r, 0.100, 0.15, 1.60) }, "first duct resonance", panels.Fail},
		{"port that is claimed and not described is not judged", func(r *Request) {
			vented(r, 0.040, 0, 0)
			r.Boxes[0].Port = ReadyPort{Tuning: 34}
			r.Amplifier = &Amplifier{Power: 400, Into: 4}
		}, "port air speed at full power", panels.NotChecked},
		{"claimed tuning that the port gives", func(r *Request) { vented(r, 0.045, 0.10, 0.25); r.Boxes[0].Port.Tuning = 40 }, "claimed tuning", panels.Pass},
		{"claimed tuning that the port does not give", func(r *Request) { vented(r, 0.045, 0.10, 0.25); r.Boxes[0].Port.Tuning = 30 }, "claimed tuning", panels.Marginal},
		{"claimed tuning that no port gives", func(r *Request) {
			vented(r, 0.004, 0, 0)
			r.Boxes[0].Port = ReadyPort{Tuning: 15}
		}, "port", panels.Fail},

		{"box with the gap all round", func(r *Request) {}, "box in the space", panels.Pass},
		{"box that goes in without its gap", func(r *Request) { r.Boxes[0].Section, r.Boxes[0].Width = block(1.09, 0.3, 0.3) }, "box in the space", panels.Marginal},
		{"box wider than the space", func(r *Request) { r.Boxes[0].Section, r.Boxes[0].Width = block(1.11, 0.3, 0.3) }, "box in the space", panels.Fail},
		{"box that is too high stands on its back", func(r *Request) { r.Boxes[0].Section, r.Boxes[0].Width = block(0.3, 0.2, 0.42) }, "box in the space", panels.Marginal},
		{"box that is too wide stands on its end", func(r *Request) {
			r.Boxes[0].Section, r.Boxes[0].Width = block(0.5, 0.22, 0.25)
			r.Space.Space = square(0.45, 0.5, 0.6)
		}, "box in the space", panels.Marginal},
		{"box beside a block", func(r *Request) {
			r.Space.Blocks = append(r.Space.Blocks, around("leg", 0.42, 0.05, 0, 0.4, 0, 0.3))
		}, "box in the space", panels.Pass},
		{"block in the middle leaves too little on both sides", func(r *Request) {
			r.Space.Blocks = append(r.Space.Blocks, around("leg", 0.3, 0.5, 0, 0.4, 0, 0.3))
		}, "box in the space", panels.Fail},
		{"no cavity: fit not checked", func(r *Request) { r.Space = nil }, "box in the space", panels.NotChecked},
		{"passage large enough", func(r *Request) {}, "carry-in", panels.Pass},
		{"size not known: carry-in not checked", func(r *Request) { r.Boxes[0].Section = nil }, "carry-in", panels.NotChecked},
		{"passage far too small", func(r *Request) { r.Space.Passage = &cavity.Opening{Width: 0.15, Height: 0.1} }, "carry-in", panels.Fail},
	} {
		t.Run(row.name, func(t *testing.T) {
			req := shelfRequest()
			req.Kinds = []Kind{Sealed} // of a better box
			row.change(&req)
			if row.check != "box in the space" && row.check != "carry-in" {
				req.Space = nil // spares the search for a better box
			}
			r, err := CheckBoxes(context.Background(), req)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range r.Boxes[0].Checks {
				if c.Name != row.check {
					continue
				}
				if c.Status != row.want {
					t.Errorf("%s is %s, want %s: %s (value %g, limit %g)", c.Name, c.Status, row.want, c.Note, c.Value, c.Limit)
				}
				if (c.Status == panels.Marginal || c.Status == panels.Fail) && c.Note == "" {
					t.Errorf("%s is %s without a reason", c.Name, c.Status)
				}
				if (c.Status == panels.Marginal || row.check == "driver opening" && c.Status == panels.Fail) && c.Setting == "" {
					t.Errorf("%s is marginal without what would make it pass", c.Name)
				}
				return
			}
			t.Errorf("there is no check %q", row.check)
		})
	}
}

// sealedQtc gives the box the volume in which the driver's Qtc is q.
func sealedQtc(q float64) func(*Request) {
	return func(r *Request) {
		p, err := newRig(r)
		if err != nil {
			panic(err)
		}
		v, err := thielesmall.SealedVolume(p.set, p.air, p.source, q)
		if err != nil {
			panic(err)
		}
		r.Boxes[0].NetVolume = v
		r.Boxes[0].Section, r.Space = nil, nil
	}
}

// TestBoxesWithoutNames are told apart by where they stand in the job, and what nobody claims is not missed.
func TestBoxesWithoutNames(t *testing.T) {
	req := shelfRequest()
	req.Space = nil
	req.Boxes[0].Name, req.Boxes[0].NetVolume = "", 0
	req.Boxes = append(req.Boxes, req.Boxes[0])
	r, err := CheckBoxes(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"box 1 (sealed, ", "box 2 (sealed, "} {
		text := r.Boxes[i].VerdictText
		if !strings.HasPrefix(text, want) || strings.Contains(text, "net volume") {
			t.Errorf("%s: want it to begin with %q, and no missing net volume", text, want)
		}
		if len(r.Boxes[i].Loud) != len(loudAt) {
			t.Errorf("%s: loudest levels %v", want, r.Boxes[i].Loud)
		}
	}
}

// TestPortLongerThanItsBox holds that a port that cannot be straight in the box as described is told of, and no other one.
func TestPortLongerThanItsBox(t *testing.T) {
	for length, want := range map[float64]bool{0.3: false, 0.385: false, 0.6: true} {
		req := shelfRequest()
		req.Kinds = []Kind{Sealed} // of a better box
		b := req.Boxes[0]
		b.Kind, b.NetVolume, b.Port = Vented, 0, ReadyPort{Count: 1, Diameter: 0.08, Length: length}
		req.Boxes[0] = b
		r, err := CheckBoxes(context.Background(), req)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(r.Assumptions, "\n"), "is longer than the box is inside, 370.0 mm"); got != want {
			t.Errorf("a port of %v m: told %v: %q", length, got, r.Assumptions)
		}
	}
}

func TestVerdicts(t *testing.T) {
	req := shelfRequest()
	req.Boxes = append(req.Boxes, req.Boxes[0], req.Boxes[0])
	req.Boxes[0].Opening = 0.2 // fails
	req.Boxes[1].Opening = 0.236
	req.Boxes[2].NetVolume = 0.025
	r, err := CheckBoxes(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	last := 0
	for i, want := range []Verdict{Suits, SuitsWithCautions, DoesNotSuit} {
		b := r.Boxes[i]
		if b.Verdict != want || b.Rank != i+1 {
			t.Errorf("place %d is %q, want %q: %s", i+1, b.Verdict, want, b.VerdictText)
		}
		if k := rankReady(b); k < last {
			t.Errorf("boxes are not in order: %d after %d", k, last)
		} else {
			last = k
		}
	}
	if r.Best == nil {
		t.Error("the best box of the same space is missing")
	}
}

// TestReadyBoxSameAcoustics checks that a ready-made box plays exactly as the same box that was designed.
func TestReadyBoxSameAcoustics(t *testing.T) {
	d := mustRun(t, wedgeRequest()).Designs[0]
	if d.Port == nil {
		t.Fatal("the wedge's best box was vented when this test was written")
	}
	req := wedgeRequest()
	req.Boxes = []ReadyBox{{Kind: Vented, NetVolume: d.Box.NetVolume, Port: ReadyPort{
		Count: d.Port.Count, Diameter: d.Port.Bore, Height: d.Port.Height, Width: d.Port.Width, Length: d.Port.Effective}}}
	r, err := CheckBoxes(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	// The designed port's inner end is corrected for the walls near it, the ready-made one's is as stated: free. A tube's
	// correction gets less by walls, that of a slot along a wall more.
	b := r.Boxes[0]
	if got, want := b.Figures.Fb, d.Figures.Fb; math.Abs(got/want-1) > 0.04 || (got > want) != (d.Port.Bore == 0) {
		t.Errorf("tuning %v, want about %v", got, want)
	}
	if math.Abs(b.Figures.Reference-d.Figures.Reference) > 1e-9 {
		t.Errorf("reference %v, want %v", b.Figures.Reference, d.Figures.Reference)
	}
}

// TestRandomBoxes: whatever the box, the answer is finite and has a reason.
func TestRandomBoxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := func(name string) float64 { return rapid.Float64Range(0.01, 2).Draw(t, name) }
		req := shelfRequest()
		req.Wood.Thickness = 0
		b := &req.Boxes[0]
		b.Section, b.Width = block(size("width"), size("depth"), size("height"))
		b.Wall = rapid.Float64Range(0.003, 0.05).Draw(t, "wall")
		b.NetVolume = rapid.SampledFrom([]float64{0, 0.002, 0.02, 0.2}).Draw(t, "net")
		if rapid.Bool().Draw(t, "vented") {
			b.Kind = Vented
			b.Port = ReadyPort{Diameter: rapid.Float64Range(0.02, 0.3).Draw(t, "bore"), Length: size("length"), Tuning: 40}
		}
		req.Space = nil // the search for a better box has its own tests
		r, err := CheckBoxes(context.Background(), req)
		if err != nil {
			t.Fatalf("CheckBoxes: %v", err)
		}
		for _, c := range r.Boxes[0].Checks {
			if math.IsNaN(c.Value) || math.IsNaN(c.Limit) || math.IsInf(c.Value, 0) || math.IsInf(c.Limit, 0) {
				t.Errorf("%s: %v against %v", c.Name, c.Value, c.Limit)
			}
			if c.Note == "" {
				t.Errorf("%s says nothing", c.Name)
			}
		}
	})
}

// TestDisplacementNotStated holds that where the net air follows from a size, a driver that is taken for nothing is told of.
func TestDisplacementNotStated(t *testing.T) {
	for _, stated := range []float64{0, 0.0017} {
		r := shelfRequest()
		r.Kinds = []Kind{Sealed}
		r.Frame.Displacement, r.Boxes[0].NetVolume = stated, 0
		c, err := CheckBoxes(context.Background(), r)
		if err != nil {
			t.Fatal(err)
		}
		if told := slices.Contains(c.Assumptions, noDisplacement); told != (stated == 0) {
			t.Errorf("displacement %v, a ready-made box: %v", stated, c.Assumptions)
		}
		r.Boxes = nil
		if d := mustRun(t, r).Designs[0]; slices.Contains(d.Warnings, noDisplacement) != (stated == 0) {
			t.Errorf("displacement %v, a design: %v", stated, d.Warnings)
		}
	}
}
