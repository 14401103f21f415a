package render

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
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
	b.add(partB, "Drawing", portrait).Text(Pt{30, 30}, "continued", TextStyle{Size: 9})
	b.furnish(furnished{title: strings.Repeat("A very long title ", 20), revision: strings.Repeat("rev", 30)})
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
		r := &design.Result{Basis: design.Basis{Request: design.Request{Title: "Härte – “test”", Author: "A. Nobody"}}}
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

// outline is an entry of a document's bookmarks as qpdf lists it.
type outline struct {
	Title string
	Page  int `json:"destpageposfrom1"`
	Dest  []any
	Kids  []outline
}

// Bookmarks name part and title, go to the right page and to its top, whatever way the last page is turned.
func TestBookmarks(t *testing.T) {
	b := mixedBook(letterPaper)
	b.add(partB, "Last", landscape).Text(Pt{30, 30}, "x", TextStyle{Size: 9})
	data, err := b.pdf(&design.Result{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var doc struct{ Outlines []outline }
	if err := json.Unmarshal([]byte(run(t, "qpdf", "--json", "--json-key=outlines", saved(t, data))), &doc); err != nil {
		t.Fatal(err)
	}
	type entry struct {
		title string
		page  int
		top   float64
	}
	var got []entry
	var walk func(o []outline)
	walk = func(o []outline) {
		for _, k := range o {
			top, _ := k.Dest[3].(float64)
			got = append(got, entry{k.Title, k.Page, top})
			walk(k.Kids)
		}
	}
	walk(doc.Outlines)
	n := len(b.sheets)
	want := []entry{{partA.String(), 1, 792}, {"Words & “figures”", 1, 792}, {partB.String(), n - 2, 612}, {"Drawing", n - 2, 612}, {"Last", n, 612}}
	if !slices.Equal(got, want) {
		t.Errorf("bookmarks\n%v, want\n%v", got, want)
	}
}

func TestFontsAreEmbedded(t *testing.T) {
	data, err := mixedBook(a4Paper).pdf(&design.Result{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(run(t, "pdffonts", saved(t, data))), "\n")[2:]
	if len(lines) != 2 { // regular and bold are both used in it
		t.Errorf("%d fonts, want 3:\n%s", len(lines), strings.Join(lines, "\n"))
	}
	for _, l := range lines {
		if f := strings.Fields(l); len(f) < 6 || f[len(f)-5] != "yes" {
			t.Errorf("not embedded: %s", l)
		}
	}
}

// Documents made at the same time do not disturb each other.
func TestDocumentsAtOnce(t *testing.T) {
	want, err := mixedBook(a4Paper).pdf(&design.Result{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			got, err := mixedBook(a4Paper).pdf(&design.Result{}, Options{})
			if err != nil || !bytes.Equal(got, want) {
				t.Errorf("a document made beside others differs (%v)", err)
			}
		}()
	}
	wg.Wait()
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriterErrorsAreReturned(t *testing.T) {
	err := Document(fullDisk{}, wedgeResult(t), Options{Paper: "a4"})
	if err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Errorf("error %v, want disk full", err)
	}
}

// A drawing without a place on the page is reported with its page, not written.
func TestNoNumberNoDocument(t *testing.T) {
	r := wedgeResult(t)
	box := *r.Designs[0].Box
	box.Width = math.NaN()
	r.Designs[0].Box = &box
	var w bytes.Buffer
	if err := Document(&w, r, Options{Paper: "a4"}); err == nil || w.Len() > 0 {
		t.Errorf("error %v and %d bytes for a box without a width", err, w.Len())
	}
}
