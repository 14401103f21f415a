package design

import (
	"math"

	"cubby/internal/thielesmall"
)

// judgeSteps is how finely the largest excursion and port speed are looked for: 96 points an octave.
const judgeSteps = 320

// judgedAt is the frequencies at which excursion and port speed are judged, from the lowest up to 200 Hz, and the square of
// the magnitude of the job's filters there.
type judgedAt struct{ grid, filter []float64 }

func (p *rig) judgedAt() *judgedAt {
	if p.judged == nil {
		j := &judgedAt{grid: logGrid(p.pass.lowest, 200, judgeSteps)}
		j.filter = p.filterSquares(j.grid)
		p.judged = j
	}
	return p.judged
}

// answers are a circuit's answers where it is judged.
func (h *rig) answers(c *thielesmall.Circuit) []thielesmall.Answer {
	grid := h.judgedAt().grid
	all := make([]thielesmall.Answer, len(grid))
	for i, f := range grid {
		all[i] = c.Answer(f)
	}
	return all
}

// greatest gives the largest of a squared quantity at the amplifier's limit, with the job's filters and a further high-pass
// (0: none), and where it is; NaN when the limit is not known.
func (h *rig) greatest(answers []thielesmall.Answer, highPass float64, of func(*thielesmall.Answer) float64) (top, at float64) {
	if h.volts == 0 {
		return math.NaN(), 0
	}
	j := h.judgedAt()
	for i := range answers {
		y := of(&answers[i]) * j.filter[i]
		if highPass > 0 {
			y *= butterworthHighPass(j.grid[i], highPass)
		}
		if y > top {
			top, at = y, j.grid[i]
		}
	}
	return h.volts * math.Sqrt(top), at
}

// farthest is the largest excursion, m.
func (h *rig) farthest(answers []thielesmall.Answer, highPass float64) (x, at float64) {
	return h.greatest(answers, highPass, func(a *thielesmall.Answer) float64 { return a.Excursion })
}

// fastest is the largest speed of the port's air, m/s; area is that of all its mouths.
func (h *rig) fastest(answers []thielesmall.Answer, area, highPass float64) (v, at float64) {
	v, at = h.greatest(answers, highPass, func(a *thielesmall.Answer) float64 { return a.Flow })
	return v / area, at
}

// travel is how far the cone may come out, for the air in front: Xmax, or the excursion at full power up to where it
// would fail anyway. answers may be nil.
func (h *rig) travel(answers []thielesmall.Answer) float64 {
	x, _ := h.farthest(answers, 0)
	if math.IsNaN(x) {
		return h.set.Xmax
	}
	return math.Max(h.set.Xmax, math.Min(x, h.excursionFail()))
}
