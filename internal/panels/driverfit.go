package panels

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

const (
	basketAir  = 5e-3  // air kept beside a basket (common practice)
	thinnest   = 12e-3 // board below which we do not advise a thinner wall (common practice)
	shiftTries = 8     // places tried to each side of the middle of a face
)

// profile is what a driver's basket shows from the side, in the frame (y, depth) of its face: a cone from the opening to the
// magnet, which it reaches at basketShare of the depth. The magnet's cylinder is what the depth behind the driver is for.
func (m *maker) profile(y float64) (plane.Polygon, bool) {
	cut, known := m.Driver.cutout()
	depth, t := m.sunk(), m.seat.t
	if !known || depth <= t || m.seat.end >= 0 {
		return nil, false
	}
	wide, narrow := cut/2, math.Min(m.Driver.magnet(), cut)/2
	neck := math.Max(m.neck(), t)
	return plane.Polygon{{X: y - wide, Y: t}, {X: y + wide, Y: t}, {X: y + narrow, Y: neck}, {X: y - narrow, Y: neck}}, true
}

// beside is the least air between the driver's profile and the other walls and the slot, and what is there; negative by how
// far it would stand in them. It is exact, since walls and slot run along the whole width. An end has no sloping walls
// beside it: there the frame's room is enough, and beside gives +Inf.
func (m *maker) beside(y float64) (air float64, what string) {
	air = math.Inf(1)
	body, ok := m.profile(y)
	if !ok {
		return air, what
	}
	f := m.seat
	closer := func(g plane.Polygon, skip int, name func(int) string) {
		for j := range g {
			if j == skip {
				continue
			}
			a, b := g[j], g[(j+1)%len(g)]
			for i := range body {
				if d := apart(body[i], body[(i+1)%len(body)], a, b); d < air {
					air, what = d, name(j)
				}
			}
		}
	}
	closer(f.inside, f.wall, func(j int) string { return m.wrap.names[j] })
	for _, b := range m.bodies {
		if b.name == "slot" {
			closer(f.local(b.area), -1, func(int) string { return "slot" })
		}
	}
	if deepest := m.outside(body); deepest > rounding {
		air = -deepest
	}
	return air, what
}

// outside is how far the profile stands out of the inside of the box, at its corners.
func (m *maker) outside(body plane.Polygon) float64 {
	deepest := 0.0
	for _, p := range body {
		if p.Y > m.seat.t+rounding && !m.seat.inside.Contains(p) {
			deepest = math.Max(deepest, m.seat.inside.Distance(p))
		}
	}
	return deepest
}

// local turns an area of the section plane into the frame (y, depth) of a wall.
func (f *face) local(area plane.Polygon) plane.Polygon {
	o := plane.Point{X: f.place.Origin[1], Y: f.place.Origin[2]}
	up := plane.Point{X: f.place.Y[1], Y: f.place.Y[2]}
	in := plane.Point{X: up.Y, Y: -up.X}
	out := make(plane.Polygon, len(area))
	for i, p := range area {
		out[i] = plane.Point{X: p.Sub(o).Dot(up), Y: p.Sub(o).Dot(in)}
	}
	return out
}

// apart is the distance between the segments ab and cd; 0 when they cross.
func apart(a, b, c, d plane.Point) float64 {
	u, v := b.Sub(a), d.Sub(c)
	if u.Cross(c.Sub(a))*u.Cross(d.Sub(a)) < 0 && v.Cross(a.Sub(c))*v.Cross(b.Sub(c)) < 0 {
		return 0
	}
	return math.Min(math.Min(offSegment(a, c, d), offSegment(b, c, d)), math.Min(offSegment(c, a, b), offSegment(d, a, b)))
}

func offSegment(p, a, b plane.Point) float64 {
	u := b.Sub(a)
	long := u.Dot(u)
	if long == 0 {
		return p.Sub(a).Norm()
	}
	k := math.Min(math.Max(p.Sub(a).Dot(u)/long, 0), 1)
	return p.Sub(a.Add(u.Mul(k))).Norm()
}

// moveDriver moves the drivers up or down their face when there is too little room behind or beside them in its middle, as
// little as gives enough, or to where least is missing.
func (m *maker) moveDriver() {
	f := m.seat
	if f.end >= 0 || m.Driver.Depth <= 0 {
		return
	}
	half := m.flange()/2 + frameWood
	mid := m.box.DriverSeat.Centres[0].Y
	missing := func(shift float64) float64 {
		depth, _ := m.reach(f, m.box.DriverSeat.Centres[0].X, mid+shift, m.Driver.magnet()/2, false)
		air, _ := m.beside(mid + shift)
		return math.Max(m.sunk()+m.Driver.air()-depth, 0) + math.Max(basketAir-air, 0)
	}
	others := m.bodies
	m.bodies = nil
	best, least := 0.0, missing(0)
	up, down := math.Max(f.free.Max.Y-half-mid, 0), math.Min(f.free.Min.Y+half-mid, 0)
	for k := 1; k <= shiftTries && least > 0; k++ {
		for _, end := range [...]float64{up, down} {
			shift := end * float64(k) / shiftTries
			if short := missing(shift); short < least-sameSize {
				best, least = shift, short
			}
		}
	}
	m.bodies = others
	if best != 0 {
		f.shift = best
		if m.seatDrivers(0) != nil { // cannot be: the frame stays within the face
			f.shift = 0
			_ = m.seatDrivers(0)
		}
	}
}

