package design

import (
	"cmp"
	"context"
	"math"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	mostStands  = 16    // regions that are searched
	worthMore   = 1.005 // air of a region over that of one with less work that makes it worth a look
	plainBoards = 6     // of the box whose boards cost no extra work
)

// A stand is a region of the space in which the driver finds its place, at its largest.
type stand struct {
	region  cavity.Region
	spec    panels.Spec
	net     float64 // m3 net at full size, without a port
	taken   float64 // m3 of the region's air that driver, braces and the like take
	minutes float64 // least extra work of a box in it

	cut bool // to what slides through the passage

	radiators *stand // the same with the radiators mounted; nil: see withRadiators

	smallest float64                // see least
	passes   map[cavity.Way]float64 // see through
	reach    map[*duct]portReach    // see reach
	faced    *stand                 // see cutToFace
	uncut    bool                   // it was looked for and there is none
}

// A site is a stand with a kind of port; its number is the ID of its place.
type site struct {
	stand   int
	duct    *duct // nil: none
	passive bool
}

// standAt is the stand of a site.
func (f *finder) standAt(at site) *stand {
	if at.passive {
		return f.stands[at.stand].radiators
	}
	return &f.stands[at.stand]
}

// Prepared is a space with its regions, whatever the driver.
type prepared struct {
	room    *cavity.Room
	shop    cavity.Limits
	weights cavity.Weights
	stands  []stand // least work first, of one work the largest first; not yet with the driver
	proved  bool    // the regions are all that there are
	ladder  []cavity.Rung
}

// A finder is a job made ready to be searched: the space, where boxes may stand in it, and the sound.
type finder struct {
	*rig
	*prepared
	stands  []stand // that take the driver
	sites   []site
	places  []search.Place
	proved  bool
	refused []error // why regions do not take the driver
	stuck   error   // of the first box that cannot be carried in; nil: none

	noRadiator error // why the first that takes the driver does not take the radiators too; nil: it does
}

// prepareSpace looks for the regions of the space. The error is a fault of the space, cavity.ErrNoRoom or ctx's.
func (p *rig) prepareSpace(ctx context.Context) (*prepared, error) {
	s := &prepared{weights: p.jobWeights(), shop: cavity.Limits{Board: p.req.Wood.Thickness}}
	space := *p.req.Space.Space
	space.Gap += p.skin()
	var err error
	if s.room, err = space.Settle(); err != nil {
		return nil, err
	}
	found, err := p.req.Space.Known.regions().Regions(ctx, s.room, s.shop)
	if err != nil {
		return s, err
	}
	s.proved, s.ladder = found.Proved, found.Ladder
	for _, r := range found.Regions {
		if r, ok := p.pulledBack(s, acrossTheSpace(r)); ok {
			r = p.rounded(s, r)
			s.stands = append(s.stands, stand{region: r, minutes: s.leastWork(&r)})
			if r, ok := p.cutToPassage(s, r); ok {
				s.stands = append(s.stands, stand{region: r, minutes: s.leastWork(&r), cut: true})
			}
		}
	}
	slices.SortStableFunc(s.stands, func(a, b stand) int {
		if math.Abs(a.minutes-b.minutes) > 1e-6 {
			return cmp.Compare(a.minutes, b.minutes)
		}
		return -cmp.Compare(a.region.Air, b.region.Air)
	})
	return s, nil
}

// acrossTheSpace is a block with its ends at the left and the right, as a shop builds it.
func acrossTheSpace(r cavity.Region) cavity.Region {
	if !r.Rectangle || len(r.Pockets) > 0 || r.Axis == cavity.Across {
		return r
	}
	b := r.Bounds()
	r.Axis, r.Lo, r.Hi = cavity.Across, b.Min.X, b.Max.X
	r.Section = plane.Rect{Min: cavity.Across.Section(b.Min), Max: cavity.Across.Section(b.Max)}.Polygon()
	return r
}

// finder makes a job ready to be searched in a space.
func (p *rig) finder(s *prepared) *finder {
	f := &finder{rig: p, prepared: s, proved: s.proved}
	f.settleStands()
	f.settlePlaces()
	p.req.Space.Known.keep(f)
	return f
}

