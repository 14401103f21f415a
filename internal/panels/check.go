package panels

import (
	"fmt"
	"math"
	"strings"
)

// Limits of the checks; the marks say where they come from.
const (
	ventAir      = 25e-3 // behind a vented pole (common practice)
	leastVentAir = 12e-3 // the least that we would accept there
	bodyAir      = 6e-3  // behind a closed magnet
	landWanted   = 6e-3  // wood between the opening and a bolt's hole: better
	landLeast    = 4e-3  // and wanted (common practice)
	faceLeast    = 40e-3 // shortest face that can be worked, or twice the board (common practice)
	blankLeast   = 60e-3 // narrowest strip that can be ripped safely (common practice)
	frameWood    = 5e-3  // wood between the driver's frame and a joint
	recessWood   = 12e-3 // wood under a sunk flange (common practice)
	recessLeast  = 9e-3
	chamferWood  = 4e-3  // wall of the opening over a chamfer (common practice)
	slack        = 1e-9  // of comparisons, relative
	nought       = 1e-12 // and beside a limit of 0, in the unit of the value: more than arithmetic leaves of it
)

func (m *maker) add(name string, status Status, value, limit float64, unit, format string, args ...any) {
	c := Check{Name: name, Status: status, Value: value, Limit: limit, Unit: unit}
	if !m.Mute {
		c.Note = fmt.Sprintf(format, args...)
	}
	m.box.Checks = append(m.box.Checks, c)
}

// grade is Pass from pass up, Marginal from least up.
func grade(value, pass, least float64) Status {
	switch {
	case value >= pass*(1-slack)-nought:
		return Pass
	case value >= least*(1-slack)-nought:
		return Marginal
	}
	return Fail
}

// check verifies driver, ports, braces and workmanship.
func (m *maker) check() {
	m.checkFrame()
	m.checkLand()
	m.checkRecess()
	m.checkLoose()
	m.checkDepth()
	m.checkBasket()
	m.checkMouths()
	m.checkSlot()
	m.checkTerminal()
	m.checkFlange()
	m.checkFixings()
	m.checkOpenings()
	m.checkPlates()
	m.checkFaces()
	m.checkSaw()
}

func (m *maker) checkFrame() {
	frame, l := m.flange(), m.wrap.length
	if frame <= 0 {
		m.add("driver on its face", NotChecked, 0, 0, "m", "neither frame nor cut-out of the driver is stated")
		return
	}
	wood := math.Inf(1)
	for _, c := range m.box.DriverSeat.Centres {
		wood = math.Min(wood, m.seat.room(c.X, c.Y)-frame/2)
	}
	m.add("driver on its face", grade(wood, frameWood, 0), wood, frameWood, "m",
		"on the %s %s of wood is left between the driver's frame (%s across) and the nearest joint; %s is wanted", m.seat.name, l(wood), l(frame), l(frameWood))
}

func (m *maker) checkLand() {
	d, l := m.Driver, m.wrap.length
	if d.Circle <= 0 || d.Cutout <= 0 {
		m.add("wood round the bolts", NotChecked, 0, landLeast, "m", "bolt circle or cut-out is not stated: mark the bolts from the driver")
		return
	}
	fix := m.box.DriverSeat.Fixing
	note := fmt.Sprintf("%s of wood between the opening (%s) and the bolt holes (%s); %s is wanted and %s is better", l(fix.Land), l(d.Cutout), l(fix.Hole), l(landLeast), l(landWanted))
	if fix.Land < landLeast-rounding {
		note += m.moreLand(fix)
	}
	m.add("wood round the bolts", grade(fix.Land, landLeast, landLeast), fix.Land, landLeast, "m", "%s", note)
}

// moreLand says the smallest change that leaves enough wood round the bolts.
func (m *maker) moreLand(fix Fixing) string {
	l := m.wrap.length
	short := landLeast - fix.Land
	if fix.Fastening != WoodScrew && (m.Driver.Circle-m.Driver.Cutout-pilot)/2-m.Mounting.Chamfer >= landLeast {
		return "; wood screws would do (mount.fastening: screw)"
	}
	if m.Mounting.Chamfer >= short {
		return fmt.Sprintf("; a chamfer of %s or less would do", l(m.Mounting.Chamfer-short))
	}
	return fmt.Sprintf("; an opening of %s or less would do, if the driver still goes through it", l(m.Driver.Cutout-2*short))
}

// checkRecess states the wood under the flange and what the chamfer behind leaves of the hole's wall.
func (m *maker) checkRecess() {
	l, mo := m.wrap.length, m.Mounting
	wood := m.underFlange()
	if mo.Recess > 0 {
		m.add("wood under the flange", grade(wood, recessWood, recessLeast), wood, recessWood, "m",
			"the flange is sunk by %s, which leaves %s of wood under it and takes %s of the depth behind the driver; %s of wood is wanted, %s the least",
			l(mo.Recess), l(wood), l(mo.Recess), l(recessWood), l(recessLeast))
	}
	if mo.Chamfer > 0 {
		rest := wood - mo.Chamfer
		m.add("wood over the chamfer", grade(rest, chamferWood, chamferWood/2), rest, chamferWood, "m",
			"the chamfer behind the opening leaves %s of its wall; %s is wanted", l(rest), l(chamferWood))
	}
}

