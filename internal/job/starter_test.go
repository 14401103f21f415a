package job

import (
	"regexp"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// The optional lines of the starter jobs can be taken as they stand: each one uncommented in place of the line with its key
// gives a job without a fault.
func TestStarterOptions(t *testing.T) {
	option := regexp.MustCompile(`^(?:  )?# ((mount|wood|terminal|fixings|port|prices|drawing|coils): [\[{].*)$`)
	for _, sys := range []unit.System{unit.Inch, unit.Metric} {
		found := 0
		var lines []string
		for _, l := range strings.Split(string(Starter(sys)), "\n") {
			m := option.FindStringSubmatch(l)
			if m == nil {
				lines = append(lines, l)
				continue
			}
			found++
			if m[2] == "coils" {
				lines = append(lines, "  "+m[1])
				continue
			}
			for i, k := range lines {
				if strings.HasPrefix(k, m[2]+":") {
					lines[i] = ""
				}
			}
			lines = append(lines, strings.Replace(m[1], "...", "sheet: MDF, thickness: 18 mm", 1))
		}
		if found != 8 {
			t.Errorf("%v: %d optional lines, want 8", sys, found)
		}
		q, err := Parse("job.yaml", []byte(strings.Join(lines, "\n")), nil)
		if err != nil {
			t.Fatalf("%v: %v\n%s", sys, err, strings.Join(lines, "\n"))
		}
		if !q.Mount.Removable || q.Wood.Covering == nil || q.Terminal == nil || len(q.Fixings) != 1 || q.Flange.Screws != 6 ||
			q.Driver.Coils.Count != 2 || len(q.Prices) != 3 || q.Projection != design.FirstAngle {
			t.Errorf("%v: an option was not read: %+v", sys, q)
		}
	}
}
