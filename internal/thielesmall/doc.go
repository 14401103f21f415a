// Package thielesmall is the acoustics of a loudspeaker driver in a box: the air, the driver's small-signal parameters,
// one linear circuit solved in complex arithmetic at each frequency, and the classical alignments.
//
// # Where things are
//
//	air.go          density, sound speed and viscosity of moist air
//	spec.go         a driver as published; complete.go finds the full set,
//	                slips.go names unit slips, plausible.go the oddities,
//	                parameters.go tells where each value comes from,
//	                claims.go compares what a sheet claims besides
//	wiring.go       coils and drivers, in series or in parallel
//	driver.go       the full set and what follows from it
//	port.go, box.go ducts with their end corrections; the air behind the cone
//	filter.go       the amplifier's filters
//	duct.go         ports made ready for the circuit
//	radiator.go     passive radiators in place of ports
//	circuit.go      a system made ready; solve.go the answer at one frequency
//	answer.go       a circuit's answer in squares
//	kernel.go       one driver in many boxes, for a search
//	limits.go       the loudest level and what sets it
//	figures.go      reference level, corner frequencies, peak, dip
//	band.go         the pass band of a band-pass
//	families.go     alignments as polynomials; align.go solves them for a driver
//	closed.go       the sealed box by its quality factor
//	boxes.go        what suits a driver: boxes by Qtc and family, greatest levels
//	cabin.go, slot.go  a vehicle's cabin; a narrow gap before the cone
//	errors.go       the typed errors
//
// # The circuit
//
//	          source Re   Le    R2
//	   o--/\/\--/\/\--UUU--+-/\/\-+--)(--  Mms  Cms  Rms  --)(--+----+----+-----+
//	   |    and leads      |      |  Bl                     Sd  |    |    |     |
//	V (~)                  +-UUU--+                             RA   RL  duct  duct ..
//	   |                     L2                                 |    |    |     |
//	   |                                                       Cab   |    |     |
//	   o-----------------------------)(---------------------)(--+----+----+-----+
//
// V is the amplifier's voltage behind its filters. The left gyrator is the motor, the right transformer the cone. A
// passive radiator is a mass, a compliance and a loss in place of a duct; in a band-pass of fourth order the cone has a
// sealed chamber behind it and this circuit before it. Cab is the air in the box, RA what filling absorbs, RL the leak,
// each duct a mass (inner end correction), a uniform transmission line, and a mass (outer end correction) to the
// outside.
//
// # Conventions
//
// Everything is SI: metres, cubic metres, kilograms, hertz, ohms, volts rms.
// Only temperature is in degrees Celsius and phase in degrees.
//
//   - Time runs as exp(+j w t). A positive voltage moves the cone outward.
//   - Flow of the cone is positive into the box, of ports and leak out of it;
//     what is drawn from outside is U0 = cone - ports - leak, taken at each
//     port's outer mouth. Level is 20 log10 of rho f |U0| / r over 20 uPa, at
//     r = 1 m, rms, into half space, without directivity.
//   - Excursion and port speed are peak values, of each cone and of the
//     fastest port.
//   - Drive is at the amplifier's terminals, across the whole set as wired;
//     source and lead resistance are in series with it. Impedance is that of
//     the set at its own terminals, leads excluded.
//   - The leak is a constant resistance RL = QL/(2 pi f0 Cab), absorption a
//     constant resistance RA = 1/(2 pi f0 Cab QA) in series with Cab, f0 the
//     tuning of a vented box and the resonance of a sealed one.
//   - Vas is catalogue data at reference air (20 C, 101.325 kPa, 50 %): the
//     suspension's compliance follows from that air always, the box from the
//     air of the job.
//   - Qes and Qts are the driver's own; source and lead resistance are named
//     where they enter.
//
// # What is left out
//
// Radiation resistance and the cone's directivity, baffle step, power compression, turbulence in ports, suspension
// creep, and all that is not linear.
package thielesmall
