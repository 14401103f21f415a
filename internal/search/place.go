package search

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/grade"
)

// Place is one kind of box in one region of a space: what may be built there, at its most generous. A range whose Most is
// 0 is free.
type Place struct {
	ID      int // the builder's own
	Kind    Kind
	Count   int        // of ports
	Edge    grade.Edge // of their mouths
	Volume  Range      // net, m3
	Air     float64    // most air, net and taken by the ports, m3
	Walls   float64    // least section of one port's walls over the root of its area, m: what it takes of the air beside its own
	Area    Range      // of one port, m2
	Length  Range      // effective, of one port, m
	Tuning  Range      // Hz
	Minutes float64    // least, beyond a plain box

	// Outside is the least gross volume, m3, of a box of this place with so much air inside, ports included. It does not
	// fall.
	Outside func(air float64) float64
}

// Taken is what ports of that area, m2, and length, m, take of the air of a place, m3.
func (p *Place) Taken(area, length float64) float64 {
	return float64(p.Count) * (area + p.Walls*math.Sqrt(area)) * physical(length, area)
}

// Slacks of the two bounds of a place's score, dB: of the lattice alone, and of the best about its best points.
const (
	latticeSlack = 1.2
	tightSlack   = 0.1
	relaxed      = 1.0 // how far a point of the lattice may be out and still count
)

// slack turns one of those into a difference of scores.
func (m *Model) slack(score, decibels float64) float64 {
	if m.wish.goal == serve && m.Aim == Compact || m.wish.goal == small {
		return 0.25 * decibels * math.Abs(score) // a score is a size: a lattice's step of volume is 13 %
	}
	if m.wish.goal == quiet {
		return 0.1 * decibels * math.Abs(score) // a score is a ratio of speeds
	}
	return decibels
}

// Bound gives an upper bound of the score of any box in a place, by a lattice of volume and tuning with the best port at
// each; -Inf where none is feasible within a step.
func (m *Model) Bound(p *Place) float64 {
	spots, _ := m.scan(p, 1, relaxed, math.Inf(-1), math.Inf(-1))
	if len(spots) == 0 || spots[0].score <= missed {
		return math.Inf(-1)
	}
	return spots[0].score + m.slack(spots[0].score, latticeSlack)
}

// Tight gives a closer bound, and the candidate that reaches it but for a slack.
func (m *Model) Tight(p *Place) (Candidate, float64) {
	c, s := m.Best(p)
	return c, s + m.slack(s, tightSlack)
}

// spot is a point of a lattice.
type spot struct {
	volume, u, score float64
	area             float64
}

// Best gives the best candidate of a place as a model, its ports as plain ducts, and its score; -Inf where none is feasible.
func (m *Model) Best(p *Place) (Candidate, float64) {
	var r response
	none := math.Inf(-1)
	spots, _ := m.scan(p, m.effort.starts, relaxed, none, none)
	best := m.closest(&r, p, spots, spot{score: none})
	if best.score <= missed && (m.effort == careful || best.score > missed*(1+relaxed)) { // from what is least out
		spots, _ = m.scan(p, 2*m.effort.starts, 0, none, none)
		best = m.closest(&r, p, spots, best)
	}
	if best.score > missed {
		return m.candidate(p, best), best.score
	}
	if m.effort == quick && best.score > missed*(1+relaxed/2) { // nearly: there may be a narrow place
		other := m.wishing(m.wish)
		other.effort, other.lattices, other.Memory = careful, [Kinds]*lattice{}, nil
		return other.Best(p)
	}
	return Candidate{}, none
}

// BestOf is the best of several places: only those whose lattice comes near the best are looked at more closely.
func (m *Model) BestOf(places []Place) (Candidate, float64) {
	c, score, _ := m.bestOver(places, math.Inf(-1))
	return c, score
}

