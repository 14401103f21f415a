package panels

import (
	"cmp"
	"fmt"
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"
)

// Limits of checks that no table has (common practice).
const (
	recessWood  = 12e-3 // wood under a sunk flange
	recessLeast = 9e-3
	chamferWood = 4e-3 // wall of the opening over a chamfer
	flangeEdge  = 5e-3 // of wood between a flange and a joint, another flange or the driver's frame
	flangePlay  = 0.5e-3
	flangePilot = 2.5e-3
	rebateWood  = 8e-3 // of the face that stays behind a rebate
)

// onFace lists what is cut through a face, with what lies round it there.
func (s *scene) onFace(i int) []opening {
	var out []opening
	for _, o := range s.openings() {
		if o.face == i {
			out = append(out, o)
		}
	}
	return out
}

// openings lists what is cut through the faces, with the flanges that lie round it.
func (s *scene) openings() []opening {
	out := make([]opening, 0, 8)
	for _, d := range s.cones() {
		for i, c := range d.centres {
			out = append(out, d.opening(&s.faces[d.on], c, numberOf(i, len(d.centres))))
		}
	}
	for i := range s.fitted.ports {
		out = append(out, s.fitted.ports[i].opening)
	}
	if t := &s.fitted.terminal; t.placed {
		out = append(out, t.opening)
	}
	for i := range s.fitted.fixings {
		out = append(out, s.fitted.fixings[i].opening)
	}
	return out
}

// numberOf is the number of the one i of n; -1 of the only one.
func numberOf(i, n int) int {
	if n > 1 {
		return i
	}
	return -1
}

// slot is the port of boards; nil where there is none.
func (s *scene) slot() *slot {
	if len(s.fitted.ports) == 0 {
		return nil
	}
	return s.fitted.ports[0].slot
}

// holes gives the openings, bolts and pilots of every face, in its panel's frame, from all that was fitted.
func (s *scene) holes() [][]Hole {
	out := make([][]Hole, len(s.faces))
	add := func(face int, h ...Hole) { out[face] = append(out[face], h...) }
	for _, d := range s.cones() {
		for _, c := range d.centres {
			if d.Recess > 0 {
				add(d.on, Hole{Kind: HoleRecess, X: c.X, Y: c.Y, Diameter: d.flange(), Depth: d.Recess, From: "outer", Use: d.use()})
			}
			if cut, known := d.cutout(); known {
				add(d.on, Hole{Kind: HoleDriver, X: c.X, Y: c.Y, Diameter: cut, From: "outer", Use: d.use()})
			}
			add(d.on, d.bolts(c)...)
		}
	}
	for i := range s.fitted.ports {
		t := &s.fitted.ports[i]
		if t.slot != nil {
			add(t.face, Hole{Kind: HoleSlot, X: t.at.X, Y: t.at.Y, Length: 2 * t.hx, Width: 2 * t.hy, From: "outer"})
			continue
		}
		add(t.face, Hole{Kind: HolePort, X: t.at.X, Y: t.at.Y, Diameter: s.spec.Port.outside() + grade.Of(grade.TubeHoleOver).Pass, From: "outer"})
		add(t.face, s.flangeHoles(t.at, s.faces[t.face].t)...)
	}
	add(s.fitted.terminal.face, s.terminalHoles()...)
	for i := range s.fitted.fixings {
		if x := &s.fitted.fixings[i]; x.wood >= 0 {
			add(x.face, Hole{Kind: HoleFixing, X: x.at.X, Y: x.at.Y, Diameter: 2 * x.hx, Use: x.point.use(), From: "outer"})
		}
	}
	return out
}

// mouthCut is by how much a slot's mouth that is as wide as its face narrows the board, and along which side; ok is false where it
// is a notch.
func (s *scene) mouthCut() (face int, width float64, ok bool) {
	k := s.slot()
	if k == nil || k.low || k.high {
		return 0, 0, false
	}
	m := &s.fitted.ports[0]
	return m.face, 2 * math.Min(m.hx, m.hy), true
}