// ready is the job made ready to be searched, as far as it can be from what is known. The error is that of prepareSpace; the
// room is there with it where the space has one.
func (p *rig) ready(ctx context.Context) (*finder, *cavity.Room, error) {
	if f := p.req.Space.Known.recall(p); f != nil {
		f.settlePlaces()
		return f, f.room, nil
	}
	s, err := p.prepareSpace(ctx)
	if s == nil || err != nil {
		if s == nil {
			return nil, nil, err
		}
		return nil, s.room, err
	}
	return p.finder(s), s.room, nil
}

// skin is the covering on the wood, m. A covering of some faces only counts as one of all.
func (p *rig) skin() float64 {
	if c := p.req.Wood.Covering; c != nil {
		return c.Thickness
	}
	return 0
}

// weights are the shop minutes that a job states, or the usual ones.
func (p *rig) jobWeights() cavity.Weights {
	if r := p.req.Placing; r != nil {
		return r.Weights
	}
	return cavity.DefaultWeights()
}

// settleStands keeps the regions in which the driver finds its place and that hold more air than those with less work; those
// that cannot hold what is wished for come last.
func (f *finder) settleStands() {
	stands := slices.Clone(f.prepared.stands)
	wish := f.req.Limits.Volume[0]
	slices.SortStableFunc(stands, func(a, b stand) int {
		return cmp.Compare(math.Min(b.region.Air, wish), math.Min(a.region.Air, wish))
	})
	for _, s := range stands {
		if len(f.stands) == mostStands {
			f.proved = false
			break
		}
		if f.dominated(&s) {
			continue
		}
		if err := f.settle(&s); err != nil {
			f.refused = append(f.refused, err)
			continue
		}
		f.stands = append(f.stands, s)
	}
}

// dominated reports whether a stand with no more work gives nearly as much air in nearly the same place.
func (f *finder) dominated(s *stand) bool {
	b := s.region.Bounds()
	for i := range f.stands {
		o := &f.stands[i]
		if o.region.Air*worthMore < s.region.Air || s.cut && !o.cut {
			continue
		}
		a := o.region.Bounds()
		holds := a.Min.X <= b.Min.X+nearPlace && a.Max.X >= b.Max.X-nearPlace && a.Min.Y <= b.Min.Y+nearPlace &&
			a.Max.Y >= b.Max.Y-nearPlace && a.Min.Z <= b.Min.Z+nearPlace && a.Max.Z >= b.Max.Z-nearPlace
		if holds && (o.region.Rectangle || !s.region.Rectangle) {
			return true
		}
	}
	return false
}

// nearPlace is how far the sides of two regions may be apart that count as the same place, m.
const nearPlace = 0.006

// pulledBack is a region whose face with the driver keeps the stated air before it, where it looks at a closed side.
func (f *rig) pulledBack(s *prepared, r cavity.Region) (cavity.Region, bool) {
	m, gasket := f.req.Mount, 0.0
	if m.Removable {
		gasket = panels.GasketSqueezed
	}
	side, ok := map[string]cavity.Side{"front": cavity.Front, "top": cavity.Roof, "right": cavity.Right, "back": cavity.Back, "left": cavity.Left, "bottom": cavity.Floor}[m.Face]
	if !ok {
		return r, true
	}
	if open := f.req.Space.Open; !slices.Contains(open, side) && (len(open) > 0 || side != cavity.Front) {
		gasket += math.Max(0, m.AirInFront-f.req.Space.Gap)
	}
	if gasket <= 0 {
		return r, true
	}
	return s.room.PulledIn(r, side, gasket, s.shop)
}

