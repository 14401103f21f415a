package design

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// Tolerances of the loop between volume, port length and width.
const (
	lengthSlack = 1e-6 // m, a micrometre of port
	sizeRounds  = 8    // after which the size stays; without braces it is found in two
	mostRounds  = 40   // of the loop; it converges in three or four where there is a fixed point at all
)

// A portTooLong says that the port that tunes a box finds no place in it.
type portTooLong struct {
	want, most float64 // m
	err        error
}

func (e *portTooLong) Error() string { return e.err.Error() }
func (e *portTooLong) Unwrap() error { return e.err }

// longestPort gives the longest port that the wood has room for, when that is what an error is about.
func longestPort(err error) (float64, bool) {
	var long *portTooLong
	if errors.As(err, &long) {
		return long.most, true
	}
	return 0, false
}

// rooms makes the space's shapes ready for the search: outside sections rounded down to the saw's step, board and driver
// in place, and the net air that each would hold. Where the driver fails in all of them because of how the space was kept
// clear of a block, boxes beside the block are looked at too, which have less air but more depth.
func (p *plant) rooms() (rooms []room, problems []error) {
	rooms, problems = p.roomsOf(0)
	if !seated(rooms) {
		for _, more := range p.besideShapes() {
			first := len(p.shapes)
			p.shapes = append(p.shapes, more...)
			beside, _ := p.roomsOf(first)
			if seated(beside) && (!seated(rooms) || largestNet(beside) > largestNet(rooms)) {
				rooms = beside
			}
		}
	}
	if len(rooms) == 0 {
		return nil, problems
	}
	if seated(rooms) {
		rooms = slices.DeleteFunc(rooms, func(r room) bool { return r.shortfall >= failedCheck })
	}
	return rooms, problems
}

// roomsOf makes a room of every shape from the given one on; where the driver does not sit in one, of what a cut at the
// driver's face leaves of it, if that is more than the shapes before it give.
func (p *plant) roomsOf(first int) (rooms []room, problems []error) {
	for i := first; i < len(p.shapes); i++ {
		r, err := p.newRoom(i, p.shapes[i].Section)
		if err != nil || r.shortfall >= failedCheck {
			if cut, ok := p.seatByCut(r); ok && cut.netAtFull > largestNet(rooms)*(1+worthwhile) {
				r, err = cut, nil
			}
		}
		if err != nil {
			problems = append(problems, fmt.Errorf("%s: %w", p.shapes[i].Kind, err))
			continue
		}
		rooms = append(rooms, r)
	}
	return rooms, problems
}

// besideShapes are the shapes of the stretches beside blocks.
func (p *plant) besideShapes() [][]cavity.Shape {
	if p.beside == nil {
		p.beside = [][]cavity.Shape{}
		for _, s := range p.besideBlocks() {
			more, err := s.space.Shapes()
			if err != nil {
				continue // no room beside that block; the others say why there is none at all
			}
			for k := range more {
				more[k].Notes = append(more[k].Notes, s.note)
			}
			p.beside = append(p.beside, more)
		}
	}
	return p.beside
}

// A stretch is a part of the space's width, with the reason for keeping to it.
type stretch struct {
	space cavity.Space
	note  string
}

// besideBlocks are the space's stretches left and right of each block, without that block.
func (p *plant) besideBlocks() []stretch {
	whole := p.space()
	var all []stretch
	for i, b := range whole.Blocks {
		s := whole
		s.Blocks = append(slices.Clone(whole.Blocks[:i]), whole.Blocks[i+1:]...)
		left, right := s, s
		left.InsetRight = whole.Width - b.Left + whole.Gap
		right.InsetLeft = b.Left + b.Width + whole.Gap
		note := func(side string) string {
			name := b.Name
			if name == "" {
				name = fmt.Sprintf("block %d", i+1)
			}
			return fmt.Sprintf("the box stands %s of the %s: over the whole width the driver would not have its depth", side, name)
		}
		if whole.InsetRight < left.InsetRight {
			all = append(all, stretch{left, note("left")})
		}
		if whole.InsetLeft < right.InsetLeft {
			all = append(all, stretch{right, note("right")})
		}
	}
	return all
}

// seated reports whether the driver sits in at least one of the rooms without a failed check.
func seated(rooms []room) bool {
	return slices.ContainsFunc(rooms, func(r room) bool { return r.shortfall < failedCheck })
}

