package design

import (
	"context"
	"strings"
	"testing"
)

// TestMeasuredOtherDesign holds that a box that was built as the second design is told from the best one.
func TestMeasuredOtherDesign(t *testing.T) {
	for _, aim := range []Aim{Low} {
		req := wedgeRequest()
		req.Aim = aim
		designs := mustRun(t, req).Designs
		if len(designs) < 2 {
			t.Fatalf("%s: %d designs, want two kinds", aim, len(designs))
		}
		for i, d := range designs {
			r, err := Measure(context.Background(), req, sweepOf(t, d.Circuit.Without().System), MeasureOptions{})
			said := ""
			if err != nil {
				said = err.Error()
			} else {
				said = r.VerdictText
			}
			if told := strings.Contains(said, "nearer to another design of this job, the best "+string(d.Kind)); d.Because == "best" && told || d.Because == "other kind" && !told {
				t.Errorf("%s: the %s design, place %d: %s", aim, d.Kind, i+1, said)
			}
		}
	}
}
