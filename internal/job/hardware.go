package job

import (
	"slices"

	"cubby/internal/panels"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// mostFixings bounds the list of fixing points.
const mostFixings = 20

// smallHoles is the span of holes for screws, nuts and bolts.
var smallHoles = between(0.001, 0.03, "from 1 mm to 30 mm, 1/16 in to 1-1/8 in (is the unit right?)")

// terminal reads the terminal plate; what it does not say is a common plate's.
func (j *jobReader) terminal(n *yaml.Node, path string) {
	p := &panels.Plate{}
	size := between(0.01, 0.5, "from 10 mm to 500 mm (is the unit right?)")
	m := j.object(n, path, map[string]field{
		"width":    j.quantity(&p.Width, unit.Length, size),
		"height":   j.quantity(&p.Height, unit.Length, size),
		"radius":   j.quantity(&p.Radius, unit.Length, lengthOrZero),
		"diameter": j.quantity(&p.Diameter, unit.Length, size),
		"depth":    j.quantity(&p.Depth, unit.Length, size),
		"face":     j.face(&p.Face),
		"screws":   j.whole(&p.Screws, 2, 12),
		"circle":   j.quantity(&p.Circle, unit.Length, size),
		"hole":     j.quantity(&p.Hole, unit.Length, smallHoles),
	})
	m.refuse("diameter", m.has("width") || m.has("height") || m.has("radius"),
		"is for a round opening: give diameter alone, or width and height with radius")
	m.refuseAll(m.has("width") != m.has("height"), "a rectangular opening needs both width and height")
	m.refuse("radius", p.Radius > p.WithDefaults().Radius, "is more than half of the opening's smaller side")
	m.refuse("face", p.Face == "bottom", "the box stands on its bottom: want left, right, back, front or top")
	j.request.Terminal = p
}

// fixings reads where the box is fixed to the vehicle.
func (j *jobReader) fixings(n *yaml.Node, path string) {
	j.list(n, path, "fixing points, each {face: bottom, from_left: 100 mm, from_front: 60 mm}", mostFixings, func(n *yaml.Node, path string) {
		var p panels.FixingPoint
		place := func(dst **float64) field {
			v := new(float64)
			return func(n *yaml.Node, path string) {
				*dst = v
				j.quantity(v, unit.Length, lengthOrZero)(n, path)
			}
		}
		m := j.object(n, path, map[string]field{
			"face":        j.face(&p.Face),
			"from_left":   place(&p.Left),
			"from_right":  place(&p.Right),
			"from_front":  place(&p.Front),
			"from_bottom": place(&p.Bottom),
			"kind":        choice(&j.reader, &p.Kind, "insert|bracket", panels.FixingInsert, panels.FixingBracket),
			"hole":        j.quantity(&p.Hole, unit.Length, smallHoles),
		}, need{"face", "front, back, top, bottom, left or right"})
		if m.node == nil || p.Face == "" {
			return
		}
		want := map[string][]string{
			"left": {"from_front", "from_bottom"}, "right": {"from_front", "from_bottom"},
			"top": {"from_front"}, "bottom": {"from_front"}, "front": {"from_bottom"}, "back": {"from_bottom"},
		}[p.Face]
		for _, key := range want {
			m.refuseAll(!m.has(key), "on the %s it needs %s: a length from the outside of the box", p.Face, key)
		}
		across := p.Face != "left" && p.Face != "right"
		m.refuseAll(across && m.has("from_left") == m.has("from_right"),
			"on the %s it needs from_left or from_right, one of them: a length from that end of the box", p.Face)
		m.refuseAll(!across && (m.has("from_left") || m.has("from_right")),
			"on the %s only from_front and from_bottom count: leave from_left and from_right out", p.Face)
		j.request.Fixings = append(j.request.Fixings, p)
	})
}

// port reads what is wished of the port that a design gets.
func (j *jobReader) port(n *yaml.Node, path string) {
	w, f := &j.request.Port, &j.request.Flange
	m := j.object(n, path, map[string]field{
		"flange": j.keys(map[string]field{ // the rim of the tubes that ports are made of
			"rim":    j.quantity(&f.Rim, unit.Length, positive(0.1, "100 mm (is the unit right?)")),
			"rebate": j.quantity(&f.Rebate, unit.Length, positive(0.03, "30 mm (is the unit right?)")),
			"screws": j.whole(&f.Screws, 3, 12),
			"hole":   j.quantity(&f.Hole, unit.Length, smallHoles),
		}, need{"rim", "a length: by how much the flange stands out beyond the tube, all round"}),
		"bores": j.bores,
		"flare": j.quantity(&w.Flare, unit.Length, positive(0.1, "100 mm (is the unit right?)")),
		"edge":  j.quantity(&w.Edge, unit.Length, positive(0.05, "50 mm (is the unit right?)")),
		"at":    j.mouths,
	})
	m.refuse("edge", w.Edge > w.Flare && w.Flare > 0,
		"is more than flare, the radius of the tubes' flared ends: leave one out, or say which is right")
}

// mostBores bounds the list of tubes on hand.
const mostBores = 8

// bores reads the inside diameters of the tubes on hand.
func (j *jobReader) bores(n *yaml.Node, path string) {
	w := &j.request.Port
	j.list(n, path, "inside diameters of tubes, such as [75 mm, 100 mm]", mostBores, func(n *yaml.Node, path string) {
		var v float64
		j.quantity(&v, unit.Length, between(0.02, 0.4, "from 20 mm to 400 mm, 3/4 in to 16 in (is the unit right?)"))(n, path)
		switch {
		case v == 0:
		case slices.Contains(w.Bores, v):
			j.fault(n, path, "stands twice")
		default:
			w.Bores = append(w.Bores, v)
		}
	})
}

// mouths reads where the mouths of the ports may go.
func (j *jobReader) mouths(n *yaml.Node, path string) {
	w := &j.request.Port
	var s panels.Spot
	fields := j.spotFields(&s)
	fields["face"] = j.face(&w.Face)
	m := j.object(n, path, fields, need{"face", "the face with the mouths: front, back, top, bottom, left or right"})
	if len(m.values) > 1 {
		settleSpot(m, s, &w.At)
	}
}