// bestOver is BestOf where scores less than a floor are of no interest. Where nothing is found, beaten says that there may be
// something feasible that scores less.
func (m *Model) bestOver(places []Place, floor float64) (c Candidate, score float64, beaten bool) {
	type start struct {
		place *Place
		spots []spot
	}
	var r response
	var all []start
	best := spot{score: math.Inf(-1)}
	var at *Place
	for _, sealed := range [...]bool{true, false} { // those that are quickly done first
		var starts []start
		least := floor
		if best.score > missed {
			least = math.Max(least, best.score)
		}
		bar := m.under(least, latticeSlack)
		for i := range places {
			p := &places[i]
			if (p.Kind == Sealed) != sealed {
				continue
			}
			spots, some := m.scan(p, m.effort.starts, relaxed, bar, least)
			if beaten = beaten || some; len(spots) == 0 {
				continue
			}
			starts = append(starts, start{p, spots})
			if s := spots[0].score; s > missed {
				bar = math.Max(bar, m.under(s, latticeSlack))
			}
		}
		slices.SortStableFunc(starts, func(a, b start) int { return -cmp.Compare(a.spots[0].score, b.spots[0].score) })
		for _, s := range starts {
			if best.score > missed && m.under(s.spots[0].score, -latticeSlack) <= best.score {
				break
			}
			if b := m.closest(&r, s.place, s.spots, best); b.score > best.score {
				best, at = b, s.place
			}
		}
		all = append(all, starts...)
	}
	if best.score > missed {
		return m.candidate(at, best), best.score, false
	}
	for _, s := range all { // a narrow place
		if c, score := m.Best(s.place); score > missed {
			return c, score, false
		}
	}
	return Candidate{}, math.Inf(-1), beaten && !math.IsInf(floor, -1)
}

// under is a score less a slack; over it where the slack is negative.
func (m *Model) under(score, slack float64) float64 {
	if math.IsInf(score, 0) {
		return score
	}
	return score - m.slack(score, slack)
}

// Beats reports whether a box in some of the places may score as much.
func (m *Model) Beats(places []Place, score float64) bool { return m.boundOf(places, score) >= score }

// boundOf gives an upper bound of the score of any box in several places, as close as that of [Model.Tight]; where it is under
// the floor that is all that it says.
func (m *Model) boundOf(places []Place, floor float64) float64 {
	_, s, beaten := m.bestOver(Uncovered(places), m.under(floor, tightSlack))
	if beaten {
		return math.Nextafter(floor, math.Inf(-1))
	}
	return m.under(s, -tightSlack)
}

// closest is the best spot near several of a place, or the one that is known where it is better.
func (m *Model) closest(r *response, p *Place, spots []spot, best spot) spot {
	for _, s := range spots {
		m.own(r, p, &s)
		if s = m.refine(r, p, s, best.score); s.score > best.score {
			best = s
		}
	}
	return best
}

// own evaluates a spot with its own ports and their own length.
func (m *Model) own(r *response, p *Place, s *spot) {
	m.solveAt(r, p.Kind, s.volume, s.u, float64(p.Count)*s.area)
	s.score, _ = m.bestPort(r, p, math.Inf(-1), Range{s.area, s.area}, 0, fine)
}

// look evaluates a volume and tuning near a spot with the best ports about the spot's, and reports whether that is better.
func (m *Model) look(r *response, p *Place, s *spot, volume, u float64, sections int) bool {
	m.solveAt(r, p.Kind, volume, u, float64(p.Count)*s.area)
	score, area := m.bestPort(r, p, s.score, Range{s.area / beside, s.area * beside}, 0, sections)
	if score <= s.score {
		return false
	}
	t := spot{volume, u, score, area}
	if p.Kind == Vented && !m.Lumps { // the length that goes with the new area
		if m.own(r, p, &t); t.score <= s.score {
			return false
		}
	}
	*s = t
	return true
}

// candidate makes a spot into a candidate.
func (m *Model) candidate(p *Place, s spot) Candidate {
	c := Candidate{Kind: p.Kind, Volume: s.volume, Minutes: p.Minutes, Tuning: m.tuningAt(p.Kind, s.volume, s.u)}
	air := s.volume
	if p.Kind == Vented {
		c.Port = m.Tuned(s.volume, c.Tuning, Port{Count: p.Count, Area: s.area, Edge: p.Edge}).Port
		air += p.Taken(s.area, c.Port.Length)
	}
	c.Outside = p.Outside(air)
	return c
}

