// Package design is where acoustics meets geometry: from a space, a driver, an amplifier and the board at hand it finds
// the box that serves the job's aim best, and says what it is, what it does and what it cost.
//
// [Run] works in four steps.
//
//  1. The space gives shapes (package cavity), in order of workshop effort.
//  2. The search compares sealed and vented candidates, and those with passive radiators where they are on hand (radiator.go),
//     over net volume, tuning and stock ports by the aim's formula
//     (see [Aim]); limits and penalties are those of the grade table (see [Check]).
//  3. The best candidate of each kind is made real: wood, driver, port and braces displace air, and the port's length
//     depends on what is left, so width and length are iterated to a fixed point. Where there is none, the candidate is
//     given up with the reason.
//  4. The finished box is judged, its curves are drawn at the job's drive, and its panels are laid on the stock.
//
// A ready-made box is judged by the same checks (check.go), also a band-pass of fourth order (bandpass.go).
//
// Everything is SI. Thresholds and weights are engineering judgement tried on invented drivers of typical classes
// (common practice), not published values. Answers are deterministic: no clock, no randomness, no map order.
package design
