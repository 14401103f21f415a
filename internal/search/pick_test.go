package search

import (
	"testing"
)

func TestShowPicks(t *testing.T) {
	for _, row := range []struct {
		name string
		air  []float64
	}{{"8", []float64{12, 28}}, {"10", []float64{12, 28, 60}}, {"10 flat", []float64{28}}, {"12", []float64{28, 60}}, {"12 heavy", []float64{28, 60}}, {"12 cheap", []float64{12, 28}}, {"13.5", []float64{12}}, {"15", []float64{12}}} {
		d := drivers[row.name]
		for _, air := range row.air {
			for _, aim := range []Aim{Low, Loud, Compact} {
				m, err := New(taskFor(d, aim))
				if err != nil {
					t.Fatal(err)
				}
				places := placesIn(d, air/1000)
				if aim == Compact {
					if most, ok := m.sealedMost(places); ok {
						m = m.wishing(wish{least: most - 1.5, share: 0.25})
					}
				}
				for i := range places {
					c, s := m.Best(&places[i])
					e := m.Evaluate(c)
					t.Logf("%-9s %2.0f l %-8s %-7s score %7.2f (%7.2f %s) V %5.1f fb %4.1f S %4.0f L %4.0f  hp %2.0f share %.2f Qtc %.2f peak %.1f f10 %.0f M %.1f v %.0f/%.0f", row.name, air, aim, c.Kind, s, e.Score, e.Out, c.Volume*1e3, c.Tuning,
						c.Port.Area*1e4, physical(c.Port.Length, c.Port.Area)*1e3, e.Settings.HighPass, e.Settings.Allowed/max(1, e.Settings.Full), e.Figures.Qtc, e.Figures.Peak, e.Figures.F10, e.MeanLow, e.Speed, e.SpeedAllowed)
				}
			}
		}
	}
}