// checkBasket verifies that the driver's basket clears what is beside it.
func (m *maker) checkBasket() {
	const name = "basket clear of the walls"
	air, what, l := math.Inf(1), "", m.wrap.length
	for _, c := range m.box.DriverSeat.Centres {
		if a, w := m.beside(c.Y); a < air {
			air, what = a, w
		}
	}
	if math.IsInf(air, 1) {
		return
	}
	const taken = "the basket, taken as a cone from the opening to the magnet,"
	if air <= 0 {
		m.add(name, Fail, air, basketAir, "m", "%s would touch the %s%s", taken, what, m.instead())
		return
	}
	m.add(name, grade(air, basketAir, 0), air, basketAir, "m", "%s clears the %s by %s; %s is wanted", taken, what, l(air), l(basketAir))
}

// instead names the faces that would take the drivers, with the room behind each; empty when there is none.
func (m *maker) instead() string {
	others := m.bodies
	m.bodies = nil
	defer func() { m.bodies = others }()
	var can []string
	for _, name := range []string{"front", "top", "back", "bottom", leftEnd, rightEnd} {
		wall, end, err := m.resolve(name, m.Section, m.wrap.names)
		if err != nil || wall == m.seat.wall && end == m.seat.end {
			continue
		}
		f := m.faceOf(wall, end)
		centres, room := f.spread(m.Count, 0, m.flange())
		if room < m.flange()/2+frameWood {
			continue
		}
		depth, _ := m.reach(f, centres[0].X, centres[0].Y, m.Driver.magnet()/2, false)
		if depth >= m.sunk()+m.Driver.air() {
			can = append(can, fmt.Sprintf("the %s (%s deep behind it)", f.name, m.wrap.length(depth)))
		}
	}
	if len(can) == 0 {
		return ""
	}
	return "; it would go on " + unit.Either(can)
}

// deeper says the smallest changes that give the depth that is missing behind the driver.
func (m *maker) deeper(depth float64, behind string) string {
	if m.Mute {
		return ""
	}
	l := m.wrap.length
	short := m.Driver.Depth - depth
	text := fmt.Sprintf("; %s is missing: a box that much larger there would do, or a driver no deeper than %s", l(short), l(depth))
	for i, n := range m.wrap.names {
		if n == behind && m.wrap.t[i]-short >= thinnest {
			text += fmt.Sprintf(", or a %s no thicker than %s", n, l(m.wrap.t[i]-short))
		}
	}
	return text + m.instead()
}

// frameRefused says that the frame does not go on its face, and the smallest change that would do.
func (m *maker) frameRefused(room float64) error {
	f, l, need := m.seat, m.wrap.length, m.flange()
	if m.Mute {
		return &BuildError{Reason: NoFrame, Panel: f.name, Value: 2 * room, Limit: need}
	}
	between, glued := "joints", ""
	if len(m.cleats) > 0 {
		between, glued = "cleats of the removable face", fmt.Sprintf("; glued, the face has %s more", l(2*cleatFace))
	}
	text := fmt.Sprintf("the driver's frame of %s does not go on the %s: between the %s there is room for %s%s%s",
		l(need), f.name, between, l(math.Max(2*room, 0)), plural(m.Count), glued)
	if f.wall >= 0 {
		n := len(m.wrap.names)
		var changes []string
		if short := need - (f.free.Max.Y - f.free.Min.Y); short > rounding {
			changes = append(changes, fmt.Sprintf("%s more between %s and %s", l(short), m.wrap.names[(f.wall+n-1)%n], m.wrap.names[(f.wall+1)%n]))
		}
		wide := need
		if m.Count > 1 {
			wide = float64(m.Count) * (need + frameGap)
		}
		if short := wide - (f.free.Max.X - f.free.Min.X); short > rounding {
			changes = append(changes, fmt.Sprintf("a box %s wider", l(short)))
		}
		if len(changes) > 0 {
			text += "; " + strings.Join(changes, " and ") + " would do"
		}
	}
	return &BuildError{Reason: NoFrame, Panel: f.name, Value: 2 * room, Limit: need, Text: text + m.instead()}
}
