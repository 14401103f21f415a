package search

import (
	"testing"

	"cubby/internal/grade"

	"pgregory.net/rapid"
)

// drawnPair is a place and one that it covers: of its kind, with no more air, no wider a range and no less work or wood.
func drawnPair(t *rapid.T, task Task, air float64) (wide, narrow Place) {
	wide = placesIn(task.Driver, air, rapid.SampledFrom([]Kind{Sealed, Vented, Passive}).Draw(t, "kind"))[0]
	share := func(what string) float64 { return rapid.Float64Range(0.5, 1).Draw(t, what) }
	if wide.Kind == Vented && rapid.Bool().Draw(t, "tube") {
		wide.Area, wide.Length = Range{0.002, 0.012}, Range{0.05, 0.7}
	}
	narrow = wide
	narrow.Air *= share("air")
	narrow.Volume.Most = min(narrow.Air, wide.Volume.Most*share("volume"))
	narrow.Minutes += 10 * (1 - share("minutes"))
	narrow.Walls += 0.02 * (1 - share("walls"))
	if wide.Area.Most > 0 {
		narrow.Area.Most *= share("area")
		narrow.Length.Most *= share("length")
	}
	more := 2 - share("outside")
	narrow.Outside = func(air float64) float64 { return more * wide.Outside(air) }
	return wide, narrow
}

// No box in a place that another covers is better than the best there; and a place is not covered by one that has less of
// anything.
func TestCovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		task, air := drawnTask(t)
		wide, narrow := drawnPair(t, task, air)
		if !wide.covers(&narrow) {
			t.Fatalf("%+v does not cover %+v", wide, narrow)
		}
		if all := Uncovered([]Place{wide, narrow}); len(all) != 1 || all[0].Air != wide.Air {
			t.Fatalf("%d places are left of two", len(all))
		}
		some, kept := pickFrom(t, task, []Place{narrow}, 0)
		if all, _ := pickFrom(t, task, []Place{wide}, kept); beats(task.Aim, some.score, all.score) {
			t.Fatalf("%s: %.3f in the place that is covered (%+v), %.3f in the one that covers it (%+v)", task.Aim, some.score, some.Candidate, all.score, all.Candidate)
		}
		for what, change := range map[string]func(p *Place){
			"kind":    func(p *Place) { p.Kind = (p.Kind + 1) % Kinds },
			"count":   func(p *Place) { p.Count++ },
			"edge":    func(p *Place) { p.Edge = grade.Flared },
			"air":     func(p *Place) { p.Air *= 0.999 * narrow.Air / wide.Air },
			"walls":   func(p *Place) { p.Walls = narrow.Walls + 0.001 },
			"minutes": func(p *Place) { p.Minutes = narrow.Minutes + 1 },
			"volume":  func(p *Place) { p.Volume.Least = narrow.Volume.Least + 0.001 },
			"area":    func(p *Place) { p.Area = Range{0.003, 0.02} },
			"length":  func(p *Place) { p.Length = Range{0.06, 0.8} },
			"tuning":  func(p *Place) { p.Tuning = Range{30, 60} },
			"outside": func(p *Place) { p.Outside = func(air float64) float64 { return 1.001 * narrow.Outside(air) } },
		} {
			less := wide
			if change(&less); less.covers(&narrow) {
				t.Fatalf("with another %s it still covers", what)
			}
		}
	})
}
