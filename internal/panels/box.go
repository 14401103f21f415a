package panels

import (
	"cubby/internal/grade"
	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Box is a box as built.
type Box struct {
	Spec Spec
	Air  *solid.Solid // between the boards, before deductions
	Prism
	Balance
	Panels []Panel // none in a Plan
	Fittings
	Findings
	BoardMass  float64 // kg, openings taken off
	WorstJoint float64 // worst gap or overhang from rounded figures, m
}

// Prism is the box as a prism along its axis, in the coordinates of Axis.At: its sections outside and inside, and where it
// begins and how far it goes along the axis, where its ends are square to it.
type Prism struct {
	Section, Inside plane.Polygon
	Left, Width     float64 // outside
	InsideWidth     float64
}

// Balance is what becomes of the outside volume, m3.
type Balance struct {
	OuterVolume, InsideVolume, WallVolume float64 // WallVolume: the boards of all faces
	Deductions                            []Deduction
	NetVolume                             float64
}

// Deduction is air that something takes from the inside volume.
type Deduction struct {
	Name   string
	Volume float64 // m3
}

// Fittings are what is put into the box and on it.
type Fittings struct {
	Drivers   DriverPlace
	Radiators *DriverPlace   // nil: none
	Removable *RemovableFace // nil: every face is glued
	Ports     []PortPlace
	Slot      *SlotView // nil: no port of boards
	Outlets   []Outlet
}

// Findings are what was verified, and what is to be said.
type Findings struct {
	Resonances      []Resonance
	Checks          []Check
	Warnings, Notes []Message
}

// DriverPlace is where the drivers or radiators sit and what is around them.
type DriverPlace struct {
	Panel       string
	Centres     []plane.Point // panel frame, outer face
	Middles     []r3.Vec      // the same in the space
	Out         r3.Vec        // where they look, a unit vector
	DepthBehind float64       // from the flange's plane to the nearest thing, over the magnet's diameter, m
	Behind      string        // what that nearest thing is: "bottom", "brace 1"
	Opening     float64       // diameter to cut
	Fixing      Fixing
}

// Fixing is how the driver's bolts are made: the choice, what is drilled, and why.
type Fixing struct {
	Fastening Fastening
	Thread    string  // empty for wood screws
	Hole      float64 // to drill in the face, m
	Land      float64 // wood between the opening and that hole, m; after the chamfer behind, where there is one
	Reason    Message
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

// PortPlace is one port as placed.
type PortPlace struct {
	Panel        string
	Centre       plane.Point // of the mouth, panel frame, outer face
	Path                     // of the air
	FreeEnd      float64     // clear distance in front of the inner mouth, m
	Facing       string      // what the inner mouth looks at
	InnerSection float64     // area of the box section at the inner mouth, its share when several, m2, for end corrections; 0 unknown
	InsideVolume float64     // wood or tube and its air, deducted, m3
	Height       float64     // slot: clear height, m
	Width        float64     // slot: clear width, m
	Along        string      // slot: the wall that is its floor
	WidePort     float64     // where a slot is narrower than it was asked for: the longest that may be as wide, m; 0 none
	Saddle       float64     // tube: a saddle (a panel of that role, else a bought one) holds it this near to its inner end; 0: it needs none, m
}

// Path is the way of the air through a port.
type Path struct {
	Length     float64   // along the centre line, m
	Effective  float64   // that acts as the port's length: less at sharp bends, m
	Legs       []float64 // straight legs; more than one with elbows or bends, m
	Directions []r3.Vec  // of each leg, unit vectors of the space, from the outer mouth inward
	Bend       float64   // radius of an elbow's centre line; 0: straight, or a sharp bend, m
	Elbow      *Elbow    // the bought part; nil: none
	Line       []r3.Vec  // corners of the centre line in the space, from the outer mouth to the inner end (bends as sharp)
}

// Elbow is an elbow to buy.
type Elbow struct {
	Count  int     // for one port
	Bore   float64 // m
	Radius float64 // of its centre line, m
	Angle  float64 // rad
}

// SlotView is how the boards of a slot stand in the box, in two cuts for a drawing.
type SlotView struct {
	Along  SlotCut // along the air, through its middle
	Across SlotCut // across it; empty where the slot is as wide as the inside, without fins
}

// SlotCut is one cut through the box at its slot, in a plane of the space (x to the right, y up), m.
type SlotCut struct {
	View   string // how it is looked at, in words
	Walls  []CutPiece
	Boards []CutPiece
	Air    []plane.Point // centre line of the air, from the outer face of the mouth to the inner end
	Sizes  []CutSize
}

// Bounds is the rectangle round everything that the cut goes through.
func (c *SlotCut) Bounds() plane.Rect {
	var all plane.Polygon
	for _, pieces := range [...][]CutPiece{c.Walls, c.Boards} {
		for _, p := range pieces {
			all = append(all, p.Shape...)
		}
	}
	return all.Bounds()
}

// CutPiece is a piece of the box where a cut goes through it.
type CutPiece struct {
	Panel string
	Shape plane.Polygon
}

// CutSize is a distance in the air that a cut shows, from A to B.
type CutSize struct{ A, B plane.Point }

// Resonance is the first plate resonance of a panel between its supports, edges simply supported.
type Resonance struct {
	Panel         string
	Before, After float64 // Hz, without braces and with them
}

// Status is how a check came out.
type Status = grade.Status

// The outcomes of a check.
const (
	NotChecked = grade.NotChecked
	Pass       = grade.Pass
	Marginal   = grade.Marginal
	Fail       = grade.Fail
)

// Check is one thing that was verified. Value and Limit are SI in the unit Unit names ("m", "Hz", "" ...).
type Check struct {
	Name         string
	Status       Status
	Value, Limit float64
	Unit         string
	Note         Message
}
