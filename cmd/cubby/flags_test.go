package main

import (
	"math"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/unit"
)

// TestFlagsByHand holds what flags and units make of a run against values by hand.
func TestFlagsByHand(t *testing.T) {
	for units, paper := range map[unit.System]string{unit.Inch: "letter", unit.Metric: "a4"} {
		if got := (outputFlags{}).options("van.yaml", nil, &design.Request{Units: units}).Paper; got != paper {
			t.Errorf("a job in %s prints on %s, want %s", units, got, paper)
		}
		if text := stdoutOf(t, "new", "-", "--units", units.String()); !strings.Contains(text, "\nunits: "+units.String()+" ") {
			t.Errorf("a new job in %s does not say so", units)
		}
	}
	o, err := measuredFlags{driverToo: true, spread: "fs=10,qms=25"}.fit()
	if err != nil || o.Spread.Fs != 0.1 || o.Spread.Qms != 0.25 || o.Spread.Vas != 0 {
		t.Errorf("--spread fs=10,qms=25: %+v, %v", o.Spread, err)
	}
	s, err := sweepFlags{free: "f.csv", diameters: "200 mm"}.quantities()
	if err != nil || math.Abs(s.Sd-math.Pi*0.01) > 1e-12 {
		t.Errorf("--diameter 200 mm: %+v, %v", s.Sd, err)
	}
	if got, want := countText(&nest.Layout{Sheets: make([]nest.Sheet, 5), LowerBound: 3, Settings: 1}), "5 sheets, at least 3 needed (gap 2); 1 setting of fence or stop."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
