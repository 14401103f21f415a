package design

import (
	"fmt"
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
	c, got := firstRow(t, r, ExcursionCheck)
	best := got.Boxes[0]
	high := best.Evaluation.Settings.HighPass
	if c.Status != panels.Marginal || high == 0 || best.Verdict == Suits {
		t.Fatalf("%+v, high-pass %g, %s", c, high, best.Verdict)
	}
	stated := r
	a := *r.Amplifier
	a.Filters = append([]thielesmall.Filter{{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 4, Frequency: high}}, a.Filters...)
	stated.Amplifier = &a
	if c, other := firstRow(t, stated, ExcursionCheck); strings.Contains(c.Note, "without it") || math.Abs(other.Boxes[0].Evaluation.Settings.Allowed/best.Evaluation.Settings.Allowed-1) > 1e-9 {
		t.Errorf("stated: %+v, %v W where %v W", c, other.Boxes[0].Evaluation.Settings.Allowed, best.Evaluation.Settings.Allowed)
	}
	none := *r.Amplifier
	none.NoHighPass, r.Amplifier = true, &none
	bare, other := firstRow(t, r, ExcursionCheck)
	s := other.Boxes[0].Evaluation.Settings
	want := fmt.Sprintf("without it %.1f mm, and %.0f W at most", bare.Value*1000, math.Floor(s.Allowed))
	if s.HighPass != 0 || !strings.HasSuffix(c.Note, want) || s.Allowed >= best.Evaluation.Settings.Allowed {
		t.Errorf("none: high-pass %g; %q, want the end %q", s.HighPass, c.Note, want)
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

// A rounded or flared mouth may carry more air, a flared tube acts shorter by what its ends take off, and the greatest level
// keeps the air speed by which the port is judged.
func TestReadyPortRims(t *testing.T) {
	r := shelfRequest()
	vented(&r, 0.045, 0.10, 0.25)
	var fb, allowed [3]float64
	for i, p := range []ReadyPort{{}, {Edge: 0.012}, {Flare: 0.025}} {
		p.Diameter, p.Length = 0.10, 0.25
		r.Boxes[0].Port = p
		_, got := firstRow(t, r, SpeedCheck)
		j := got.Boxes[0]
		fb[i], allowed[i] = j.Figures.Fb, j.Evaluation.SpeedAllowed
		for _, l := range j.Loud {
			at := j.Circuit.Without().At(l.Frequency, 1)
			v := at.PortSpeed * math.Pow(10, (l.Level-at.Level)/20)
			if v > allowed[i]*(1+1e-9) || l.LimitedBy == thielesmall.PortSpeed && v < allowed[i]*(1-1e-9) {
				t.Errorf("port %d: %.2f m/s at %.1f dB and %v Hz, limited by %s; %.2f is allowed", i, v, l.Level, l.Frequency, l.LimitedBy, allowed[i])
			}
		}
	}
	ends := 0.05 * (0.8217 + 0.6133)
	acts := 0.25 - 2*0.35*0.025 // a quarter-round flare of half the bore's radius takes 0.35 of its own off
	if fb[1] != fb[0] || math.Abs(fb[2]/fb[0]-math.Sqrt((0.25+ends)/(acts+ends))) > 1e-4 {
		t.Errorf("tunings %.3f", fb)
	}
	if math.Abs(allowed[1]/allowed[0]-17.0/14) > 1e-9 || math.Abs(allowed[2]/allowed[1]-20.0/17*math.Sqrt(fb[2]/fb[1])) > 1e-9 {
		t.Errorf("speeds allowed %.3f", allowed)
	}
}

// A box that is filled already is not told to be filled as far.
func TestFilledBoxIsNotFilledAgain(t *testing.T) {
	r := shelfRequest()
	sealedQtc(1.2)(&r)
	empty, _ := firstRow(t, r, "sealed Qtc")
	r.Boxes[0].Filling = Filling{Fraction: fillShare, Density: fillDensity}
	full, _ := firstRow(t, r, "sealed Qtc")
	if !strings.HasPrefix(empty.Setting, "filling ") || full.Status == panels.Pass || strings.Contains(full.Setting, "filling") {
		t.Errorf("empty: %q; filled, %s: %q", empty.Setting, full.Status, full.Setting)
	}
}