// flangeHoles are the rebate for a tube's flange and the pilot holes of its screws, on the middle of the rim.
func (s *scene) flangeHoles(c plane.Point, board float64) []Hole {
	f, od := s.spec.Port.Flange, s.spec.Port.outside()
	if f.Rim <= 0 {
		return nil
	}
	var holes []Hole
	if f.Rebate > 0 {
		holes = append(holes, Hole{Kind: HoleRecess, X: c.X, Y: c.Y, Diameter: od + 2*f.Rim + flangePlay, Depth: f.Rebate, From: "outer"})
	}
	for _, at := range circle(f.Screws, od/2+f.Rim/2) {
		holes = append(holes, Hole{Kind: HoleFixing, X: c.X + at.X, Y: c.Y + at.Y, Diameter: cmp.Or(f.Hole, flangePilot), Depth: f.Rebate + blindPilot(board-f.Rebate), Use: UseFlangeScrew, From: "outer"})
	}
	return holes
}

// portVolume is what the port takes of the air, with its boards.
func (s *scene) portVolume() (v float64) {
	for i := range s.fitted.ports {
		v += s.fitted.ports[i].volume
	}
	return v
}

// mouths is the air before inner mouths that braces and strips keep clear of.
func (s *scene) mouths() []body {
	var out []body
	for i := range s.fitted.ports {
		out = append(out, s.fitted.ports[i].mouth)
	}
	return out
}

// describe states where everything went.
func (s *scene) describe(f *Fittings) {
	f.Outlets = s.outlets()
	f.Drivers = s.placeOf(&s.fitted.drivers)
	if d := &s.fitted.radiators; d.centres != nil {
		at := s.placeOf(d)
		f.Radiators = &at
	}
	for i := range s.fitted.ports {
		t := &s.fitted.ports[i]
		p := PortPlace{Panel: s.faces[t.face].name, Centre: t.at, Path: t.path, FreeEnd: t.free, Facing: s.name(t.facing),
			InnerSection: s.shell.sectionAt(t.path.end()) / float64(len(s.fitted.ports)), InsideVolume: t.volume}
		if k := t.slot; k != nil {
			p.Height, p.Width, p.WidePort, p.Along = k.h, k.clear, k.wide, s.faces[k.legs[0].floor].name
			f.Slot = s.slotView(k)
		} else if t.needsSaddle() {
			p.Saddle = grade.Of(grade.TubeSaddleWithin).Pass
		}
		f.Ports = append(f.Ports, p)
	}
}

// placeOf is where drivers or radiators sit.
func (s *scene) placeOf(d *mounted) DriverPlace {
	f := &s.faces[d.on]
	out := DriverPlace{Panel: f.name, Centres: d.centres, Out: f.N, Fixing: d.fix}
	for _, c := range d.centres {
		out.Middles = append(out.Middles, f.at(c, 0))
	}
	if cut, known := d.cutout(); known {
		out.Opening = cut
	}
	out.DepthBehind, out.Behind = s.depthBehind(d)
	return out
}

// depthBehind is the least depth behind the flanges over the magnets, with all that stands in the box, and what is there.
func (s *scene) depthBehind(d *mounted) (depth float64, behind string) {
	depth = math.Inf(1)
	for _, c := range d.centres {
		if deep, what := s.depthAt(d.mount, &s.faces[d.on], c); deep < depth {
			depth, behind = deep, s.name(what)
		}
	}
	return depth - d.Recess, behind
}

// fittingChecks verifies drivers, port, terminal and fixing points.
func (s *scene) fittingChecks(b *Findings) {
	for _, d := range s.cones() {
		s.checkFrame(b, d)
		s.checkLand(b, d)
		s.checkRecess(b, d)
		s.checkDepth(b, d)
	}
	s.checkMouths(b)
	s.checkSlot(b)
	s.checkTerminal(b)
	s.checkFlange(b)
	s.checkFixings(b)
	s.checkOpenings(b)
}

func (s *scene) checkFrame(b *Findings, d *mounted) {
	name := d.word() + " on its face"
	frame, f := d.flange(), &s.faces[d.on]
	if frame <= 0 {
		b.add(name, NotChecked, 0, 0, "m", say("neither frame nor cut-out of the %s is stated", d.word()))
		return
	}
	wood := math.Inf(1)
	for _, c := range d.centres {
		wood = math.Min(wood, f.room(c)-frame/2)
	}
	b.least(name, wood, frameWood, 0, "on the %s %s of wood is left between the %s's frame (%s across) and the nearest joint; %s is wanted",
		f.name, Length(wood), d.word(), Length(frame), Length(frameWood))
}

