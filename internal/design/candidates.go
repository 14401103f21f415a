package design

import (
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// A duct is a stock choice of ports: so many equal tubes or one slot.
type duct struct {
	count         int
	bore, outside float64 // m, tube
	height, width float64 // m, slot; width is the clear one, fins taken off
	full          bool    // slot as wide as the inside: width follows the box
}

// Stock tubes: inside and outside diameters in metres as sold for drains and ducts (common practice; the shop measures
// the tube in hand, and its real sizes are dimensioned on the sheet).
var (
	metricTubes = [][2]float64{{0.046, 0.050}, {0.071, 0.075}, {0.105, 0.110}, {0.119, 0.125}, {0.153, 0.160}}
	inchTubes   = [][2]float64{
		{2 * inch, 2.375 * inch}, {3 * inch, 3.25 * inch}, {4 * inch, 4.25 * inch}, {6 * inch, 6.25 * inch},
	}
)

// Stock slots: clear height and width in metres, at most eight times as wide as high (common practice).
var (
	metricSlots = [][2]float64{
		{0.025, 0.150}, {0.025, 0.200}, {0.030, 0.220}, {0.035, 0.250}, {0.040, 0.300}, {0.050, 0.300}, {0.050, 0.400}, {0.060, 0.450},
	}
	inchSlots = [][2]float64{
		{1 * inch, 6 * inch}, {1 * inch, 8 * inch}, {1.25 * inch, 9 * inch}, {1.5 * inch, 10 * inch}, {1.5 * inch, 12 * inch},
		{2 * inch, 12 * inch}, {2 * inch, 16 * inch}, {2.5 * inch, 18 * inch},
	}
)

// Heights of slots as wide as the inside of the box, in metres: their mouth is where a wall is cut narrower.
var (
	metricHeights = []float64{0.025, 0.030, 0.040, 0.050, 0.060}
	inchHeights   = []float64{1 * inch, 1.25 * inch, 1.5 * inch, 2 * inch, 2.5 * inch}
)

// mostOf is how many of the stock tubes, the narrower ones first, come three and four at a time: where a wide one finds no
// place on a face or no room to turn, several narrow ones do.
var mostOf = map[int]int{3: 3, 4: 2}

const inch = 0.0254 // m, exact

// ductsFor lists the ports that a candidate may have, the plainest first: one tube, then two, then slots made of board, then
// more tubes.
func ductsFor(u unit.System) []duct {
	tubes, slots, heights := metricTubes, metricSlots, metricHeights
	if u == unit.Inch {
		tubes, slots, heights = inchTubes, inchSlots, inchHeights
	}
	var all []duct
	add := func(count int, tubes [][2]float64) {
		for _, t := range tubes {
			all = append(all, duct{count: count, bore: t[0], outside: t[1]})
		}
	}
	add(1, tubes)
	add(2, tubes)
	for _, h := range heights {
		all = append(all, duct{count: 1, height: h, full: true})
	}
	for _, s := range slots {
		all = append(all, duct{count: 1, height: s[0], width: s[1]})
	}
	for count := 3; count <= 4; count++ {
		add(count, tubes[:mostOf[count]])
	}
	return all
}

// within gives the duct as it is in a box of the given inside width.
func (d duct) within(inside, board float64) duct {
	if d.full {
		_, d.width = panels.SlotFins(inside, d.height, board)
	}
	return d
}

// displacement is about how much air inside the box ports of the given length take, board of the given thickness round a
// slot included. The exact figure comes with the wood.
func (d duct) displacement(length, board float64) float64 {
	if d.bore > 0 {
		return float64(d.count) * circleArea(d.outside) * length
	}
	return (d.height + board) * (d.width + board) * length
}

// area is the area of one duct, m2.
func (d duct) area() float64 {
	if d.bore > 0 {
		return circleArea(d.bore)
	}
	return d.height * d.width
}

// wood is the port as the workshop wants it, of the given length along its centre line.
func (d duct) wood(length float64) *panels.Port {
	if d.full {
		d.width = 0
	}
	return &panels.Port{
		Count: d.count, Bore: d.bore, Outside: d.outside, Height: d.height, Width: d.width, Length: length, Elbow: true,
	}
}

// ends gives the end corrections, outside first: a flush outer mouth, and inside a free end, or the corrected value
// when the section of the box at the inner mouth is known.
func (d duct) ends(boxSection float64) [2]float64 {
	if d.bore > 0 {
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

// ports are the ducts as the circuit wants them.
func (d duct) ports(length float64, ends [2]float64) []thielesmall.Port {
	ports := make([]thielesmall.Port, d.count)
	for i := range ports {
		ports[i] = thielesmall.Port{Area: d.area(), Length: length, Ends: ends}
	}
	return ports
}

// A candidate is one box that the search has listened to. It holds no pointers: there are thousands of them.
type candidate struct {
	volume float64 // net, m3
	taken  float64 // m3 that the ports take beside it
	fb     float64 // Hz, vented
	duct   duct
	stock  int     // place of the duct among the hunt's; none for a sealed box
	length float64 // m, of each port
	sound  sound
}

func (c *candidate) vented() bool { return c.stock != none }

func (c *candidate) kind() Kind {
	if c.vented() {
		return Vented
	}
	return Sealed
}

// A room is a shape of the space as the search sees it: how much net air a box of a given size would hold.
type room struct {
	index     int // in the shapes
	bevels    int
	outside               // at the full size
	spec      panels.Spec // the same, without a port
	netAtFull float64     // m3, without a port
	sizing    sizing      // how it is made smaller
	shortfall int         // of the box at full size, see shortfall
	narrowest *narrowing  // the least size that takes the driver
	notes     []string
}