// underFlange is the wood behind the driver's flange: the face with its inner layers, less the recess.
func (m *maker) underFlange() float64 {
	t := m.seat.t - m.Mounting.Recess
	for _, x := range m.layers {
		t += x.t
	}
	return t
}

// checkDepth measures the depth behind the flange seat, with ports and braces in place.
func (m *maker) checkDepth() {
	seat, d, l := &m.box.DriverSeat, m.Driver, m.wrap.length
	seat.DepthBehind, seat.Behind = m.behind()
	if d.Depth <= 0 {
		m.add("depth behind the driver", NotChecked, seat.DepthBehind, 0, "m", "the driver's depth is not stated; there is %s from the flange seat to the %s", l(seat.DepthBehind), seat.Behind)
		return
	}
	air, behind := d.air(), "its magnet"
	least := ""
	if d.Vent {
		behind = "its vented pole"
		least = fmt.Sprintf("; %s behind a vented pole is the least that we would accept", l(leastVentAir))
	}
	status := grade(seat.DepthBehind, d.Depth+air, d.Depth)
	note := fmt.Sprintf("%s from the flange seat to the %s; the driver is %s deep and wants %s behind %s", l(seat.DepthBehind), seat.Behind, l(d.Depth), l(air), behind)
	switch status {
	case Marginal:
		note += least
	case Fail:
		note += m.deeper(seat.DepthBehind, seat.Behind)
	}
	m.add("depth behind the driver", status, seat.DepthBehind, d.Depth+air, "m", "%s", note)
}

// behind is the least depth behind the drivers' flanges over the magnets, with ports and braces in place, and what is there.
func (m *maker) behind() (depth float64, what string) {
	depth = math.Inf(1)
	others := m.bodies
	m.bodies = withoutDrivers(others)
	for _, c := range m.box.DriverSeat.Centres {
		if d, w := m.reach(m.seat, c.X, c.Y, m.Driver.magnet()/2, false); d < depth {
			depth, what = d, w
		}
	}
	m.bodies = others
	return depth - m.Mounting.Recess, what
}

func withoutDrivers(bodies []solid) []solid {
	var out []solid
	for _, b := range bodies {
		if wallKind(b.name) != "driver" {
			out = append(out, b)
		}
	}
	return out
}

func (m *maker) checkMouths() {
	for i, s := range m.box.PortSeats {
		size, wanted, least := m.Port.Bore, clearMouth, leastMouth
		if s.Height > 0 {
			size, wanted, least = s.Height, slotWanted, slotAir
		}
		name := "port mouth inside"
		if len(m.box.PortSeats) > 1 {
			name = fmt.Sprintf("port %d mouth inside", i+1)
		}
		l := m.wrap.length
		m.add(name, grade(s.FreeEnd, wanted*size, least*size), s.FreeEnd, wanted*size, "m",
			"%s of air between the port's inner end and the %s; %s is wanted, %s the least", l(s.FreeEnd), s.Facing, l(wanted*size), l(least*size))
	}
	if len(m.box.PortSeats) > 0 && m.box.PortSeats[0].Panel != m.seat.name {
		free := m.Port.Bore
		if free <= 0 {
			free = m.Port.Height
		}
		m.box.Notes = append(m.box.Notes, fmt.Sprintf("the port opens on the %s: keep at least %s of air in front of its mouth", m.box.PortSeats[0].Panel, m.wrap.length(free)))
	}
}

// checkPlates states the first resonance of every wall and end, before and after bracing.
func (m *maker) checkPlates() {
	if m.Brace.Lowest <= 0 {
		return
	}
	var spots []float64
	for _, b := range m.braces {
		spots = append(spots, b.left)
	}
	in := m.wrap.inside.Bounds()
	low, which, unbraced := math.Inf(1), "", math.Inf(1)
	note := func(name string, t, before, after float64) {
		if s, ok := m.spans[name]; ok {
			after = m.plate(s[0], s[1], t)
		}
		m.box.Resonances = append(m.box.Resonances, Resonance{name, before, after})
		unbraced = math.Min(unbraced, before)
		if after < low {
			low, which = after, name
		}
	}
	for i, n := range m.wrap.names {
		note(n, m.wrap.t[i], m.resonance(i, nil), m.resonance(i, spots))
	}
	for i, n := range []string{leftEnd, rightEnd} {
		f := m.plate(in.Max.X-in.Min.X, in.Max.Y-in.Min.Y, m.endT[i])
		note(n, m.endT[i], f, f)
	}
	m.add("first panel resonance", grade(low, m.Brace.Lowest, m.Brace.Lowest/2), low, m.Brace.Lowest, "Hz", "%s", m.plateNote(low, unbraced, which))
}

