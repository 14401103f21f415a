package design

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/grade"
	"cubby/internal/numeric"
	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/solid"
	"cubby/internal/thielesmall"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	mostRounds   = 12   // of the loop between size, air and port; it converges in three or four
	steadyRounds = 7    // after which the size is kept and only the port follows
	lengthSlack  = 5e-6 // m of port
	volumeWithin = 1e-3 // how near to a single net volume wished for the box comes, relative
	slack        = 1e-9 // makes every comparison inclusive, relative

	// The finest steps that are printed, m.
	finestMetric = 0.1e-3
	finestInch   = inch / 32
)

// Made is a box as the search builds it: where it stands and what it is made of, not yet its boards.
type made struct {
	way    cavity.Way
	region cavity.Region
	placed cavity.Placed
	spec   panels.Spec
	net    float64
	carry  cavity.Carry
	short  int // checks of the wood that are marginal
	channel

	tuning   float64              // Hz, wanted
	radiator thielesmall.Radiator // with its mass; Count 0: none
}

// A channel is the port of a box as the search builds it.
type channel struct {
	duct   *duct   // nil: none
	asked  float64 // width that a slot is to have at least, m
	raised int     // times that it was made higher
	length float64 // that is asked for, m
	ends   [2]float64
}

// Build makes the box of a place that comes nearest to a candidate, in the way that asks least of the shop.
func (f *finder) Build(ctx context.Context, p *search.Place, c search.Candidate) (search.Built[*made], error) {
	at := f.sites[p.ID]
	s := f.standAt(at)
	var best *made
	var bestBuilt search.Built[*made]
	refusal := &search.Refusal{Why: search.OfRoom}
	if at.duct != nil && !at.duct.isSlot() {
		if reach := f.reach(s, at.duct); c.Port.Length > reach.Most*(1+slack) {
			refusal.Known, refusal.Why, refusal.Length = true, reach.Why, search.Range{Least: reach.Least, Most: reach.Most}
			return search.Built[*made]{Refused: refusal}, nil
		}
	}
	for _, t := range f.trials(s, p, c) {
		if err := ctx.Err(); err != nil {
			return bestBuilt, err
		}
		if best != nil && best.short == 0 && best.placed.Minutes <= t.minutes {
			break // they only get more
		}
		m, built, err := f.make(s, t, at.duct, c)
		if err != nil {
			f.refuse(refusal, err, at.duct, c)
			continue
		}
		if best == nil || m.short < best.short || m.short == best.short && m.placed.Minutes < best.placed.Minutes-1e-6 {
			best, bestBuilt = m, built
		}
	}
	if best == nil {
		if own := s.cutToFace(f); own != nil && c.Volume >= own.least(f)*(1-slack) {
			t := trial{f.towards(), c.Volume + own.taken, 0}
			if _, built, err := f.make(own, t, at.duct, c); err == nil {
				return built, nil
			}
		}
		if least := s.least(f); c.Volume < least {
			refusal.Volume = search.Range{Least: least, Most: s.net}
		}
		return search.Built[*made]{Refused: refusal}, nil
	}
	return bestBuilt, nil
}

// A trial is a way to make a stand smaller, with the work that it asks.
type trial struct {
	way     cavity.Way
	air     float64 // of the region, m3
	minutes float64
}

// trials are the ways to bring a stand to a candidate's size, least work first.
func (f *finder) trials(s *stand, p *search.Place, c search.Candidate) []trial {
	air := math.Min(s.region.Air, c.Volume+s.taken+p.Taken(c.Port.Area, c.Port.Length))
	var all []trial
	var regions []cavity.Region
	for _, w := range f.waysThrough(s, air) {
		r, ok := f.room.Shrunk(s.region, w, f.shareFor(&s.region, w, air), f.shop)
		if ok && !slices.ContainsFunc(regions, func(o cavity.Region) bool { return samePlace(&o, &r) }) {
			regions = append(regions, r)
			all = append(all, trial{w, air, f.room.Weigh(r, f.weights, f.shop).Minutes})
		}
	}
	slices.SortStableFunc(all, func(a, b trial) int {
		switch {
		case a.minutes < b.minutes-1e-6:
			return -1
		case a.minutes > b.minutes+1e-6:
			return 1
		}
		return int(a.way) - int(b.way)
	})
	if c.Kind == search.Vented && len(all) > mostPorted {
		all = all[:mostPorted]
	}
	return all
}

// mostPorted is in how many ways a box with ports is tried: placing a port costs much, and the ways with the most work are
// seldom those in which it finds its place.
const mostPorted = 3

