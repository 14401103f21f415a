package search

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// What an evaluation says of a built box is what its circuit says on a fine grid: mean levels within 0.04 dB, peak and dip
// within 0.08 dB, corners within 0.3 %, excursion and port speed within 0.5 %.
func TestEvaluationAgainstCircuit(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	n := 0
	for range 2500 {
		d := randomDriver(rng)
		task := taskFor(d, Low)
		task.Amplifier.NoHighPass = true
		m, err := New(task)
		if err != nil {
			t.Fatal(err)
		}
		v := d.Vas(testAir) * math.Pow(4, rng.Float64()*2-1)
		r := 0.03 + 0.04*rng.Float64()
		c := m.Tuned(v, 24+20*rng.Float64(), Port{Count: 1 + rng.IntN(2), Area: math.Pi * r * r})
		c.Outside = 0.05
		ends := [2]float64{thielesmall.EndFlush(r), thielesmall.EndFree(r)}
		length := c.Port.Length - ends[0] - ends[1]
		if length < 0.01 {
			continue
		}
		box := thielesmall.Box{Volume: v, LeakQ: 7, Ports: slices.Repeat([]thielesmall.Port{{Area: c.Port.Area, Length: length, Ends: ends}}, c.Port.Count)}
		bare, err := thielesmall.NewCircuit(thielesmall.System{Air: testAir, Driver: d, Box: box})
		if err != nil {
			continue
		}
		filtered, err := thielesmall.NewCircuit(thielesmall.System{Air: testAir, Driver: d, Box: box, Filters: task.Amplifier.Filters})
		if err != nil {
			t.Fatal(err)
		}
		e := m.EvaluateCircuit(c, bare)
		if lump := m.Evaluate(c); e.Out == Feasible && lump.Out == Feasible && math.Abs(lump.MeanLow-e.MeanLow) > 0.2 {
			t.Errorf("box of %.1f l at %.1f Hz: a plain duct has M(20,40) %.2f, one with ends %.2f", v*1e3, c.Tuning, lump.MeanLow, e.MeanLow)
		}
		f := bare.Figures(1)
		if e.Out != Feasible || f.DuctResonance < 200 {
			continue
		}
		n++
		name := fmt.Sprintf("box of %.1f l at %.1f Hz: ", v*1e3, c.Tuning)
		near := func(what string, got, want, tol float64) {
			t.Helper()
			if !(math.Abs(got-want) <= tol) {
				t.Errorf("%s%s %.5g, the circuit has %.5g", name, what, got, want)
			}
		}
		near("peak", e.Figures.Peak, f.Peak, 0.08)
		near("dip", e.Figures.Dip, f.Dip, 0.08)
		if !math.IsNaN(f.F10) && f.F10 > 10 {
			near("f10", e.Figures.F10, f.F10, 0.003*f.F10)
		}
		if !math.IsNaN(f.F3) {
			near("f3", e.Figures.F3, f.F3, 0.01*f.F3)
		}
		volts := math.Sqrt(d.Power * 4)
		limits := thielesmall.Limits{AmplifierVolts: volts, Xmax: d.Xmax, PortSpeed: m.grades.SpeedAllowed(grade.Sharp, c.Tuning, c.Port.Area)}
		near("M(20,40)", e.MeanLow, meanMaxLevel(filtered, 20, 40, limits), 0.04)
		near("M(30,80)", e.Loud, meanMaxLevel(filtered, 30, 80, limits), 0.04)
		x, speed := 0.0, 0.0
		for f := 20.0; f <= 200; f *= 1.001 {
			p := filtered.At(f, volts)
			x, speed = math.Max(x, p.Excursion), math.Max(speed, p.PortSpeed)
		}
		near("excursion", e.Excursion, x, 0.006*x)
		near("port speed", e.Speed, speed, 0.006*speed)
	}
	if n < 40 {
		t.Errorf("only %d boxes were compared", n)
	}
	t.Logf("%d boxes", n)
}

// A score, term by term, by hand.
func TestScoreByHand(t *testing.T) {
	d := drivers["12"]
	for aim, want := range map[Aim]func(e Evaluation, c Candidate) float64{
		Low: func(e Evaluation, c Candidate) float64 {
			return e.MeanLow - 2*e.Penalty - 0.15*math.Max(20, e.Figures.F10) - math.Log2(c.Outside*1000) - 0.5 - c.Port.Length - 0.02*c.Minutes
		},
		Loud: func(e Evaluation, c Candidate) float64 {
			return e.Loud - 2*e.Penalty - 0.5*math.Log2(c.Outside*1000) - 0.5 - c.Port.Length - 0.02*c.Minutes
		},
		Flat: func(e Evaluation, c Candidate) float64 {
			return -(e.Figures.Sigma + e.Penalty + 0.1*math.Log2(c.Outside*1000) + 0.3 + 0.6*c.Port.Length) - 0.02*c.Minutes
		},
		Compact: func(e Evaluation, c Candidate) float64 {
			return -c.Outside * 1000 * (1 + e.Penalty) * (1.1 + 0.2*c.Port.Length) * (1 + 0.002*c.Minutes)
		},
	} {
		m, err := New(taskFor(d, aim))
		if err != nil {
			t.Fatal(err)
		}
		c := m.Tuned(0.045, 31, Port{Count: 1, Area: 0.012, Edge: grade.Rounded})
		c.Outside, c.Minutes = 0.072, 14
		e := m.Evaluate(c)
		if e.Out != Feasible {
			t.Fatalf("%s: out for %s", aim, e.Out)
		}
		if w := want(e, c); math.Abs(e.Score-w) > 1e-9 {
			t.Errorf("%s: score %.6f, by hand %.6f", aim, e.Score, w)
		}
		share := math.Min(1, math.Pow(d.Xmax/e.Excursion, 2))
		share = math.Min(share, math.Pow(e.SpeedAllowed/e.Speed, 2))
		if math.Abs(e.Settings.Allowed-500*share) > 1e-6 {
			t.Errorf("%s: %.1f W are allowed, by hand %.1f", aim, e.Settings.Allowed, 500*share)
		}
		penalty := math.Max(0, math.Min(1, (e.Figures.Peak-2)/2.5)) + 10*math.Log10(1/share)/4
		if math.Abs(e.Penalty-penalty) > 1e-9 {
			t.Errorf("%s: penalty %.4f, by hand %.4f", aim, e.Penalty, penalty)
		}
	}
}

