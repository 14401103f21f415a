package render

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

// partOnly lays out part A alone.
func partOnly(t testing.TB, r *design.Result, p paper) *book {
	t.Helper()
	b := &book{paper: p}
	fitterPages(b, r, Options{})
	b.furnish(furnishing(r, Options{}))
	return b
}

func stepped() plane.Polygon {
	return plane.Polygon{{X: 0, Y: 0}, {X: 0.42, Y: 0}, {X: 0.42, Y: 0.17}, {X: 0.33, Y: 0.17}, {X: 0.33, Y: 0.3}, {X: 0, Y: 0.3}}
}

func TestFitterPagesLayOut(t *testing.T) {
	rect := plane.Polygon{{X: 0, Y: 0}, {X: 0.33, Y: 0}, {X: 0.33, Y: 0.36}, {X: 0, Y: 0.36}}
	for name, make := range map[string]func() *design.Result{
		"wedge":        func() *design.Result { return wedgeResult(t) },
		"wedge inches": func() *design.Result { return boxResult(t, wedge(), 0.9, true, unit.Inch) },
		"step sealed":  func() *design.Result { return boxResult(t, stepped(), 0.8, false, unit.Metric) },
		"awkward":      func() *design.Result { return awkward(wedgeResult(t)) },
		"narrow":       func() *design.Result { return boxResult(t, rect, 0.32, false, unit.Inch) },
		"bare": func() *design.Result {
			r := boxResult(t, rect, 0.6, false, unit.Metric)
			r.Request.Space, r.Request.Vehicle, r.Request.Amplifier, r.FullVolts = nil, nil, nil, 0
			r.Shapes, r.Assumptions, r.Outcomes = nil, nil, nil
			d := &r.Designs[0]
			d.Fitting, d.Checks, d.Warnings = design.Fitting{}, nil, nil
			r.Designs = r.Designs[:1]
			return r
		},
		"none": func() *design.Result {
			r := wedgeResult(t)
			r.Designs, r.Outcomes = nil, []design.Outcome{{Kind: design.Sealed, Status: "impossible", Reason: "the driver is deeper than the space"}}
			return r
		},
	} {
		for size, p := range map[string]paper{"letter": letterPaper, "a4": a4Paper} {
			t.Run(name+" "+size, func(t *testing.T) {
				b := partOnly(t, make(), p)
				for i, s := range b.sheets {
					for _, k := range s.Faults(s.printable()) {
						t.Errorf("page %d (%s): %s", i+1, s.Title, k)
					}
					for _, o := range s.ops {
						if o.kind == opText && strings.Contains(o.text, "NaN") {
							t.Errorf("page %d prints %q", i+1, o.text)
						}
					}
				}
				keepBook(t, b, strings.ReplaceAll(fmt.Sprintf("a-%s-%s.pdf", name, size), " ", "-"))
			})
		}
	}
}

// keepBook writes a document where CUBBY_KEEP says, for looking at.
func keepBook(t testing.TB, b *book, name string) {
	dir := os.Getenv("CUBBY_KEEP")
	if dir == "" {
		return
	}
	data, err := b.pdf(&design.Result{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestDocument(t *testing.T) {
	o := Options{Paper: "a4", Created: "2026-03-14T00:00:00Z", Source: "job.yaml", Hash: "0123456789abcdef", Version: "test"}
	var one, two bytes.Buffer
	if err := Document(&one, wedgeResult(t), o); err != nil {
		t.Fatal(err)
	}
	if err := Document(&two, wedgeResult(t), o); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(one.Bytes(), two.Bytes()) {
		t.Error("the same result gives two different documents")
	}
	if one.Len() > 1<<20 {
		t.Errorf("the document has %d bytes, more than 1 MB", one.Len())
	}
	file := saved(t, one.Bytes())
	run(t, "qpdf", "--check", file)
	text := run(t, "pdftotext", "-layout", file, "-")
	for _, want := range []string{"Expedition van, under the rear bench", "Yes, with care.", "frequency, Hz", "Airbags", "As built", "tuning"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in print", want)
		}
	}
	if strings.Contains(text, "NaN") {
		t.Error("NaN is in print")
	}
	if dir := os.Getenv("CUBBY_KEEP"); dir != "" {
		_ = os.WriteFile(filepath.Join(dir, "document.pdf"), one.Bytes(), 0o600)
	}
}

func TestDocumentRefuses(t *testing.T) {
	none := wedgeResult(t)
	none.Designs = nil
	for _, tt := range []struct {
		name string
		r    *design.Result
		o    Options
		want string
	}{
		{"paper", wedgeResult(t), Options{Paper: "foolscap"}, "foolscap"},
		{"nothing for the shop", none, Options{ShopOnly: true}, "no box"},
		{"nil", nil, Options{}, "no design"},
	} {
		var w bytes.Buffer
		err := Document(&w, tt.r, tt.o)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want %q", tt.name, err, tt.want)
		}
		if w.Len() > 0 {
			t.Errorf("%s: %d bytes were written", tt.name, w.Len())
		}
	}
	var w bytes.Buffer
	if err := Document(&w, none, Options{}); err != nil || w.Len() == 0 {
		t.Errorf("a result without a design: %v, %d bytes", err, w.Len())
	}
}

func BenchmarkDocument(b *testing.B) {
	r := wedgeResult(b)
	b.ReportAllocs()
	for b.Loop() {
		var w bytes.Buffer
		if err := Document(&w, r, Options{Paper: "a4"}); err != nil {
			b.Fatal(err)
		}
	}
}
