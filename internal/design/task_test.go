package design

import (
	"testing"

	"cubby/internal/grade"
	"cubby/internal/search"
)

// A job's own limits are the table's rows, its filters and power the task's.
func TestTaskOfAJob(t *testing.T) {
	req := wedgeRequest()
	req.Limits = Limits{PortSpeed: 15, Qtc: [2]float64{0.6, 1.4}, Lowest: 25, Peak: 5, Volume: [2]float64{0.01, 0.03}, Tuning: [2]float64{28, 36}}
	p, err := newRig(&req)
	if err != nil {
		t.Fatal(err)
	}
	task := p.task()
	for id, want := range map[grade.ID][2]float64{
		grade.Peak: {5, 5}, grade.Dip: {2, 4}, grade.QtcHigh: {1.4, 1.4}, grade.QtcLow: {0.6, 0}, grade.LowestJudged: {25, 20},
	} {
		if r := task.Grades[id]; r.Pass != want[0] || r.Marginal != want[1] {
			t.Errorf("%s: %g and %g, want %v", r.What, r.Pass, r.Marginal, want)
		}
	}
	m, err := search.New(task)
	if err != nil {
		t.Fatal(err)
	}
	c, score := m.Best(&search.Place{Kind: search.Vented, Count: 1, Edge: grade.Rounded, Volume: search.Range{Most: 0.08}, Air: 0.08,
		Outside: func(air float64) float64 { return 1.4 * air }})
	e := m.Evaluate(c)
	if !search.Range(task.Limits.Volume).Holds(c.Volume) || !task.Limits.Tuning.Holds(c.Tuning) || e.SpeedAllowed != 15 || e.Settings.Full != 400 || e.Score != score {
		t.Errorf("%+v, %+v", c, e)
	}
	for _, a := range []Aim{Flat, Low, Loud, Compact} {
		if got := a.search().String(); got != string(a) {
			t.Errorf("%s became %s", a, got)
		}
	}
}
