package render

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
)

// A File is one file for a machine: its name in the folder, and what writes it.
type File struct {
	Name  string
	Write func(io.Writer) error
}

// explodeShare is how far a board moves outward in the exploded box, as a share of the box's longest side.
const explodeShare = 0.25

// placesOf are the places of a panel, one or more.
func placesOf(p *panels.Panel) []panels.Frame {
	if len(p.Places) > 0 {
		return p.Places
	}
	return []panels.Frame{p.Place}
}

// fileMark makes a part of a file's name: letters, figures and hyphens only.
func fileMark(s string) string {
	s = strings.ToLower(strings.Map(func(r rune) rune {
		if r < 128 && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			return r
		}
		return ' '
	}, s))
	return strings.Join(strings.Fields(s), "-")
}

// panelFile is the name of a panel's file without its ending: "panel-A-front".
func panelFile(p *panels.Panel) string {
	s := "panel-" + p.Mark
	if m := fileMark(p.Name); m != "" {
		s += "-" + m
	}
	return s
}

// Solids gives the files of a box as solids, lengths in millimetres: every panel by itself in its own frame, the box with its
// lowest corner of across, depth and height at the origin, and the box pulled apart; binary STL and 3MF of each. What a solid does
// not show is said in the second value, one sentence each.
func Solids(b *panels.Box) ([]File, []string) {
	var whole, apart []standing
	var files []File
	var notes []string
	low, high := r3.Vec{}, r3.Vec{}
	for i := range b.Panels {
		p := &b.Panels[i]
		m, left := solidOf(p)
		for _, l := range left {
			notes = append(notes, fmt.Sprintf("%s %s: the solid leaves out %s", p.Mark, p.Name, l))
		}
		for _, f := range placesOf(p) {
			for _, v := range m.placed(f, r3.Vec{}).at {
				if len(whole) == 0 {
					low, high = v, v
				}
				low = r3.Vec{X: min(low.X, v.X), Y: min(low.Y, v.Y), Z: min(low.Z, v.Z)}
				high = r3.Vec{X: max(high.X, v.X), Y: max(high.Y, v.Y), Z: max(high.Z, v.Z)}
			}
			whole = append(whole, standing{p.Mark + " " + p.Name, m, f, r3.Vec{}})
		}
		one := []standing{{p.Mark + " " + p.Name, m, panels.Frame{X: r3.Vec{X: 1}, Y: r3.Vec{Y: 1}, N: r3.Vec{Z: 1}}, r3.Vec{}}}
		files = append(files, solidFiles(panelFile(p), p.Mark+" "+p.Name, one)...)
	}
	d := r3.Sub(high, low)
	far := explodeShare * max(d.X, d.Y, d.Z)
	for i := range whole {
		whole[i].by = r3.Scale(-1, low)
		q := whole[i]
		q.by = r3.Add(q.by, r3.Add(r3.Scale(far, q.place.N), r3.Vec{X: far, Y: far, Z: far}))
		apart = append(apart, q)
	}
	files = append(files, solidFiles("box", "box", whole)...)
	return append(files, solidFiles("exploded", "exploded box", apart)...), notes
}

// solidFiles gives the two files of some parts.
func solidFiles(name, title string, parts []standing) []File {
	return []File{
		{name + ".stl", func(w io.Writer) error {
			var all []*mesh
			for _, p := range parts {
				all = append(all, p.mesh.placed(p.place, p.by))
			}
			return writeSTL(w, title, all...)
		}},
		{name + ".3mf", func(w io.Writer) error { return write3MF(w, title, parts) }},
	}
}
