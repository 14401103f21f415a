package search

import (
	"math"

	"cubby/internal/thielesmall"
)

// bands are where the grid changes its step, so that every end of a mean lies on it: about twelve steps an octave, and as
// many in the whole band as keep a mean within 0.01 dB of one on a far finer grid.
var bands = [...]struct {
	from  float64 // Hz
	steps int
}{{10, 12}, {20, 4}, {25, 4}, {30, 6}, {40, 12}, {80, 4}, {100, 10}, {200, 0}}

// frequencies are what candidates are evaluated at, Hz; eighths are their eighth powers; band n runs from edges[n] to
// edges[n+1], both included.
var (
	frequencies, eighths, logs []float64
	edges                      [len(bands)]int
)

func init() {
	for n, b := range bands {
		edges[n] = len(frequencies)
		if b.steps == 0 {
			frequencies = append(frequencies, b.from)
			break
		}
		ratio := bands[n+1].from / b.from
		for i := range b.steps {
			frequencies = append(frequencies, b.from*math.Pow(ratio, float64(i)/float64(b.steps)))
		}
	}
	topMost = edges[6]
	for _, f := range frequencies {
		logs = append(logs, math.Log(f))
		f *= f
		f *= f
		eighths = append(eighths, f*f)
	}
}

// The bands over which the aims take means, as numbers of bands: the first and the one after the last.
var (
	lowMean  = [2]int{1, 4} // 20 to 40 Hz
	loudMean = [2]int{3, 5} // 30 to 80 Hz
	freeFlat = [2]int{3, 5} // 30 to 80 Hz
	carFlat  = [2]int{2, 5} // 25 to 80 Hz
)

// topMost is the number of 100 Hz, to where the top of a response and a dip are looked for.
var topMost int

// mean is the mean over log frequency of 10 log10 of squares that value gives at the numbers of the grid, by the
// trapezoid: one logarithm a band.
func mean(over [2]int, value func(i int) float64) float64 {
	sum, width := 0.0, 0.0
	for n := over[0]; n < over[1]; n++ {
		first, last := edges[n], edges[n+1]
		product := 1.0
		for i := first + 1; i < last; i++ {
			product *= value(i)
		}
		w := logs[last] - logs[first]
		sum += w / float64(last-first) * ln(product*product*value(first)*value(last))
		width += w
	}
	return sum / width * (5 / math.Ln10)
}

// ln is the natural logarithm of a positive number far from the ends of the range, to 1e-7: twice as fast.
func ln(x float64) float64 {
	bits := math.Float64bits(x)
	e := float64(int(bits>>52) - 1023)
	m := math.Float64frombits(bits&(1<<52-1) | 1023<<52)
	if m > math.Sqrt2 {
		m, e = m/2, e+1
	}
	s := (m - 1) / (m + 1)
	q := s * s
	return e*math.Ln2 + 2*s*(1+q*(1.0/3+q*(1.0/5+q*(1.0/7+q/9))))
}

// decibels is a square as a level, to 1e-6.
func decibels(square float64) float64 { return ln(square) * (10 / math.Ln10) }

// zero is the level of 1 Pa, dB.
var zero = thielesmall.SquareLevel(1)

// above is how far the vertex of the parabola through three neighbours lies above the middle one, number i, where the others
// lie a (below in frequency) and b below it.
func above(i int, a, b float64) float64 {
	before, after := logs[i]-logs[i-1], logs[i+1]-logs[i]
	a, b = a/before, b/after
	if a < 0 || b < 0 || a+b == 0 {
		return 0
	}
	slope := (a*after - b*before) / (before + after)
	return slope * slope * (before + after) / (4 * (a + b))
}

// deviation is the rms deviation of levels from their own mean over a band, log frequency; value gives dB.
func deviation(over [2]int, value func(i int) float64) float64 {
	var sum, squares, width float64
	for n := over[0]; n < over[1]; n++ {
		first, last := edges[n], edges[n+1]
		step := (logs[last] - logs[first]) / float64(last-first)
		for i := first; i <= last; i++ {
			w := step
			if i == first || i == last {
				w /= 2
			}
			y := value(i)
			sum += w * y
			squares += w * y * y
			width += w
		}
	}
	m := sum / width
	return math.Sqrt(math.Max(0, squares/width-m*m))
}