// cutToPassage is a block cut in two sizes to the largest that slides through the passage with hand room; false where it does as it
// is, or none does. A way to make a box smaller changes one size, and may leave nothing where two are too large.
func (f *rig) cutToPassage(s *prepared, r cavity.Region) (cavity.Region, bool) {
	var best cavity.Region
	if f.req.Space.Passage == nil || !r.Rectangle || len(r.Pockets) > 0 {
		return best, false
	}
	thick := 2 * f.skin()
	if f.req.Mount.Removable {
		thick += panels.GasketSqueezed
	}
	o := f.req.Space.Passage.Less(cavity.HandRoom + thick)
	d := r3.Sub(r.Bounds().Max, r.Bounds().Min)
	ways, sizes := [...]cavity.Way{cavity.KeepLow, cavity.ByDepth, cavity.ByHeight}, [...]float64{d.X, d.Y, d.Z}
	for i := range ways { // along the third it slides
		for j := range ways {
			if i == j {
				continue
			}
			q, ok := s.room.Shrunk(r, ways[i], math.Min(1, o.Width/sizes[i]), s.shop)
			if ok {
				q, ok = s.room.Shrunk(q, ways[j], math.Min(1, o.Height/sizes[j]), s.shop)
			}
			if ok && q.Air > best.Air {
				best = q
			}
		}
	}
	if best.Air == 0 || best.Air >= r.Air*(1-slack) {
		return best, false
	}
	return f.rounded(s, best), true
}

// rounded is a region whose level and upright sizes are whole steps of the saw, the floor side kept; regions with pockets or
// leaning ends keep their exact sizes.
func (f *rig) rounded(s *prepared, r cavity.Region) cavity.Region {
	step := f.req.Saw.RoundTo
	if step <= 0 || len(r.Pockets) > 0 || r.Leans != [2]float64{} {
		return r
	}
	r.Section, r.Hi = roundSection(r.Section, step), r.Lo+floorTo(r.Hi-r.Lo, step)
	q, ok := s.room.Shrunk(r, cavity.KeepLow, 1, s.shop) // measures it again
	if !ok {
		return r
	}
	return q
}

// leastWork is the least extra work of any box in a region: its boards and corners, as near and as low as the region begins, and
// what carries it where no part of its bottom comes to the floor.
func (f *prepared) leastWork(r *cavity.Region) float64 {
	e := f.room.Effort(r, f.shop.Board, 0)
	e.Perched = math.Floor(e.Perched)
	return f.extra(e)
}

// extra is the work of a box beyond six plain boards, in minutes, its area and weight not counted.
func (f *prepared) extra(e cavity.Effort) float64 {
	e.Area, e.Mass = 0, 0
	e.Boards = max(0, e.Boards-plainBoards)
	return f.weights.Minutes(e)
}

// settle plans the stand's box at full size. The error says why the driver does not find its place.
func (f *finder) settle(s *stand) error {
	spec, err := f.specOf(&s.region)
	if err != nil {
		return err
	}
	box, err := panels.Plan(spec)
	if err != nil {
		return f.inUnits(err)
	}
	if why := f.failedWood(box); why != nil {
		return why
	}
	s.spec, s.net, s.taken = spec, box.NetVolume, s.region.Air-box.NetVolume
	return nil
}

// failedWood is the first check of the wood that fails, as an error; nil: none does.
func (p *rig) failedWood(b *panels.Box) error {
	for _, c := range b.Checks {
		if boxCheck(c).Status == panels.Fail {
			return &woodError{c, p.req.Units}
		}
	}
	return nil
}

// woodError is a check of the wood that fails.
type woodError struct {
	check panels.Check
	units unit.System
}

// Error gives the check's note.
func (e *woodError) Error() string { return e.check.Name + ": " + e.check.Note.Text(e.units) }

// specOf is a sealed box as large as a region, as the job wants it made.
func (f *finder) specOf(r *cavity.Region) (panels.Spec, error) {
	s := f.spec()
	s.Room = f.plugFits
	var err error
	s.Axis = r.Axis
	s.Outside, err = r.Solid()
	return s, err
}

