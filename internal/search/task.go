package search

import (
	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// Kind is a kind of box.
type Kind int8

// The kinds, in the order in which an exact tie is decided.
const (
	Sealed Kind = iota
	Vented
	Passive
	Kinds // how many
)

// String returns "sealed", "vented" or "passive".
func (k Kind) String() string { return [...]string{"sealed", "vented", "passive"}[k] }

// Aim is what the best box is.
type Aim int8

// The aims.
const (
	Low Aim = iota
	Flat
	Loud
	Compact
)

// String returns "low", "flat", "loud" or "compact".
func (a Aim) String() string { return [...]string{"low", "flat", "loud", "compact"}[a] }

// Task is what is the same for every box of a job.
type Task struct {
	Air       thielesmall.Air
	Driver    thielesmall.Driver // as wired
	Amplifier Amplifier
	Aim       Aim
	Cabin     func(f float64) float64 // dB that the vehicle adds at f Hz; nil: none is given
	Radiator  Stock                   // what passive radiators there are
	Limits    Limits
	Grades    *grade.Table // nil: the standard one
	Lumps     bool         // ports are lumps, without the air in them: for comparison with what was found so
	Built     bool         // candidates are to be built: they keep a little from what rules a box out
	Quick     bool         // within some tenths of a decibel, for many drivers in turn
	Memory    *Memory      // nil: its own
}

// Amplifier is the source.
type Amplifier struct {
	Power, Into float64 // W into ohm; 0 not stated
	LeastLoad   float64 // ohm; 0 not stated
	Source      float64 // ohm, leads both ways included
	Filters     []thielesmall.Filter
	NoHighPass  bool // the amplifier has none, and none may be advised
}

// Stock is a passive radiator on hand: the unloaded cone, how many, and the most mass that may be added to each.
type Stock struct {
	thielesmall.Radiator         // Count 0: none on hand
	MostAdded            float64 // kg
}

// Limits narrow what is searched. Zero: the standard range.
type Limits struct {
	Volume    Range   // net, m3
	Tuning    Range   // Hz
	PortSpeed float64 // m/s, in place of the allowed speed by edge, tuning and size
}

// Range is from Least to Most, both included.
type Range struct{ Least, Most float64 }

// Holds reports whether x lies in the range, with the grades' slack.
func (r Range) Holds(x float64) bool { return grade.AtLeast(x, r.Least) && grade.AtMost(x, r.Most) }

// Within returns what two ranges have in common; Least is above Most where that is nothing.
func (r Range) Within(s Range) Range { return Range{max(r.Least, s.Least), min(r.Most, s.Most)} }

// Empty reports whether nothing lies in the range.
func (r Range) Empty() bool { return !grade.AtMost(r.Least, r.Most) }

// or returns the range, or another one where it is not stated.
func (r Range) or(s Range) Range {
	if r.Most == 0 {
		return s
	}
	return r
}
