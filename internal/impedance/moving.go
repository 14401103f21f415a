package impedance

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"cubby/internal/thielesmall"
)

// Moving is the moving system and the motor, from two sweeps.
type Moving struct {
	Mms Value // kg, with air load
	Cms Value // m/N
	Rms Value // kg/s
	Bl  Value // T m
	Vas Value // m3, at reference air (20 C, 101.325 kPa, 50 %), as drivers are published
	Sd  float64

	// MassShift is what the moving mass seems to have changed by in the test box, a share: (fc/fs) against Qec/Qes.
	// Much of it, or less than none, is a leak, or a volume misjudged by the cone. 0 for an added mass.
	MassShift float64
}

// leastShift is by how much the resonance must move for what moved it to be
// known: the mass follows from the difference of two nearly equal numbers.
const leastShift = 0.05

// AddedMass returns the moving system from two fits of the driver in free air,
// the second with mass kg stuck to its cone of sd m2,
//
//	Mms = mass / ((fs/fs2)^2 - 1)
//
// (common practice; it follows from fs = 1/(2 pi sqrt(Mms Cms)).) A mass or an area that is not above zero is an error;
// a resonance that hardly moved or went up is an [UndecidedError].
func AddedMass(free, second FreeAir, mass, sd float64) (Moving, error) {
	if err := errors.Join(above("added mass", mass, "kg"), above("sd", sd, "m2")); err != nil {
		return Moving{}, err
	}
	if shift := free.Fs.Value/second.Fs.Value - 1; shift < leastShift {
		return Moving{}, &UndecidedError{Reason: shiftText("added mass", "fell", free, second, shift) + "; take a mass of half the cone's or more"}
	}
	return moving(free, second, sd, func(a, b kernel) float64 {
		r := a.fs / b.fs
		return mass / (r*r - 1)
	}), nil
}

// TestBox returns the moving system from a fit in free air and one in a sealed, empty box of volume m3 net, in air a,
//
//	Vas = volume ((fc Qec)/(fs Qes) - 1)
//
// Small, Closed-Box Loudspeaker Systems Part I, J. Audio Eng. Soc. 20 (1972) 798 (from memory): the product with the Qs
// allows for the air load that the box changes. Errors are as for [AddedMass].
func TestBox(free, second FreeAir, volume, sd float64, a thielesmall.Air) (Moving, error) {
	if err := errors.Join(above("test box", volume, "m3"), above("sd", sd, "m2")); err != nil {
		return Moving{}, err
	}
	if shift := second.Fs.Value/free.Fs.Value - 1; shift < leastShift {
		return Moving{}, &UndecidedError{Reason: shiftText("test box", "rose", free, second, shift) + "; take a sealed box no larger than Vas"}
	}
	bulk := a.Density * a.SoundSpeed * a.SoundSpeed
	m := moving(free, second, sd, func(a, b kernel) float64 {
		alpha := b.fs*b.qes/(a.fs*a.qes) - 1
		cms := volume * alpha / (bulk * sd * sd)
		w := 2 * math.Pi * a.fs
		return 1 / (w * w * cms)
	})
	m.MassShift = (second.Qes.Value/free.Qes.Value)/(second.Fs.Value/free.Fs.Value) - 1
	if !(m.Mms.Value > 0) || math.IsInf(m.Mms.Value, 1) {
		return Moving{}, &UndecidedError{Reason: "the test box raised fc but not Qec, as a leak does: seal it"}
	}
	return m, nil
}

// kernel is what a sweep says of the moving system.
type kernel struct{ fs, qms, qes, re float64 }

func kernelOf(x []float64) kernel {
	return kernel{math.Exp(x[0]), math.Exp(x[1]), math.Exp(x[2]), math.Exp(x[3])}
}

// moving completes the set from the moving mass that two sweeps give.
func moving(free, second FreeAir, sd float64, mass func(a, b kernel) float64) Moving {
	x := append(append([]float64(nil), free.x...), second.x...)
	c := mat.NewSymDense(8, nil)
	for i := range 4 {
		for j := i; j < 4; j++ {
			c.SetSym(i, j, free.cov.At(i, j))
			c.SetSym(4+i, 4+j, second.cov.At(i, j))
		}
	}
	one := func(of func(a kernel, mms, w float64) float64) Value {
		return derived(func(x []float64) float64 {
			a := kernelOf(x)
			return of(a, mass(a, kernelOf(x[4:])), 2*math.Pi*a.fs)
		}, x, c)
	}
	air, err := thielesmall.Reference().Air()
	if err != nil {
		panic("impedance: reference air: " + err.Error())
	}
	bulk := air.Density * air.SoundSpeed * air.SoundSpeed
	return Moving{
		Mms: one(func(_ kernel, mms, _ float64) float64 { return mms }),
		Cms: one(func(_ kernel, mms, w float64) float64 { return 1 / (w * w * mms) }),
		Rms: one(func(a kernel, mms, w float64) float64 { return w * mms / a.qms }),
		Bl:  one(func(a kernel, mms, w float64) float64 { return math.Sqrt(w * mms * a.re / a.qes) }),
		Vas: one(func(_ kernel, mms, w float64) float64 { return bulk * sd * sd / (w * w * mms) }),
		Sd:  sd,
	}
}
