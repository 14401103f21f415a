package panels

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
)

// Distances of tubes (common practice).
const (
	tubeWall      = 3e-3  // wall of a tube whose outside is not stated
	tubeWood      = 20e-3 // least wood between a tube's hole and a joint line, or 0.15 of the outside diameter
	tubeWoodShare = 0.15
	tubeFrame     = 15e-3 // least wood between a tube's hole and the driver's frame
	tubeSide      = 5e-3  // least air beside a tube inside the box
	tubeStraight  = 5e-3  // straight piece between the board and an elbow
	holeOver      = 0.5e-3
	saddleOver    = 300e-3 // tubes longer than this are held, and those with an elbow
	saddleFromEnd = 80e-3
	clearMouth    = 1.0 // air before the inner mouth, diameters: wanted
	leastMouth    = 0.5 // and the least
)

// tube is a port of round tube as placed.
type tube struct {
	seat   PortSeat
	face   *face
	od     float64
	bodies []solid
	mouth  solid // the air before the inner mouth that is to be kept clear of braces
}

// outside is the outside diameter of the tube.
func (p *Port) outside() float64 {
	if p.Outside > p.Bore {
		return p.Outside
	}
	return p.Bore + 2*tubeWall
}

// margin is the least distance from a tube's centre to a joint line.
func (p *Port) margin() float64 {
	od := p.outside()
	return od/2 + math.Max(math.Max(tubeWood, tubeWoodShare*od), p.Flange.Rim+flangeEdge)
}

// pitch is the distance between the centres of two tubes side by side.
func (p *Port) pitch() float64 {
	return p.outside() + math.Max(math.Max(tubeWood, p.Bore/2), 2*p.Flange.Rim+flangeEdge)
}

// named numbers the bodies of the tube i of n.
func (t tube) named(i, n int) tube {
	if n > 1 {
		for k := range t.bodies {
			t.bodies[k].name = fmt.Sprintf("port %d", i+1)
		}
	}
	return t
}

// attempt is one way of placing all the tubes, and how long they could be there.
type attempt struct {
	tubes              []tube
	longest, longClear float64
	reserve            float64 // strip of the driver's face that the drivers were moved out of
}

func (a *attempt) better(b *attempt) bool { return b == nil || a.longClear > b.longClear+rounding }

// planPorts places the port, if there is one.
func (m *maker) planPorts() error {
	if m.Port == nil {
		return nil
	}
	if m.Port.Bore <= 0 {
		if err := m.planSlot(); err != nil {
			return err
		}
		return m.slotClearOfCleats()
	}
	var best *attempt
	for _, f := range m.portFaces() {
		if f == nil {
			return &BuildError{Reason: NoFace, Panel: m.Port.Face, Text: fmt.Sprintf("the box has no face %q for the port", m.Port.Face)}
		}
		for _, a := range m.attempts(f) {
			if a.better(best) {
				best = a
			}
			if a.longClear < m.Port.Length-rounding {
				continue
			}
			if m.skip == 0 {
				return m.take(a)
			}
			m.skip--
		}
	}
	if best != nil && best.longest >= m.Port.Length-rounding && m.skip == 0 {
		return m.take(best)
	}
	return m.portError(best)
}

func (m *maker) portError(best *attempt) error {
	e := &BuildError{Reason: NoPort, Panel: m.Port.Face, Value: m.Port.Length}
	each := ""
	if m.Port.Count > 1 {
		each = " each"
	}
	what := fmt.Sprintf("the port (%s of %s bore, %s long%s)", counted(max(m.Port.Count, 1), "tube"), m.wrap.length(m.Port.Bore), m.wrap.length(m.Port.Length), each)
	if best == nil || best.longest <= 0 {
		e.Text = what + " finds no place: " + m.noHole()
		return e
	}
	e.LongestPort = best.longest
	e.Limit = best.longest
	e.sure = m.roomy(float64(max(m.Port.Count, 1)) * math.Pi / 4 * m.Port.outside() * m.Port.outside() * best.longest)
	e.Text = fmt.Sprintf("%s does not go into the box: the longest that does, with half a diameter of air before its inner end, is %s",
		what, m.wrap.length(best.longest))
	return e
}

