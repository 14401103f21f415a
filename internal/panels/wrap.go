package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// Corners of a section nearer than cleanNear to another, or turning by less than cleanTurn, are measuring noise.
const (
	cleanNear = 0.01e-3
	cleanTurn = 0.5 * degree
)

// wrap is the ring of walls around the inside, all in the section plane.
type wrap struct {
	section, inside plane.Polygon
	names           []string
	t               []float64     // measured thickness, all full-size layers together
	u               []plane.Point // direction of walk
	out, inn        []plane.Line  // outer and inner face, normals inward
	corners         []corner
	walls           []wallCut
	units           unit.System
	mute            bool // say nothing
	warnings        []string
}

// wallCut is one wall's section and what follows from it.
type wallCut struct {
	o0, o1, n1, n0 plane.Point   // the corners that end the outer and inner faces
	section        plane.Polygon // o0 o1 n1 n0, with the steps of rabbets between them
	outer, inner   float64       // lengths of the faces
	blank          float64       // overall
	tilt0, tilt1   float64       // signed, at the corner where the wall starts and ends
	area           float64
}

func (w *wrap) length(m float64) string {
	if w.mute {
		return ""
	}
	return unit.FormatLength(m, w.units)
}

func (w *wrap) warn(format string, args ...any) {
	if !w.mute {
		w.warnings = append(w.warnings, fmt.Sprintf(format, args...))
	}
}

// newWrap sets up the faces of the walls of a clean, counter-clockwise section.
func newWrap(section plane.Polygon, names []string, t []float64, units unit.System, mute bool) *wrap {
	n := len(section)
	w := &wrap{section: section, names: names, t: t, units: units, mute: mute,
		u: make([]plane.Point, n), out: make([]plane.Line, n), inn: make([]plane.Line, n)}
	for i := range section {
		a, b := ends(section, i)
		w.u[i] = b.Sub(a).Unit()
		w.out[i] = plane.LineThrough(a, b)
		w.inn[i] = w.out[i].Offset(t[i])
	}
	return w
}

// cutAll cuts every wall by one line at each end, after the joints are settled.
func (w *wrap) cutAll() error {
	n := len(w.section)
	w.inside = make(plane.Polygon, n)
	for i := range w.section {
		p, ok := w.inn[(i+n-1)%n].Meet(w.inn[i])
		if !ok {
			return w.noRoom(i)
		}
		w.inside[i] = p
	}
	w.walls = make([]wallCut, n)
	for i := range w.walls {
		if err := w.cutWall(i); err != nil {
			return err
		}
	}
	for i := range w.walls {
		a, b := ends(w.inside, i)
		if w.walls[i].outer <= 0 || w.walls[i].inner <= 0 || b.Sub(a).Dot(w.u[i]) <= 0 {
			return w.noRoom(i)
		}
	}
	if !w.inside.IsSimple() {
		return &BuildError{Reason: NoInside, Text: "two walls meet across a narrow neck of the section: no air is left between them"}
	}
	return nil
}

// noRoom says that wall i is squeezed out by the thickness of its neighbours.
func (w *wrap) noRoom(i int) error {
	n := len(w.section)
	a, b := ends(w.section, i)
	need := w.t[(i+n-1)%n] + w.t[(i+1)%n]
	return &BuildError{Reason: NoInside, Panel: w.names[i], Value: b.Sub(a).Norm(), Limit: need,
		Text: fmt.Sprintf("the %s is %s long outside: between the boards that it meets (%s and %s thick) no face is left",
			w.names[i], w.length(b.Sub(a).Norm()), w.length(w.t[(i+n-1)%n]), w.length(w.t[(i+1)%n]))}
}

// cutLine is the line that cuts wall i at corner k. A butt joint's stopping wall ends on the near face of the one that runs
// through, which ends level with the far face of the stopping one; near is inside at a convex corner, outside at a reflex.
func (w *wrap) cutLine(i, k int) plane.Line {
	c := w.corners[k]
	switch {
	case c.joint == Mitre:
		return plane.LineThrough(w.section[k], w.inside[k])
	case i == c.through && c.convex():
		return w.out[c.stop]
	case i == c.through:
		return w.inn[c.stop]
	case c.joint == Rabbet:
		return w.inn[c.through].Offset(-c.rabbet)
	case c.convex():
		return w.inn[c.through]
	}
	return w.out[c.through]
}

func (w *wrap) cutWall(i int) error {
	n := len(w.section)
	start, end := i, (i+1)%n
	first, last := w.cutLine(i, start), w.cutLine(i, end)
	var c wallCut
	var ok [4]bool
	c.o0, ok[0] = first.Meet(w.out[i])
	c.o1, ok[1] = last.Meet(w.out[i])
	c.n1, ok[2] = last.Meet(w.inn[i])
	c.n0, ok[3] = first.Meet(w.inn[i])
	if ok != [4]bool{true, true, true, true} {
		return w.noRoom(i)
	}
	s := func(p plane.Point) float64 { return p.Dot(w.u[i]) }
	c.tilt0 = math.Atan2(s(c.n0)-s(c.o0), w.t[i])
	c.tilt1 = math.Atan2(s(c.o1)-s(c.n1), w.t[i])
	c.outer = s(c.o1) - s(c.o0)
	c.blank = math.Max(s(c.o1), s(c.n1)) - math.Min(s(c.o0), s(c.n0))
	c.section = append(make(plane.Polygon, 0, 8), c.o0, c.o1)
	if step := w.rabbetStep(i, end); step != nil {
		c.section, c.n1 = append(c.section, step[0], step[1]), w.inside[end]
	}
	c.section = append(c.section, c.n1)
	if step := w.rabbetStep(i, start); step != nil {
		c.n0 = w.inside[start]
		c.section = append(c.section, c.n0, step[1], step[0])
	} else {
		c.section = append(c.section, c.n0)
	}
	c.inner = s(c.n1) - s(c.n0)
	c.area = c.section.Area()
	w.walls[i] = c
	return nil
}

// rabbetStep gives the corners of the step in wall i at corner k, from its end inward; nil when it has none.
func (w *wrap) rabbetStep(i, k int) []plane.Point {
	c := w.corners[k]
	if c.joint != Rabbet || i != c.through {
		return nil
	}
	floor := w.inn[i].Offset(-c.rabbet)
	p, ok1 := w.out[c.stop].Meet(floor)
	q, ok2 := w.inn[c.stop].Meet(floor)
	if !ok1 || !ok2 {
		return nil
	}
	return []plane.Point{p, q}
}