// volumes is the range of net volumes of a place that are of use.
func (m *Model) volumes(p *Place) Range {
	v := p.Volume
	if p.Air > 0 {
		v.Most = math.Min(v.Most, p.Air)
	}
	return v.Within(m.useful(v.Most))
}

// scan gives the n best spots of a place: those of the lattice that lie in it and those at the ends of its volumes, no two
// of them neighbours; what is out by up to relax counts as feasible, and what is out by more is given by how far it is. None
// scores less than the bar, and no volume is looked at in which nothing can score as much as the floor; some says that there
// was one, or one that is feasible.
func (m *Model) scan(p *Place, n int, relax, bar, floor float64) (spots []spot, some bool) {
	v := m.volumes(p)
	if v.Empty() {
		return nil, false
	}
	l := m.lattice(p.Kind, v.Most)
	var r response
	var all []spot
	look := func(r *response, u float64) {
		some = some || r.excess <= relax
		if s, area := m.bestPort(r, p, bar, Range{}, relax, coarse); s > bar || s <= missed && !math.IsInf(s, -1) {
			all = append(all, spot{r.volume, u, s, area})
			if s <= missed {
				return
			}
			if n == 1 {
				bar = s
			} else { // what lies further below the best than a lattice's slack is not refined
				bar = math.Max(bar, m.under(s, latticeSlack))
			}
		}
	}
	low := func(volume float64) bool { return m.ceiling(p, volume/m.effort.volumeStep) < floor }
	for i, volume := range l.volumes {
		if volume < v.Least || volume > v.Most {
			continue
		}
		if low(volume) {
			some = true
			break
		}
		for j := range l.steps {
			if r := m.point(l, p, i*l.steps+j); r != nil {
				look(r, l.at(j))
			}
		}
		if u, ok := m.lowest(p, volume); ok {
			look(m.beside(l, &r, p.Kind, volume, u, float64(p.Count)*p.Area.Most), u)
		}
	}
	for _, volume := range [...]float64{v.Most, v.Least} {
		if slices.Contains(l.volumes, volume) || low(volume) {
			continue
		}
		for j := range l.steps {
			look(m.beside(l, &r, p.Kind, volume, l.at(j), 0), l.at(j))
		}
	}
	slices.SortStableFunc(all, func(a, b spot) int { return -cmp.Compare(a.score, b.score) })
	if len(all) > 0 && all[0].score > missed {
		all = slices.DeleteFunc(all, func(s spot) bool { return s.score < bar })
	}
	return apart(all, n, m.effort.volumeStep, 1.5/math.Max(1, float64(l.steps-1))), some
}

// ceiling is the most that a box of a place can score with so much air; it does not rise with it.
func (m *Model) ceiling(p *Place, volume float64) float64 {
	if m.wish.goal != serve || m.Aim != Flat && m.Aim != Compact { // a level has none
		return math.Inf(1)
	}
	return m.score(terms{ported: p.Kind != Sealed, length: m.lengthOf(p.Kind, p.Length.Least), minutes: p.Minutes, litres: p.Outside(volume) * 1000})
}

// lowest is the second coordinate at which a place whose port has one area tunes a volume lowest: with the longest that goes
// in. ok is false in other places, and where that tuning may not be chosen.
func (m *Model) lowest(p *Place, volume float64) (u float64, ok bool) {
	t := m.tunings()
	if p.Kind != Vented || p.Area.Most == 0 || p.Area.Most > p.Area.Least*(1+notch) || t.Most <= t.Least {
		return 0, false
	}
	length := m.longest * (1 - m.keep.share)
	if p.Length.Most > 0 {
		length = math.Min(length, p.Length.Most)
	}
	tuning := m.Air.SoundSpeed / (2 * math.Pi) * math.Sqrt(float64(p.Count)*p.Area.Most/(volume*length))
	u = math.Log(tuning/t.Least)/math.Log(t.Most/t.Least) + grade.Slack
	return u, u >= 0 && u <= 1
}

