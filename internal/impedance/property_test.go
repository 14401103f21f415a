package impedance

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/thielesmall"
)

// exactly is how near a fit must come to what made a curve without noise: a coil's second pair, or a leak, that changes
// the curve by less than a meter sees is left out, and the rest moves for it.
const exactly = 5e-3

func drawDriver(t *rapid.T) thielesmall.Driver {
	log := func(name string, low, high float64) float64 {
		return low * math.Pow(high/low, rapid.Float64Range(0, 1).Draw(t, name))
	}
	s := thielesmall.Spec{
		Fs: log("fs", 18, 60), Qes: log("qes", 0.3, 1), Qms: log("qms", 3, 10), Vas: log("vas", 0.008, 0.2),
		Sd: log("sd", 0.012, 0.1), Re: log("re", 1, 8), Le: log("le", 1e-4, 3e-3),
	}
	if rapid.Bool().Draw(t, "pair") {
		s.L2, s.R2 = log("l2", 5e-4, 3e-3), log("r2", 1, 10)
	}
	d, _, err := s.Complete()
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A curve without noise gives the driver back, with or without its phase.
func TestFreeAirRecovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDriver(t)
		whole := freeValues{d.Fs(), d.Qms(), d.Qes(), d.Re, d.Le, d.L2, d.R2}
		phase := rapid.Bool().Draw(t, "phase")
		n := rapid.IntRange(60, 300).Draw(t, "points")
		f, err := FitFreeAir(sweepOf(whole.at, d.Fs()/5, d.Fs()*12, n, phase), FreeAirOptions{})
		if err != nil {
			t.Fatalf("%v", err)
		}
		for _, r := range []struct {
			name      string
			got, want float64
		}{
			{"re", f.Re.Value, d.Re}, {"fs", f.Fs.Value, d.Fs()}, {"qms", f.Qms.Value, d.Qms()}, {"qes", f.Qes.Value, d.Qes()},
		} {
			if !(math.Abs(r.got/r.want-1) <= exactly) {
				t.Errorf("%s %.6g, want %.6g", r.name, r.got, r.want)
			}
		}
		if f.FitError > 100*exactly {
			t.Errorf("fit error %.3g %%", f.FitError)
		}
	})
}

// The curve of free air is that of the project's circuit in a box without walls.
func TestFreeAirIsTheCircuitInALargeBox(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDriver(t)
		c, err := thielesmall.NewCircuit(thielesmall.System{Air: reference(), Driver: d, Box: thielesmall.Box{Volume: 1e9}})
		if err != nil {
			t.Fatal(err)
		}
		v := freeValues{d.Fs(), d.Qms(), d.Qes(), d.Re, d.Le, d.L2, d.R2}
		f := rapid.Float64Range(5, 500).Draw(t, "f")
		got, want := v.at(f), c.Impedance(f)
		if math.Hypot(real(got-want), imag(got-want)) > 1e-6*d.Re {
			t.Errorf("%v ohm at %g Hz, the circuit has %v", got, f, want)
		}
	})
}

