package search

import "slices"

// Uncovered are those of the places that no other one covers.
func Uncovered(places []Place) []Place {
	var all []Place
	for i := range places {
		if !slices.ContainsFunc(all, func(p Place) bool { return p.covers(&places[i]) }) {
			all = append(all, places[i])
		}
	}
	return all
}

// covers reports whether no box in another place can be better than the best in this one: it has no more air, takes no less
// work, is no smaller outside for the same air, and has no other ports.
func (p *Place) covers(q *Place) bool {
	holds := func(r, s Range) bool {
		return bounded(r).Least <= bounded(s).Least && bounded(r).Most >= bounded(s).Most
	}
	if p.Kind != q.Kind || p.Count != q.Count || p.Edge != q.Edge || p.Air < q.Air || p.Walls > q.Walls || p.Minutes > q.Minutes ||
		!holds(p.Volume, q.Volume) || !holds(p.Area, q.Area) || !holds(p.Length, q.Length) || !holds(p.Tuning, q.Tuning) {
		return false
	}
	const samples = 8 // of functions that rise alike
	for i := range samples {
		if air := q.Air * float64(i+1) / samples; p.Outside(air) > q.Outside(air)*(1+1e-9) {
			return false
		}
	}
	return true
}
