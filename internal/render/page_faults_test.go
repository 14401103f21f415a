package render

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"cubby/internal/design"
	"cubby/internal/job"
	"cubby/internal/plane"
)

// faultsOf lists everything that is wrong with the pages of a document: texts that overlap or leave the page, type that is too small,
// texts that a line strikes through.
func faultsOf(b *book) []string {
	var out []string
	for i, s := range b.sheets {
		own := append(append(s.Faults(s.printable()), smallType(s)...), struckOut(s)...)
		for _, f := range own {
			out = append(out, fmt.Sprintf("page %d (%s): %s", i+1, s.Title, f))
		}
	}
	return out
}

// smallType finds running text below 8.5 points and labels of drawings below 7: what is read at arm's length over dust, and the least
// that a laser printer and a photocopy of it keep open.
func smallType(s *sheet) []string {
	var out []string
	for _, o := range s.ops {
		least := 8.5
		if o.style.Label {
			least = 7
		}
		if o.kind == opText && o.style.Size < least-1e-9 {
			out = append(out, fmt.Sprintf("text %q is set in %.2f points", o.text, o.style.Size))
		}
	}
	return out
}

// struckOut finds labels that a line of the drawing runs through the middle of, unless it was painted over before the text was set.
// Hairlines (axes, hatching, extension lines) may pass behind a text: they are a fifth of the width of its strokes.
func struckOut(s *sheet) []string {
	var out []string
	for i, o := range s.ops {
		if o.kind != opText || !o.style.Label {
			continue
		}
		core, from := heart(o), 0
		for k := i - 1; k > 0 && from == 0; k-- {
			if s.ops[k].fill != nil && covers(s.ops[k], core) {
				from = k
			}
		}
		for _, l := range s.ops[from:] {
			if l.kind == opPath && l.stroke != nil && l.stroke.Width >= thin && crosses(l, core) {
				out = append(out, fmt.Sprintf("a line of %.2f mm from %.1f,%.1f to %.1f,%.1f runs through %q at %.1f,%.1f", l.stroke.Width, l.pts[0].X, l.pts[0].Y, l.pts[1].X, l.pts[1].Y, o.text, o.pts[0].X, o.pts[0].Y))
				break
			}
		}
	}
	return out
}

// covers reports whether a filled shape covers a box.
func covers(o op, q quad) bool {
	for _, c := range q {
		if o.kind == opCircle && math.Hypot(c.X-o.pts[0].X, c.Y-o.pts[0].Y) > o.radius {
			return false
		}
		if o.kind == opPath {
			var g []plane.Point
			for _, p := range o.pts {
				g = append(g, plane.Point(p))
			}
			if !inOutline(plane.Point(c), g) {
				return false
			}
		}
	}
	return true
}

// crosses reports whether one of the lines of a path runs through a box.
func crosses(o op, q quad) bool {
	for i, a := range o.pts {
		if i+1 == len(o.pts) && !o.closed {
			return false
		}
		b := o.pts[(i+1)%len(o.pts)]
		if math.Hypot(b.X-a.X, b.Y-a.Y) > 0.5 && q.overlaps(segmentQuad(a, b, 0.01), touching) {
			return true
		}
	}
	return false
}

// heart is the middle of a text: its capitals without their upper and lower quarter.
func heart(o op) quad {
	t := o.style
	w, up := textWidth(o.text, t), rise(t.Size)
	left := -w * t.Align.share()
	return turnedBox(o.pts[0], left+0.3, left+w-0.3, up*0.75, -up*0.25, t.Angle)
}

var exampleJobs struct {
	once    sync.Once
	err     error
	results map[string]*design.Result
}

// examples runs the project's design examples.
func examples(t *testing.T) map[string]*design.Result {
	t.Helper()
	e := &exampleJobs
	e.once.Do(func() {
		e.results = map[string]*design.Result{}
		dir := filepath.Join("..", "..", "examples")
		files, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
		if err != nil || len(files) < 4 {
			e.err = fmt.Errorf("%d examples found (%v)", len(files), err)
			return
		}
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				e.err = err
				return
			}
			open := func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, name)) }
			q, err := job.Parse(filepath.Base(file), data, open)
			if err != nil {
				continue // a job with a ready-made box
			}
			r, err := design.Run(context.Background(), *q)
			if err != nil {
				e.err = err
				return
			}
			e.results[filepath.Base(file)] = r
		}
	})
	if e.err != nil {
		t.Fatal(e.err)
	}
	if len(e.results) < 4 {
		t.Fatalf("%d designs among the examples, want at least 4", len(e.results))
	}
	return e.results
}

// Every page of every example is clear on both papers, in the record and in the finished file.
func TestExamplePagesKeepClear(t *testing.T) {
	for name, r := range examples(t) {
		for _, paper := range []string{"letter", "a4"} {
			t.Run(name+" "+paper, func(t *testing.T) {
				b, err := layOut(r, Options{Paper: paper, Source: name, Hash: "0123456789ab"})
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range faultsOf(b) {
					t.Error(f)
				}
				agrees(t, b, r)
			})
		}
	}
}

func TestStruckOutIsFound(t *testing.T) {
	b := &book{paper: a4Paper}
	for _, tt := range []struct {
		name string
		draw func(d *drawing)
		want int
	}{
		{"clear", func(d *drawing) { d.line(Pt{20, 52}, Pt{90, 52}, thin); d.text(Pt{30, 50}, "text", TextStyle{Size: 9}) }, 0},
		{"struck", func(d *drawing) { d.line(Pt{20, 49}, Pt{90, 49}, thin); d.text(Pt{30, 50}, "text", TextStyle{Size: 9}) }, 1},
		{"struck later", func(d *drawing) { d.text(Pt{30, 50}, "text", TextStyle{Size: 9}); d.line(Pt{32, 40}, Pt{32, 60}, thin) }, 1},
	} {
		s := b.add(partB, "x", portrait)
		tt.draw(onPaper(s, s.Area))
		if got := struckOut(s); len(got) != tt.want {
			t.Errorf("%s: %v, want %d", tt.name, got, tt.want)
		}
	}
}
