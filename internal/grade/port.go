package grade

import "math"

// Edge is the shape of a port's mouth. A mouth counts as its sharper end does.
type Edge int8

// The edges. An unflared tube is sharp; a slot that is designed here is rounded.
const (
	Sharp Edge = iota
	Rounded
	Flared
)

// String returns "sharp", "rounded" or "flared".
func (e Edge) String() string {
	switch e {
	case Rounded:
		return "rounded"
	case Flared:
		return "flared"
	}
	return "sharp"
}

// EdgeOf returns the edge of a mouth of the given bore (a slot: its height), m, whose rim has radius m: flared from a
// quarter of the bore, rounded from 6 mm or a tenth of the bore. Common practice.
func (t *Table) EdgeOf(radius, bore float64) Edge {
	switch {
	case radius > 0 && bore > 0 && AtLeast(radius, t[EdgeShareFlared].Pass*bore):
		return Flared
	case radius > 0 && (AtLeast(radius, t[EdgeRadius].Pass) || bore > 0 && AtLeast(radius, t[EdgeShareRounded].Pass*bore)):
		return Rounded
	}
	return Sharp
}

// SpeedAllowed returns the peak air speed, m/s, below which a port of area m2 (one of several) in a box tuned to fb Hz
// passes:
//
//	v_pass = v0 s,  s = sqrt(fb D / (3 m/s)) within 0.7 to 1.3,  D = 2 sqrt(area/pi)
//
// v0 by the edge. It is 0 where fb or area is not a positive number. A synthesis, not a published limit.
func (t *Table) SpeedAllowed(e Edge, fb, area float64) float64 {
	if !(fb > 0) || !(area > 0) {
		return 0
	}
	v0 := t[SpeedSharp].Pass
	switch e {
	case Rounded:
		v0 = t[SpeedRounded].Pass
	case Flared:
		v0 = t[SpeedFlared].Pass
	}
	s := math.Sqrt(fb * 2 * math.Sqrt(area/math.Pi) / t[SpeedProduct].Pass)
	return v0 * min(t[SpeedScaleMost].Pass, max(t[SpeedScaleLeast].Pass, s))
}

// JetOnset returns the peak air speed, m/s, at which a jet begins to leave a sharp round mouth of the given diameter, m,
// at f Hz: 1.58 f D.
func (t *Table) JetOnset(f, diameter float64) float64 { return t[JetRound].Pass * f * diameter }

// JetOnsetSlot returns the same of a sharp slot of the given height, m: 9.87 f h.
func (t *Table) JetOnsetSlot(f, height float64) float64 { return t[JetSlot].Pass * f * height }
