package design

import (
	"strings"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// DataCheck names the check of the driver's own data.
const DataCheck = "driver's data"

// checkData is a caution when the driver's data contradict themselves or cannot be right; ok is false when there is nothing
// to say. It is the same in design, check and rank as what the driver command tells.
func checkData(findings []thielesmall.Finding) (c Check, ok bool) {
	var grave []string
	for _, f := range findings {
		if f.Severity == thielesmall.Flagged {
			grave = append(grave, strings.TrimSuffix(f.Text, "."))
		}
	}
	if len(grave) == 0 {
		return Check{}, false
	}
	c = row(DataCheck, panels.Marginal, float64(len(grave)), 0, "", "they cannot be right: "+strings.Join(grave, "; "))
	c.Setting = "correct the driver's file by the maker's sheet, or measure the driver (cubby driver --impedance): every figure here follows from it"
	return c, true
}

// doubt adds the check of the driver's data to others, where there is something to say.
func (p *rig) doubt(checks []Check) []Check {
	if c, ok := checkData(p.findings); ok {
		return append(checks, c)
	}
	return checks
}

// SampleText says which parts of a job are still the sample's; empty when none is known to be.
func (r *Request) SampleText() string {
	if len(r.Sample) == 0 {
		return ""
	}
	return "still the sample's: " + strings.Join(r.Sample, ", ") + "; put your own in their place"
}
