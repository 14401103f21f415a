package panels

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"cubby/internal/unit"
)

// planWithSlot tries the slot's berths in turn. When it goes into none, the refusal is that of the one where it could be longest.
func planWithSlot(s Spec) (*maker, error) {
	names := Names(s.Section)
	probe := &maker{Spec: s}
	var worst error = &BuildError{Reason: NoPort, Panel: s.Port.Face,
		Text: "the slot finds no place: its mouth has to be at the joint with a wall that the driver is not on"}
	var tight, bare *maker
	var whys []refusal
	for _, b := range probe.berths(names) {
		m, err := s.planAt(b)
		var why *BuildError
		switch {
		case errors.As(err, &why):
			whys = append(whys, refusal{why, b})
		case err != nil:
		case !m.clearOfDriver():
			if tight == nil {
				tight = m // the slot is in the driver's way: only if nothing better comes
			}
		case m.lacksTerminal():
			if bare == nil {
				bare = m // and likewise of the terminal's
			}
		default:
			return m.noteWidest(whys), nil
		}
	}
	if bare != nil {
		return bare.noteWidest(whys), nil
	}
	if tight != nil {
		return tight.noteWidest(whys), nil
	}
	slices.SortStableFunc(whys, func(a, b refusal) int { return -cmp.Compare(a.why.LongestPort, b.why.LongestPort) })
	longest := -1.0
	for _, r := range whys {
		if r.why.LongestPort <= longest {
			break
		}
		if r.why.Reason == NoAir {
			r.why.begins = s.begins(r.berth)
		}
		r.why.leaveAir(s.Units, longest, func(length float64) bool {
			_, err := s.withPort(length).planAt(r.berth)
			return err == nil
		})
		if r.why.LongestPort > longest {
			worst, longest = r.why, r.why.LongestPort
		}
	}
	return nil, worst
}

// begins are where the stretches of lengths that can be placed in a berth begin, as the refusal of one that is too long has them.
func (s Spec) begins(b berth) []float64 {
	var why *BuildError
	if _, err := s.withPort(longestSide).planAt(b); errors.As(err, &why) {
		return why.begins
	}
	return nil
}

// A refusal is why a slot does not go into one berth.
type refusal struct {
	why   *BuildError
	berth berth
}

// noteWidest notes how long a slot that is narrower than it was asked for might be where it would be as wide, by why it did
// not go there.
func (m *maker) noteWidest(whys []refusal) *maker {
	if m.slot.clear >= m.Port.Width-rounding {
		return m
	}
	for _, r := range whys {
		a, b := ends(m.wrap.inside, r.berth.floor)
		if r.berth.mouth >= 0 || b.Sub(a).Norm() > m.Port.Width {
			m.box.WidePort = math.Max(m.box.WidePort, r.why.LongestPort)
		}
	}
	return m
}

// planAt plans the box with the slot in one berth, where it runs over no fixing point.
func (s Spec) planAt(b berth) (*maker, error) {
	m, err := planWith(s, newSlot(s, b), 0)
	if err != nil {
		return nil, err
	}
	return m, m.blocked()
}

func newSlot(s Spec, b berth) *slot {
	return &slot{berth: b, turn: -1, h: s.Port.Height, t: s.Wood.Thickness}
}

// leaveAir shortens the longest port of a refusal to one that leaves air in the box; goes tells whether one of a given length
// does. Lengths up to least are not looked at.
func (e *BuildError) leaveAir(u unit.System, least float64, goes func(length float64) bool) {
	const (
		near  = sameSize
		fine  = 0.1e-3 // how closely the longest is looked for where it has to be
		tries = 64     // a slot too short to bend may be too long to be straight, so the lengths that go in may have gaps
	)
	if e.LongestPort <= 0 || e.sure || goes(e.LongestPort-near) {
		return
	}
	at := make([]float64, 0, tries+len(e.begins))
	for k := 1; k < tries; k++ {
		at = append(at, e.LongestPort*float64(k)/tries)
	}
	for _, b := range e.begins {
		if b += near; b < e.LongestPort {
			at = append(at, b)
		}
	}
	slices.Sort(at)
	lo, hi := 0.0, e.LongestPort
	for k := len(at) - 1; k >= 0 && lo == 0 && hi > least; k-- {
		if goes(at[k]) {
			lo = at[k]
		} else {
			hi = at[k]
		}
	}
	for lo > 0 && hi-lo > fine {
		if mid := (lo + hi) / 2; goes(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	e.LongestPort = lo
	switch {
	case e.Reason != NoPort || e.Limit == 0: // its words name no length
	case lo > 0:
		e.Text += "; with air left in the box, " + unit.FormatLength(lo, u)
	default:
		e.Text += "; but then no air is left in the box"
	}
}

// withPort is the same box with a port of the given length.
func (s Spec) withPort(length float64) Spec {
	port := *s.Port
	port.Length = length
	s.Port = &port
	return s
}

// roomy reports whether ports of so much volume leave air in the box beyond doubt, whatever braces it takes.
func (m *maker) roomy(ports float64) bool {
	const share = 0.5 // of the air, without the ports
	air := m.box.InsideVolume - float64(m.Count)*m.Driver.Displacement - m.cupVolume()
	for _, l := range m.layers {
		air -= l.volume()
	}
	return ports < share*air && len(m.cleats) == 0
}