// largestNet is the most net air among the rooms in which no check fails.
func largestNet(rooms []room) float64 {
	most := 0.0
	for _, r := range rooms {
		if r.shortfall < failedCheck {
			most = max(most, r.netAtFull)
		}
	}
	return most
}

// newRoom makes a room of one of the space's shapes, or of what a cut leaves of it.
func (p *plant) newRoom(index int, section plane.Polygon) (room, error) {
	s, step := p.shapes[index], p.req.Saw.RoundTo
	section, note := roundSection(section, step)
	r := room{index: index, bevels: bevels(section), notes: s.Notes, outside: outside{section, s.Left, floorTo(s.Width, step)}}
	r.spec = p.spec(r.outside)
	if note != "" {
		r.notes = append(r.notes[:len(r.notes):len(r.notes)], note)
	}
	box, err := panels.Plan(r.spec)
	if err != nil {
		return r, p.inUnits(err)
	}
	r.netAtFull, r.sizing = box.NetVolume, newSizing(p.req.Space.Shrink, p.req.Mount.Face, box)
	r.shortfall = shortfall(box)
	r.narrowest = &narrowing{hi: r.sizing.full, net: r.netAtFull}
	return r, nil
}

// failedCheck is what a failed check counts in a shortfall: more than any number of marginal ones.
const failedCheck = 100

// shortfall counts what a box's own checks find wanting. A panel that resonates low is
// marginal at worst, see boxCheck.
func shortfall(b *panels.Box) int {
	n := 0
	for _, c := range b.Checks {
		switch boxCheck(c).Status {
		case panels.Marginal:
			n++
		case panels.Fail:
			n += failedCheck
		}
	}
	return n
}

// A narrowing is how much is known of the smallest box of a room that takes the driver as well as the largest does: one of
// size lo does not, one of hi does and holds net.
type narrowing struct{ lo, hi, net float64 }

// nearNarrowest is how closely the smallest box of a room is looked for, m.
const nearNarrowest = 0.001

// takes reports whether the room's box of so much net air, ports included, takes the driver as well as the largest does. It
// looks for the smallest only as closely as the answer needs.
func (r *room) takes(net float64) bool {
	n := r.narrowest
	for net < n.net*(1-slack) && n.hi-n.lo > nearNarrowest && r.sizeFor(net) > n.lo {
		r.halve()
	}
	return net >= n.net*(1-slack)
}

// least is the net air of the room's smallest box that takes the driver as well as the largest does, m3.
func (r *room) least() float64 {
	for r.narrowest.hi-r.narrowest.lo > nearNarrowest {
		r.halve()
	}
	return r.narrowest.net
}

// halve tries the size in the middle of what is not known.
func (r *room) halve() {
	n := r.narrowest
	size := (n.lo + n.hi) / 2
	if box, err := panels.Plan(r.sized(size)); err == nil && box.NetVolume > 0 && shortfall(box) <= r.shortfall {
		n.hi, n.net = size, box.NetVolume
	} else {
		n.lo = size
	}
}

// An outside is a prism across the width.
type outside struct {
	section     plane.Polygon
	left, width float64
}

// Corners of a section nearer than cleanNear to another, m, or turning by less than cleanTurn, rad, are measuring noise.
const (
	cleanNear = 0.01e-3
	cleanTurn = 0.5 * math.Pi / 180
)

// solid is the outside as a body; nil where it is none.
func (o outside) solid() *solid.Solid {
	s, err := solid.Straight(o.section.CCW().Clean(cleanNear, cleanTurn), solid.Across, o.left, o.left+o.width)
	if err != nil {
		return nil
	}
	return s
}

// inUnits is an error whose sentence is in the job's units where the wood made it.
func (p *plant) inUnits(err error) error {
	var b *panels.BuildError
	if errors.As(err, &b) {
		return &inUnits{b.Text(p.req.Units), err}
	}
	return err
}

// inUnits is the sentence with the error that it is about.
type inUnits struct {
	text string
	err  error
}

func (e *inUnits) Error() string { return e.text }
func (e *inUnits) Unwrap() error { return e.err }

