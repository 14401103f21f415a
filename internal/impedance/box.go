package impedance

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"cubby/internal/thielesmall"
)

// BoxOptions say what of the driver is in doubt. The zero value takes its motor and suspension as known.
type BoxOptions struct {
	DriverToo bool   // fit the driver as well, held by Spread
	Spread    Spread // zero fields: those of [UsualSpread]
}

// Spread is how far each parameter of a driver may be from what is stated, one standard deviation as a share.
type Spread struct{ Fs, Qms, Qes, Vas, Re float64 }

// UsualSpread is that of drivers against their data, and of a coil's resistance with its temperature (common practice).
func UsualSpread() Spread { return Spread{Fs: 0.10, Qms: 0.25, Qes: 0.10, Vas: 0.10, Re: 0.03} }

// BoxFit is a finished box as its impedance shows it.
type BoxFit struct {
	System    thielesmall.System // as fitted, without filters
	Volume    Value              // net, m3: what the air's stiffness says, with the filling's gain as described; of a band-pass before the cones
	Rear      Value              // m3; of a band-pass
	Tuning    Value              // Hz; unless sealed
	Fc, Qtc   Value              // sealed
	Alpha     Value              // Vas over net volume
	QL        Value              // 0: no leak shows
	Re        Value              // ohm
	DriverToo bool
	DriverFit
	Fitted // its coil NoCoil: as described
}

// DriverFit is the driver of a box by itself; each Sigma is 0 where it was not fitted.
type DriverFit struct {
	Fs       Value // Hz
	Qms, Qes Value
	Vas      Value // m3, in the air of the system
}

// Sealed reports whether nothing but the cones moves air in and out of the box.
func (b BoxFit) Sealed() bool { return !b.System.Box.Tuned() }

// What a sweep of a box must be (judgement; each is tested).
const (
	boxSpan     = 5.0  // times the highest hump: above, the coil's iron follows no such simple model
	worstVolume = 0.05 // share, standard uncertainty, driver known
	worstTuning = 0.02 // share
	humpEdge    = 1.1  // how far beyond a hump the sweep must reach to have seen it
	humpSide    = 1.2  // within this ratio of a hump leastInside points must lie
)

// FitBox fits net volume, tuning (for a box with ports or passive radiators), the chamber behind the cones (of a
// band-pass) and leakage to the sweep of a finished box by least squares over the whole curve. The model is the
// project's own circuit: expected is the box as designed, with the driver as wired, and gives all that is not fitted:
// ports' areas and end corrections, radiators, filling, air. Ports keep their areas and radiators their suspensions;
// the ports' lengths and the radiators' masses follow the tuning. The coil's resistance is fitted within its spread,
// its inductance freely.
//
// The error is that of [Sweep.Check] or [thielesmall.NewCircuit], or an [UndecidedError] when the sweep misses a peak,
// is too short, too sparse or too scattered, or is not the curve of such a box.
func FitBox(s Sweep, expected thielesmall.System, o BoxOptions) (BoxFit, error) {
	if err := s.Check(); err != nil {
		return BoxFit{}, err
	}
	if s.turned() {
		return BoxFit{}, phaseTurned()
	}
	expected.Filters = nil
	c, err := thielesmall.NewCircuit(expected)
	if err != nil {
		return BoxFit{}, err
	}
	humps := s.Humps()
	if err := seen(humps, c); err != nil {
		return BoxFit{}, err
	}
	m := boxModel{sweep: s.upTo(bandTop(expected, humps)), expected: expected, options: o.filled()}
	if m.sweep.Len() < leastPoints {
		low, high := span(modelHumps(c))
		return BoxFit{}, undecided(low, high, "%d points are too few", m.sweep.Len())
	}
	best, ok := m.best()
	if !ok {
		low, high := span(modelHumps(c))
		return BoxFit{}, undecided(low, high, "no such box's curve passes through it")
	}
	if err := best.judge(s); err != nil {
		if len(humps) == 1 && !best.Sealed() {
			return best, onePeak(s, humps[0].Frequency, c)
		}
		return best, err
	}
	return best, nil
}

