package thielesmall

import (
	"errors"
	"math"
)

// Conditions is the state of the air. The zero value is not valid; use [Reference].
type Conditions struct {
	Temperature float64 // degrees Celsius, -20 to 60
	Pressure    float64 // Pa, 60 000 to 110 000
	Humidity    float64 // relative, 0 to 1
}

// Air is what the circuit needs of the air.
type Air struct {
	Conditions
	Density    float64 // kg/m3
	SoundSpeed float64 // m/s
	Viscosity  float64 // kinematic, m2/s
}

// Reference returns the air in which catalogue data hold: 20 degrees Celsius, 101 325 Pa, half saturated.
func Reference() Conditions { return Conditions{20, 101325, 0.5} }

// The air of a parked car, from winter to a dark roof in the sun, and from below sea level to the highest roads.
const (
	coldest, hottest  = -20.0, 60.0       // degrees Celsius
	thinnest, densest = 60000.0, 110000.0 // Pa
)

// referenceAir returns the air of [Reference].
func referenceAir() Air { return Reference().solve() }

// Air returns density, sound speed and kinematic viscosity.
//
// Density follows the CIPM-2007 equation, stated for 15 to 27 degrees Celsius and 60 to 110 kPa; sound speed follows
// Cramer 1993, stated for 0 to 30 degrees, 75 to 102 kPa and a mole fraction of water vapour below 0.06. Outside those
// ranges both are extrapolated, see [Conditions.Extrapolated]; against an ideal gas mixture the extrapolated speed
// stays within 0.1 % from 0 to 60 degrees at moderate humidity. A [RangeError] is returned for each quantity outside
// -20..60 degrees, 60..110 kPa, 0..1.
func (c Conditions) Air() (Air, error) {
	err := errors.Join(
		within("temperature", c.Temperature, coldest, hottest, "C"),
		within("pressure", c.Pressure, thinnest, densest, "Pa"),
		within("humidity", c.Humidity, 0, 1, ""),
	)
	if err != nil {
		return Air{}, err
	}
	return c.solve(), nil
}

func (c Conditions) solve() Air {
	rho := c.density()
	return Air{Conditions: c, Density: rho, SoundSpeed: c.soundSpeed(), Viscosity: c.dynamicViscosity() / rho}
}

// Extrapolated says in a clause when the conditions are outside the range for
// which the sound-speed formula was published; otherwise it is empty.
func (c Conditions) Extrapolated() string {
	if c.Temperature < 0 || c.Temperature > 30 || c.Pressure < 75000 || c.Pressure > 102000 || c.vapour() > 0.06 {
		return "the speed of sound is extrapolated: the published formula covers 0 to 30 degrees Celsius, 75 to 102 kPa and moderate humidity"
	}
	return ""
}

const (
	zeroCelsius    = 273.15   // K
	gasConstant    = 8.314472 // J/(mol K), the value that CIPM-2007 is fitted with
	carbonDioxide  = 0.0004   // mole fraction
	molarDryAir    = 28.96546e-3
	molarWater     = 18.01528e-3
	sutherland     = 110.4    // K
	viscosityAtZer = 1.716e-5 // Pa s at 273.15 K
)

// vapour returns the mole fraction of water vapour,
//
//	xw = h f psv / p
//	psv = exp(A T^2 + B T + C + D/T)
//	f   = 1.00062 + 3.14e-8 p + 5.6e-7 t^2
//
// Picard, Davis, Glaser, Fujii, Revised formula for the density of moist air (CIPM-2007), Metrologia 45 (2008) 149,
// appendix (constants as used in open implementations).
func (c Conditions) vapour() float64 {
	t, T := c.Temperature, c.Temperature+zeroCelsius
	psv := math.Exp(1.2378847e-5*T*T - 1.9121316e-2*T + 33.93711047 - 6.3431645e3/T)
	f := 1.00062 + 3.14e-8*c.Pressure + 5.6e-7*t*t
	return c.Humidity * f * psv / c.Pressure
}

// density returns kg/m3 by CIPM-2007,
//
//	rho = p Ma/(Z R T) (1 - xv (1 - Mv/Ma))
//
// with Z the compressibility; source as for vapour.
func (c Conditions) density() float64 {
	t, T, p, xv := c.Temperature, c.Temperature+zeroCelsius, c.Pressure, c.vapour()
	z := 1 - p/T*(1.58123e-6-2.9331e-8*t+1.1043e-10*t*t+
		(5.707e-6-2.051e-8*t)*xv+(1.9898e-4-2.376e-6*t)*xv*xv) +
		p*p/(T*T)*(1.83e-11-0.765e-8*xv*xv)
	return p * molarDryAir / (z * gasConstant * T) * (1 - xv*(1-molarWater/molarDryAir))
}

// soundSpeed returns m/s by Cramer, The variation of the specific heat ratio and the speed of sound in air with
// temperature, pressure, humidity, and CO2 concentration, J. Acoust. Soc. Am. 93 (1993) 2510, equation on p. 2514 (as
// quoted in open implementations).
func (c Conditions) soundSpeed() float64 {
	t, p, xw, xc := c.Temperature, c.Pressure, c.vapour(), carbonDioxide
	return 331.5024 + 0.603055*t - 0.000528*t*t +
		(51.471935+0.1495874*t-0.000782*t*t)*xw +
		(-1.82e-7+3.73e-8*t-2.93e-10*t*t)*p +
		(-85.20931-0.228525*t+5.91e-5*t*t)*xc -
		2.835149*xw*xw - 2.15e-13*p*p + 29.179762*xc*xc + 0.000486*xw*p*xc
}

// dynamicViscosity returns Pa s by Sutherland's formula (from memory); water
// vapour changes it by less than 1 % in the range of [Conditions.Air].
func (c Conditions) dynamicViscosity() float64 {
	T := c.Temperature + zeroCelsius
	return viscosityAtZer * math.Pow(T/zeroCelsius, 1.5) * (zeroCelsius + sutherland) / (T + sutherland)
}

// stiffness returns rho c^2, the bulk modulus, Pa.
func (a Air) stiffness() float64 { return a.Density * a.SoundSpeed * a.SoundSpeed }

// check reports an Air that did not come from [Conditions.Air].
func (a Air) check() error {
	return errors.Join(
		positive("air density", a.Density, "kg/m3"),
		positive("sound speed", a.SoundSpeed, "m/s"),
		positive("air viscosity", a.Viscosity, "m2/s"),
	)
}
