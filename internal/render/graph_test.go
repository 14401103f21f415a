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
	for _, k := range frequencyTicks(20, 200, false) {
		if k.label != "" {
			got = append(got, k.label)
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
	k := stepTicks(5, -12, 7)
	want := []string{"−10", "−5", "0", "5"}
	for i, w := range want {
		if i >= len(k) || k[i].label != w {
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
		case o.closed:
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
		box := extent(k.corners[:])
		if y, ok := map[string]float64{"70": frame.Bottom(), "90": frame.Y}[k.text]; ok && math.Abs(box.Centre().Y-y) > 0.01 {
			t.Errorf("the label %s is centred at %.3f, its mark is at %.3f", k.text, box.Centre().Y, y)
		}
		if !within(box, at) {
			t.Errorf("%q at %+v stands outside its graph", k.text, box)
		}
	}
}

// What runs out of the frame is cut where it crosses its side, lines and areas alike.
func TestGraphsAreCutAtTheFrame(t *testing.T) {
	x, y := []float64{10, 20, 30, 40}, []float64{0, 40, 40, 0}
	g := graph{YLabel: "dB", Linear: true, Whole: true, Cap: 20, Lines: []curve{{X: x, Y: y}}, Bands: []bandFill{{x, []float64{0, 0, 0, 0}, y, 0.8}}}
	var c Recorder
	g.draw(&c, Rect{20, 30, 90, 70})
	k := g.axes(&Recorder{}, Rect{20, 30, 90, 70})
	lines, areas := 0, 0
	for _, o := range c.ops {
		if o.kind != opPath || !within(extent(o.pts), k.frame) {
			continue
		}
		end := o.pts[len(o.pts)-1]
		switch {
		case o.fill != nil && o.fill.Grey == 0.8:
			if areas++; len(o.pts) != 8 || math.Abs(o.pts[1].X-k.x(10+10*k.hi/40)) > 1e-9 {
				t.Errorf("the area is cut to %v", o.pts)
			}
		case len(o.pts) == 2 && o.pts[0].X != end.X && o.pts[0].Y != end.Y:
			if lines++; math.Abs(min(o.pts[0].Y, end.Y)-k.frame.Y) > 1e-9 {
				t.Errorf("a piece of the line is cut to %v", o.pts)
			}
		}
	}
	if lines != 2 || areas != 1 {
		t.Errorf("%d pieces of a line and %d areas, want 2 and 1", lines, areas)
	}
}