// ofRadiators is added to the name of a check of radiators that has no word of what is mounted.
func (m mount) ofRadiators() string {
	if m.passive {
		return ", passive radiator"
	}
	return ""
}

func (s *scene) checkLand(b *Findings, d *mounted) {
	name, fix, r := "wood round the bolts"+d.ofRadiators(), &d.fix, grade.Of(grade.BoltLand)
	if d.Circle <= 0 || d.Cutout <= 0 {
		b.add(name, NotChecked, 0, r.Marginal, "m", say("bolt circle or cut-out is not stated: mark the bolts from the %s", d.word()))
		return
	}
	more := Message{}
	if short := r.Marginal - fix.Land; short > rounding {
		switch {
		case fix.Fastening != WoodScrew && (d.Circle-d.Cutout-pilot)/2-d.Chamfer >= r.Marginal:
			more = say("; wood screws would do (mount.fastening: screw)")
		case d.Chamfer >= short:
			more = say("; a chamfer of %s or less would do", Length(d.Chamfer-short))
		default:
			more = say("; an opening of %s or less would do, if the %s still goes through it", Length(d.Cutout-2*short), d.word())
		}
	}
	b.add(name, r.Grade(fix.Land), fix.Land, r.Pass, "m", say("%s of wood between the opening (%s) and the bolt holes (%s); %s is wanted, %s the least%s",
		Length(fix.Land), Length(d.Cutout), Length(fix.Hole), Length(r.Pass), Length(r.Marginal), more))
}

// checkRecess states the wood under the flange and what the chamfer behind leaves of the hole's wall.
func (s *scene) checkRecess(b *Findings, mo *mounted) {
	wood := s.underFlange(mo.mount, &s.faces[mo.on])
	if mo.Recess > 0 {
		b.least("wood under the flange"+mo.ofRadiators(), wood, recessWood, recessLeast,
			"the flange is sunk by %s, which leaves %s of wood under it and takes %s of the depth behind the %s; %s of wood is wanted, %s the least",
			Length(mo.Recess), Length(wood), Length(mo.Recess), mo.word(), Length(recessWood), Length(recessLeast))
	}
	if mo.Chamfer > 0 {
		rest := wood - mo.Chamfer
		b.least("wood over the chamfer"+mo.ofRadiators(), rest, chamferWood, chamferWood/2,
			"the chamfer behind the opening leaves %s of its wall; %s is wanted", Length(rest), Length(chamferWood))
	}
}

// checkDepth measures the depth behind the flange's plane and the air beside the basket, with ports and braces in place.
func (s *scene) checkDepth(b *Findings, d *mounted) {
	name := "depth behind the " + d.word()
	depth, behind := s.depthBehind(d)
	switch {
	case d.Outside:
		b.add(name, NotChecked, depth, 0, "m", say("the magnet stands outside: nothing of the %s goes into the box", d.word()))
		return
	case d.Depth <= 0:
		b.add(name, NotChecked, depth, 0, "m", say("the %s's depth is not stated; there is %s from the flange's plane to the %s", d.word(), Length(depth), behind))
		return
	}
	air, need, part := d.air(), d.Depth, "its magnet"
	if d.passive {
		need, part = need+d.Excursion, "its cone, which moves"
	}
	least := Message{}
	status := grade.NoLess(depth, d.Depth+air, need)
	if d.Vent {
		part = "its vented pole"
		least = sayIf(status == Marginal, "; %s behind a vented pole is the least that we would accept", Length(grade.Of(grade.DepthBehindVentLeast).Value()))
	}
	instead := later(func() Message { return s.instead(d.mount, d.on) })
	if status == Fail {
		least = say("; %s is missing: a box that much larger there would do, or a %s no deeper than %s%s", Length(need-depth), d.word(), Length(depth-need+d.Depth), instead)
	}
	b.add(name, status, depth, d.Depth+air, "m",
		say("%s from the flange's plane to the %s; the %s is %s deep and wants %s behind %s%s", Length(depth), behind, d.word(), Length(d.Depth), Length(air), part, least))
	beside, what := math.Inf(1), obstacle{face: -1}
	for _, c := range d.centres {
		if a, w := s.beside(d.mount, &s.faces[d.on], c, math.Inf(1)); a < beside {
			beside, what = a, w
		}
	}
	if beside > 2*basketAir {
		return
	}
	const taken = "the basket, taken as a cone from the opening to the magnet,"
	note := say("%s clears the %s by %s; %s is wanted", taken, s.name(what), Length(beside), Length(basketAir))
	if beside <= 0 {
		note = say("%s would touch the %s%s", taken, s.name(what), instead)
	}
	b.add("basket clear of the walls"+d.ofRadiators(), grade.NoLess(beside, basketAir, 2e-12), beside, basketAir, "m", note)
}