// A box built otherwise than designed is found as it was built.
func TestBoxRecovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := func(name string, low, high float64) float64 {
			return low * math.Pow(high/low, rapid.Float64Range(0, 1).Draw(t, name))
		}
		d := drawDriver(t)
		air := reference()
		design := thielesmall.Box{Volume: d.Vas(air) / log("alpha", 0.4, 4)}
		was := design
		was.Volume *= log("built", 0.6, 1.6)
		if rapid.Bool().Draw(t, "leaky") {
			was.LeakQ = log("ql", 3, 30)
		}
		fb := 0.0
		switch kind := rapid.SampledFrom([]string{"sealed", "passive", "vented", "band-pass"}).Draw(t, "kind"); kind {
		case "passive":
			fb = d.Fs() * log("h", 0.7, 1.4)
			cone := thielesmall.Radiator{Count: rapid.IntRange(1, 2).Draw(t, "count"), Sd: d.Sd * log("cone", 0.7, 1.5), Rms: d.Rms * log("loss", 0.1, 1)}
			cone.Cms = design.Volume * log("soft", 0.7, 5) / (141911 * cone.Sd * cone.Sd * float64(cone.Count))
			design.LeakQ, design.Passive = 7, cone.Tuned(air, design.Volume, fb)
			was.Passive = design.Passive
			was.Passive.Mms *= log("mass", 0.7, 1.4)
			if was.LeakQ == 0 {
				was.LeakQ = 30
			}
		case "vented", "band-pass":
			fb = d.Fs() * log("h", 0.7, 1.4)
			if kind == "band-pass" {
				fb *= 1.5
				design.Rear = d.Vas(air) / log("beta", 0.4, 4)
				was.Rear = design.Rear * log("behind", 0.7, 1.4)
			}
			bore := math.Sqrt(design.Volume) * log("bore", 0.3, 0.6)
			ends := [2]float64{thielesmall.EndFlush(bore / 2), thielesmall.EndFree(bore / 2)}
			area := math.Pi / 4 * bore * bore
			long, ok := thielesmall.PortLength(air, design.Volume, fb, area, 1, ends[0]+ends[1])
			if !ok || long > 1.2 || long*area > design.Volume/4 {
				t.Skip("no such port")
			}
			design.LeakQ = 7
			design.Ports = []thielesmall.Port{{Area: area, Length: long, Ends: ends}}
			was.Ports = []thielesmall.Port{{Area: area, Length: long * log("cut", 0.7, 1.4), Ends: ends}}
			if was.LeakQ == 0 {
				was.LeakQ = 30
			}
		}
		c, err := thielesmall.NewCircuit(thielesmall.System{Air: air, Driver: d, Box: was})
		if err != nil {
			t.Skip("no such box")
		}
		humps := modelHumps(c)
		if len(humps) == 0 {
			t.Skip("nothing to see")
		}
		low, high := span(humps)
		s := sweepOf(c.Impedance, low/4, high*6, rapid.IntRange(100, 250).Draw(t, "points"), rapid.Bool().Draw(t, "phase"))
		b, err := FitBox(s, thielesmall.System{Air: air, Driver: d, Box: design}, BoxOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if !(math.Abs(b.Volume.Value/was.Volume-1) <= exactly) {
			t.Errorf("volume %.6g, built %.6g, fit error %.2g %%, QL %.4g, built %.4g", b.Volume.Value, was.Volume, b.FitError, b.QL.Value, was.LeakQ)
		}
		if was.Rear > 0 && !(math.Abs(b.Rear.Value/was.Rear-1) <= exactly) {
			t.Errorf("behind %.6g, built %.6g", b.Rear.Value, was.Rear)
		}
		if fb > 0 && !(math.Abs(b.Tuning.Value/was.Tuning(air)-1) <= exactly) {
			t.Errorf("tuning %.6g, built %.6g", b.Tuning.Value, was.Tuning(air))
		}
		if was.LeakQ > 0 && b.QL.Value > 0 && !(math.Abs(b.QL.Value/was.LeakQ-1) <= 0.02) {
			t.Errorf("QL %.6g, built %.6g, fit error %.2g %%", b.QL.Value, was.LeakQ, b.FitError)
		}
	})
}

// No sweep makes a fit panic or answer with what is no number.
func TestAnySweepIsAnsweredOrRefused(t *testing.T) {
	d := classes()[1]
	systems := []thielesmall.System{
		{Air: reference(), Driver: d, Box: thielesmall.Box{Volume: 0.03}},
		{Air: reference(), Driver: d, Box: thielesmall.Box{Volume: 0.045, LeakQ: 7, Ports: port(0.045, 32, 0.1)}},
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "n")
		var s Sweep
		f := 1.0
		phase := rapid.Bool().Draw(t, "phase")
		for range n {
			f *= rapid.Float64Range(1.0001, 1.5).Draw(t, "step")
			s.Frequency = append(s.Frequency, f)
			s.Magnitude = append(s.Magnitude, math.Exp(rapid.Float64Range(-3, 6).Draw(t, "z")))
			if phase {
				s.Phase = append(s.Phase, rapid.Float64Range(-180, 180).Draw(t, "phi"))
			}
		}
		free, err := FitFreeAir(s, FreeAirOptions{})
		answered(t, err, free.Fs, free.Qts, free.Re)
		box, err := FitBox(s, systems[rapid.IntRange(0, 1).Draw(t, "kind")], BoxOptions{DriverToo: rapid.Bool().Draw(t, "too")})
		answered(t, err, box.Volume, box.Alpha)
	})
}

func answered(t *rapid.T, err error, values ...Value) {
	var u *UndecidedError
	if err != nil {
		if errors.As(err, &u) && u.Reason == "" {
			t.Error("undecided without a reason")
		}
		return
	}
	for _, v := range values {
		if !(v.Value > 0) || !(v.Sigma >= 0) || math.IsInf(v.Value+v.Sigma, 0) {
			t.Errorf("answer %+v", v)
		}
	}
}
