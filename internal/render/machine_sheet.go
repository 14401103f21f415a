package render

import (
	"fmt"
	"io"
	"math"
	"strings"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
)

// sheetBase is a flat of a bare sheet of board.
func sheetBase(name, title string, w, h nest.Um) Flat {
	size := plane.Point{X: um(w), Y: um(h)}
	d := Flat{Name: fileMark(name), Title: title, size: size}
	d.tracks = append(d.tracks, polyTrack(layer{op: opSheet}, plane.Rect{Max: size}.Polygon(), title))
	return d
}

// take adds what is on another flat.
func (f *Flat) take(g Flat) {
	f.tracks = append(f.tracks, g.tracks...)
	f.drills = append(f.drills, g.drills...)
	f.texts = append(f.texts, g.texts...)
}

// kit is the flats of panels by name, each drawn once.
type kit struct {
	o    MachineOptions
	flat map[string]*Flat
}

func newKit(all []panels.Panel, o MachineOptions) *kit {
	k := &kit{o, map[string]*Flat{}}
	for i := range all {
		f := PanelFlat(&all[i], o)
		k.flat[all[i].Name] = &f
	}
	return k
}

// of is the flat of a piece.
func (k *kit) of(piece string) *Flat {
	return k.flat[baseName(piece)]
}

// outline is the part's outline on a flat, the track that is cut.
func (f *Flat) outline() plane.Polygon {
	for _, t := range f.tracks {
		if t.op == opCut {
			return t.ring()
		}
	}
	return nil
}

// turned is the flat in one of eight attitudes with its lower left corner at a place.
func (f *Flat) turned(mirror bool, turns int, at plane.Point) Flat {
	m := move{mirror: mirror, turns: turns}
	lo, hi := plane.Point{X: math.Inf(1), Y: math.Inf(1)}, plane.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range f.outline() {
		q := m.at(p)
		lo = plane.Point{X: math.Min(lo.X, q.X), Y: math.Min(lo.Y, q.Y)}
		hi = plane.Point{X: math.Max(hi.X, q.X), Y: math.Max(hi.Y, q.Y)}
	}
	m.by = at.Sub(lo)
	out := f.moved(m)
	out.size = hi.Sub(lo)
	return out
}

// SheetFlat draws a sheet as it is laid out for the saw, outer faces up.
func SheetFlat(sh nest.Sheet, all []panels.Panel, o MachineOptions) Flat {
	k := newKit(all, o)
	d := sheetBase(sh.Name, sh.Name, sh.Width, sh.Height)
	for _, p := range sh.Placements {
		for _, q := range p.Parts {
			k.pairPart(&d, q)
		}
		if f := k.of(p.Panel); f != nil && len(p.Parts) == 0 {
			turns := 0
			if p.Turned {
				turns = 1
			}
			d.take(f.turned(false, turns, plane.Point{X: um(p.X), Y: um(p.Y)}))
		}
	}
	for _, w := range sh.Offcuts {
		r := plane.Rect{Min: plane.Point{X: um(w.X), Y: um(w.Y)}, Max: plane.Point{X: um(w.X + w.Width), Y: um(w.Y + w.Height)}}
		l := layer{op: opWaste}
		if w.Reusable {
			l.op = opMark
		}
		d.tracks = append(d.tracks, polyTrack(l, r.Polygon(), w.Name))
	}
	return d
}

// pairPart puts one of two parts that share a rectangle in its place: in the attitude in which its corners are those laid.
func (k *kit) pairPart(d *Flat, q nest.PairPart) {
	f := k.of(q.Panel)
	if f == nil {
		return
	}
	var want plane.Polygon
	for _, v := range q.Outline {
		want = append(want, plane.Point{X: um(v[0]), Y: um(v[1])})
	}
	lo, _ := bounds(want)
	for turns := range 4 {
		g := f.turned(q.Flipped, turns, lo)
		if sameCorners(g.outline(), want) {
			d.take(g)
			return
		}
	}
}

// sameCorners compares two outlines that begin anywhere, to two micrometres.
func sameCorners(a, b plane.Polygon) bool {
	const near = 3e-6
	for _, p := range b {
		found := false
		for _, q := range a {
			found = found || p.Sub(q).Norm() < near
		}
		if !found {
			return false
		}
	}
	return len(a) == len(b)
}

