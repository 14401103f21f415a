package thielesmall

import "math"

// Kernel is one driver made ready to be solved in many boxes on one set of frequencies, for a search: what does not
// depend on the box is worked out once, answers are squares, so that neither roots nor logarithms are taken, and ports
// are lumps or plain ducts. It is immutable and safe for concurrent use.
//
// With the symbols of a [Circuit], D = Ya (Ze Zm + Bl^2) + Ze Sd^2 is linear in what the box admits.
type Kernel struct {
	air     Air
	driver  Driver
	source  float64
	radiate float64 // (rho Bl Sd/(2 pi r))^2
	nominal float64 // m, effective length of the duct that is made ready
	points  []kernelPoint
}

// kernelPoint is what one frequency has ready.
type kernelPoint struct {
	w, over float64    // w, 1/w
	p, q    complex128 // D = p Ya + q
	zm      complex128 // the moving system
	line    line       // of the nominal duct
}

// line is what a duct does at one frequency beside a lump of the same mass: out is its flow at the outer mouth over the
// lump's, kept the share of that which the duct's own air takes up.
type line struct{ out, kept float64 }

// lineAt returns that of a duct of the given effective length, m, ends taken as
// part of it; above half its first resonance it is a lump, and where length is 0.
func lineAt(a Air, length, w float64) line {
	x := w * length / a.SoundSpeed
	if x == 0 || x > math.Pi/2 {
		return line{out: 1}
	}
	// The series of sin x over x and of 1 - cos x, to 1e-10 in that range: twice as fast.
	q := x * x
	sine := 1 - q*(1.0/6)*(1-q*(1.0/20)*(1-q*(1.0/42)*(1-q*(1.0/72)*(1-q*(1.0/110)*(1-q*(1.0/156)*(1-q*(1.0/210)))))))
	kept := q * 0.5 * (1 - q*(1.0/12)*(1-q*(1.0/30)*(1-q*(1.0/56)*(1-q*(1.0/90)*(1-q*(1.0/132)*(1-q*(1.0/182)*(1-q*(1.0/240))))))))
	return line{out: 1 / sine, kept: kept}
}

// NewKernel prepares driver d behind a source of rg ohm for the frequencies, in Hz and greater than 0, and ducts of the
// effective length nominal, m: those are solved fastest.
func NewKernel(d Driver, a Air, rg, nominal float64, frequencies []float64) *Kernel {
	radiate := a.Density * d.Bl * d.Sd / (2 * math.Pi * listening)
	n := &Kernel{air: a, driver: d, source: rg, radiate: radiate * radiate, nominal: nominal, points: make([]kernelPoint, len(frequencies))}
	lag := 0.0
	if d.R2 > 0 {
		lag = d.L2 / d.R2
	}
	for i, f := range frequencies {
		w := 2 * math.Pi * f
		ze := complex(rg+d.Re, w*d.Le)
		if lag > 0 {
			x := w * lag
			r := d.R2 / (1 + x*x)
			ze += complex(r*x*x, r*x)
		}
		zm := complex(d.Rms, w*d.Mms-1/(w*d.Cms))
		n.points[i] = kernelPoint{w: w, over: 1 / w, p: ze*zm + complex(d.Bl*d.Bl, 0), q: ze * complex(d.Sd*d.Sd, 0), zm: zm, line: lineAt(a, nominal, w)}
	}
	return n
}

// Lump is a box with ports, lumps or ducts, or with passive radiators.
type Lump struct {
	Volume  float64  // net, m3
	Tuning  float64  // Hz, of ports; 0 none
	LeakQ   float64  // at the tuning; 0 none
	Length  float64  // m, effective, of each duct; 0: lumps
	Passive Radiator // Count 0: none. Tuning is then of no effect on the circuit but for the leak
}

// Solve answers for a box. It fills answers, at most one for each frequency.
func (n *Kernel) Solve(b Lump, answers []Answer) {
	compliance := b.Volume / n.air.stiffness()
	wb := 2 * math.Pi * b.Tuning
	leak := 0.0
	if b.LeakQ > 0 {
		leak = wb * compliance / b.LeakQ
	}
	port := wb * wb * compliance
	passive := b.Passive.cone()
	if passive.sum > 0 {
		port = 0
	}
	bl2 := n.driver.Bl * n.driver.Bl
	sd2 := n.driver.Sd * n.driver.Sd
	stroke, inBox := 2*bl2, 2*bl2*sd2
	ducts, nominal, source := b.Length > 0 && port > 0, b.Length == n.nominal, n.source
	points := n.points[:len(answers)]
	for i := range answers {
		h, a := &points[i], &answers[i]
		t := h.w * compliance
		outRe, outIm := 0.0, -port*h.over
		if ducts {
			l := h.line
			if !nominal {
				l = lineAt(n.air, b.Length, h.w)
			}
			outIm *= l.out
			t -= outIm * l.kept
		}
		if passive.sum > 0 {
			out, _ := passive.at(h.w)
			outRe, outIm = real(out), imag(out)
		}
		yr, yi := leak+outRe, t+outIm
		re := real(h.p)*yr - imag(h.p)*yi + real(h.q)
		im := real(h.p)*yi + imag(h.p)*yr + imag(h.q)
		over := 1 / (re*re + im*im)
		wt := h.w * t
		a.Pressure = n.radiate * wt * wt * over
		a.Excursion = stroke * (yr*yr + yi*yi) * over * h.over * h.over
		a.Flow = inBox * (outRe*outRe + outIm*outIm) * over
		a.Terminals = 1
		if source > 0 {
			// D - Rg A with A = Zm Ya + Sd^2
			re -= source * (real(h.zm)*yr - imag(h.zm)*yi + sd2)
			im -= source * (real(h.zm)*yi + imag(h.zm)*yr)
			a.Terminals = (re*re + im*im) * over
		}
	}
}