// settlePlaces makes a place of every stand and kind of box.
func (f *finder) settlePlaces() {
	ducts := f.ducts()
	for i := range f.stands {
		s := &f.stands[i]
		for _, k := range f.kinds() {
			switch k {
			case Sealed:
				f.add(site{stand: i}, search.Place{Kind: search.Sealed, Volume: f.qtcVolumes()})
			case Vented:
				for d := range ducts {
					f.add(site{stand: i, duct: &ducts[d]}, f.ventedPlace(s, &ducts[d]))
				}
			case Passive:
				if f.withRadiators(s) != nil {
					f.add(site{stand: i, passive: true}, search.Place{Kind: search.Passive})
				}
			}
		}
	}
}

// qtcVolumes are the net volumes that give a sealed box the Qtc that the job states; free where it states none.
func (f *finder) qtcVolumes() search.Range {
	low, high := f.req.Limits.Qtc[0], f.req.Limits.Qtc[1]
	var r search.Range
	if v, err := thielesmall.SealedVolume(f.set, f.air, f.source, high); high > 0 && err == nil {
		r.Least = v
	}
	if v, err := thielesmall.SealedVolume(f.set, f.air, f.source, low); low > 0 && err == nil {
		r.Most = v
	}
	return r
}

func (f *finder) ventedPlace(s *stand, d *duct) search.Place {
	p := search.Place{Kind: search.Vented, Count: d.count, Edge: d.edge}
	if !d.isSlot() {
		p.Area = search.Range{Least: d.area(), Most: d.area()}
		p.Walls = (circleArea(d.outside) - d.area()) / math.Sqrt(d.area())
		return p
	}
	p.Walls = 1.5 * f.req.Wood.Thickness // of a slot little wider than high
	b := s.region.Bounds()
	h := f.leastSlot()
	longest := math.Max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
	p.Area = search.Range{Least: h * h, Most: h * 4 * longest}
	return p
}

// highSlot is a height that slots seldom pass, m: their board takes at least so much less.
const highSlot = 0.060

// leastSlot is the least height of a slot: 20 mm, and the thickness of the board (common practice).
func (f *finder) leastSlot() float64 {
	return math.Max(f.grades[grade.SlotHeight].Value(), f.req.Wood.Thickness)
}

// add puts a place into the search.
func (f *finder) add(at site, p search.Place) {
	s := f.standAt(at)
	p.ID = len(f.sites)
	p.Volume = search.Range{Least: p.Volume.Least, Most: math.Min(s.net, orMost(p.Volume.Most))}
	if v := f.req.Limits.Volume; v[0] > 0 && v[0] == v[1] { // exactly that, not the edge of what counts as that
		p.Volume = p.Volume.Within(search.Range{Least: v[0], Most: v[1]})
	}
	p.Air = f.carriedNet(s)
	if p.Air < s.net && p.Air < math.Max(s.least(f), p.Volume.Least) {
		if f.stuck == nil {
			f.stuck = f.notThrough(&s.region)
		}
		return
	}
	if p.Volume.Most = math.Min(p.Volume.Most, p.Air); p.Volume.Empty() {
		return
	}
	p.Minutes = s.minutes
	p.Outside = f.outsideOf(&s.region, f.displaced())
	f.sites, f.places = append(f.sites, at), append(f.places, p)
}

// displaced is what the drivers take of a box's air, m3.
func (p *rig) displaced() float64 {
	if p.req.Mount.Outside {
		return 0
	}
	return float64(max(1, p.req.Mount.Count)) * p.req.Frame.Displacement
}

// outsideOf gives the least outside volume of a box in a region that holds so much air, ports included, beside what the drivers
// take; braces and the like may be in a large box alone.
func (p *rig) outsideOf(r *cavity.Region, taken float64) func(air float64) float64 {
	t := p.req.Wood.Thickness
	length := r.Hi - r.Lo
	area, inner := r.Volume/length, 0.0
	if length > 2*t {
		inner = r.Air / (length - 2*t)
	}
	cube := r.Rectangle
	return func(air float64) float64 {
		air += taken
		out := math.Inf(1)
		if inner > 0 {
			out = area * (air/inner + 2*t)
		}
		if cube { // no box with that air is smaller than a cube
			side := math.Cbrt(air) + 2*t
			out = math.Min(out, side*side*side)
		}
		return out
	}
}
