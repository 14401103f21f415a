package render

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jung-kurt/gofpdf"
)

// scene draws one of everything that both kinds of file know, texts left out: their fonts differ from machine to machine.
func scene() *Recorder {
	var c Recorder
	c.Path([]Pt{{10, 10}, {90, 10}, {90, 60}}, true, &Stroke{Width: thick}, &Fill{Grey: 0.8})
	c.Circle(Pt{30, 80}, 15, &Stroke{Width: medium, Dash: []float64{3, 1.5}}, nil)
	c.Group("arcs", "arcs", func() {
		c.Curve([]Node{{Pt{20, 120}, 0}, {Pt{60, 120}, quarter}, {Pt{70, 110}, 0}, {Pt{70, 130}, -1}, {Pt{40, 130}, 0.3}}, true, &Stroke{Width: thick}, &Fill{Grey: 0.5})
		c.Curve([]Node{{Pt{75, 80}, 1}, {Pt{95, 80}, 0}, {Pt{95, 90}, 0}}, false, &Stroke{Width: medium}, nil)
	})
	c.Clip(Rect{50, 65, 20, 20}, func() { c.Circle(Pt{60, 75}, 14, nil, &Fill{Grey: 0.3}) })
	return &c
}

// TestPDFAndSVGShowTheSame renders one recording both ways and compares the pixels.
func TestPDFAndSVGShowTheSame(t *testing.T) {
	rsvg, poppler := machineTool(t, "rsvg-convert"), machineTool(t, "pdftoppm")
	dir := t.TempDir()
	c := scene()
	var svg bytes.Buffer
	if err := SVG(&svg, 101.6, 152.4, "scene", c); err != nil {
		t.Fatal(err)
	}
	// Whole points (288 x 432) and whole pixels (1016 x 1524 at 254 to the inch), so that neither rounds the page.
	f := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: 101.6, Ht: 152.4}})
	f.AddPage()
	(&pageCanvas{f: f}).replay(c.ops)
	var pdf bytes.Buffer
	if err := f.Output(&pdf); err != nil {
		t.Fatal(err)
	}
	at := func(name string) string { return filepath.Join(dir, name) }
	for name, data := range map[string][]byte{"a.svg": svg.Bytes(), "b.pdf": pdf.Bytes()} {
		if err := os.WriteFile(at(name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, cmd := range []*exec.Cmd{
		exec.Command(rsvg, "--dpi-x", "254", "--dpi-y", "254", "--background-color", "white", at("a.svg"), "-o", at("a.png")),
		exec.Command(poppler, "-r", "254", "-png", "-singlefile", at("b.pdf"), at("b")),
	} {
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %v\n%s", cmd.Args, err, out)
		}
	}
	a, b := readPicture(t, at("a.png")), readPicture(t, at("b.png"))
	if a.Bounds().Size() != b.Bounds().Size() {
		t.Fatalf("%v and %v pixels", a.Bounds().Size(), b.Bounds().Size())
	}
	unlike, ink := 0.0, 0.0
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			p, q := greyAt(a, x, y), greyAt(b, x, y)
			unlike, ink = unlike+math.Abs(p-q), ink+1-q
		}
	}
	if share := unlike / ink; share > 0.02 || ink < 1e4 {
		t.Errorf("%.2f %% of the ink differs (%.0f pixels of ink)", share*100, ink)
	}
}

func readPicture(t *testing.T, name string) image.Image {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func greyAt(img image.Image, x, y int) float64 {
	r, g, b, _ := img.At(img.Bounds().Min.X+x, img.Bounds().Min.Y+y).RGBA()
	return float64(r+g+b) / (3 * 0xFFFF)
}

func TestCurvesBendAsSeen(t *testing.T) {
	for _, c := range []struct{ bulge, lo, hi float64 }{{1, 0, 5}, {-1, -5, 0}, {0, 0, 0}} {
		o := op{pts: []Pt{{0, 0}, {10, 0}}, bulges: []float64{c.bulge, 0}}
		r := extent(o.outline())
		if math.Abs(r.Y-c.lo) > 1e-9 || math.Abs(r.Bottom()-c.hi) > 1e-9 {
			t.Errorf("bulge %v: from %v to %v, want %v to %v (down is +)", c.bulge, r.Y, r.Bottom(), c.lo, c.hi)
		}
	}
}

func TestSVGHoldsAnyText(t *testing.T) {
	var c Recorder
	for _, s := range []string{"a<b>&\"c'", "\x00\x1b[31m", "Ω 3/4″ — 漢", "\xff"} {
		c.Group(s, s, func() { c.Text(Pt{1, 2}, s, TextStyle{Size: 9, Bold: true, Angle: 30, Align: AlignRight, Grey: 0.4}) })
		c.Group(s, s, func() {})
	}
	var b bytes.Buffer
	if err := SVG(&b, 10, 10, "]]>", &c); err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	d := xml.NewDecoder(strings.NewReader(b.String()))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if e, ok := tok.(xml.StartElement); ok {
			for _, a := range e.Attr {
				if a.Name.Local == "id" {
					if ids[a.Value] {
						t.Errorf("the id %s stands twice", a.Value)
					}
					ids[a.Value] = true
				}
			}
		}
	}
	c.Circle(Pt{math.NaN(), 0}, 1, nil, nil)
	if err := SVG(&b, 10, 10, "", &c); err == nil {
		t.Error("a circle without a place is drawn")
	}
}
