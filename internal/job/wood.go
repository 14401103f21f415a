package job

import (
	"math"
	"slices"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// mostStock and mostWishes bound the lists of boards and of corners.
const (
	mostStock  = 50
	mostWishes = 2 * mostCorners
)

// boardThickness is the span of boards that boxes are made of.
var boardThickness = between(0.002, 0.1, "from 2 mm to 100 mm, 1/16 in to 4 in (is the unit right?)")

// leastTrimOverKerf is what a trim needs beyond the kerf so that the blade is buried in wood, in metres (common
// practice).
const leastTrimOverKerf = 0.001

// micrometre is the step of package nest's integers, in metres.
const micrometre = 1e-6

func toUm(m float64) nest.Um { return nest.Um(math.Round(m / micrometre)) }

func (j *jobReader) wood(n *yaml.Node, path string) {
	w := &j.request.Wood
	m := j.object(n, path, map[string]field{
		"sheet":     j.text(&w.Board, nameLength),
		"thickness": j.quantity(&w.Thickness, unit.Length, boardThickness),
		"nominal":   j.quantity(&w.Nominal, unit.Length, boardThickness),
		"panels":    j.panelThickness,
		"density":   j.quantity(&w.Density, unit.Density, between(50, 3000, "from 50 kg/m3 to 3000 kg/m3")),
		"joints":    j.joint(&w.Joints),
		"ends": choice(&j.reader, &w.Ends, "over|inside|rabbet",
			panels.EndsOver, panels.EndsInside, panels.EndsRabbeted),
		"front_layers": j.whole(&w.FrontLayers, 1, 3),
		"layers":       choice(&j.reader, &w.LayerInside, "inside|outside", true, false),
		"covering":     j.covering,
		"flush":        j.quantity(&w.Flush, unit.Length, positive(0.01, "10 mm (is the unit right?)")),
	}, need{"thickness", "the thickness of the board as measured"})
	m.refuse("layers", w.FrontLayers < 2, "says where the second layer lies, but front_layers is not 2 or more")
	m.refuse("flush", w.Ends == panels.EndsInside, "is for ends that lie over the walls; these stand between them (ends: inside)")
}

// covering reads what is glued over the outside.
func (j *jobReader) covering(n *yaml.Node, path string) {
	c := &panels.Covering{}
	j.object(n, path, map[string]field{
		"kind":      j.text(&c.Kind, shortLength),
		"thickness": j.quantity(&c.Thickness, unit.Length, positive(0.03, "30 mm (is the unit right?)")),
		"faces": func(n *yaml.Node, path string) {
			j.list(n, path, "sides of the box: front, back, top, bottom, left, right", 6, func(n *yaml.Node, path string) {
				side := ""
				if j.face(&side)(n, path); side != "" && !slices.Contains(c.Faces, side) {
					c.Faces = append(c.Faces, side)
				}
			})
		},
	}, need{"thickness", "the thickness of the covering, glue included"})
	j.request.Wood.Covering = c
}

func (r *reader) joint(dst *panels.Joint) field {
	return choice(r, dst, "butt|mitre|rabbet", panels.Butt, panels.Mitre, panels.Rabbet)
}

// panelThickness reads the measured thickness of panels that differ from the rest.
func (j *jobReader) panelThickness(n *yaml.Node, path string) {
	if n.Kind != yaml.MappingNode {
		j.wrongKind(n, path, "panels with their thickness: {top: 17.6 mm}")
		return
	}
	values := map[string]*float64{}
	fields := map[string]field{}
	known := append([]string{"left end", "right end"}, sideNames...)
	for i := 0; i+1 < len(n.Content); i += 2 {
		if name := n.Content[i].Value; isWall(name) {
			known = append(known, name)
		}
	}
	for _, name := range known {
		values[name] = new(float64)
		fields[name] = j.quantity(values[name], unit.Length, boardThickness)
	}
	j.object(n, path, fields)
	j.request.Wood.Panels = map[string]float64{}
	for name, v := range values {
		if *v > 0 {
			j.request.Wood.Panels[name] = *v
		}
	}
}

// cornerWishes reads the wishes for single corners.
func (j *jobReader) cornerWishes(n *yaml.Node, path string) {
	j.list(n, path, "corners, each {between: [bottom, back], joint: mitre}", mostWishes, func(n *yaml.Node, path string) {
		var w panels.CornerWish
		j.object(n, path, map[string]field{
			"between": func(n *yaml.Node, path string) { w.Between = j.between(n, path) },
			"joint":   j.joint(&w.Joint),
		}, need{"between", "the two walls that meet there: [bottom, back]"}, need{"joint", "butt, mitre or rabbet"})
		j.request.Corners = append(j.request.Corners, w)
	})
}

// between reads the names of the two walls that meet at a corner.
func (j *jobReader) between(n *yaml.Node, path string) (pair [2]string) {
	const want = "the two walls that meet there: [bottom, back]"
	if n.Kind != yaml.SequenceNode || len(n.Content) != 2 {
		j.wrongKind(n, path, want)
		return pair
	}
	for i, c := range n.Content {
		switch {
		case !j.scalar(c, path, "the name of a wall"):
		case !isWall(c.Value):
			j.fault(c, path, "want a wall: front, back, top, bottom, nose, or slope, tread, riser, soffit (with a number when there are several)")
		default:
			pair[i] = c.Value
		}
	}
	if pair[0] != "" && pair[0] == pair[1] {
		j.fault(n.Content[1], path, "a wall does not meet itself: want %s", want)
	}
	return pair
}

// stockNotes keeps what is said of each board of the stock but has no zero of its own in a Request.
type stockNotes struct {
	thickness, board []bool
}

func (j *jobReader) stock(n *yaml.Node, path string) {
	j.list(n, path, "boards, each {length, width, count}", mostStock, func(n *yaml.Node, path string) {
		s := nest.Stock{Trim: -1}
		var length, width, thickness, trim float64
		m := j.object(n, path, map[string]field{
			"name":      j.text(&s.Name, nameLength),
			"sheet":     j.text(&s.Board, nameLength),
			"thickness": j.quantity(&thickness, unit.Length, boardThickness),
			"length":    j.quantity(&length, unit.Length, between(0.05, 10, "from 50 mm to 10 m (is the unit right?)")),
			"width":     j.quantity(&width, unit.Length, between(0.05, 10, "from 50 mm to 10 m (is the unit right?)")),
			"count":     j.whole(&s.Count, 1, 1000),
			"price":     j.quantity(&s.Price, unit.Number, notNegative(1e9, "1e9")),
			"offcut":    j.truth(&s.Offcut),
			"trim":      j.quantity(&trim, unit.Length, notNegative(0.1, "100 mm (is the unit right?)")),
		}, need{"length", "a length, along the grain"}, need{"width", "a length"})
		s.Length, s.Width, s.Thickness = toUm(length), toUm(width), toUm(thickness)
		if m.has("trim") {
			s.Trim = toUm(trim)
		}
		side := math.Min(length, width)
		m.refuse("trim", side > 0 && 2*trim >= side, "on both edges this leaves nothing of the board")
		j.said.thickness = append(j.said.thickness, m.has("thickness"))
		j.said.board = append(j.said.board, m.has("sheet"))
		j.request.Stock = append(j.request.Stock, s)
	})
}

func (j *jobReader) sawOf(n *yaml.Node, path string) {
	s := &j.request.Saw
	m := j.object(n, path, map[string]field{
		"kerf":        j.quantity(&s.Kerf, unit.Length, positive(0.02, "20 mm (is the unit right?)")),
		"trim":        j.quantity(&s.Trim, unit.Length, notNegative(0.1, "100 mm (is the unit right?)")),
		"round_to":    j.quantity(&s.RoundTo, unit.Length, positive(0.02, "20 mm (is the unit right?)")),
		"depth":       j.quantity(&s.Depth, unit.Length, positive(0.5, "500 mm (is the unit right?)")),
		"depth_at_45": j.quantity(&s.DepthAt45, unit.Length, positive(0.5, "500 mm (is the unit right?)")),
		"max_tilt":    j.tilt(&s.MaxTilt),
		"handle": j.keys(map[string]field{ // the largest board that one person handles
			"length": j.quantity(&s.HandleLength, unit.Length, anyLength),
			"width":  j.quantity(&s.HandleWidth, unit.Length, anyLength),
			"mass":   j.quantity(&s.HandleMass, unit.Mass, positive(500, "500 kg")),
		}),
	})
	s.NoTrim = m.has("trim") && s.Trim == 0
	m.refuse("depth_at_45", s.Depth > 0 && s.DepthAt45 > s.Depth, "cannot be more than depth, %s", unit.FormatLength(s.Depth, j.sys))
	m.refuse("trim", s.Kerf > 0 && s.Trim > 0 && s.Trim < s.Kerf+leastTrimOverKerf-micrometre,
		"includes the kerf: must be 0, or at least the kerf + 1 mm so that the blade is buried")
}

// exact lets 60 degrees pass for 60 when they have been turned into radians, relative.
const exact = 1e-12

// tilt reads an angle; a bare number is in degrees, as on the saw's own scale.
func (j *jobReader) tilt(dst *float64) field {
	limits := between(math.Pi/180, math.Pi/3*(1+exact), "from 1 deg to 60 deg")
	return func(n *yaml.Node, path string) {
		if n.Kind == yaml.ScalarNode {
			if v, err := unit.Parse(n.Value, unit.Number, j.sys); err == nil {
				if v *= math.Pi / 180; j.within(n, path, v, limits) {
					*dst = v
				}
				return
			}
		}
		j.quantity(dst, unit.Angle, limits)(n, path)
	}
}

// settle fills in what one part of a job takes from another, and compares parts that only now are all known.
func (j *jobReader) settle(m mapping) {
	q := j.request
	for i := range q.Stock {
		s := &q.Stock[i]
		if !j.said.board[i] {
			s.Board = q.Wood.Board
		}
		if !j.said.thickness[i] {
			s.Thickness = toUm(q.Wood.Thickness)
		}
	}
	if n := valueOf(m.values["mount"], "wiring"); n != nil && n.Kind == yaml.ScalarNode && q.Driver.Coils.Count > 1 && q.Mount.Count > 1 {
		j.fault(n, "mount.wiring", "several drivers with two coils each need two words: {coils: parallel, drivers: series}")
	}
	m.remark("consider", slices.Contains(q.Kinds, design.Passive) && q.Passive == nil && !m.has("passive"),
		"passive needs the radiators on hand: passive: %s", inUnits(examples["passive"], j.sys))
}