// waysThrough are the ways in which a stand may be made smaller to so much air and goes through the passage; where none leaves so
// much, the one that leaves most.
func (f *finder) waysThrough(s *stand, air float64) []cavity.Way {
	ways := f.ways(&s.region)
	if f.req.Space.Passage == nil {
		return ways
	}
	most := slices.MaxFunc(ways, func(a, b cavity.Way) int { return cmp.Compare(s.carriedAir(f, a), s.carriedAir(f, b)) })
	air = math.Min(air*(1-volumeWithin), s.carriedAir(f, most))
	return slices.DeleteFunc(ways, func(w cavity.Way) bool { return s.carriedAir(f, w) < air })
}

// ways are those that a region may be made smaller in.
func (f *finder) ways(r *cavity.Region) []cavity.Way {
	switch f.req.Space.Shrink {
	case ShrinkWidth:
		if r.Axis == cavity.Across {
			return []cavity.Way{cavity.KeepLow, cavity.KeepHigh}
		}
		return []cavity.Way{cavity.ByWidth}
	case ShrinkDepth:
		if r.Axis == cavity.Depth {
			return []cavity.Way{cavity.KeepLow}
		}
		return []cavity.Way{cavity.ByDepth}
	case ShrinkHeight:
		if r.Axis == cavity.Up {
			return []cavity.Way{cavity.KeepLow}
		}
		return []cavity.Way{cavity.ByHeight}
	}
	return r.Ways()
}

// sizeOf is the size of a region that a way changes, m.
func sizeOf(r *cavity.Region, w cavity.Way) float64 {
	b := r.Bounds()
	d := r3.Sub(b.Max, b.Min)
	switch w {
	case cavity.KeepLow, cavity.KeepHigh:
		return r.Hi - r.Lo
	case cavity.ByWidth:
		return d.X
	case cavity.ByDepth:
		return d.Y
	case cavity.ByHeight:
		return d.Z
	}
	return math.Max(d.X, math.Max(d.Y, d.Z))
}

// shareFor is the share of the size that a way changes at which a region holds so much air.
func (f *finder) shareFor(r *cavity.Region, w cavity.Way, air float64) float64 {
	if r.Air <= air*(1+slack) {
		return 1 // the largest that there is
	}
	return numeric.Bisect(1, 0, 24, func(share float64) bool {
		q, ok := f.room.Shrunk(*r, w, share, f.shop)
		return ok && q.Air >= air
	})
}

// stepped is the share nearest to a wanted one whose size is a whole step of the saw; step is that of this box.
func stepped(share, size, step float64) float64 {
	if step <= 0 || share >= 1 {
		return math.Min(1, share)
	}
	return math.Min(1, math.Round(share*size/step)*step/size)
}

// stepOf is the saw's step, or a half, a quarter ... of it where one volume is wished for and a whole step would miss it.
func (f *finder) stepOf(r *cavity.Region, w cavity.Way, size float64) float64 {
	step := f.req.Saw.RoundTo
	if v := f.req.Limits.Volume; v[0] > 0 && v[0] == v[1] && step > 0 {
		finest := f.step(finestMetric, finestInch)
		for per := f.perLength(r, w, size); step*per > volumeWithin*v[0] && step/2 >= finest*(1-slack); {
			step /= 2
		}
	}
	return step
}

// perLength is the air that a region loses for each length that a way takes off a size, m2.
func (f *finder) perLength(r *cavity.Region, w cavity.Way, size float64) float64 {
	return waySizes(w) * r.Air / math.Max(size-2*f.req.Wood.Thickness, finestInch)
}

// waySizes is how many sizes a way changes.
func waySizes(w cavity.Way) float64 {
	if w == cavity.EvenLeft || w == cavity.EvenRight {
		return 3
	}
	return 1
}

// make builds a candidate in one way: the size that gives its net volume, and the port that tunes what is left, to a fixed
// point.
func (f *finder) make(s *stand, t trial, d *duct, c search.Candidate) (*made, search.Built[*made], error) {
	m := &made{way: t.way, tuning: c.Tuning}
	if s.spec.Radiators != nil {
		m.radiator = f.loaded(c.Volume, c.Tuning)
	}
	none := search.Built[*made]{}
	size := sizeOf(&s.region, t.way)
	step := f.stepOf(&s.region, t.way, size)
	if d != nil {
		own := f.cutTo(*d, s, c.Port.Area)
		m.duct, m.asked = &own, own.width
		m.ends = own.ends(0)
		m.length = math.Max(c.Port.Length-m.ends[0]-m.ends[1], f.req.Wood.Thickness)
	}
	air, last, before := t.air, math.NaN(), math.NaN()
	var box *panels.Box
	for round := range mostRounds {
		share := last
		if round < steadyRounds || math.IsNaN(last) {
			share = math.Min(stepped(f.shareFor(&s.region, t.way, air), size, step), s.through(f, t.way))
			if share == before {
				share = last // two that are as near
			}
		}
		if share == last && m.duct == nil { // the same again
			return f.finishMade(s, m, box)
		}
		var err error
		if box, err = f.plan(m, s, share); err != nil {
			return nil, none, err
		}
		if m.net = box.NetVolume; m.net <= 0 {
			return nil, none, errNoAir
		}
		longer, taken, err := f.tuned(m, s, box, c, share == last)
		if err != nil {
			return nil, none, err
		}
		if share == last && math.Abs(longer) < lengthSlack || round == mostRounds-1 {
			return f.finishMade(s, m, box)
		}
		m.length += longer
		air, last, before = m.region.Air+c.Volume-m.net+taken*longer, share, last
	}
	return nil, none, errNoAir
}