// flatFiles gives the files of flats in one format.
func flatFiles(flats []Flat, ending string, write func(*Flat, io.Writer) error) []File {
	var files []File
	for i := range flats {
		f := &flats[i]
		files = append(files, File{f.Name + ending, func(w io.Writer) error { return write(f, w) }})
	}
	return files
}

// MachineFlats are a box's or a list's panels and sheets as drawings for machines. Sheets that Nested holds take the place of the
// saw's. Its error names what the bit cannot enter.
func MachineFlats(all []panels.Panel, l *nest.Layout, n *nest.Nested, o MachineOptions) ([]Flat, error) {
	if width, what := narrowest(all); o.Bit > width+machineTouch {
		return nil, fmt.Errorf("a bit of %s cannot enter the %s: a bit of %s or less would do", flatLength(o.Bit, o.Units), what, flatLength(width, o.Units))
	}
	var flats []Flat
	for i := range all {
		flats = append(flats, PanelFlat(&all[i], o))
	}
	switch {
	case n != nil:
		for _, sh := range n.Sheets {
			flats = append(flats, NestedFlat(sh, all, o))
		}
	case l != nil:
		for _, sh := range l.Sheets {
			flats = append(flats, SheetFlat(sh, all, o))
		}
	}
	return flats, nil
}

// DXFFiles gives a DXF of every flat and the list of what is left to be done by hand.
func DXFFiles(flats []Flat, o MachineOptions) []File {
	files := flatFiles(flats, ".dxf", func(f *Flat, w io.Writer) error { return f.WriteDXF(w, o.Units) })
	return append(files, byHandFile(flats))
}

// SVGFiles gives an SVG of every flat and the list of what is left to be done by hand.
func SVGFiles(flats []Flat, o MachineOptions) []File {
	files := flatFiles(flats, ".svg", func(f *Flat, w io.Writer) error { return f.WriteSVG(w, o.Units) })
	return append(files, byHandFile(flats))
}

// byHandFile lists what a router with an upright bit cannot do.
func byHandFile(flats []Flat) File {
	return File{"by-hand.txt", func(w io.Writer) error {
		var b strings.Builder
		b.WriteString("What a router with an upright bit leaves to be done, by panel.\n" +
			"Outlines are those of the longer face; every panel lies with its outer face up unless its line says otherwise.\n\n")
		none := true
		seen := map[string]bool{}
		for _, f := range flats {
			for _, s := range f.ByHand {
				if !seen[s] {
					b.WriteString("- " + s + "\n")
				}
				seen[s], none = true, false
			}
		}
		if none {
			b.WriteString("Nothing: every edge is square and all work is done from the outer face.\n")
		}
		b.WriteString("\nClamp or screw the board down outside all paths, leave tabs or a skin under small parts, and wear eyes, ears and a dust mask;\n" +
			"check every path against the drawing and run it above the board first.\n")
		_, err := io.WriteString(w, b.String())
		return err
	}}
}

// nestedRest is the least width of a strip that is told as left over, um; it begins half of that beyond the parts.
const nestedRest = 40_000

// NestedFlat draws a sheet as it is laid out for a router.
func NestedFlat(sh nest.NestedSheet, all []panels.Panel, o MachineOptions) Flat {
	k := newKit(all, o)
	d := sheetBase(sh.Name, sh.Name, sh.Width, sh.Height)
	for _, p := range sh.Places {
		f := k.of(p.Panel)
		if f == nil {
			continue
		}
		d.take(f.turned(p.Flipped, p.Turns, plane.Point{X: um(p.X), Y: um(p.Y)}))
		if p.Flipped {
			d.byHand(f.Title, "lies on %s with its outer face down", sh.Name)
		}
	}
	if rest := sh.Width - sh.Used; rest > nestedRest {
		r := plane.Rect{Min: plane.Point{X: um(sh.Width - rest + nestedRest/2)}, Max: d.size}
		d.tracks = append(d.tracks, polyTrack(layer{op: opWaste}, r.Polygon(), "left over"))
	}
	return d
}
