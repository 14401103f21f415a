package panels

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"cubby/internal/solid"
)

// longestSide is the size beyond which a box is taken for a slip of the unit.
const longestSide = 20.0

// Build makes the box, or says why it cannot be made: a *BuildError, or several joined (errors.As finds the first). A box
// whose driver or port is too close to something is built all the same; its Checks say so.
func Build(s Spec) (*Box, error) {
	sc, b, err := plan(&s)
	if err != nil {
		return nil, err
	}
	sc.makePanels(b)
	if err := b.countPieces(); err != nil {
		return nil, err
	}
	sc.checkBoards(b)
	return b, nil
}

// Plan gives the box that Build would make without its panels: its volumes, deductions, places and checks, but for what is
// said of the boards themselves. It fails where Build fails, short of the count of pieces. A search calls it thousands of times.
func Plan(s Spec) (*Box, error) {
	_, b, err := plan(&s)
	return b, err
}

// begin makes the shell of a box, with what stands behind its faces and is fixed through them.
func begin(s *Spec) (*scene, error) {
	if err := s.validate(); err != nil {
		return nil, err
	}
	s.Count = max(s.Count, 1)
	sh, err := newShell(s)
	if err != nil {
		return nil, err
	}
	sc := &scene{spec: s, shell: sh}
	landing := 0.0
	if sh.loose >= 0 {
		landing = cleatFace
		if err := sc.addCleats(); err != nil {
			return nil, err
		}
	}
	if err := sc.addDoublers(landing); err != nil {
		return nil, err
	}
	sc.faces = make([]face, len(sh.parts))
	for i := range sh.parts {
		if i == sh.driver {
			sc.faces[i] = newFace(sh, i, landing, sc.lastDoubler())
		} else {
			sc.faces[i] = newFace(sh, i, 0, nil)
		}
	}
	sc.fitted.fixings, err = placeFixings(sc)
	return sc, err
}

// plan settles everything that has a bearing on the air: one thing after the other goes into the box.
func plan(s *Spec) (*scene, *Box, error) {
	sc, err := begin(s)
	if err != nil {
		return nil, nil, err
	}
	if sc.fitted.drivers, err = placeDriver(sc); err != nil {
		return nil, nil, err
	}
	if r := s.Radiators; r != nil {
		if err := sc.placeRadiators(s.mounts()[1], r.Face); err != nil {
			return nil, nil, err
		}
	}
	if s.Port != nil {
		if err := sc.placePorts(); err != nil {
			return nil, nil, err
		}
		sc.pieces = append(sc.pieces, sc.portPieces()...)
		sc.addSaddles()
	}
	sc.addBraces()
	sc.fitted.terminal = placeTerminal(sc)
	b := &Box{Spec: *s, Air: sc.shell.air, Prism: sc.shell.prism()}
	if err := sc.balance(b); err != nil {
		return nil, nil, err
	}
	sc.describe(&b.Fittings)
	b.Removable = sc.removable()
	sc.fittingChecks(&b.Findings)
	sc.checkLoose(b)
	sc.checkPlates(b)
	return sc, b, nil
}

// turn cuts the boards anew where a slot's mouth needs another to run through.
func (sc *scene) turn(w Wish) (err error) {
	sh := sc.shell
	if sh.joints.Of(w.A, w.B) == w.R {
		return nil
	}
	sh.asked = append(sh.asked, w)
	if sh.said, err = sh.settle(sc.spec); err != nil {
		return err
	}
	return sh.cut()
}

// prism is the box as a prism.
func (sh *shell) prism() Prism {
	p := Prism{Section: sh.section, Width: sh.width()}
	p.Inside, _ = sectionOf(sh.air, sh.axis)
	lo, _ := sh.outside.Bounds()
	p.Left = sh.axis.Of(lo)
	in0, in1 := sh.air.Bounds()
	p.InsideWidth = sh.axis.Of(in1) - sh.axis.Of(in0)
	return p
}

// balance lists what takes air from the inside.
func (sc *scene) balance(b *Box) error {
	b.OuterVolume, b.InsideVolume = sc.shell.outside.Volume(), sc.shell.air.Volume()
	for i := range sc.shell.boards {
		b.WallVolume += sc.shell.boards[i].Volume
	}
	add := func(name string, v float64) {
		if v != 0 {
			b.Deductions = append(b.Deductions, Deduction{name, v})
		}
	}
	for _, d := range sc.cones() {
		name := d.word()
		if d.count > 1 {
			name = fmt.Sprintf("%d %ss", d.count, name)
		}
		if d.Outside {
			add("air of the cones", -d.gives(sc.faces[d.on].t))
		} else {
			add(name, float64(d.count)*d.takes())
		}
	}
	add("port", sc.portVolume())
	var braces, cleats float64
	for i := range sc.pieces {
		p := &sc.pieces[i]
		switch {
		case p.role == Doubler:
			add(p.name, p.taken())
		case p.role.Stands():
			braces += p.taken()
		case p.role == Cleat:
			cleats += p.taken()
		}
	}
	add("braces", braces)
	if sc.fitted.terminal.plate != nil {
		add("terminal plate", sc.cupVolume())
	}
	add("cleats", cleats)
	add("air that the gasket adds", -sc.gasketAir())
	b.NetVolume = b.InsideVolume
	for _, d := range b.Deductions {
		b.NetVolume -= d.Volume
	}
	if b.NetVolume > 0 {
		return nil
	}
	return sc.noAir(b)
}

