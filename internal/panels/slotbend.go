package panels

import (
	"math"

	"cubby/internal/plane"
)

// bends reports whether the slot may turn along a wall: the one after its floor, at a convex corner.
func (m *maker) bends(wall int) bool {
	n, a := len(m.wrap.names), m.slot.floor
	if wall < 0 || wall == m.slot.mouth || wall == m.loose {
		return false
	}
	if m.slot.mouth == (a+1)%n {
		return wall == (a+n-1)%n && m.wrap.corners[a].convex()
	}
	return wall == (a+1)%n && m.wrap.corners[wall].convex()
}

// A bend is how a slot turns along the wall s.turn: the lengths that it can have, and its turning point.
type bend struct {
	reachable
	mid    plane.Point // where the centre line turns
	up     plane.Point // its direction from there
	first  float64     // from the start to the turn
	room   float64     // from the turn to what faces it
	facing string
}

// bend works out the bend along the wall s.turn; ok is false where no slot can turn.
func (m *maker) bend() (k bend, ok bool) {
	s, a, b := m.slot, m.slot.floor, m.slot.turn
	if k.mid, ok = m.wrap.inn[a].Offset(s.h / 2).Meet(m.wrap.inn[b].Offset(s.h / 2)); !ok {
		return k, false
	}
	k.up = m.wrap.u[b]
	if m.backwards() {
		k.up = k.up.Mul(-1)
	}
	k.first = k.mid.Sub(s.start).Dot(s.v)
	k.room, k.facing, _ = m.along(m.wrap.inn[b], k.up, k.mid, s.h)
	// the first board runs from the mouth's wall to the turn, under what stands over it
	far := math.Inf(-1)
	for _, o := range [...]float64{0, s.h, s.h + s.t} {
		p, ok1 := m.wrap.inn[s.mouth].Meet(m.wrap.inn[a].Offset(o))
		q, ok2 := m.wrap.inn[b].Offset(s.h + s.t).Meet(m.wrap.inn[a].Offset(o))
		r, ok3 := m.wrap.inn[b].Offset(s.h).Meet(m.wrap.inn[a].Offset(o))
		if !ok1 || !ok2 || !ok3 {
			return k, false
		}
		from := p.Sub(s.start).Dot(s.v)
		if math.Min(q.Sub(s.start).Dot(s.v), r.Sub(s.start).Dot(s.v))-from < leastRoof {
			return k, false
		}
		far = math.Max(far, r.Sub(s.start).Dot(s.v))
	}
	if m.ahead(a, s.v, s.start, s.mouth, b) < far {
		return k, false
	}
	least := s.h/2 + s.t + leastRoof
	for _, o := range [...]float64{0, s.h, s.h + s.t} {
		for _, l := range [...]plane.Line{m.wrap.inn[a], m.wrap.inn[a].Offset(s.h + s.t)} {
			p, ok := l.Meet(m.wrap.inn[b].Offset(o))
			if !ok {
				return k, false
			}
			least = math.Max(least, p.Sub(k.mid).Dot(k.up)+leastRoof)
		}
	}
	board := m.ahead(b, k.up, k.mid, a)
	k.reachable = reachable{k.first + least, k.first + math.Min(k.room-slotWanted*s.h, board), k.first + math.Min(k.room-slotAir*s.h, board)}
	return k, k.most >= k.least
}

// bentSlot lays a slot with a bend.
func (m *maker) bentSlot(k bend) error {
	s, a, b := m.slot, m.slot.floor, m.slot.turn
	second := m.Port.Length - k.first
	end := plane.Line{N: k.up, C: k.mid.Add(k.up.Mul(second)).Dot(k.up)}
	one, err1 := m.roof(a, m.wrap.inn[s.mouth], m.wrap.inn[b].Offset(s.h), s.v)
	two, err2 := m.roof(b, m.wrap.inn[a].Offset(s.h+s.t), end, k.up)
	whole, err3 := m.roof(b, m.wrap.inn[a], end, k.up) // with the bend itself, for the air that it takes
	foot, err4 := m.roof(a, m.wrap.inn[s.mouth], m.wrap.inn[b].Offset(s.h+s.t), s.v)
	for _, err := range []error{err1, err2, err3, err4} {
		if err != nil {
			return err
		}
	}
	one.channel, two.channel = foot.channel, whole.channel
	s.roofs, s.legs, s.free, s.facing = []roof{one, two}, []float64{k.first, second}, k.room-second, k.facing
	s.area = math.Abs(foot.channel.Area()) + math.Abs(whole.channel.Area())
	m.endSlot(k.mid.Add(k.up.Mul(second)), m.wrap.inn[b].N)
	return nil
}
