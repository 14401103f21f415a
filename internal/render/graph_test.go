package render

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"cubby/internal/design"
)

// sweep samples a function over a logarithmic grid.
func sweep(name string, k look, n int, f func(hz float64) float64) curve {
	c := curve{Name: name, Look: k}
	for i := range n {
		hz := 10 * math.Pow(30, float64(i)/float64(n-1))
		c.X = append(c.X, hz)
		c.Y = append(c.Y, f(hz))
	}
	return c
}

func highPass(f0 float64) func(float64) float64 {
	return func(f float64) float64 { x := f / f0; return 88 - 10*math.Log10(1+1/(x*x*x*x)) }
}

func sampleGraphs() []graph {
	return []graph{
		{Title: "Level at 1 m, half space, 2.83 V", YLabel: "level, dB re 20 µPa", From: 10, To: 300, Floor: 40,
			Lines: []curve{sweep("free field", lookSolid, 600, highPass(38)), sweep("in the vehicle", lookDash, 600, func(f float64) float64 {
				return highPass(38)(f) + 20/(1+f*f/1600)
			})}},
		{Title: "Cone excursion, peak, at 500 W", YLabel: "mm", From: 10, To: 300, Whole: true,
			Lines:  []curve{sweep("", lookSolid, 600, func(f float64) float64 { return 18 / (1 + f*f/900) })},
			Limits: []limitLine{{"Xmax 13.0 mm", 13}, {"Xmech 13.6 mm", 13.6}, {"Another 0 mm", 0}}},
		{Title: "Gaps, a spike and nothing else", YLabel: "x", From: 20, To: 200,
			Lines: []curve{sweep("gap", lookDot, 100, func(f float64) float64 {
				switch {
				case f > 40 && f < 60:
					return math.NaN()
				case f > 100 && f < 105:
					return 1e9
				}
				return -f / 10
			})}, Floor: 60},
		{Title: "Empty", YLabel: "x", From: 10, To: 300},
	}
}

func TestGraphsLayOut(t *testing.T) {
	b := &book{paper: a4Paper}
	s := b.add(partA, "Graphs", portrait)
	for i, g := range sampleGraphs() {
		cols := s.Area.Columns(2, 6)
		r := cols[i%2]
		r.Y += float64(i/2) * 90
		r.H = 80
		if i == 0 {
			g.Title += " – with a title that is much too long for a graph of half a page's width"
		}
		g.draw(s, r)
		_, ink := s.shown()
		for _, k := range ink {
			if k.r.Right() > s.Area.Right()+0.2 || k.r.Bottom() > s.Area.Bottom() {
				t.Fatalf("graph %d leaves its place: %+v", i, k)
			}
		}
	}
	for _, f := range s.Faults(s.printable()) {
		t.Error(f)
	}
	if dir := os.Getenv("CUBBY_KEEP"); dir != "" {
		data, err := b.pdf(&design.Result{}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		_ = os.WriteFile(filepath.Join(dir, "graphs.pdf"), data, 0o600)
	}
}

func TestFrequencyTicks(t *testing.T) {
	want := []string{"20", "30", "40", "50", "60", "80", "100", "200"}
	var got []string
	for _, k := range (frequencyTicks{}).Ticks(20, 200) {
		if k.Label != "" {
			got = append(got, k.Label)
		}
	}
	if len(got) != len(want) {
		t.Fatalf("labels %v, want %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("label %d is %q, want %q", i, got[i], want[i])
		}
	}
}

func TestStepTicksUseATrueMinus(t *testing.T) {
	k := stepTicks(5).Ticks(-12, 7)
	want := []string{"−10", "−5", "0", "5"}
	for i, w := range want {
		if i >= len(k) || k[i].Label != w {
			t.Fatalf("ticks %v, want %v", k, want)
		}
	}
}

func TestThinnedKeepsTheShape(t *testing.T) {
	c := sweep("", lookSolid, 4000, highPass(38))
	b := &book{paper: a4Paper}
	s := b.add(partA, "x", portrait)
	graph{YLabel: "dB", From: 10, To: 300, Lines: []curve{c}}.draw(s, Rect{20, 30, 170, 90})
	points := 0
	for _, o := range s.ops {
		points = max(points, len(o.pts))
	}
	if points < 20 || points > 300 {
		t.Errorf("a smooth curve of 4000 points is drawn with %d", points)
	}
}

// A limit's name is set on white: it must not wipe out the curve that it is there to be compared with.
func TestLimitNamesSpareTheCurve(t *testing.T) {
	g := graph{YLabel: "Ω", From: 10, To: 200, Whole: true,
		Lines:  []curve{sweep("", lookSolid, 300, func(f float64) float64 { return 4.2 + 25/(1+math.Pow((f-60)/8, 2)) })},
		Limits: []limitLine{{"least load 4 Ω", 4}}}
	var c Recorder
	g.draw(&c, Rect{20, 20, 80, 70})
	var white []Rect
	for _, o := range c.ops {
		if o.kind == opPath && o.fill != nil && o.fill.Grey == 1 {
			white = append(white, extent(o.pts))
		}
	}
	if len(white) != 1 {
		t.Fatalf("%d white patches, want 1", len(white))
	}
	for _, o := range c.ops {
		if o.kind != opPath || o.closed || o.stroke == nil || len(o.pts) < 20 {
			continue
		}
		for _, p := range o.pts {
			if r := white[0]; p.X > r.X && p.X < r.Right() && p.Y > r.Y && p.Y < r.Bottom() {
				t.Fatalf("the name covers the curve at %v", p)
			}
		}
	}
}

// A curve lies where its axes say: from corner to corner of the frame when it runs from corner to corner of the ranges.
func TestCurveLiesWhereTheAxesSay(t *testing.T) {
	g := graph{YLabel: "dB", From: 20, To: 200, Lines: []curve{{X: []float64{20, 200}, Y: []float64{70, 90}}}}
	var c Recorder
	at := Rect{20, 30, 90, 70}
	g.draw(&c, at)
	var frame, drawn Rect
	for _, o := range c.ops {
		if o.kind != opPath || o.stroke == nil {
			continue
		}
		switch r := extent(o.pts); {
		case len(o.pts) == 5:
			frame = r
		case len(o.pts) == 2 && r.W > 1 && r.H > 1:
			drawn = r
			if o.pts[0].Y < o.pts[1].Y {
				t.Error("a rising curve falls on the page")
			}
		}
	}
	const close = 1e-6 // mm
	for _, d := range []float64{frame.X - drawn.X, frame.Y - drawn.Y, frame.W - drawn.W, frame.H - drawn.H} {
		if math.Abs(d) > close || frame.W == 0 {
			t.Fatalf("the curve covers %+v, the frame %+v", drawn, frame)
		}
	}
	texts, _ := c.shown()
	for _, k := range texts {
		if k.text == "200" && math.Abs((k.corners[0].X+k.corners[1].X)/2-frame.Right()) > 0.01 {
			t.Errorf("the label 200 is centred at %.3f, the frame ends at %.3f", (k.corners[0].X+k.corners[1].X)/2, frame.Right())
		}
	}
}
