package search

import (
	"math"
	"math/rand/v2"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

var testAir = func() thielesmall.Air {
	a, err := thielesmall.Reference().Air()
	if err != nil {
		panic(err)
	}
	return a
}()

// maker makes a driver from small-signal parameters, litres, cm2, mm, W.
func maker(fs, qes, qms, vas, sd, xmax, watts, re, ohms, le float64) thielesmall.Driver {
	w := 2 * math.Pi * fs
	sd /= 1e4
	cms := vas / 1e3 / (testAir.Density * testAir.SoundSpeed * testAir.SoundSpeed * sd * sd)
	mms := 1 / (w * w * cms)
	return thielesmall.Driver{Count: 1, Re: re, Le: le / 1e3, Bl: math.Sqrt(w * mms * re / qes), Sd: sd, Mms: mms, Cms: cms, Rms: w * mms / qms,
		Ratings: thielesmall.Ratings{Xmax: xmax / 1e3, Power: watts, Impedance: ohms}}
}

// drivers are invented ones of typical classes.
var drivers = map[string]thielesmall.Driver{
	"8":        maker(36, 0.52, 6, 17, 210, 9, 250, 3.4, 4, 1.2),
	"10":       maker(31, 0.48, 6, 33, 335, 12, 400, 3.4, 4, 1.6),
	"10 flat":  maker(34, 0.52, 6, 25, 330, 9, 300, 3.4, 4, 1.4),
	"12":       maker(27, 0.46, 6, 62, 500, 13, 500, 3.4, 4, 1.8),
	"12 heavy": maker(29, 0.40, 6, 40, 490, 18, 1000, 3.3, 4, 2.4),
	"12 cheap": maker(30, 0.85, 5, 75, 500, 6, 200, 3.6, 4, 1.2),
	"13.5":     maker(24, 0.42, 6, 90, 640, 15, 700, 3.4, 4, 2.2),
	"15":       maker(22, 0.42, 6, 170, 830, 15, 800, 3.4, 4, 2.4),
}

func taskFor(d thielesmall.Driver, aim Aim) Task {
	return Task{Air: testAir, Driver: d, Aim: aim, Amplifier: Amplifier{Power: d.Power, Into: 4, Filters: []thielesmall.Filter{
		{Kind: thielesmall.LowPass, Type: thielesmall.Butterworth, Order: 4, Frequency: 80},
	}}}
}

// board is the thickness of the test cube's walls, m.
const board = 0.018

// cube is the outside of a cube with so much air inside beside a driver's displacement, m3.
func cube(displacement float64) func(air float64) float64 {
	return func(air float64) float64 {
		side := math.Cbrt(air+displacement) + 2*board
		return side * side * side
	}
}

// displacementOf is a driver's own volume, m3.
func displacementOf(d thielesmall.Driver) float64 { return 0.25 * math.Pow(d.Sd, 1.5) }

// placesIn are the kinds in a space of so much air, the driver's own volume included.
func placesIn(d thielesmall.Driver, air float64, kinds ...Kind) []Place {
	own := displacementOf(d)
	if len(kinds) == 0 {
		kinds = []Kind{Sealed, Vented}
	}
	var all []Place
	for i, k := range kinds {
		p := Place{ID: i, Kind: k, Volume: Range{0, air - own}, Air: air - own, Outside: cube(own)}
		if k == Vented {
			p.Count, p.Edge = 1, grade.Rounded
		}
		all = append(all, p)
	}
	return all
}

// randomDriver is an invented driver of any size.
func randomDriver(rng *rand.Rand) thielesmall.Driver {
	between := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	sd := between(130, 900)
	fs := between(20, 45)
	return maker(fs, between(0.3, 0.75), between(3, 9), between(0.6, 2)*math.Pow(sd/335, 1.8)*30, sd, between(5, 20), between(150, 1000), 3.4, 4, between(0.5, 3))
}