// plateNote says which panel resonates first, what the braces did and, when it is still too low, what would help.
func (m *maker) plateNote(low, unbraced float64, which string) string {
	if m.Mute {
		return ""
	}
	note := fmt.Sprintf("the %s resonates first, at %s", which, hertz(low))
	var with []string
	if n := len(m.braces); n > 0 {
		with = append(with, counted(n, "window brace"))
	}
	if n := len(m.strips); n > 0 {
		with = append(with, counted(n, "strip brace"))
	}
	if len(with) > 0 {
		note += fmt.Sprintf(", with %s (without, the panels begin at %s)", strings.Join(with, " and "), hertz(unbraced))
	} else {
		note += ", without braces"
	}
	note += fmt.Sprintf("; edges taken as simply supported; %s is wanted", hertz(m.Brace.Lowest))
	if low >= m.Brace.Lowest {
		return note
	}
	t := m.panelThickness(which)
	return note + fmt.Sprintf("; a %s of %s or more would do", which, m.wrap.length(t*m.Brace.Lowest/low)) // the resonance goes with the thickness
}

// panelThickness is the thickness of a wall or an end by its name.
func (m *maker) panelThickness(name string) float64 {
	switch name {
	case leftEnd:
		return m.endT[0]
	case rightEnd:
		return m.endT[1]
	}
	for i, n := range m.wrap.names {
		if n == name {
			return m.wrap.t[i]
		}
	}
	return m.Wood.Thickness
}

func hertz(f float64) string { return fmt.Sprintf("%.0f Hz", f) }

// checkFaces warns of strips that are awkward to rip and faces too short to work.
func (m *maker) checkFaces() {
	l := m.wrap.length
	for i, w := range m.wrap.walls {
		least := math.Max(faceLeast, 2*m.wrap.t[i])
		if short := math.Min(w.outer, w.inner); short < least-rounding {
			m.wrap.warn("%s: its short face is only %s; faces under %s are hard to work (common practice)", m.wrap.names[i], l(short), l(least))
		}
		if w.blank < blankLeast-rounding {
			m.wrap.warn("%s: the strip is only %s wide; under %s it is cut from a longer blank (common practice)", m.wrap.names[i], l(w.blank), l(blankLeast))
		}
	}
}

// Saw defaults, and where a feather edge begins (common practice).
const (
	sawDepth      = 54e-3
	sawDepthAt45  = 38e-3
	featherTilt   = 30 * degree
	arris         = 1e-3
	standRun      = 60e-3
	standHeight   = 600e-3
	standLength   = 300e-3
	standTallText = "rip it square to the long face, stand the panel on that edge in a tall-fence carriage, clamped, blade tilted %.1f degrees; or cut 45 and plane to the line; check against the two face lengths"
)

// checkSaw warns of tilts and depths that the saw does not do, and of feather edges.
func (m *maker) checkSaw() {
	s := m.Saw.withDefaults()
	feather := false
	for i, w := range m.wrap.walls {
		for k, tilt := range []float64{w.tilt0, w.tilt1} {
			a := math.Abs(tilt)
			other := m.wrap.names[(i+k+(1-k)*(len(m.wrap.walls)-1))%len(m.wrap.walls)]
			if a > s.MaxTilt+angleSlack {
				m.wrap.warn("edge of the %s to the %s: bevel %.1f degrees from square, beyond the saw: %s", m.wrap.names[i], other, a/degree, m.standing(i, a))
			} else if depth, can := m.wrap.t[i]/math.Cos(a), s.depth(a); depth > can+rounding {
				m.wrap.warn("edge of the %s to the %s: %s deep cut at %.1f degrees, the saw does %s: bevel the layers before they are glued, or put the second layer inside",
					m.wrap.names[i], other, m.wrap.length(depth), a/degree, m.wrap.length(can))
			}
			feather = feather || a > featherTilt+angleSlack
		}
	}
	if feather {
		m.box.Notes = append(m.box.Notes, fmt.Sprintf("bevels over 30 degrees leave a sharp arris: take %s off or tape it before handling (common practice)", m.wrap.length(arris)))
	}
}

// standing says how to cut a bevel beyond the saw's tilt on wall i.
func (m *maker) standing(i int, tilt float64) string {
	w := m.wrap.walls[i]
	if m.wrap.t[i]*math.Tan(tilt) > standRun || w.blank > standHeight || m.wallRight-m.wallLeft < standLength {
		return "plane it to the line, or reshape the box"
	}
	return fmt.Sprintf(standTallText, 90-tilt/degree)
}

func (s Saw) withDefaults() Saw {
	if s.Depth <= 0 {
		s.Depth = sawDepth
	}
	if s.DepthAt45 <= 0 {
		s.DepthAt45 = sawDepthAt45
	}
	if s.MaxTilt <= 0 {
		s.MaxTilt = sawTilt
	}
	return s
}

// depth is the depth of cut at a tilt, interpolated.
func (s Saw) depth(tilt float64) float64 {
	return s.Depth + (s.DepthAt45-s.Depth)*tilt/sawTilt
}
