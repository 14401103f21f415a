package render

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// pageText is the text of one page of a document as poppler reads it.
func pageText(t *testing.T, r *design.Result, page int) string {
	t.Helper()
	var w bytes.Buffer
	if err := Document(&w, r, Options{}); err != nil {
		t.Fatal(err)
	}
	n := fmt.Sprint(page)
	return strings.Join(strings.Fields(run(t, "pdftotext", "-f", n, "-l", n, "-layout", saved(t, w.Bytes()), "-")), " ")
}

// Every key figure stands on page 1 as the list of facts has it, in both systems where it is of the box, and every setting with its value.
func TestFrontPagePrintsTheFacts(t *testing.T) {
	for name, r := range map[string]*design.Result{
		"vented metric": wedgeResult(t), "vented inch": boxResult(t, wedge(), 0.9, true, unit.Inch), "sealed": boxResult(t, stepped(), 0.8, false, unit.Metric),
	} {
		d := &r.Designs[0]
		text := pageText(t, r, 1)
		for _, f := range r.Facts(d) {
			for _, sys := range systems(r.Request.Units) {
				if f.Place == design.OfTheSound && sys != r.Request.Units {
					continue
				}
				if want := f.Text(sys); len(want) < 18 && !strings.Contains(text, want) { // longer ones are broken over lines
					t.Errorf("%s: %s: %q is not on page 1", name, f.Name, want)
				}
			}
		}
		for _, s := range r.Settings(d) {
			if !strings.Contains(text, s.Figure()) {
				t.Errorf("%s: %v: %q is not on page 1", name, s.Knob, s.Figure())
			}
		}
		for _, l := range r.Loudest(d) {
			if want := fmt.Sprintf("%s dB at %s Hz", number(l.Cold, 0), trim(l.Frequency)); !strings.Contains(text, want) {
				t.Errorf("%s: %q is not on page 1", name, want)
			}
		}
	}
}

// The facts are the figures of the design, to the last digit printed.
func TestFactsAreTheDesigns(t *testing.T) {
	r := boxResult(t, stepped(), 0.8, false, unit.Metric)
	d := &r.Designs[0]
	lo, hi := d.Box.Spec.Outside.Bounds()
	want := map[string]float64{"outside, wide": hi.X - lo.X, "outside, deep": hi.Y - lo.Y, "outside, high": hi.Z - lo.Z,
		"air inside, net": d.Box.NetVolume, "weight, with driver": d.Mass, "lowest note, −3 dB": d.Figures.F3, "Qtc": d.Figures.Qtc, "box resonance, fc": d.Figures.Fc}
	for _, f := range r.Facts(d) {
		if v, ok := want[f.Name]; ok && f.Values[0] != v {
			t.Errorf("%s is %v, want %v", f.Name, f.Values[0], v)
		}
		delete(want, f.Name)
	}
	if len(want) > 0 {
		t.Errorf("no fact tells of %v", want)
	}
}

// The bands that are drawn are the numbers of the curves: those that --curves writes.
func TestBandsAreTheCurves(t *testing.T) {
	r := wedgeResult(t)
	r.Spread = &design.Spread{}
	d := &r.Designs[0]
	for i := range d.Curves {
		p := &d.Curves[i]
		p.MaxWarm, p.LevelLow, p.LevelHigh = p.MaxLevel-2.5, p.Level-1, p.Level+1.5
	}
	same := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 || math.IsNaN(a) && math.IsNaN(b) }
	customer, level, most := customerGraph(r, d).Bands, levelGraph(r, d).Bands, maximumGraph(r, d).Bands
	if len(customer) != 1 || len(level) != 1 || len(most) != 1 {
		t.Fatalf("%d, %d and %d bands, want one each", len(customer), len(level), len(most))
	}
	for i, p := range d.Curves {
		gain := p.CabinLevel - p.Level
		if !same(customer[0].High[i], p.MaxLevel+gain) || !same(customer[0].Low[i], p.MaxWarm+gain) {
			t.Fatalf("at %v Hz page 1 draws %v to %v", p.Frequency, customer[0].Low[i], customer[0].High[i])
		}
		if level[0].Low[i] != p.LevelLow || level[0].High[i] != p.LevelHigh || !same(most[0].Low[i], p.MaxWarm) || !same(most[0].High[i], p.MaxLevel) {
			t.Fatalf("at %v Hz the bands of the graphs are not the curves'", p.Frequency)
		}
	}
}

// The grey of a band lies between its two curves on the paper.
func TestBandIsDrawnBetweenItsCurves(t *testing.T) {
	x := []float64{20, 60, 200}
	g := graph{YLabel: "dB", From: 20, To: 200, Lines: []curve{{X: x, Y: []float64{70, 80, 90}}, {X: x, Y: []float64{66, 78, 85}}},
		Bands: []bandFill{{X: x, Low: []float64{66, 78, 85}, High: []float64{70, 80, 90}, Grey: 0.86}}}
	var c Recorder
	g.draw(&c, Rect{20, 30, 90, 70})
	var band []Pt
	var lines [][]Pt
	for _, o := range c.ops {
		switch {
		case o.kind == opPath && o.fill != nil && math.Abs(o.fill.Grey-0.86) < 0.01:
			band = o.pts
		case o.kind == opPath && o.stroke != nil && len(o.pts) == 3:
			lines = append(lines, o.pts)
		}
	}
	if len(band) < 6 || len(lines) != 2 {
		t.Fatalf("a band of %d corners and %d lines", len(band), len(lines))
	}
	for _, l := range lines {
		for _, p := range l {
			found := false
			for _, q := range band {
				found = found || math.Hypot(p.X-q.X, p.Y-q.Y) < 0.05
			}
			if !found {
				t.Errorf("the band does not reach the curve at %v", p)
			}
		}
	}
}