// bandTop returns up to where a box is fitted, Hz: boxSpan times its highest hump, but not to where its ports sing, for
// their spikes are as narrow as their friction, which is not known, and lead a fit astray.
func bandTop(expected thielesmall.System, humps []Hump) float64 {
	const duct, least = 0.7, 1.5 // of the first resonance; times the hump, in any case
	song := math.Inf(1)
	for _, p := range expected.Box.Ports {
		song = math.Min(song, duct*p.FirstResonance(expected.Air))
	}
	hump := humps[0].Frequency
	for _, h := range humps {
		if h.Frequency < song {
			hump = h.Frequency
		}
	}
	return math.Max(least*hump, math.Min(boxSpan*hump, song))
}

// filled returns the options with the usual spreads where none are stated.
func (o BoxOptions) filled() BoxOptions {
	usual := UsualSpread()
	for _, p := range [][2]*float64{
		{&o.Spread.Fs, &usual.Fs}, {&o.Spread.Qms, &usual.Qms}, {&o.Spread.Qes, &usual.Qes}, {&o.Spread.Vas, &usual.Vas}, {&o.Spread.Re, &usual.Re},
	} {
		if !(*p[0] > 0) {
			*p[0] = *p[1]
		}
	}
	return o
}

// modelHumps returns the humps of a circuit's curve.
func modelHumps(c *thielesmall.Circuit) []Hump {
	const low, high, n = 2.0, 1000.0, 900
	var s Sweep
	for i := range n {
		f := low * math.Pow(high/low, float64(i)/(n-1))
		z := c.Impedance(f)
		s.Frequency, s.Magnitude = append(s.Frequency, f), append(s.Magnitude, math.Hypot(real(z), imag(z)))
	}
	return s.Humps()
}

// span returns the lowest and highest hump, Hz.
func span(humps []Hump) (low, high float64) {
	if len(humps) == 0 {
		return lowestWanted * roomBelow, highWanted / roomAbove
	}
	return humps[0].Frequency, humps[len(humps)-1].Frequency
}

// seen reports humps of a sweep that cannot be those of such a box.
func seen(humps []Hump, c *thielesmall.Circuit) error {
	low, high := span(modelHumps(c))
	switch {
	case len(humps) == 0:
		return undecided(low, high, "it has no peak of impedance with a fall on both sides")
	case !c.System.Box.Tuned() && len(humps) > 1:
		return &UndecidedError{Reason: fmt.Sprintf("it has peaks at %.3g and %.3g Hz where a sealed box has one: the box is open somewhere, as a port is, or it is another box",
			humps[0].Frequency, humps[1].Frequency)}
	}
	return nil
}

// onePeak reports a tuned box that shows one peak: a sweep that is too short, or one that would have shown the other.
func onePeak(s Sweep, at float64, c *thielesmall.Circuit) error {
	low, high := span(modelHumps(c))
	what, shut := "vented box", "the port is shut"
	switch b := c.System.Box; {
	case b.Passive.Count > 0:
		what, shut = "box with passive radiators", "the radiators do not move"
	case b.Rear > 0:
		what = "band-pass"
	}
	text := fmt.Sprintf("it has one peak, at %.3g Hz, where a %s has two", at, what)
	if s.Frequency[0] < low/humpEdge && s.Frequency[s.Len()-1] > high*humpEdge {
		return &UndecidedError{Reason: fmt.Sprintf("%s: %s, or it is another box", text, shut)}
	}
	return undecided(low, high, "%s: the other lies outside the sweep, or %s", text, shut)
}

