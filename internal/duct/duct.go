// Package duct gives what bends and flares take off the length of a port along its centre line. It imports nothing of this
// program, so that the boards are cut and the sound is computed by the same figures.
package duct

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// What bends and flares take off the length of a duct along its centre line,
// board included: what is left acts on the tuning, and to it the end
// corrections are added. All are those of potential flow, for air that moves
// without separating from the walls.

// TurnCut returns what a sharp bend by turn radians (0 to less than pi) takes off the centre line of a slot of height h, m, the
// same before and behind it: tan(turn/2) h of centre line on the mitre acts as
//
//	(2/pi) (psi(1/2 + turn/(2 pi)) - psi(1/2)) h
//
// with psi the digamma function: derived from the Schwarz-Christoffel map of a strip with a mitred corner. At a right angle the
// corner square acts as 0.559 h, exactly 1 - 2 ln2/pi of it (the corner of a flat sheet resistor, from memory; confirmed by a
// numerical solution).
func TurnCut(h, turn float64) float64 {
	if !(h > 0) || !(turn > 0) || !(turn < math.Pi) {
		return 0
	}
	acts := 2 / math.Pi * (mathext.Digamma(0.5+turn/(2*math.Pi)) - mathext.Digamma(0.5))
	return h * (math.Tan(turn/2) - acts)
}

// The effective length of a fold of 180 degrees round a divider, between the
// two planes in which the divider ends, over the slot's height: by the
// divider's thickness and by the gap at its end, both over the height.
// Computed from potential flow.
var (
	foldDividers = [...]float64{0.3, 0.6, 1}
	foldGaps     = [...]float64{0.6, 0.75, 1, 1.5}
	foldLengths  = [len(foldDividers)][len(foldGaps)]float64{
		{1.70, 1.53, 1.37, 1.27}, {2.21, 1.95, 1.70, 1.52}, {2.88, 2.48, 2.12, 1.82},
	}
)

// FoldCut returns what a fold of 180 degrees takes off the centre line of a
// slot of height h that turns round a divider through a gap at its end, all in
// m; the centre line through the fold is h + divider + gap long. A narrow gap
// throttles, and the cut is then negative.
//
// It is linear between the computed cases (divider 0.3 to 1 h, gap 0.6 to 1.5
// h) and held beyond them, as a cut: a thicker divider adds its own thickness.
func FoldCut(h, divider, gap float64) float64 {
	if !(h > 0) || !(divider >= 0) || !(gap > 0) {
		return 0
	}
	i, x := bracket(foldDividers[:], divider/h)
	j, y := bracket(foldGaps[:], gap/h)
	cut := func(i, j int) float64 { return 1 + foldDividers[i] + foldGaps[j] - foldLengths[i][j] }
	low := cut(i, j)*(1-y) + cut(i, j+1)*y
	high := cut(i+1, j)*(1-y) + cut(i+1, j+1)*y
	return h * (low*(1-x) + high*x)
}

// bracket finds x among at least two rising values: between number i and the
// next, share of the way; held at both ends.
func bracket(values []float64, x float64) (i int, share float64) {
	for i < len(values)-2 && x > values[i+1] {
		i++
	}
	share = (x - values[i]) / (values[i+1] - values[i])
	return i, math.Min(1, math.Max(0, share))
}

// ElbowCut returns what a smooth bend takes off its arc, m: a round tube of
// bore radius a bent by angle radians about a centre line of radius bend, m,
//
//	effective = arc (B^2/2) / (1 - sqrt(1 - B^2)),  B = a/bend
//
// Nederveen, Acoustical Aspects of Woodwind Instruments (from memory). A bend
// tighter than the bore's own radius is taken as that.
func ElbowCut(a, bend, angle float64) float64 {
	if !(a > 0) || !(bend > 0) || !(angle > 0) {
		return 0
	}
	b := math.Min(1, a/bend)
	// (B^2/2)/(1 - root) with 1 - root = B^2/(1 + root)
	return bend * angle * (1 - (1+math.Sqrt(1-b*b))/2)
}

// Straight length that a quarter-round flare of radius r takes off at a flush
// end of bore radius a, over r, by r/a. Computed from potential flow, to 0.02 a.
var (
	flareRatios = [...]float64{0.25, 0.5, 1}
	flareCuts   = [...]float64{0.28, 0.35, 0.43}
)

// FlareCut returns what one flared end of radius r takes off the straight
// length of a tube of bore radius a, m, both mouths' planes being counted; it is
// linear in r/a between the computed cases and held beyond.
func FlareCut(r, a float64) float64 {
	if !(r > 0) || !(a > 0) {
		return 0
	}
	i, x := bracket(flareRatios[:], r/a)
	return r * (flareCuts[i]*(1-x) + flareCuts[i+1]*x)
}
