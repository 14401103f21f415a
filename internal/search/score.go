package search

import (
	"math"

	"cubby/internal/grade"
)

// terms are what a score is made of.
type terms struct {
	mean       float64 // M(30,80) for aim loud, else M(20,40), dB
	speed      float64 // in the port over the speed allowed
	sigma, f10 float64 // dB, Hz
	penalty    float64
	ported     bool    // a port or a passive radiator
	length     float64 // m, effective, of one port
	litres     float64 // outside
	minutes    float64 // beyond the plain box
}

// lengthOf is the effective length that a kind counts as.
func (m *Model) lengthOf(k Kind, length float64) float64 {
	switch k {
	case Sealed:
		return 0
	case Passive:
		return m.grades[grade.RadiatorLength].Value()
	}
	return length
}

// score says how well a box serves the aim, the more the better:
//
//	flat     -(sigma + P + 0.1 log2 W + [0.3 + 0.6 L]) - 0.02 m
//	low      M(20,40) - 2 P - 0.15 max(f10, 20 Hz) - 1.0 log2 W - [0.5 + L] - 0.02 m
//	loud     M(30,80) - 2 P - 0.5 log2 W - [0.5 + L] - 0.02 m
//	compact  -W (1 + P) (1 + [0.1 + 0.2 L]) (1 + 0.002 m)
//
// W litres outside, L m, m minutes; the brackets only for a port or radiator. Weights are common practice.
func (m *Model) score(t terms) float64 {
	g := &m.grades
	port := func(flat, perMetre grade.ID) float64 {
		if !t.ported {
			return 0
		}
		return g[flat].Value() + g[perMetre].Value()*t.length
	}
	work := g[grade.MinuteWeight].Value() * t.minutes
	switch m.wish.goal {
	case quiet:
		if t.speed == 0 {
			return math.Inf(-1)
		}
		return -t.speed
	case small:
		return -t.litres
	case deep:
		return -t.f10
	case loudest:
		return t.mean
	}
	switch m.Aim {
	case Flat:
		return -(t.sigma + t.penalty + g[grade.FlatSize].Value()*math.Log2(t.litres) + port(grade.FlatPort, grade.FlatPortLength)) - work
	case Loud:
		return t.mean - g[grade.LoudPenalty].Value()*t.penalty - g[grade.LoudSize].Value()*math.Log2(t.litres) -
			port(grade.LoudPort, grade.LoudPortLength) - work
	case Compact:
		return -t.litres * (1 + t.penalty) * (1 + port(grade.CompactPort, grade.CompactPortLength)) * (1 + g[grade.CompactMinute].Value()*t.minutes)
	}
	return t.mean - g[grade.LowPenalty].Value()*t.penalty - g[grade.LowCorner].Value()*max(t.f10, g[grade.CornerLeast].Value()) -
		g[grade.LowSize].Value()*math.Log2(t.litres) - port(grade.LowPort, grade.LowPortLength) - work
}
