package design

import (
	"math"
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// firstRow is the named check of a job's first box.
func firstRow(t *testing.T, r Request, name string) (Check, *CheckResult) {
	t.Helper()
	got, err := CheckBoxes(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range got.Boxes[0].Checks {
		if c.Name == name {
			return c, got
		}
	}
	return Check{}, got
}

// A high-pass that nobody has stated and that the box needs is a caution, and a job that states it has none; an amplifier
// without one is told the power that is then left.
func TestNeededHighPassIsACaution(t *testing.T) {
	r := shelfRequest()
	r.Amplifier.Power, r.Boxes[0].NetVolume = 390, 0.022
	r.Amplifier.Filters = r.Amplifier.Filters[1:]
	c, got := firstRow(t, r, "high-pass")
	best := got.Boxes[0]
	high := best.Evaluation.Settings.HighPass
	if c.Status != panels.Marginal || high == 0 || best.Verdict == Suits {
		t.Fatalf("%+v, high-pass %g, %s", c, high, best.Verdict)
	}
	stated := r
	a := *r.Amplifier
	a.Filters = append([]thielesmall.Filter{{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 4, Frequency: high}}, a.Filters...)
	stated.Amplifier = &a
	if c, other := firstRow(t, stated, "high-pass"); c.Name != "" || math.Abs(other.Boxes[0].Evaluation.Settings.Allowed/best.Evaluation.Settings.Allowed-1) > 1e-9 {
		t.Errorf("stated: %+v, %v W where %v W", c, other.Boxes[0].Evaluation.Settings.Allowed, best.Evaluation.Settings.Allowed)
	}
	none := *r.Amplifier
	none.NoHighPass, r.Amplifier = true, &none
	bare, other := firstRow(t, r, ExcursionCheck)
	s := other.Boxes[0].Evaluation.Settings
	if s.HighPass != 0 || bare.Value != c.Value || s.Allowed >= best.Evaluation.Settings.Allowed {
		t.Errorf("none: high-pass %g, %g m where the advice says %g, %g W", s.HighPass, bare.Value, c.Value, s.Allowed)
	}
}

// What is taken for granted of the wiring is said, and of a box that was not found nothing is.
func TestCheckSaysWhatItTakes(t *testing.T) {
	r := shelfRequest()
	r.Mount.Count, r.Boxes[0].Section = 2, nil
	r.Driver.Coils = thielesmall.Coils{Count: 2, Impedance: 2, Re: r.Driver.Re / 2, DataFor: thielesmall.Series}
	r.Space.Space = square(0.3, 0.2, 0.2) // no box for two goes in
	_, got := firstRow(t, r, "net volume")
	said := strings.Join(got.Assumptions, "; ")
	for _, want := range []string{"the drivers are wired in parallel", "How the coils are wired is not said: taken in series"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not said in %q", want, said)
		}
	}
	if got.Best != nil || strings.Contains(said, "could be built instead") {
		t.Errorf("a box instead: %v, %q", got.Best, said)
	}
}

// What to look for goes through the passage, and is told although the box by another reading of its claims would do.
func TestWhatToLookForGoesIn(t *testing.T) {
	r := shelfRequest()
	r.Boxes[0].NetVolume = 0.040 // more than its outside holds
	r.Space.Passage = &cavity.Opening{Width: 0.35, Height: 0.31}
	_, got := firstRow(t, r, "net volume")
	if got.Boxes[0].Verdict != DoesNotSuit || len(got.Boxes) < 2 {
		t.Fatal(got.Boxes[0].VerdictText)
	}
	if want := "has to go through the opening of 350.0 mm x 310.0 mm"; !strings.Contains(got.Shopping, want) {
		t.Errorf("%q lacks %q", got.Shopping, want)
	}
}
