// Package grade is every threshold by which a box, its sound and its boards are judged, each with where it comes from,
// and the functions that grade a value by them. It is the ground floor: it imports nothing of this program.
//
//	doc.go       this text
//	status.go    Status, Rule and the inclusive comparisons
//	id.go        the names of the rules
//	table.go     the rules: response, port speed, settings, aims, spread; openings, ports, braces, bolts, the saw
//	port.go      the air speed that a port is allowed, by its edge, tuning and size
//
// A job's own limits are a [Table] of its own: [Standard] gives a copy, whose figures may be changed before anything is
// graded. All lengths are in metres, angles in degrees, frequencies in hertz.
package grade