// taken is the air that a piece takes.
func (p *piece) taken() float64 {
	if p.air > 0 {
		return p.air
	}
	return math.Max(p.board.Volume-opened(p.holes, p.board.Thickness), 0)
}

// noAir says that everything together leaves no air, and how long the port may be.
func (sc *scene) noAir(b *Box) error {
	e := &BuildError{Reason: NoAir, Value: b.NetVolume, Limit: b.InsideVolume,
		Say: say("driver, port and wood inside take %s, all of the %s between the walls: no air is left", Volume(b.InsideVolume-b.NetVolume), Volume(b.InsideVolume))}
	if p := sc.spec.Port; p != nil {
		perLength := sc.portVolume() / p.Length
		if most := p.Length + b.NetVolume/perLength; perLength > 0 && most > 0 {
			e.Reach = Reach{Most: most, Why: say(airIsLeft)}
		}
	}
	return e
}

// validate finds sizes that cannot be.
func (s *Spec) validate() error {
	var faults []error
	bad := func(what string, v float64) {
		faults = append(faults, &BuildError{Reason: BadInput, Value: v, Say: say("%s: %s: must be greater than 0 and a size that a workshop can make", what, Length(v))})
	}
	if s.Outside == nil || len(s.Outside.Faces) < 4 {
		return &BuildError{Reason: BadInput, Say: say("the box has no shape")}
	}
	lo, hi := s.Outside.Bounds()
	for axis := solid.Across; axis <= solid.Up; axis++ {
		if size := axis.Of(hi) - axis.Of(lo); !(size > 0) || size > longestSide {
			bad([...]string{"width", "depth", "height"}[axis]+" of the box", size)
		}
	}
	if !(s.Wood.Thickness > 0) || s.Wood.Thickness > longestSide {
		bad("thickness of the board", s.Wood.Thickness)
	}
	for _, name := range slices.Sorted(maps.Keys(s.Wood.Panels)) {
		if t := s.Wood.Panels[name]; !(t > 0) || t > longestSide {
			bad("thickness of the panel "+name, t)
		}
	}
	for _, d := range s.mounts() {
		for i, v := range [...]float64{d.Frame, d.Cutout, d.Depth, d.Magnet, d.Circle, d.Hole, d.Excursion} {
			if v < 0 || math.IsNaN(v) || v > longestSide {
				bad([...]string{"frame", "cut-out", "depth", "magnet", "bolt circle", "bolt hole", "excursion"}[i]+" of the "+d.word(), v)
			}
		}
	}
	if p := s.Port; p != nil {
		if s.Radiators != nil {
			faults = append(faults, &BuildError{Reason: BadInput, Say: say("a box has a port or passive radiators, not both")})
		}
		if !(p.Length > 0) || p.Length > longestSide {
			bad("length of the port", p.Length)
		}
		if !(p.Bore > 0) && !(p.Height > 0) || p.Bore > longestSide {
			bad("bore of the port", p.Bore)
		}
		if p.Height < 0 || math.IsNaN(p.Height) || p.Height > longestSide {
			bad("height of the slot", p.Height)
		}
	}
	return errors.Join(faults...)
}

// mostPieces is how many pieces of board a box may have. No job comes near it: the fullest that were drawn at random,
// 10 m wide, have half as many. Lists, marks and drawings are laid out for no more.
const mostPieces = 200

// countPieces refuses a box of too many pieces.
func (b *Box) countPieces() error {
	pieces := 0
	for _, p := range b.Panels {
		pieces += p.Count * max(p.Layers, 1)
	}
	if pieces <= mostPieces {
		return nil
	}
	return &BuildError{Reason: ManyPieces, Say: say("the box takes %d pieces of board: at most %d can be listed and drawn", pieces, mostPieces)}
}

// opened is the volume that holes take out of a board t thick.
func opened(holes []Hole, t float64) float64 {
	v := 0.0
	for _, h := range holes {
		depth := t
		if h.Depth > 0 {
			depth = math.Min(h.Depth, depth)
		}
		v += depth * h.area()
		if h.Kind == HoleRecess { // round an opening, which is counted by itself
			for _, o := range holes {
				if o.Kind != HoleRecess && math.Hypot(o.X-h.X, o.Y-h.Y) < rounding {
					v -= depth * o.area()
				}
			}
		}
	}
	return v
}
