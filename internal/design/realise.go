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
	volumeSlack = 1e-4 // relative; a tenth of the 0.1 % that is promised
	lengthSlack = 1e-6 // m, a micrometre of port
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
// in place, and the net air that each would hold.
func (p *plant) rooms(shapes []cavity.Shape) (rooms []room, problems []error) {
	for i, s := range shapes {
		r := room{index: i, bevels: s.Bevels, notes: s.Notes}
		section, note := roundSection(s.Section, p.req.Saw.RoundTo)
		if note != "" {
			r.notes = append(r.notes[:len(r.notes):len(r.notes)], note)
		}
		r.spec = p.spec(section, s.Left, floorTo(s.Width, p.req.Saw.RoundTo))
		box, err := panels.Build(r.spec)
		if err != nil {
			problems = append(problems, fmt.Errorf("%s: %w", s.Kind, err))
			continue
		}
		r.netAtFull = box.NetVolume
		r.perWidth = box.Inside.Area()
		r.outsideArea = box.Section.Area()
		if r.netAtFull <= 0 {
			problems = append(problems, fmt.Errorf("%s: wood and driver take all the air inside", s.Kind))
			continue
		}
		rooms = append(rooms, r)
	}
	return rooms, problems
}

// spec is a sealed box of the given outside, as the job wants it made.
func (p *plant) spec(section plane.Polygon, left, width float64) panels.Spec {
	frame := p.req.Frame
	frame.Excursion = math.Max(frame.Excursion, p.set.Xmax)
	return panels.Spec{
		Section: section, Left: left, Width: width, Wood: p.req.Wood, Corners: p.req.Corners,
		Face: p.req.Mount.Face, Driver: frame, Count: max(1, p.req.Mount.Count),
		Brace: panels.BraceRule{Lowest: p.braceBelow()}, Terminal: true,
	}
}

// braceBelow is the plate resonance under which a wall is braced: twice the low-pass (common practice); without a
// stated low-pass nothing is braced.
func (p *plant) braceBelow() float64 { return 2 * p.lowPass }

// realise makes a candidate in wood: the width that gives its net volume, and the port length that tunes what is left,
// to a fixed point.
func (h *hunt) realise(c candidate, at int) (*Design, error) {
	r := h.rooms[at]
	spec := r.spec
	width, length := r.widthFor(c.volume+portDisplacement(c)), c.length
	section := 0.0 // of the box at the port's inner mouth
	var box *panels.Box
	for range mostRounds {
		spec.Width = h.roundWidth(width, r.spec.Width)
		spec.Left = r.spec.Left + (r.spec.Width-spec.Width)/2
		if c.kind == Vented {
			spec.Port = c.duct.wood(length)
		}
		var err error
		if box, err = panels.Build(spec); err != nil {
			return nil, h.explain(err, length)
		}
		if box.NetVolume <= 0 {
			return nil, fmt.Errorf("no fixed point: a port of %.0f mm swallows the box", length*1000)
		}
		next := width + (c.volume-box.NetVolume)/r.perWidth
		settled := h.roundWidth(next, r.spec.Width) == spec.Width
		width = next
		if c.kind == Sealed {
			if settled {
				return h.finish(c, at, box, 0, [2]float64{})
			}
			continue
		}
		if len(box.PortSeats) > 0 {
			section = box.PortSeats[0].InnerSection
		}
		ends := c.duct.ends(section)
		tuned, ok := thielesmall.PortLength(h.air, box.NetVolume, c.fb, c.duct.area(), c.duct.count, ends[0]+ends[1])
		if !ok {
			return nil, fmt.Errorf("no fixed point: the opening alone tunes %.1f l above %.1f Hz", box.NetVolume*1000, c.fb)
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