var errNoAir = errors.New("what stands in the box takes its air")

// plan makes the box of a stand at a share of its size.
func (f *finder) plan(m *made, s *stand, share float64) (*panels.Box, error) {
	r, ok := f.shrunk(s, m.way, share)
	if !ok {
		return nil, errNoAir
	}
	m.region, m.spec = r, s.spec
	var err error
	if m.spec.Outside, err = r.Solid(); err != nil {
		return nil, err
	}
	if m.spec.Radiators != nil {
		return f.planRadiators(m)
	}
	if m.duct != nil {
		m.spec.Port = m.duct.wood(m.length, f.req)
		m.spec.Port.Width = m.asked
	}
	return panels.Plan(m.spec)
}

// cutTo is a duct of the wanted area: a slot over the whole width where that makes it no wider than one channel may be, else a
// narrower one six times as wide as high.
func (f *finder) cutTo(d duct, s *stand, area float64) duct {
	if !d.isSlot() {
		return d
	}
	least := f.leastSlot()
	b := s.region.Bounds()
	inside := b.Max.X - b.Min.X - 2*f.req.Wood.Thickness
	if h := area / inside; h >= least && inside <= f.table()[grade.SlotAspect].Value()*h {
		d.height, d.width = h, inside
		return d
	}
	d.height = math.Max(least, math.Sqrt(area/6))
	d.width = area / d.height
	return d
}

// tuned is by how much longer the port is to be asked for so that it tunes the planned box to the candidate, and the air that
// a port takes by its length, m2. Where the size is settled the box keeps the net volume that it has, less what the longer
// port takes; else it is going to have the candidate's.
func (f *finder) tuned(m *made, s *stand, box *panels.Box, c search.Candidate, settled bool) (longer, taken float64, err error) {
	if m.duct == nil {
		return 0, 0, nil
	}
	at := &box.Ports[0]
	if m.duct.isSlot() { // higher in place of wider, lower in place of narrower
		high := math.Max(f.leastSlot(), c.Port.Area/at.Width)
		other := math.Abs(high-m.duct.height) > otherHeight*high && m.raised < mostRaised
		if m.duct.width = at.Width; other {
			m.raised++
			m.duct.height, m.asked = high, math.Min(m.asked, at.Width)
			return 2 * lengthSlack, 0, nil
		}
	}
	m.ends = m.duct.ends(at.InnerSection)
	acts := effective(at) + m.ends[0] + m.ends[1]
	k := 2 * math.Pi * c.Tuning / f.air.SoundSpeed
	product := float64(m.duct.count) * m.duct.area() / (k * k) // of net volume and acting length
	taken = math.Max(0, m.region.Air-s.taken-m.net) / math.Max(m.length, lengthSlack)
	if longer = product/c.Volume - acts; settled { // (net - taken x)(acts + x) is the product
		b := m.net - taken*acts
		longer = (product - m.net*acts) / math.Max(b, m.net/4)
		longer = (product - m.net*acts + taken*longer*longer) / math.Max(b, m.net/4)
	}
	if effective(at)+longer <= 0 {
		return 0, 0, fmt.Errorf("the opening alone tunes %s below %.1f Hz", f.volume(m.net), c.Tuning)
	}
	return math.Max(longer, -m.length/2), taken, nil
}

// otherHeight is the share by which a slot's height may miss what gives its area with the width that it found, and mostRaised
// how often it is changed.
const (
	otherHeight = 0.03
	mostRaised  = 3
)

// effective is the length of a placed port that acts.
func effective(p *panels.PortPlace) float64 {
	if p.Effective > 0 {
		return p.Effective
	}
	return p.Length
}

