package render

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cubby/internal/design"
)

// tool finds an outside program; where it is missing the test is skipped, except in CI, where it must be there.
func tool(t *testing.T, name string) string {
	t.Helper()
	p, err := exec.LookPath(name)
	if err == nil {
		return p
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is not installed", name)
	}
	t.Skipf("%s is not installed", name)
	return ""
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(tool(t, name), args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// saved writes a document to a file of the test's own.
func saved(t *testing.T, data []byte) string {
	t.Helper()
	p := filepath.Join(t.TempDir(), "out.pdf")
	if err := os.WriteFile(p, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return p
}

// mixedBook has pages of both parts and both orientations, with tables that run over.
func mixedBook(p paper) *book {
	b := &book{paper: p}
	f := b.flow(partA, "Words & “figures”", portrait)
	f.Heading("A heading that is long enough to be broken into two lines because it has a good deal to say about itself")
	f.Para(strings.Repeat("Words that wrap. ", 60))
	f.Bullets([]string{"one", strings.Repeat("two ", 200)})
	tb := table{Columns: []column{{Head: "Mark", Width: 14}, {Head: "What"}, {Head: "Size", Width: 25, Align: AlignRight}}}
	for i := range 80 {
		tb.Rows = append(tb.Rows, cells(fmt.Sprint(i), strings.Repeat("long ", 1+i%30), "870.0"))
	}
	tb.Rows = append(tb.Rows, cells("band"), cells("x", strings.Repeat("overlong ", 2000), "1"))
	tb.Grid = true
	f.Table(tb)
	s := b.add(partB, "Drawing", landscape)
	s.Circle(s.Area.Centre(), 60, &Stroke{Width: 0.3, Dash: []float64{3, 1}}, nil)
	s.Clip(Rect{40, 40, 30, 30}, func() { s.Circle(Pt{40, 40}, 60, &Stroke{Width: 0.3}, &Fill{0.8}) })
	s.Text(Pt{100, 100}, "turned Ω ⌀ 3/4″ ½", TextStyle{Size: 12, Bold: true, Angle: 30})
	b.add(partB, "Drawing", portrait).Text(Pt{30, 30}, "continued", TextStyle{Size: 9, Italic: true})
	b.furnish(strings.Repeat("A very long title ", 20), strings.Repeat("rev", 30))
	return b
}

func TestMixedDocument(t *testing.T) {
	for _, p := range []paper{letterPaper, a4Paper} {
		b := mixedBook(p)
		for i, s := range b.sheets {
			for _, f := range s.Faults(s.printable()) {
				t.Errorf("page %d: %s", i+1, f)
			}
		}
		r := &design.Result{Request: design.Request{Title: "Härte – “test”", Author: "A. Nobody"}}
		data, err := b.pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
		if err != nil {
			t.Fatal(err)
		}
		again, err := mixedBook(p).pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
		if err != nil || !bytes.Equal(data, again) {
			t.Errorf("two documents of the same pages differ (%v)", err)
		}
		file := saved(t, data)
		run(t, "qpdf", "--check", file)
		info := run(t, "pdfinfo", "-isodates", file)
		for _, want := range []string{"Härte – “test”", "A. Nobody", "2026-03-14", fmt.Sprintf("Pages:           %d", len(b.sheets))} {
			if !strings.Contains(info, want) {
				t.Errorf("pdfinfo does not show %q:\n%s", want, info)
			}
		}
		if q := run(t, "qpdf", "--qdf", file, "-"); !strings.Contains(q, "/PrintScaling /None") {
			t.Error("viewer preferences are missing")
		}
		text := run(t, "pdftotext", file, "-")
		for _, want := range []string{fmt.Sprintf("page %d of %d", len(b.sheets), len(b.sheets)), "shop page 2 of 2", "continued"} {
			if !strings.Contains(text, want) {
				t.Errorf("%q is not in the text", want)
			}
		}
		if dir := os.Getenv("CUBBY_KEEP"); dir != "" {
			_ = os.WriteFile(filepath.Join(dir, fmt.Sprintf("mixed-%.0f.pdf", p.W)), data, 0o600)
		}
	}
}

func TestRecorderFindsFaults(t *testing.T) {
	area := Rect{0, 0, 100, 100}
	st := TextStyle{Size: 10}
	for _, tt := range []struct {
		name string
		draw func(c *Recorder)
		want string
	}{
		{"clean", func(c *Recorder) { c.Text(Pt{10, 10}, "a", st); c.Text(Pt{10, 20}, "b", st) }, ""},
		{"overlap", func(c *Recorder) { c.Text(Pt{10, 10}, "abcdef", st); c.Text(Pt{14, 11}, "b", st) }, "overlaps"},
		{"turned overlap", func(c *Recorder) {
			c.Text(Pt{50, 50}, "abcdefghij", st)
			c.Text(Pt{55, 60}, "abcdefghij", TextStyle{Size: 10, Angle: 90})
		}, "overlaps"},
		{"turned clear", func(c *Recorder) {
			c.Text(Pt{30, 60}, "abcdefghijklmno", TextStyle{Size: 10, Angle: 45})
			c.Text(Pt{40, 60}, "abcdefghijklmno", TextStyle{Size: 10, Angle: 45})
		}, ""},
		{"text off page", func(c *Recorder) { c.Text(Pt{95, 10}, "abcdef", st) }, "leaves"},
		{"line off page", func(c *Recorder) { line(c, Pt{10, 10}, Pt{10, 101}, Stroke{Width: 1}) }, "leaves"},
		{"clipped line", func(c *Recorder) {
			c.Clip(Rect{5, 5, 20, 20}, func() { line(c, Pt{10, 10}, Pt{10, 101}, Stroke{Width: 1}) })
		}, ""},
		{"no number", func(c *Recorder) { line(c, Pt{nan(), 10}, Pt{10, 101}, Stroke{Width: 1}) }, "no place"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var c Recorder
			tt.draw(&c)
			got := strings.Join(c.Faults(area), "\n")
			if tt.want == "" && got != "" || !strings.Contains(got, tt.want) {
				t.Errorf("Faults() = %q, want %q", got, tt.want)
			}
		})
	}
}

func nan() float64 { var z float64; return z / z }

func TestPrintable(t *testing.T) {
	for _, tt := range []struct{ in, want string }{
		{"plain", "plain"},
		{"tab\tand\nline", "tab and line"},
		{"bad \xff byte", "bad ? byte"},
		{"emoji \U0001F600", "emoji ?"},
		{"⌀ 235", "Ø 235"},
		{"½ ¼ ¾ Ω ° – … × ±", "½ ¼ ¾ Ω ° – … × ±"},
		{"漢字", "??"},
	} {
		if got := printable(tt.in, regular); got != tt.want {
			t.Errorf("printable(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}

func TestFontsParse(t *testing.T) {
	for f := range faceCount {
		if w := f.advance('M'); w < 500 || w > 1200 {
			t.Errorf("face %d: advance of M is %v/1000 em", f, w)
		}
	}
}
