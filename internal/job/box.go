package job

import (
	"fmt"
	"slices"

	"cubby/internal/design"
	"cubby/internal/duct"
	"cubby/internal/plane"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// mostBoxes is how many ready-made boxes one job may compare.
const mostBoxes = 20

// boxAir is the span of volumes of boxes.
var boxAir = positive(2, "2000 l (is the unit right?)")

// boxes reads one ready-made box, or a list of them.
func (j *jobReader) boxes(n *yaml.Node, path string) {
	if n.Kind != yaml.SequenceNode {
		j.oneBox(n, path)
		return
	}
	j.list(n, path, "ready-made boxes, each with kind and what is known of it", mostBoxes, j.oneBox)
}

func (j *jobReader) oneBox(n *yaml.Node, path string) {
	var b design.ReadyBox
	m := j.object(n, path, map[string]field{
		"name": j.text(&b.Name, nameLength),
		"kind": choice(&j.reader, &b.Kind, "sealed|vented|passive|bandpass",
			design.Sealed, design.Vented, design.Passive, design.BandPass),
		"net_volume":  j.quantity(&b.NetVolume, unit.Volume, boxAir),
		"rear_volume": j.quantity(&b.Rear, unit.Volume, boxAir),
		"outside":     func(n *yaml.Node, path string) { j.outside(n, path, &b) },
		"wall":        j.quantity(&b.Wall, unit.Length, boardThickness),
		"port":        func(n *yaml.Node, path string) { j.readyPort(n, path, &b.Port) },
		"passive":     j.radiators(&b.Passive),
		"tuning":      j.quantity(&b.Port.Tuning, unit.Frequency, between(5, 200, "from 5 Hz to 200 Hz")),
		"leak_q":      j.quantity(&b.LeakQ, unit.Number, between(1, 1000, "from 1 to 1000")),
		"filling":     func(n *yaml.Node, path string) { j.filling(n, path, &b.Filling) },
		"opening":     j.quantity(&b.Opening, unit.Length, anyLength),
		"depth":       j.quantity(&b.Depth, unit.Length, anyLength),
		"circle":      j.quantity(&b.Circle, unit.Length, anyLength),
		"weight":      j.quantity(&b.Mass, unit.Mass, positive(500, "500 kg")),
		"price":       j.quantity(&b.Price, unit.Number, notNegative(1e6, "1000000")),
	}, need{"kind", "sealed, vented, passive or bandpass"})
	together(m, b)
	j.request.Boxes = append(j.request.Boxes, b)
}

// together faults what cannot be said of one box together.
func together(m mapping, b design.ReadyBox) {
	m.refuseAll(!m.has("net_volume") && !m.has("outside"), "needs net_volume, or outside (with wall, if it is known)")
	m.refuse("wall", noAir(b), "two walls leave no air in the outside size")
	port := m.values["port"]
	if m.has("port") && b.Kind != design.Sealed && !m.has("tuning") && valueOf(port, "length") == nil {
		m.note(port, join(m.path, "port.length"), "missing; want a length, mouth to mouth, or tuning beside port as the maker claims it")
	}
	for _, k := range keysByKind {
		m.remark(k.key, b.Kind != "" && !slices.Contains(k.kinds, b.Kind), k.fault, b.Kind)
	}
	isPassive, isBandPass, untuned := b.Kind == design.Passive, b.Kind == design.BandPass, !m.has("port") && !m.has("tuning")
	oneChamber := !m.has("net_volume") || !m.has("rear_volume")
	m.refuseAll(b.Kind == design.Vented && untuned, "a vented box needs port (its size and length) or tuning (as claimed)")
	m.refuseAll(isPassive && !m.has("passive"), "a passive box needs passive, what is known of its radiator: %s", examples["box.passive"])
	m.refuseAll(isBandPass && oneChamber,
		"a bandpass box needs net_volume, its front chamber with the port, and rear_volume, the closed chamber behind the driver")
	m.refuseAll(isBandPass && !oneChamber && untuned, "a bandpass box needs port (its size and length) or tuning (as claimed) of its front chamber")
}

// keysByKind are the keys that speak of some kinds of box alone, and what is said of them in others.
var keysByKind = []struct {
	key   string
	kinds []design.Kind
	fault string
}{
	{"port", []design.Kind{design.Vented, design.BandPass}, "a %s box has none: say kind: vented, or leave it out"},
	{"tuning", []design.Kind{design.Vented, design.BandPass, design.Passive}, "a %s box has none: say kind: vented, or leave it out"},
	{"passive", []design.Kind{design.Passive}, "a %s box has none: say kind: passive, or leave it out"},
	{"rear_volume", []design.Kind{design.BandPass}, "a %s box has one chamber: say kind: bandpass, or leave it out"},
	{"filling", []design.Kind{design.Sealed}, "counts in sealed boxes only; a %s one is lined, not filled: leave it out"},
}

// noAir reports whether walls cannot be those of a box of the outside size that is stated. A net volume beyond that
// size is a seller's claim, which is for the verdict.
func noAir(b design.ReadyBox) bool {
	if b.Width <= 0 || len(b.Section) == 0 {
		return false
	}
	extent := b.Section.Bounds()
	return 2*b.Wall >= min(b.Width, extent.Max.X-extent.Min.X, extent.Max.Y-extent.Min.Y)
}

// outside reads width, depth and height, or width and profile.
func (j *jobReader) outside(n *yaml.Node, path string, b *design.ReadyBox) {
	var depth, height float64
	m := j.object(n, path, map[string]field{
		"width":   j.quantity(&b.Width, unit.Length, anyLength),
		"depth":   j.quantity(&depth, unit.Length, anyLength),
		"height":  j.quantity(&height, unit.Length, anyLength),
		"profile": func(n *yaml.Node, path string) { b.Section = j.profile(n, path) },
	}, need{"width", "a length, from left to right"})
	m.refuseAll(m.has("profile") && (m.has("depth") || m.has("height")),
		"has a profile and a depth or height: give profile alone, or depth and height")
	m.refuseAll(!m.has("profile") && !(m.has("depth") && m.has("height")), "needs depth and height, or profile (corners as [depth, height])")
	if depth > 0 && height > 0 && !m.has("profile") {
		b.Section = rectangle(depth, height)
	}
}

// rectangle is the section of a box of six sides.
func rectangle(depth, height float64) plane.Polygon {
	return plane.Polygon{{X: 0, Y: 0}, {X: depth, Y: 0}, {X: depth, Y: height}, {X: 0, Y: height}}
}

// rimRadius is the span of the radius of a port's rim.
var rimRadius = positive(0.1, "100 mm (is the unit right?)")

func (j *jobReader) readyPort(n *yaml.Node, path string, p *design.ReadyPort) {
	m := j.object(n, path, map[string]field{
		"count":    j.whole(&p.Count, 1, mostCones),
		"diameter": j.quantity(&p.Diameter, unit.Length, anyLength),
		"slot": j.keys(map[string]field{
			"height": j.quantity(&p.Height, unit.Length, anyLength),
			"width":  j.quantity(&p.Width, unit.Length, anyLength),
		}, need{"height", "a length"}, need{"width", "a length"}),
		"length":   j.quantity(&p.Length, unit.Length, anyLength),
		"ends":     func(n *yaml.Node, path string) { j.ends(n, path, p) },
		"edge":     j.quantity(&p.Edge, unit.Length, rimRadius),
		"flare":    j.quantity(&p.Flare, unit.Length, rimRadius),
		"friction": j.truth(&p.Friction),
	})
	bothOrNeither := m.has("diameter") == m.has("slot")
	m.refuseAll(bothOrNeither, "needs either diameter or slot: {height, width}")
	if flare := m.values["flare"]; flare != nil && !bothOrNeither {
		switch acts := 2 * duct.FlareCut(p.Flare, p.Diameter/2); {
		case m.has("slot"):
			j.fault(flare, join(path, "flare"), "is for tubes; of a slot give edge, the radius of its rim")
		case p.Length > 0 && p.Length <= acts:
			j.fault(flare, join(path, "flare"), "leaves nothing of the length, mouth to mouth")
		}
	}
	if ends := m.values["ends"]; !bothOrNeither && m.has("ends") && ends.Kind == yaml.SequenceNode && len(ends.Content) == 2 {
		for i, e := range p.Ends {
			j.endFits(ends.Content[i], fmt.Sprintf("%s.ends[%d]", path, i+1), e, i == 0, m.has("slot"))
		}
	}
}

// endFits faults a condition that the kind of port cannot have at that end.
func (j *jobReader) endFits(n *yaml.Node, path string, e design.EndKind, outer, slot bool) {
	switch {
	case (e == design.EndWall || e == design.EndCorner) && !slot:
		j.fault(n, path, "is for slots; a tube's end is flush, free or, inside, near")
	case e == design.EndNear && slot:
		j.fault(n, path, "is for tubes; a slot's end is flush, free, wall or corner")
	case e == design.EndNear && outer:
		j.fault(n, path, "is for the inner end, which stands last")
	}
}

// ends reads the conditions at the port's two ends, outside first.
func (j *jobReader) ends(n *yaml.Node, path string, p *design.ReadyPort) {
	i := 0
	count := j.list(n, path, "two conditions, outside first: [flush, free]", 2, func(n *yaml.Node, path string) {
		var e design.EndKind
		choice(&j.reader, &e, "flush|free|wall|corner|near",
			design.EndFlush, design.EndFree, design.EndWall, design.EndCorner, design.EndNear)(n, path)
		if i < len(p.Ends) {
			p.Ends[i] = e
		}
		i++
	})
	if count == 1 {
		j.fault(n, path, "want two conditions, outside first: [flush, free]")
	}
}

func (j *jobReader) filling(n *yaml.Node, path string, f *design.Filling) {
	m := j.object(n, path, map[string]field{
		"fraction": j.quantity(&f.Fraction, unit.Ratio, between(0, 1, "from 0 to 1")),
		"density":  j.quantity(&f.Density, unit.Density, between(1, 200, "from 1 kg/m3 to 200 kg/m3")),
		"gain":     j.quantity(&f.Gain, unit.Number, between(1, 1.4, "from 1 to 1.4 (the isothermal limit)")),
		"q":        j.quantity(&f.Q, unit.Number, between(1, 1000, "from 1 to 1000")),
	})
	m.refuseAll(m.has("fraction") != m.has("density"), "fraction and density go together: {fraction: 0.8, density: 12 kg/m3}")
}
