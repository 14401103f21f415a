package grade

import (
	"math"
	"testing"
)

// Every rule stands in a table once, with figures, a text and a source.
func TestTableIsWhole(t *testing.T) {
	for id, r := range standard {
		if r.Source == "" || r.What == "" || math.IsNaN(r.Pass) {
			t.Errorf("rule %d is not whole: %+v", id, r)
		}
		worse := r.Marginal - r.Pass
		if r.Sense == Least {
			worse = -worse
		}
		if worse < 0 {
			t.Errorf("%s: the marginal figure %g is stricter than the pass figure %g", r.What, r.Marginal, r.Pass)
		}
	}
}

// A grade follows its row: move a threshold and the same value is graded otherwise.
func TestChangedThresholdChangesGrade(t *testing.T) {
	for id := range ID(Count) {
		table := Standard()
		r := &table[id]
		if r.Sense == Figure || r.Pass == 0 {
			continue
		}
		at := r.Pass
		if got := table.Grade(id, at); got != Pass {
			t.Errorf("%s: the limit itself is graded %s", r.What, got)
		}
		shift := 1.01
		if r.Sense == Most {
			shift = 1 / shift
		}
		r.Pass, r.Marginal = r.Pass*shift, r.Marginal*shift
		if got := table.Grade(id, at); got == Pass {
			t.Errorf("%s: %g still passes when the limit is %g", r.What, at, r.Pass)
		}
		if Of(id).Grade(at) != Pass {
			t.Errorf("%s: the standard table changed with its copy", r.What)
		}
	}
}

func TestGradeIsInclusive(t *testing.T) {
	qtc := Of(QtcHigh)
	for _, c := range []struct {
		value float64
		want  Status
	}{
		{1, Pass}, {1 * (1 + 0.9e-9), Pass}, {1 * (1 + 3e-9), Marginal}, {1.25, Marginal}, {1.25 * (1 + 0.9e-9), Marginal},
		{1.25 * (1 + 3e-9), Fail}, {math.NaN(), NotChecked}, {math.Inf(1), Fail},
	} {
		if got := qtc.Grade(c.value); got != c.want {
			t.Errorf("Qtc %.12g is graded %s, want %s", c.value, got, c.want)
		}
	}
	land := Of(BoltLand)
	for mm, want := range map[float64]Status{6: Pass, 5.9: Marginal, 4: Marginal, 3.9: Fail} {
		if got := land.Grade(mm / 1000); got != want {
			t.Errorf("%g mm at a bolt is graded %s, want %s", mm, got, want)
		}
	}
	if got := Between(Of(QtcLow), Of(QtcHigh), 0.4); got != Marginal {
		t.Errorf("Qtc 0.4 is graded %s", got)
	}
	if got := Of(Excursion).Scaled(0.010, 0.005); got != Marginal {
		t.Errorf("twice Xmax is graded %s", got)
	}
}

// The scale of the allowed speed at five bores and tunings, as computed beside the rule.
func TestSpeedAllowed(t *testing.T) {
	table := Standard()
	for _, c := range []struct{ mm, fb, scale float64 }{{50, 30, 0.71}, {75, 32, 0.89}, {100, 30, 1}, {130, 32, 1.18}, {150, 35, 1.30}} {
		d := c.mm / 1000
		got := table.SpeedAllowed(Sharp, c.fb, math.Pi*d*d/4) / 14
		if math.Abs(got-c.scale) > 0.006 {
			t.Errorf("%g mm at %g Hz: scale %.4f, want %.2f", c.mm, c.fb, got, c.scale)
		}
	}
	for edge, v := range map[Edge]float64{Sharp: 14, Rounded: 17, Flared: 20} {
		if got := table.SpeedAllowed(edge, 30, math.Pi*0.0025); math.Abs(got-v) > 1e-9 {
			t.Errorf("%s: %g m/s, want %g", edge, got, v)
		}
	}
	for _, c := range []struct {
		radius, bore float64
		want         Edge
	}{{0, 0.1, Sharp}, {0.005, 0.1, Sharp}, {0.006, 0.1, Rounded}, {0.004, 0.04, Rounded}, {0.025, 0.1, Flared}, {0.006, 0.02, Flared}} {
		if got := table.EdgeOf(c.radius, c.bore); got != c.want {
			t.Errorf("radius %g of %g is %s, want %s", c.radius, c.bore, got, c.want)
		}
	}
	// Onset of jetting, m/s: two cells of each row computed from the published constant.
	if got := table.JetOnset(30, 0.1); math.Abs(got-4.7) > 0.05 {
		t.Errorf("100 mm at 30 Hz: jet from %g m/s, want 4.7", got)
	}
	if got := table.JetOnsetSlot(40, 0.03); math.Abs(got-11.8) > 0.05 {
		t.Errorf("slot of 30 mm at 40 Hz: jet from %g m/s, want 11.8", got)
	}
}