// checkMouths states the air before the inner ends.
func (s *scene) checkMouths(b *Findings) {
	p := s.spec.Port
	for i := range s.fitted.ports {
		t, name := &s.fitted.ports[i], "port mouth inside"
		if len(s.fitted.ports) > 1 {
			name = fmt.Sprintf("port %d mouth inside", i+1)
		}
		wanted, least := p.mouthAir()
		b.least(name, t.free, wanted, least, "%s of air between the port's inner end and the %s; %s is wanted, %s the least",
			Length(t.free), s.name(t.facing), Length(wanted), Length(least))
	}
	if len(s.fitted.ports) > 0 && s.fitted.ports[0].face != s.shell.driver {
		b.Notes = append(b.Notes, say("the port opens on the %s: keep at least %s of air in front of its mouth", s.faces[s.fitted.ports[0].face].name, Length(p.clear())))
	}
}

// checkSlot verifies the slot's proportions.
func (s *scene) checkSlot(b *Findings) {
	k := s.slot()
	if k == nil {
		return
	}
	least, aspect := math.Max(grade.Of(grade.SlotHeight).Pass, k.t), grade.Of(grade.SlotAspect)
	channel := k.clear / float64(k.fins+1)
	ratio := channel / k.h
	b.least("slot height", k.h, least, least/2, "the slot is %s high; %s is wanted", Length(k.h), Length(least))
	b.add("slot proportions", aspect.Grade(ratio), ratio, aspect.Pass, "",
		say("each channel is %s wide and %s high, %.1f to 1; %.0f to 1 is the most wanted", Length(channel), Length(k.h), ratio, aspect.Pass))
}

// checkFlange states the wood behind the rebate of a tube's flange, and that its screws find wood beside the tube.
func (s *scene) checkFlange(b *Findings) {
	p := s.spec.Port
	if p == nil || p.Flange.Rim <= 0 || p.isSlot() {
		return
	}
	f, face := p.Flange, &s.faces[s.fitted.ports[0].face]
	if f.Rebate > 0 {
		left := face.t - f.Rebate
		b.least("wood behind the port's flange", left, rebateWood, rebateWood/2, "%s of the %s stays behind the rebate of the port's flange; %s is wanted%s",
			Length(left), face.name, Length(rebateWood), sayIf(left < rebateWood-rounding, "; a rebate of %s would do", Length(math.Max(face.t-rebateWood, 0))))
	}
	if f.Screws > 0 {
		drilled, want := cmp.Or(f.Hole, flangePilot)+grade.Of(grade.TubeHoleOver).Pass, grade.Of(grade.BoltLand).Marginal
		land := (f.Rim - drilled) / 2
		b.least("wood round the flange's screws", land, want, want/2,
			"%s of wood between the port's hole and the screws of its flange; %s is wanted, which a rim of %s gives", Length(land), Length(want), Length(2*want+drilled))
	}
}

// checkOpenings finds the pair of openings with the least wood between them, of what is wanted there.
func (s *scene) checkOpenings(b *Findings) {
	all := s.openings()
	worst, pair := math.Inf(1), Message{}
	value, want := 0.0, betweenWood
	for i, o := range all {
		for _, x := range all[:i] {
			if o.face != x.face || o.kind == x.kind && o.kind != fixingOpening {
				continue
			}
			need := betweenWood
			if o.kind == fixingOpening || x.kind == fixingOpening {
				need = fixingWood
			}
			if d := o.apart(x); d/need < worst {
				worst, value, want = d/need, d, need
				pair = say("between %s and %s on the %s", x.name(), o.name(), s.faces[o.face].name)
			}
		}
	}
	if !pair.Empty() {
		b.least("wood between openings", value, want, leastShare*want, "%s of wood is left %s; %s is wanted%s",
			Length(value), pair, Length(want), sayIf(value < want-rounding, "; %s more between them would do", Length(want-value)))
	}
}