// apart keeps the first n spots that are not within a step or so of one before.
func apart(all []spot, n int, step, near float64) []spot {
	var kept []spot
	for _, s := range all {
		if len(kept) == n {
			break
		}
		if !slices.ContainsFunc(kept, func(k spot) bool {
			return math.Abs(math.Log(k.volume/s.volume)) < 1.5*math.Log(step) && math.Abs(k.u-s.u) < near
		}) {
			kept = append(kept, s)
		}
	}
	return kept
}

// behind is how far, dB, a spot may stay behind the best when its step has been halved so often.
var behind = [...]float64{2.4, 1.6, 0.8, 0.3}

// knee is the lesser part of a move between a straight and an oblique one.
const knee = 0.4

// refine moves a spot to the best near it; it gives up one that is feasible and stays behind the best that is known.
func (m *Model) refine(r *response, p *Place, s spot, best float64) spot {
	v := m.volumes(p)
	stepV, stepU := math.Log(m.effort.volumeStep), 1/float64(m.effort.tunings-1)
	moves := [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, -1}, {-1, 1}, {1, 1}, {-1, -1}}
	switch t := m.tunings(); {
	case p.Kind == Sealed:
		moves = moves[:2]
	case p.Kind == Passive: // the best often lie on the edge of what is feasible, which runs in any direction
		moves = append(moves, [][2]float64{{1, knee}, {-1, -knee}, {1, -knee}, {-1, knee}, {knee, 1}, {-knee, -1}, {knee, -1}, {-knee, 1}}...)
	case t.Most > t.Least: // the length of a port of the same area stays: V fb^2 does
		along := 0.5 * stepV / math.Log(t.Most/t.Least) / stepU
		moves = append(moves, [2]float64{1, -along}, [2]float64{-1, along})
	}
	for n := range m.effort.halvings {
		if s.score > missed && s.score < best-m.slack(best, behind[min(n, len(behind)-1)]) {
			break
		}
		sections := coarse
		if n >= len(behind)-1 {
			sections = fine
		}
		if n > 0 && p.Kind == Vented && !m.Lumps {
			m.look(r, p, &s, s.volume, s.u, sections)
		}
		stepV, stepU = stepV/2, stepU/2
		for moved, turns := true, 0; moved && turns < 4; turns++ {
			moved = false
			for _, d := range moves {
				volume := math.Min(v.Most, math.Max(v.Least, s.volume*math.Exp(d[0]*stepV)))
				u := unit(s.u + d[1]*stepU)
				if volume == s.volume && u == s.u {
					continue
				}
				moved = m.look(r, p, &s, volume, u, sections) || moved
			}
		}
		m.leap(r, p, &s, v, sections)
	}
	return s
}

// leap looks at the whole hertz on either side of a spot's tuning: an advised high-pass of whole hertz goes no higher than the
// tuning, so a score falls there and rises between, and small moves do not cross. The volume stays, or goes with the tuning as
// excursion asks, or as a port of the same length in the same air does.
func (m *Model) leap(r *response, p *Place, s *spot, v Range, sections int) {
	if p.Kind == Sealed || !m.filters.advise {
		return
	}
	const excursion = 3 // about the power of the tuning
	for _, step := range [...]float64{-1, 1} {
		now := m.tuningAt(p.Kind, s.volume, s.u)
		whole := math.Floor(now) + step
		ratio := whole / now
		ports := p.Taken(s.area, float64(p.Count)*s.area*m.perArea(s.volume, now)) / s.volume
		for _, share := range [...]float64{1, math.Pow(ratio, excursion), (1 + ports) / (1 + ports*ratio*ratio)} {
			volume := math.Min(v.Most, math.Max(v.Least, s.volume*share))
			least, most := m.tuningAt(p.Kind, volume, 0), m.tuningAt(p.Kind, volume, 1)
			if whole >= least && whole < most {
				m.look(r, p, s, volume, math.Log(whole/least)/math.Log(most/least)+grade.Slack, sections)
			}
		}
	}
}
