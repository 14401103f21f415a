package unit

// System is a system of units for bare lengths and for print.
type System int

// The two systems. Inch brings cubic feet and pounds with it.
const (
	Metric System = iota
	Inch
)

// String gives the word that stands for the system in a job file: "mm" or "in".
func (s System) String() string {
	if s == Inch {
		return "in"
	}
	return "mm"
}

// Dimension is what a quantity measures. Each has one unit in which Parse returns it, named beside it.
type Dimension int

// The dimensions.
const (
	Length               Dimension = iota // m
	Area                                  // m2
	Volume                                // m3
	Mass                                  // kg
	Frequency                             // Hz
	Power                                 // W
	Resistance                            // ohm
	Inductance                            // H
	Voltage                               // V
	ForceFactor                           // T m
	Compliance                            // m/N
	MechanicalResistance                  // kg/s
	Speed                                 // m/s
	Pressure                              // Pa
	Temperature                           // degrees Celsius
	Density                               // kg/m3
	Ratio                                 // a fraction: 50 % is 0.5; the unit may be left out
	Angle                                 // rad
	Level                                 // dB
	Number                                // no unit
	Time                                  // s
)

// noun is what an error message calls a quantity of each dimension.
var noun = [...]string{
	Length: "a length", Area: "an area", Volume: "a volume", Mass: "a mass", Frequency: "a frequency", Power: "a power",
	Resistance: "a resistance", Inductance: "an inductance", Voltage: "a voltage", ForceFactor: "a force factor",
	Compliance: "a compliance", MechanicalResistance: "a mechanical resistance", Speed: "a speed", Pressure: "a pressure",
	Temperature: "a temperature", Density: "a density", Ratio: "a ratio", Angle: "an angle", Level: "a level",
	Number: "a plain number", Time: "a time",
}

// String names a quantity of the dimension, with its article: "a length".
func (d Dimension) String() string {
	if d < 0 || int(d) >= len(noun) {
		return "a quantity"
	}
	return noun[d]
}
