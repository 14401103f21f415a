package design

import (
	"math"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

const inch = 0.0254 // m, exact

// A duct is a kind of port that may be built: equal tubes of one bore, or a slot of any size within the rules.
type duct struct {
	count         int
	bore, outside float64 // m, tube; 0 slot
	height, width float64 // m, slot; width 0: the full inside width
	edge          grade.Edge
}

// Tubes that are sold: bore and outside diameter, m. Metric ones are plastic drain pipe (common practice: measure the pipe),
// inch ones nominal sizes.
var (
	metricTubes = [][2]float64{{0.046, 0.050}, {0.071, 0.075}, {0.105, 0.110}, {0.119, 0.125}, {0.153, 0.160}}
	inchTubes   = [][2]float64{
		{2 * inch, 2.375 * inch}, {3 * inch, 3.25 * inch}, {4 * inch, 4.25 * inch}, {6 * inch, 6.25 * inch},
	}
)

// mostTubes is how many equal tubes a box gets at most.
const mostTubes = 2

// The edges of the mouths of what we build: a slot's are rounded, a tube is cut square (common practice).
const (
	slotEdge = grade.Rounded
	tubeEdge = grade.Sharp
)

// tubeWall is the wall of a tube whose bore is stated, m (common practice: measure the tube).
const tubeWall = 0.003

// sameBore is how near a stated bore is to that of a tube that is sold, m.
const sameBore = 0.0015

// ducts are the ports that a job may be given.
func (p *rig) ducts() []duct {
	w := &p.req.Port
	var all []duct
	if w.Face == "" {
		all = append(all, duct{count: 1, edge: p.edge(slotEdge, w.Edge, highSlot)})
	}
	for count := 1; count <= mostTubes; count++ {
		for _, t := range p.tubes() {
			all = append(all, duct{count: count, bore: t[0], outside: t[1], edge: p.edge(tubeEdge, math.Max(w.Edge, w.Flare), t[0])})
		}
	}
	return all
}

// edge is that of a mouth: by the radius that the job states, or the usual one.
func (p *rig) edge(usual grade.Edge, radius, bore float64) grade.Edge {
	if radius == 0 {
		return usual
	}
	return p.grades.EdgeOf(radius, bore)
}

// tubes are those on hand, or those that are sold: bore and outside diameter, m.
func (p *rig) tubes() [][2]float64 {
	sold := metricTubes
	if p.req.Units == unit.Inch {
		sold = inchTubes
	}
	if len(p.req.Port.Bores) == 0 {
		return sold
	}
	var all [][2]float64
	for _, bore := range p.req.Port.Bores {
		outside := bore + 2*tubeWall
		for _, t := range sold {
			if math.Abs(t[0]-bore) < sameBore {
				outside = bore + t[1] - t[0]
			}
		}
		all = append(all, [2]float64{bore, outside})
	}
	return all
}

// isSlot reports whether the duct is made of boards.
func (d duct) isSlot() bool { return d.bore == 0 }

// area is that of one port, m2.
func (d duct) area() float64 {
	if d.isSlot() {
		return d.height * d.width
	}
	return circleArea(d.bore)
}

// wood is the port to be placed as the job wishes it, so long along its centre line.
func (d duct) wood(length float64, q *Request) *panels.Port {
	p := &panels.Port{Count: d.count, Bore: d.bore, Outside: d.outside, Height: d.height, Width: d.width, Length: length, Elbows: 1, Flange: q.Flange}
	if !d.isSlot() {
		p.Face, p.At, p.Flares = q.Port.Face, q.Port.At, [2]float64{q.Port.Flare, q.Port.Flare}
	}
	return p
}

// ends are the corrections at the outer and the inner end in a box whose section at the inner mouth has the given area, m2.
func (d duct) ends(boxSection float64) [2]float64 {
	if !d.isSlot() {
		a := d.bore / 2
		if boxSection > 0 {
			return [2]float64{thielesmall.EndFlush(a), thielesmall.EndNear(a, boxSection)}
		}
		return [2]float64{thielesmall.EndFlush(a), thielesmall.EndFree(a)}
	}
	return [2]float64{
		thielesmall.EndSlot(d.height, d.width, 0), thielesmall.EndSlotStep(d.height, max(boxSection/d.width, d.height)),
	}
}

// ports are the acoustic ports of that effective length, ends not counted.
func (d duct) ports(length float64, ends [2]float64) []thielesmall.Port {
	return slices.Repeat([]thielesmall.Port{{Area: d.area(), Length: length, Ends: ends}}, d.count)
}
