package render

import (
	"math"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"pgregory.net/rapid"
)

// Whatever texts and figures a result holds, part A lays out with nothing overlapping, nothing off the page and no number that is
// not one in print.
func TestFitterPagesOfRandomResults(t *testing.T) {
	base := wedgeResult(t)
	rapid.Check(t, func(rt *rapid.T) {
		r := scramble(rt, base)
		p := rapid.SampledFrom([]paper{letterPaper, a4Paper}).Draw(rt, "paper")
		b := &book{paper: p}
		fitterPages(b, r, Options{})
		b.furnish(furnishing(r, Options{}))
		for i, s := range b.sheets {
			for _, k := range s.Faults(s.printable()) {
				rt.Errorf("page %d (%s): %s", i+1, s.Title, k)
			}
			for _, o := range s.ops {
				if o.kind == opText && (strings.Contains(o.text, "NaN") || strings.Contains(o.text, "Inf")) {
					rt.Errorf("page %d prints %q", i+1, o.text)
				}
			}
		}
	})
}

// scramble replaces the texts and figures of a result with random ones; the box stays.
func scramble(rt *rapid.T, base *design.Result) *design.Result {
	text := rapid.StringOfN(rapid.RuneFrom([]rune("aeinrst MW,.-Ω漢\n×019")), 0, 160, -1)
	value := rapid.OneOf(rapid.Float64Range(0, 1000), rapid.Float64(), rapid.Just(math.NaN()), rapid.Just(math.Inf(1)))
	r := *base
	r.Request.Title, r.Request.Author, r.Request.Contact = text.Draw(rt, "title"), text.Draw(rt, "author"), text.Draw(rt, "contact")
	r.Request.Units = rapid.SampledFrom([]unit.System{unit.Metric, unit.Inch}).Draw(rt, "units")
	r.Warnings = rapid.SliceOfN(text, 0, 12).Draw(rt, "warnings")
	r.Assumptions = rapid.SliceOfN(text, 0, 12).Draw(rt, "assumptions")
	d := base.Designs[0]
	d.Kind = rapid.SampledFrom([]design.Kind{design.Sealed, design.Vented}).Draw(rt, "kind")
	d.VerdictText, d.Tradeoff = text.Draw(rt, "verdict"), text.Draw(rt, "tradeoff")
	d.Mass = value.Draw(rt, "mass")
	d.Figures = thielesmall.Figures{Reference: value.Draw(rt, "ref"), Fc: value.Draw(rt, "fc"), Fb: value.Draw(rt, "fb"), Qtc: value.Draw(rt, "qtc"), Corners: thielesmall.Corners{F3: value.Draw(rt, "f3"), F10: value.Draw(rt, "f10"), Reason: text.Draw(rt, "reason")}}
	d.Checks = nil
	for range rapid.IntRange(0, 20).Draw(rt, "checks") {
		d.Checks = append(d.Checks, design.Check{Setting: text.Draw(rt, "setting"),
			Name: text.Draw(rt, "check"), Status: rapid.SampledFrom([]panels.Status{panels.NotChecked, panels.Pass, panels.Marginal, panels.Fail}).Draw(rt, "status"),
			Value: value.Draw(rt, "value"), Limit: value.Draw(rt, "limit"), Unit: rapid.SampledFrom([]string{"m", "m/s", "Hz", "dB", "W", "ohm", "", "kg", "odd"}).Draw(rt, "unit"), Note: text.Draw(rt, "note")})
	}
	d.Curves = append([]design.CurvePoint(nil), d.Curves...)
	for i := range d.Curves {
		if i%7 == 0 {
			d.Curves[i].Level, d.Curves[i].MaxLevel, d.Curves[i].Excursion = value.Draw(rt, "level"), value.Draw(rt, "max"), value.Draw(rt, "x")
		}
		if i%11 == 0 {
			d.Curves[i].LimitedBy = thielesmall.Cause(rapid.IntRange(0, 4).Draw(rt, "cause"))
		}
	}
	r.Designs = []design.Design{d}
	return &r
}