// noHole says why no mouth could be cut.
func (m *maker) noHole() string {
	where := "no face has"
	if m.Port.Face != "" {
		where = fmt.Sprintf("the %s does not have", m.Port.Face)
	}
	return fmt.Sprintf("%s room for its hole and the air behind it; the hole's edge wants %s of wood to every joint and %s to a driver's frame",
		where, m.wrap.length(m.Port.margin()-m.Port.outside()/2), m.wrap.length(tubeFrame))
}

// portFaces lists the faces to try, best first: the driver's, since there is air in front of it, then the others.
func (m *maker) portFaces() []*face {
	if m.Port.Face != "" {
		wall, end, err := m.resolve(m.Port.Face, m.Section, m.wrap.names)
		if err != nil {
			return []*face{nil}
		}
		if wall == m.seat.wall && end == m.seat.end {
			return []*face{m.seat}
		}
		return []*face{m.faceOf(wall, end)}
	}
	faces := []*face{m.seat}
	for _, name := range []string{"front", "left", "right", "top", "back"} {
		wall, end, err := m.resolve(name, m.Section, m.wrap.names)
		if err != nil || slices.ContainsFunc(faces, func(f *face) bool { return f.wall == wall && f.end == end }) {
			continue
		}
		faces = append(faces, m.faceOf(wall, end))
	}
	return faces
}

// attempts tries a face: straight tubes, then an elbow where the job allows one; on the driver's face also with the drivers
// moved aside.
func (m *maker) attempts(f *face) []*attempt {
	var all []*attempt
	n := max(m.Port.Count, 1)
	group := float64(n-1)*m.Port.pitch() + 2*m.Port.margin()
	reserves := []float64{0}
	if f == m.seat {
		reserves = append(reserves, group+tubeFrame-m.Port.margin()+m.Port.outside()/2)
	}
	for _, reserve := range reserves {
		if reserve > 0 && m.seatDrivers(reserve) != nil {
			break
		}
		before := len(all)
		for _, centres := range m.places(f, n) {
			all = m.tryPlaces(all, f, centres, reserve)
		}
		if len(all) > before {
			break // moving the drivers aside is only for want of room on the face
		}
	}
	if f == m.seat && len(reserves) > 1 {
		_ = m.seatDrivers(0) // known to fit
	}
	return all
}

func (m *maker) tryPlaces(all []*attempt, f *face, centres []plane.Point, reserve float64) []*attempt {
	if a := m.straight(f, centres); a != nil {
		a.reserve = reserve
		all = append(all, a)
	}
	if m.Port.Elbow && f.wall >= 0 {
		for _, a := range m.elbows(f, centres) {
			a.reserve = reserve
			all = append(all, a)
		}
	}
	return all
}

// take makes an attempt the port.
func (m *maker) take(a *attempt) error {
	if a.reserve > 0 {
		if err := m.seatDrivers(a.reserve); err != nil {
			return err
		}
	}
	m.ports = a.tubes
	for i := range m.ports {
		seat := &m.ports[i].seat
		if m.Port.Length > saddleOver || seat.Bend > 0 {
			seat.Saddle = saddleFromEnd
		}
		m.box.PortSeats = append(m.box.PortSeats, *seat)
		m.bodies = append(m.bodies, m.ports[i].bodies...)
	}
	return nil
}

// places gives sets of n mouth centres on a face: clear of joints, drivers' frames and each other.
func (m *maker) places(f *face, n int) [][]plane.Point {
	margin := m.Port.margin()
	r := f.free
	if r.Max.Y-r.Min.Y < 2*margin-rounding || r.Max.X-r.Min.X < 2*margin-rounding {
		return nil
	}
	var sets [][]plane.Point
	rows := []float64{(r.Min.Y + r.Max.Y) / 2, r.Min.Y + margin, r.Max.Y - margin}
	for i, y := range rows {
		if i > 0 && math.Abs(y-rows[0]) < 1e-3 {
			continue
		}
		if set := m.row(f, y, n); set != nil {
			sets = append(sets, set)
		}
	}
	return sets
}

