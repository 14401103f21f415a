package panels

import "cubby/internal/plane"

// Box is a box as built.
type Box struct {
	Spec                                  Spec
	Section, Inside                       plane.Polygon // outside and inside sections
	Left, Width                           float64       // outside
	InsideWidth                           float64
	Panels                                []Panel
	OuterVolume, InsideVolume, WallVolume float64 // m3; WallVolume = wrap + ends
	Deductions                            []Deduction
	NetVolume                             float64
	BoardMass                             float64 // kg, openings taken off
	DriverSeat                            DriverSeat
	Removable                             *RemovableFace // nil: every face is glued
	PortSeats                             []PortSeat
	WidePort                              float64   // where a slot is narrower than it was asked for: the longest that may be as wide, m; 0 none
	Slot                                  *SlotView // nil: no port of boards
	Resonances                            []Resonance
	Checks                                []Check
	Warnings, Notes                       []string
	WorstJoint                            float64 // worst gap or overhang from rounded figures, m
}

// Deduction is air that something takes from the inside volume.
type Deduction struct {
	Name   string
	Volume float64 // m3
}

// DriverSeat is where the drivers sit and what is around them.
type DriverSeat struct {
	Panel       string
	Centres     []plane.Point // panel frame, outer face
	DepthBehind float64       // from the flange seat to the nearest thing, over the magnet's diameter, m
	Behind      string        // what that nearest thing is: "bottom", "brace 1"
	Opening     float64       // diameter to cut
	Fixing      Fixing
}

// RemovableFace is the driver's face where it is screwed on and not glued.
type RemovableFace struct {
	Panel   string
	Foam    float64 // thickness of the gasket as sold, m
	Gasket  float64 // the same squeezed: it stands between the face and the box, m
	Tape    float64 // length of the gasket, m
	Screws  int
	Thread  string  // "M5"
	Hole    float64 // through the face, m
	Barrel  float64 // in the cleats, for the inserts, m
	Spacing float64 // the widest distance between two screws along an edge, m
	Corner  float64 // the widest distance of the last screw from a corner of the face, m
}

// PortSeat is one port as placed.
type PortSeat struct {
	Panel        string
	Centre       plane.Point // of the mouth, panel frame, outer face
	Length       float64     // along the centre line
	Legs         []float64   // straight legs; more than one with an elbow or bend
	Bend         float64     // radius of the elbow's centre line; 0: straight
	FreeEnd      float64     // clear distance in front of the inner mouth, m
	Facing       string      // what the inner mouth looks at
	InnerSection float64     // area of the box section at the inner mouth, its share when several, m2, for end corrections; 0 unknown
	InsideVolume float64     // wood or tube and its air, deducted, m3
	Height       float64     // slot: clear height, m
	Width        float64     // slot: clear width, m
	Along        string      // slot: the wall that is its floor
	Saddle       float64     // tube: a saddle holds it this far from its inner end; 0: it needs none, m
}

// Resonance is the first plate resonance of a panel between its supports, edges simply supported.
type Resonance struct {
	Panel         string
	Before, After float64 // Hz, without braces and with them
}

// Status is how a check came out.
type Status int

// The outcomes of a check.
const (
	NotChecked Status = iota
	Pass
	Marginal
	Fail
)

// String gives the word used in print and in machine output.
func (s Status) String() string {
	switch s {
	case Pass:
		return "pass"
	case Marginal:
		return "marginal"
	case Fail:
		return "fail"
	}
	return "not checked"
}

// Check is one thing that was verified. Value and Limit are SI in the unit Unit names ("m", "Hz", "" ...).
type Check struct {
	Name         string
	Status       Status
	Value, Limit float64
	Unit         string
	Note         string // one sentence with the numbers in it
}
