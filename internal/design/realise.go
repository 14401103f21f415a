package design

import (
	"errors"
	"fmt"
	"math"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
)

// Tolerances of the loop between volume, port length and width.
const (
	lengthSlack = 1e-6 // m, a micrometre of port
	widthRounds = 8    // after which the width stays; without braces it is found in two
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
// in place, and the net air that each would hold. A box shrinks in width first; where the driver needs more width than
// so little air leaves it, shallower boxes of the simplest shape are offered after all the others.
func (p *plant) rooms(shapes []cavity.Shape) (rooms []room, problems []error) {
	for i, s := range shapes {
		r, err := p.newRoom(i, s.Section)
		if err != nil {
			problems = append(problems, fmt.Errorf("%s: %w", s.Kind, err))
			continue
		}
		rooms = append(rooms, r)
	}
	if len(rooms) == 0 {
		return rooms, problems
	}
	simplest := rooms[0]
	for _, share := range []float64{0.8, 0.65, 0.5, 0.4} {
		for _, g := range shallower(simplest.spec.Section, share, p.req.Mount.Face == "back") {
			if r, err := p.newRoom(simplest.index, g); err == nil && r.shortfall <= simplest.shortfall {
				r.shallower = true
				rooms = append(rooms, r)
			}
		}
	}
	return rooms, problems
}

// shallower cuts a section to a share of its depth: away from the back, or from the front when the driver faces the back.
func shallower(g plane.Polygon, share float64, keepBack bool) []plane.Polygon {
	b := g.Bounds()
	depth := (b.Max.X - b.Min.X) * share
	if keepBack {
		x := b.Max.X - depth
		return g.ClipHalfPlane(plane.LineThrough(plane.Point{X: x, Y: 1}, plane.Point{X: x, Y: 0}))
	}
	x := b.Min.X + depth
	return g.ClipHalfPlane(plane.LineThrough(plane.Point{X: x, Y: 0}, plane.Point{X: x, Y: 1}))
}

func (p *plant) newRoom(index int, section plane.Polygon) (room, error) {
	s, step := p.shapes[index], p.req.Saw.RoundTo
	section, note := roundSection(section, step)
	r := room{index: index, bevels: bevels(section), notes: s.Notes, spec: p.spec(section, s.Left, floorTo(s.Width, step))}
	if note != "" {
		r.notes = append(r.notes[:len(r.notes):len(r.notes)], note)
	}
	box, err := panels.Build(r.spec)
	if err != nil {
		return r, err
	}
	if box.NetVolume <= 0 {
		return r, errors.New("wood and driver take all the air inside")
	}
	r.netAtFull, r.perWidth, r.outsideArea = box.NetVolume, box.Inside.Area(), box.Section.Area()
	r.shortfall = shortfall(box)
	r.netAtLeast = r.leastNet()
	return r, nil
}

// shortfall counts what a box's own checks find wanting; a failed check counts more than any number of marginal ones.
func shortfall(b *panels.Box) int {
	const failed = 100
	n := 0
	for _, c := range b.Checks {
		switch c.Status {
		case panels.Marginal:
			n++
		case panels.Fail:
			n += failed
		}
	}
	return n
}

// leastNet is the net air of the narrowest box that takes the driver as well as the widest does, to a millimetre.
func (r room) leastNet() float64 {
	const near = 0.001 // m
	spec, net := r.spec, r.netAtFull
	lo, hi := 0.0, r.spec.Width
	for hi-lo > near {
		spec.Width = (lo + hi) / 2
		if box, err := panels.Build(spec); err == nil && box.NetVolume > 0 && shortfall(box) <= r.shortfall {
			hi, net = spec.Width, box.NetVolume
		} else {
			lo = spec.Width
		}
	}
	return net
}

// spec is a sealed box of the given outside, as the job wants it made.
func (p *plant) spec(section plane.Polygon, left, width float64) panels.Spec {
	frame := p.req.Frame
	frame.Excursion = math.Max(frame.Excursion, p.set.Xmax)
	return panels.Spec{
		Section: section, Left: left, Width: width, Wood: p.req.Wood, Corners: p.req.Corners,
		Face: p.req.Mount.Face, Driver: frame, Count: max(1, p.req.Mount.Count),
		Brace: panels.BraceRule{Lowest: p.braceBelow()}, Terminal: true, RoundTo: p.req.Saw.RoundTo, Units: p.req.Units,
		Saw: panels.Saw{Depth: p.req.Saw.Depth, DepthAt45: p.req.Saw.DepthAt45, MaxTilt: p.req.Saw.MaxTilt},
	}
}

// braceBelow is the plate resonance under which a wall is braced: twice the low-pass (common practice); without a
// stated low-pass nothing is braced.
func (p *plant) braceBelow() float64 { return 2 * p.lowPass }

// realise makes a candidate in wood: the width that gives its net volume, and the port length that tunes what is left,
// to a fixed point. Where braces come and go with the width there may be no width that gives the volume exactly; then the
// width stays where it is after a few rounds and only the port follows the air.
func (h *hunt) realise(c candidate, at int) (*Design, error) {
	r := h.rooms[at]
	spec := r.spec
	width, length := r.widthFor(c.volume+c.taken), c.length
	for round := range mostRounds {
		spec.Width = h.roundWidth(width, r.spec.Width)
		spec.Left = r.spec.Left + (r.spec.Width-spec.Width)/2
		if c.kind == Vented {
			spec.Port = c.duct.wood(length)
		}
		box, err := panels.Build(spec)
		if err != nil {
			return nil, h.explain(err, length)
		}
		if box.NetVolume <= 0 {
			return nil, fmt.Errorf("no fixed point: a port of %s swallows the box", h.length(length))
		}
		if round < widthRounds {
			width += (c.volume - box.NetVolume) / r.perWidth
		}
		settled := h.roundWidth(width, r.spec.Width) == spec.Width
		if c.kind == Sealed {
			if settled {
				return h.finish(c, at, box, 0, [2]float64{})
			}
			continue
		}
		seat := box.PortSeats[0]
		if seat.Width > 0 {
			c.duct.width = seat.Width // a slot about as wide as the box is made just as wide
		}
		ends := c.duct.ends(seat.InnerSection)
		tuned, ok := thielesmall.PortLength(h.air, box.NetVolume, c.fb, c.duct.area(), c.duct.count, ends[0]+ends[1])
		if !ok {
			return nil, fmt.Errorf("no fixed point: the opening alone tunes %s below %.1f Hz", h.volume(box.NetVolume), c.fb)
		}
		if settled && math.Abs(tuned-length) < lengthSlack {
			return h.finish(c, at, box, length, ends)
		}
		length = tuned
	}
	return nil, fmt.Errorf("no fixed point: every lengthening of the port takes the air that asked for it")
}

// roundWidth gives the buildable width nearest to the wanted one, at most what the room has.
func (h *hunt) roundWidth(want, most float64) float64 {
	step := h.req.Saw.RoundTo
	if want >= most {
		return most
	}
	if step <= 0 {
		return want
	}
	return math.Min(most, math.Round(want/step)*step)
}

// explain turns a refusal of the wood into what the search can use.
func (h *hunt) explain(err error, length float64) error {
	var b *panels.BuildError
	if errors.As(err, &b) && b.LongestPort > 0 && b.LongestPort < length {
		return &portTooLong{want: length, most: b.LongestPort, err: err}
	}
	return err
}