// row places n mouths at height y of a face, in the widest gaps first, or gives nil.
func (m *maker) row(f *face, y float64, n int) []plane.Point {
	margin, pitch := m.Port.margin(), m.Port.pitch()
	gaps := m.gaps(f, y)
	var set []plane.Point
	for len(set) < n && len(gaps) > 0 {
		widest := 0
		for i, g := range gaps {
			if g[1]-g[0] > gaps[widest][1]-gaps[widest][0]+rounding {
				widest = i
			}
		}
		g := gaps[widest]
		gaps = slices.Delete(gaps, widest, widest+1)
		k := min(n-len(set), int(math.Floor((g[1]-g[0])/pitch+rounding))+1)
		for i := range k {
			x := (g[0]+g[1])/2 + (float64(i)-float64(k-1)/2)*pitch
			if f.shape != nil && f.room(x, y) < margin-rounding {
				continue
			}
			if slices.ContainsFunc(set, func(p plane.Point) bool { return math.Abs(p.X-x) < pitch-rounding }) {
				continue // narrow gaps on both sides of a driver
			}
			set = append(set, plane.Point{X: x, Y: y})
		}
	}
	if len(set) < n {
		return nil
	}
	return set
}

// gaps are the stretches of the face at height y where the centre of a mouth may lie.
func (m *maker) gaps(f *face, y float64) [][2]float64 {
	margin := m.Port.margin()
	gaps := [][2]float64{{f.free.Min.X + margin, f.free.Max.X - margin}}
	if f != m.seat {
		return gaps
	}
	away := m.flange()/2 + m.Port.outside()/2 + math.Max(tubeFrame, m.Port.Flange.Rim+flangeEdge)
	for _, c := range m.box.DriverSeat.Centres {
		dy := math.Abs(y - c.Y)
		if dy >= away {
			continue
		}
		dx := math.Sqrt(away*away - dy*dy)
		last := gaps[len(gaps)-1]
		gaps = gaps[:len(gaps)-1]
		if c.X-dx >= last[0] {
			gaps = append(gaps, [2]float64{last[0], c.X - dx})
		}
		if c.X+dx <= last[1] {
			gaps = append(gaps, [2]float64{c.X + dx, last[1]})
		}
		if len(gaps) == 0 {
			break
		}
	}
	return gaps
}

// straight places straight tubes at the given centres.
func (m *maker) straight(f *face, centres []plane.Point) *attempt {
	p := m.Port
	od := p.outside()
	a := &attempt{longest: math.Inf(1), longClear: math.Inf(1)}
	for i, c := range centres {
		depth, what := m.reach(f, c.X, c.Y, od/2, true)
		a.longest = math.Min(a.longest, depth-leastMouth*p.Bore)
		a.longClear = math.Min(a.longClear, depth-clearMouth*p.Bore)
		seat := PortSeat{Panel: f.name, Centre: c, Length: p.Length, Legs: []float64{p.Length},
			FreeEnd: depth - p.Length, Facing: what,
			InnerSection: m.sectionAt(f, p.Length) / float64(len(centres)),
			InsideVolume: math.Pi / 4 * od * od * math.Max(p.Length-f.t, 0)}
		body := f.block("port", c.X, c.Y, od/2, f.t, math.Max(p.Length, f.t))
		t := tube{seat: seat, face: f, od: od, bodies: []solid{body},
			mouth: f.block("port", c.X, c.Y, od/2, p.Length, p.Length+clearMouth*p.Bore)}
		a.tubes = append(a.tubes, t.named(i, len(centres)))
	}
	if f.wall < 0 || a.longest > f.t {
		return a
	}
	return nil
}

// sectionAt is the area of the box's section at a depth behind a face, square to the face; 0 when there is none.
func (m *maker) sectionAt(f *face, depth float64) float64 {
	if f.end >= 0 {
		return m.wrap.inside.Area()
	}
	total, n := 0.0, len(f.inside)
	for i := range f.inside {
		p, q := f.inside[i], f.inside[(i+1)%n]
		if (p.Y > depth) == (q.Y > depth) {
			continue
		}
		x := p.X + (q.X-p.X)*(depth-p.Y)/(q.Y-p.Y)
		if q.Y > p.Y {
			total -= x
		} else {
			total += x
		}
	}
	return math.Abs(total) * m.box.InsideWidth
}
