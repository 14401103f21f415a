package render

import (
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"cubby/internal/panels"
)

// dotsPerInch is the resolution at which a printed template is measured: one dot is 0.085 mm, and a line's middle is found to a
// fraction of that from its grey.
const dotsPerInch = 300

// darkAlong finds the middle of the line that crosses a ray from c, between r0 and r1 mm out, from the darkness of the picture.
func darkAlong(m image.Image, c Pt, angle, r0, r1 float64) (r float64, found bool) {
	sin, cos := math.Sincos(angle)
	sum, moment := 0.0, 0.0
	for r := r0; r <= r1; r += 0.01 {
		x, y := (c.X+r*cos)/25.4*dotsPerInch, (c.Y+r*sin)/25.4*dotsPerInch
		d := darkness(m, x, y)
		sum += d
		moment += d * r
	}
	if sum < 1 {
		return 0, false
	}
	return moment / sum, true
}

// darkness is the darkness of a picture at a place in dots, between the middles of four dots.
func darkness(m image.Image, x, y float64) float64 {
	x, y = x-0.5, y-0.5
	i, j := int(math.Floor(x)), int(math.Floor(y))
	fx, fy := x-float64(i), y-float64(j)
	at := func(i, j int) float64 {
		g, _, _, _ := m.At(i, j).RGBA()
		return 1 - float64(g)/0xffff
	}
	return (at(i, j)*(1-fx)+at(i+1, j)*fx)*(1-fy) + (at(i, j+1)*(1-fx)+at(i+1, j+1)*fx)*fy
}

// TestTemplateInPrint measures the printed template: opening and bolt circle within 0.1 mm of the design, and the 100 mm bar.
func TestTemplateInPrint(t *testing.T) {
	tool(t, "pdftoppm")
	c := shopCase{name: "measured", spec: panels.Spec{Outside: prism(mmSection(0, 0, 330, 0, 330, 260, 0, 260), 0, 0.4), Wood: mdf(0.015), Face: "front", Driver: panels.Driver{Name: "Test driver", Frame: 0.16, Cutout: 0.142, Depth: 0.06, Circle: 0.151, Bolts: 6, Hole: 0.005, Displacement: 0.0005}, Count: 1}}
	r := shopResult(t, c)
	for _, paper := range []string{"letter", "a4"} {
		b, err := layOut(r, Options{Paper: paper, ShopOnly: true, Templates: true})
		if err != nil {
			t.Fatal(err)
		}
		page := 0
		for i, s := range b.sheets {
			if s.Title == "Templates" && page == 0 {
				page = i + 1
			}
		}
		if page == 0 {
			t.Fatal("no template")
		}
		data, err := b.pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
		if err != nil {
			t.Fatal(err)
		}
		m := picture(t, data, page)
		w := tileWindow(b.sheets[page-1])
		centre := w.Centre()
		box := r.Designs[0].Box
		var front panels.Panel
		for _, p := range box.Panels {
			if p.Name == "front" {
				front = p
			}
		}
		var hub panels.Hole
		for _, h := range front.Holes {
			if h.Kind == "driver" {
				hub = h
			}
		}
		measureOpening(t, m, centre, hub)
		for _, h := range front.Holes {
			if h.Kind == "bolt" {
				measureBolt(t, m, Pt{centre.X + (h.X-hub.X)*1000, centre.Y - (h.Y-hub.Y)*1000}, h)
			}
		}
		measureBar(t, m, b.sheets[page-1])
	}
}

const printedWithin = 0.1 // mm, of the design, in print

// measureOpening measures the opening on rays that keep off axes, numbers and bolts.
func measureOpening(t *testing.T, m image.Image, c Pt, h panels.Hole) {
	want := h.Diameter * 500
	n := 0
	for a := 5.0; a < 360; a += 10 {
		r, ok := darkAlong(m, c, a*math.Pi/180, want-1, want+1)
		if !ok {
			t.Errorf("no line at %.0f°", a)
			continue
		}
		n++
		if math.Abs(r-want) > printedWithin {
			t.Errorf("opening at %.0f°: radius %.3f mm, want %.3f", a, r, want)
		}
	}
	if n < 30 {
		t.Errorf("opening measured at %d places only", n)
	}
}

// measureBolt measures the middle of a bolt hole from four places on its rim, off its cross.
func measureBolt(t *testing.T, m image.Image, c Pt, h panels.Hole) {
	r := h.Diameter * 500
	x, y := 0.0, 0.0
	for a := 45.0; a < 360; a += 90 {
		d, ok := darkAlong(m, c, a*math.Pi/180, r-0.8, r+0.8)
		if !ok {
			t.Errorf("no rim at %.0f°", a)
			return
		}
		sin, cos := math.Sincos(a * math.Pi / 180)
		x, y = x+d*cos/2, y+d*sin/2
	}
	if math.Hypot(x, y) > printedWithin {
		t.Errorf("bolt hole is %.3f mm off its place", math.Hypot(x, y))
	}
}

// measureBar measures the 100 mm bar between the middles of its end ticks.
func measureBar(t *testing.T, m image.Image, s *sheet) {
	y := s.Area.Bottom() - tileFoot + 8 - 2
	left, ok1 := darkAlong(m, Pt{s.Area.X, y}, 0, -1, 1)
	right, ok2 := darkAlong(m, Pt{s.Area.X, y}, 0, 99, 101)
	if !ok1 || !ok2 || math.Abs(right-left-100) > printedWithin {
		t.Errorf("the 100 mm bar is %.3f mm long", right-left)
	}
}

// picture renders one page of a document.
func picture(t *testing.T, data []byte, page int) image.Image {
	t.Helper()
	file := saved(t, data)
	stem := strings.TrimSuffix(file, ".pdf")
	n := strconv.Itoa(page)
	run(t, "pdftoppm", "-r", strconv.Itoa(dotsPerInch), "-gray", "-png", "-f", n, "-l", n, "-singlefile", file, stem)
	f, err := os.Open(filepath.Clean(stem + ".png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return m
}