// judge says when the fit is too poor to be an answer.
func (b BoxFit) judge(s Sweep) error {
	c, err := thielesmall.NewCircuit(b.System)
	if err != nil {
		return err
	}
	humps := modelHumps(c)
	low, high := span(humps)
	if b.FitError > worstFit {
		hint := "; is the driver as described?"
		if b.DriverToo {
			hint = ""
		}
		return &UndecidedError{Reason: fmt.Sprintf("the nearest box of that kind misses it by %.1f %%%s", b.FitError, hint)}
	}
	if !b.Sealed() && (s.Frequency[0] > b.Tuning.Value || s.Frequency[s.Len()-1] < b.Tuning.Value) {
		return undecided(low, high, "it covers %.3g to %.3g Hz and misses the tuning near %.3g Hz", s.Frequency[0], s.Frequency[s.Len()-1], b.Tuning.Value)
	}
	for _, h := range humps {
		f, inside := h.Frequency, 0
		for _, x := range s.Frequency {
			if x > f/humpSide && x < f*humpSide {
				inside++
			}
		}
		if s.Frequency[0] > f/humpEdge || s.Frequency[s.Len()-1] < f*humpEdge {
			return undecided(low, high, "it covers %.3g to %.3g Hz and misses the peak at %.3g Hz", s.Frequency[0], s.Frequency[s.Len()-1], f)
		}
		if inside < leastInside {
			return undecided(low, high, "%d points at the peak at %.3g Hz are too few", inside, f)
		}
	}
	open := b.Volume.share()
	if b.Rear.Value > 0 {
		open = math.Max(open, b.Rear.share())
	}
	switch {
	case !b.DriverToo && open > worstVolume:
		return undecided(low, high, "its scatter leaves the volume open by %.0f %%", 100*open)
	case !b.Sealed() && b.Tuning.share() > worstTuning:
		return undecided(low, high, "its scatter leaves the tuning open by %.0f %%", 100*b.Tuning.share())
	}
	return nil
}

// result turns a solution into values; ok is false when it leaves one open.
func (m boxModel) result(x []float64, cov *mat.SymDense, rms float64) (b BoxFit, ok bool) {
	b = BoxFit{
		System: m.system(x), DriverToo: m.options.DriverToo, Fitted: m.sweep.fitted(m.coil, rms),
	}
	one := func(of func(s thielesmall.System) float64) Value {
		return derived(func(x []float64) float64 { return of(m.system(x)) }, x, cov)
	}
	figure := func(of func(f thielesmall.Figures) float64) Value {
		return one(func(s thielesmall.System) float64 {
			c, err := thielesmall.NewCircuit(s)
			if err != nil {
				return math.NaN()
			}
			return of(c.Figures(1))
		})
	}
	b.Volume = one(func(s thielesmall.System) float64 { return s.Box.Volume })
	b.Rear = one(func(s thielesmall.System) float64 { return s.Box.Rear })
	b.Alpha = one(func(s thielesmall.System) float64 { return s.Driver.Vas(s.Air) / s.Box.Volume })
	b.QL = one(func(s thielesmall.System) float64 { return s.Box.LeakQ })
	b.Re = one(func(s thielesmall.System) float64 { return s.Driver.Re })
	b.Fs = one(func(s thielesmall.System) float64 { return s.Driver.Fs() })
	b.Qms = one(func(s thielesmall.System) float64 { return s.Driver.Qms() })
	b.Qes = one(func(s thielesmall.System) float64 { return s.Driver.Qes() })
	b.Vas = one(func(s thielesmall.System) float64 { return s.Driver.Vas(s.Air) })
	if b.Sealed() {
		b.Fc = figure(func(f thielesmall.Figures) float64 { return f.Fc })
		b.Qtc = figure(func(f thielesmall.Figures) float64 { return f.Qtc })
	} else {
		b.Tuning = one(func(s thielesmall.System) float64 { return s.Box.Tuning(s.Air) })
	}
	return b, !math.IsNaN(b.Volume.Sigma + b.Alpha.Sigma + b.Qtc.Value + b.Tuning.Value)
}