// The advised high-pass is the lowest whole one that holds Xmax, within its range.
func TestAdvisedHighPass(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	seen := map[string]int{}
	for range 400 {
		d := randomDriver(rng)
		m, err := New(taskFor(d, Loud))
		if err != nil {
			t.Fatal(err)
		}
		k := Kind(rng.IntN(2))
		c := Candidate{Kind: k, Volume: d.Vas(testAir) * math.Pow(4, rng.Float64()*2-1), Outside: 0.05}
		if k == Vented {
			c = m.Tuned(c.Volume, 24+25*rng.Float64(), Port{Count: 1, Area: 0.01})
		}
		var r response
		m.solve(&r, k, c.Volume, c.Tuning, c.Port.Length, margins{})
		if r.excess > hopeless && r.load.highPass == 0 {
			continue
		}
		low, high := 20.0, 30.0
		if k == Vented {
			low = math.Min(40, math.Max(20, math.Ceil(0.7*c.Tuning)))
			high = math.Min(40, math.Floor(c.Tuning))
			low = math.Min(low, high)
		}
		want := 0.0
		if holds := func(hp float64) bool { return m.excursion(&r, hp) <= d.Xmax*d.Xmax*(1+1e-9) }; !holds(0) {
			for want = low; want < high && !holds(want); want++ {
			}
		}
		if r.load.highPass != want {
			t.Errorf("%s, %.1f l, %.1f Hz: high-pass %g, want %g", k, c.Volume*1e3, c.Tuning, r.load.highPass, want)
		}
		switch want {
		case 0:
			seen["none"]++
		case low:
			seen["lowest"]++
		case high:
			seen["highest"]++
		default:
			seen["between"]++
		}
	}
	if len(seen) < 4 {
		t.Errorf("not all cases were met: %v", seen)
	}
}

func TestVerdicts(t *testing.T) {
	m, err := New(taskFor(drivers["12"], Low))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		checks Checks
		words  string
	}{
		{Checks{grade.Pass, 1, false}, "suits"},
		{Checks{grade.Marginal, 1, false}, "suits with cautions"},
		{Checks{grade.Pass, 0.5, false}, "suits with cautions"},
		{Checks{grade.Pass, 0.49, false}, "suits at 129 W"},
		{Checks{grade.Pass, 0.25, true}, "suits at 129 W"},
		{Checks{grade.Pass, 0.24, false}, "does not suit"},
		{Checks{grade.Fail, 1, false}, "does not suit"},
		{Checks{grade.Pass, 1, true}, "suits as far as checked"},
		{Checks{grade.Marginal, 0.8, true}, "suits as far as checked"},
	} {
		v := m.Decide(c.checks)
		if got := v.Words(129); got != c.words {
			t.Errorf("%+v: %q, want %q", c.checks, got, c.words)
		}
	}
	// Without an amplifier excursion and power are not checked.
	task := taskFor(drivers["12"], Low)
	task.Amplifier = Amplifier{}
	task.Driver.Power, task.Driver.Impedance = 0, 0
	if m, err = New(task); err != nil {
		t.Fatal(err)
	}
	c := Candidate{Kind: Sealed, Volume: 0.025, Outside: 0.04}
	e := m.Evaluate(c)
	if v := m.Decide(m.GradeOf(c, e).Checks(c, e, grade.Pass)); v != SuitsAsFarAsChecked {
		t.Errorf("without an amplifier: %s", v.Words(0))
	}
}

// A changed threshold changes the evaluation.
func TestEvaluationFollowsTheTable(t *testing.T) {
	task := taskFor(drivers["12"], Low)
	c := Candidate{Kind: Sealed, Volume: 0.025, Outside: 0.04}
	score := func(change func(g *grade.Table)) float64 {
		g := grade.Standard()
		change(&g)
		task.Grades = &g
		m, err := New(task)
		if err != nil {
			t.Fatal(err)
		}
		return m.Evaluate(c).Score
	}
	as := score(func(*grade.Table) {})
	for _, id := range []grade.ID{grade.QtcHigh, grade.LowSize, grade.LowCorner, grade.HighPassSealedHigh} {
		if score(func(g *grade.Table) { g[id].Pass *= 0.7 }) == as {
			t.Errorf("%s has no effect", grade.Of(id).What)
		}
	}
}
