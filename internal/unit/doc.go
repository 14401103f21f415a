// Package unit reads and prints quantities: numbers with the units that people write beside them.
//
// Inside the program every quantity is a float64 in SI (temperatures in degrees Celsius, ratios as fractions, angles in
// radians). This package stands at the two edges. Parse reads text such as
//
//	14-3/8 in   14 3/8"   365 mm   5' 2-1/2"   0.62 cu ft   1.2 mH   50 %
//
// strictly: what it does not understand is refused, with the value as written and the units that would be right. The
// conversion is done in exact rational arithmetic and rounded once, so that 365 mm is the float64 nearest to 0.365.
// The print functions give shop fractions of an inch, millimetres, litres or cubic feet, and kilograms or pounds.
//
//	dimension.go  systems and dimensions
//	table.go      the units
//	parse.go      strict reading; quick.go reads the ordinary quantity faster, to the same number
//	format.go     printing
//
// The package knows nothing of files, fields or ranges: whether a width may be negative is for its caller to say.
package unit