// finishMade looks at the wood and the way in, and says what was built.
func (f *finder) finishMade(s *stand, m *made, box *panels.Box) (*made, search.Built[*made], error) {
	none := search.Built[*made]{}
	if err := f.failedWood(box); err != nil {
		return nil, none, err
	}
	if err := f.obstructed(box); err != nil {
		return nil, none, err
	}
	for _, k := range box.Checks {
		if boxCheck(k).Status == panels.Marginal {
			m.short++
		}
	}
	m.placed = f.room.Weigh(m.region, f.weights, f.shop)
	if m.carry = f.carryIn(m.spec.Outside, box.Removable); m.carry.Answer == cavity.Cannot {
		err := f.notThrough(&m.region)
		f.stuck = cmp.Or(f.stuck, err)
		return nil, none, err
	}
	air := f.airIn(m, box)
	built := search.Built[*made]{Box: m}
	built.Candidate = search.Candidate{Kind: m.kind(), Volume: box.NetVolume, Tuning: air.Tuning(f.air), Outside: box.OuterVolume, Minutes: f.extra(m.placed.Effort)}
	if m.duct != nil {
		at := box.Ports[0]
		built.Taken = m.region.Air - s.taken - box.NetVolume
		built.Candidate.Port = search.Port{
			Count: m.duct.count, Area: m.duct.area(), Length: effective(&at) + m.ends[0] + m.ends[1], Edge: m.duct.edge,
		}
	}
	f.excuseRounding(m, &built.Candidate)
	circuit, err := f.circuit(air, nil)
	if err != nil {
		return nil, none, err
	}
	built.Circuit = circuit
	return m, built, nil
}

// notThrough says that a box as large as a region cannot be carried in.
func (f *finder) notThrough(r *cavity.Region) error {
	d, o := r3.Sub(r.Bounds().Max, r.Bounds().Min), f.req.Space.Passage
	return fmt.Errorf("a box of %s x %s x %s does not go through the passage of %s x %s", f.length(d.X), f.length(d.Y), f.length(d.Z),
		f.length(o.Width), f.length(o.Height))
}

// excuseRounding brings a volume that the saw's step alone keeps from the job's limits back to them.
func (f *finder) excuseRounding(m *made, c *search.Candidate) {
	l := f.req.Limits.Volume
	size := sizeOf(&m.region, m.way)
	moves := math.Max(roundingShare*c.Volume, 0.51*f.stepOf(&m.region, m.way, size)*f.perLength(&m.region, m.way, size))
	if l[0] > 0 && c.Volume < l[0] && c.Volume > l[0]-moves {
		c.Volume = l[0]
	}
	if l[1] > 0 && c.Volume > l[1] && c.Volume < l[1]+moves {
		c.Volume = l[1]
	}
}

// roundingShare is what rounding to the saw's step may always move a volume by; of a small box half a step moves it by more.
const roundingShare = 0.005

// carryIn tests a bare box against the passage, less hand room, its covering and the gasket of a removable face.
func (f *rig) carryIn(body *solid.Solid, removable *panels.RemovableFace) cavity.Carry {
	if f.req.Space == nil || f.req.Space.Passage == nil || body == nil {
		return cavity.Carry{}
	}
	thick := 0.0
	if c := f.req.Wood.Covering; c != nil {
		thick = c.Thickness
	}
	if removable != nil {
		thick += removable.Gasket / 2 // on one face only
	}
	o := *f.req.Space.Passage
	whole, _ := cavity.BodyOf(body, 0) // nothing is moved: no error
	c := cavity.CarryIn(whole, o.Less(cavity.HandRoom+2*thick))
	if c.Answer == cavity.Cannot { // by any motion only where the bare opening is too small
		if bare := cavity.CarryIn(whole, o.Less(2*thick)); bare.Answer != cavity.Cannot {
			bare.Answer = cavity.PerhapsTilting
			return bare
		}
	}
	return c
}

// kind is that of the box.
func (m *made) kind() search.Kind {
	switch {
	case m.duct != nil:
		return search.Vented
	case m.spec.Radiators != nil:
		return search.Passive
	}
	return search.Sealed
}

// airIn is the air behind the cones of a box and what tunes it.
func (f *finder) airIn(m *made, box *panels.Box) thielesmall.Box {
	var ports []thielesmall.Port
	switch m.kind() {
	case search.Vented:
		ports = m.duct.ports(effective(&box.Ports[0]), m.ends)
	case search.Passive:
		m.radiator = f.loaded(box.NetVolume, m.tuning)
		m.spec.Radiators.Added = m.radiator.Mms - f.onHand.Mms
	}
	return f.box(box.NetVolume, ports, m.radiator)
}

// box gives the air behind the cones for a net volume and the given ports or radiators.
func (p *rig) box(v float64, ports []thielesmall.Port, r thielesmall.Radiator) thielesmall.Box {
	b := thielesmall.Box{Volume: v, Ports: ports, Passive: r}
	if len(ports) > 0 || r.Count > 0 {
		b.LeakQ = ventedLeakQ
	}
	return b
}

// circuit is that of a box, through filters when they are given.
func (p *rig) circuit(b thielesmall.Box, filters []thielesmall.Filter) (*thielesmall.Circuit, error) {
	return thielesmall.NewCircuit(thielesmall.System{
		Air: p.air, Driver: p.set, Box: b, Source: p.source, Filters: filters,
	})
}