// spec is a sealed box of the given outside, as the job wants it made.
func (p *plant) spec(o outside) panels.Spec {
	frame := p.req.Frame
	frame.Excursion = math.Max(frame.Excursion, p.set.Xmax)
	return panels.Spec{
		Outside: o.solid(), Wood: p.req.Wood, Corners: p.req.Corners,
		Face: p.req.Mount.Face, Driver: frame, Count: max(1, p.req.Mount.Count), Mounting: p.req.Mount.Mounting,
		Brace: panels.BraceRule{Lowest: p.braceBelow()}, Hardware: panels.Hardware{Terminal: true, Plate: p.req.Terminal, Fixings: p.req.Fixings},
		Shop: panels.Shop{RoundTo: p.req.Saw.RoundTo, InchThreads: p.req.Units == unit.Inch,
			Saw: panels.Saw{Depth: p.req.Saw.Depth, DepthAt45: p.req.Saw.DepthAt45, MaxTilt: p.req.Saw.MaxTilt}},
	}
}

// braceBelow is the plate resonance under which a panel is braced: what the job says, or twice the low-pass (common
// practice); without either nothing is braced.
func (p *plant) braceBelow() float64 {
	if p.req.Limits.Panels > 0 {
		return p.req.Limits.Panels
	}
	return 2 * p.lowPass
}

// realise makes a candidate in wood: the size that gives its net volume, and the port length that tunes what is left,
// to a fixed point. Where braces come and go with the size there may be none that gives the volume exactly; then the
// size stays where it is after a few rounds and only the port follows the air.
func (h *hunt) realise(c candidate, at int) (*Design, error) {
	r := &h.rooms[at]
	size, length := r.sizeFor(c.volume+c.taken), c.length
	port, wide := c.duct, 0.0
	for round := range mostRounds {
		made := h.roundSize(size, r)
		spec := r.sized(made)
		if c.vented() {
			spec.Port = port.wood(length)
			spec.Port.Flange = h.req.Flange
		}
		box, err := panels.Plan(spec)
		if err != nil {
			return nil, h.explain(err, length)
		}
		if box.NetVolume <= 0 {
			return nil, fmt.Errorf("no fixed point: a port of %s swallows the box", h.length(length))
		}
		if round < sizeRounds {
			size += (c.volume - box.NetVolume) / r.sizing.perSize(made)
		}
		settled := h.roundSize(size, r) == made
		if !c.vented() {
			if settled {
				return h.finish(c, port, at, spec, 0, [2]float64{})
			}
			continue
		}
		seat := box.Ports[0]
		wide = max(wide, seat.WidePort)
		if seat.Width > 0 {
			port.width = seat.Width // a slot about as wide as the box is made just as wide
		}
		ends := port.ends(seat.InnerSection)
		tuned, ok := thielesmall.PortLength(h.air, box.NetVolume, c.fb, port.area(), port.count, ends[0]+ends[1])
		if !ok {
			return nil, fmt.Errorf("no fixed point: the opening alone tunes %s below %.1f Hz", h.volume(box.NetVolume), c.fb)
		}
		if settled && math.Abs(tuned-length) < lengthSlack {
			d, err := h.finish(c, port, at, spec, length, ends)
			if err == nil {
				d.widePort = wide
			}
			return d, err
		}
		length = tuned
	}
	return nil, fmt.Errorf("no fixed point: every lengthening of the port takes the air that asked for it")
}

// The finest steps that are printed, in metres.
const (
	finestMetric = 0.1e-3
	finestInch   = inch / 32
)

// volumeWithin is how near to a single net volume wished for the box comes, relative.
const volumeWithin = 0.001

// roundSize gives the buildable size nearest to the wanted one, at most what the room has: on the saw's step, or a half, a
// quarter ... of it where one volume is wished for and a whole step would miss it.
func (h *hunt) roundSize(want float64, r *room) float64 {
	step, most := h.req.Saw.RoundTo, r.sizing.full
	if want >= most {
		return most
	}
	if step <= 0 {
		return want
	}
	if v := h.req.Limits.Volume; v[0] > 0 && v[0] == v[1] {
		finest := finestMetric
		if h.req.Units == unit.Inch {
			finest = finestInch
		}
		for step/2*r.sizing.perSize(want) > volumeWithin*v[0] && step/2 >= finest*(1-slack) {
			step /= 2
		}
	}
	return math.Min(most, math.Round(want/step)*step)
}

// explain turns a refusal of the wood into what the search can use.
func (h *hunt) explain(err error, length float64) error {
	var b *panels.BuildError
	if errors.As(err, &b) && b.Reach.Most > 0 && b.Reach.Most < length {
		err = &portTooLong{want: length, most: b.Reach.Most, err: err}
	}
	if h.brief {
		return err
	}
	return h.inUnits(err)
}
