package panels

import (
	"math"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Role is what a panel does in the box.
type Role int

// The roles. A pocket's boards are walls to the shop, slot boards and fins port parts.
const (
	Wall Role = iota
	End
	Pocket
	Doubler
	Window
	Strip
	SlotWall
	SlotRoof
	Fin
	Saddle
	Cleat
)

// String gives the word used in machine output.
func (r Role) String() string {
	words := [...]string{"wall", "end", "wall", "layer", "brace", "brace", "port", "port", "port", "brace", "cleat"}
	if r < 0 || int(r) >= len(words) {
		return "unknown"
	}
	return words[r]
}

// Shell reports whether the panel is the board of one of the box's faces.
func (r Role) Shell() bool { return r <= Pocket }

// Stands reports whether the panel is a brace or a saddle.
func (r Role) Stands() bool { return r == Window || r == Strip || r == Saddle }

// OfPort reports whether the panel is part of the port.
func (r Role) OfPort() bool { return r >= SlotWall && r <= Fin }

// Label says what a panel is.
type Label struct {
	Mark  string // A, B, C ... in order of the printed list
	Name  string // for people
	Role  Role
	Count int
}

// Stock is what a panel is cut from.
type Stock struct {
	Board              string
	Thickness, Nominal float64 // of the whole panel, all its layers, m
	Layers             int     // full-size boards glued face to face before cutting, each Thickness/Layers thick; at least 1
	Grain              string  // "length" "width" ""
}

// Size is a panel's measures, m.
type Size struct {
	Length, Width          float64    // along panel x, overall across
	OuterWidth, InnerWidth float64    // of its two faces
	Blank                  [2]float64 // length, width of the rectangle to cut from the sheet
	CutWidth               float64    // walls whose edge a slot's mouth takes: the width to cut; 0: Width
	Flush                  float64    // cut this much larger than the outline all round, trimmed after it is glued
}

// Shape is a panel as a body, before openings.
type Shape struct {
	Section      plane.Polygon // walls of prisms across: O0 O1 N1 N0 (or 6, 8 corners with rabbets), section plane of the space
	Outline      plane.Polygon // all others: outer face, panel frame, counter-clockwise from the corner nearest the origin
	Outer, Inner []r3.Vec      // corners of the two faces in the space, the same order; rabbets are extra steps
	Rims         []Rim         // inner outlines: where a pocket is in the middle of the face
	Volume       float64       // m3, of one
}

// Panel is one piece of board, in metres and radians.
type Panel struct {
	Label
	Stock
	Size
	Shape
	Edges   []Edge
	Holes   []Hole
	Rabbets []RabbetStep
	Place   Frame
	Places  []Frame // Count > 1
	Notes   []Message
}

// CutOutline is the outline as cut: Outline with the allowance of a panel that is trimmed flush, every side moved out by it.
func (p *Panel) CutOutline() plane.Polygon {
	if p.Flush <= 0 {
		return p.Outline
	}
	return p.Outline.Drawn(-p.Flush)
}

// RabbetStep is a step cut into the inner face along an edge, after the board has its outline.
type RabbetStep struct {
	Edge  int     // index into Edges
	Width float64 // from the edge of the outer face inward, m
	Depth float64 // from the inner face, m
}

// EdgeJoint is how a panel is joined at an edge.
type EdgeJoint string

// The joints of an edge.
const (
	ButtThrough EdgeJoint = "butt-through"
	ButtStop    EdgeJoint = "butt-stop"
	MitreEdge   EdgeJoint = "mitre"
	RabbetEdge  EdgeJoint = "rabbet"
)

// Edge is one edge of a panel and what it meets there.
type Edge struct {
	Edge  string // y0 y1 x0 x1 of a rectangular wall; else e0, e1 ... by the sides of the outer outline
	Meets string // the panel's name; empty: a free end
	Other int    // index of that panel, -1: none
	Joint EdgeJoint
	Bevel
	side int // of the panel's outlines, one after the other
}

// LongFace names the face that is longer at the edge: "outer", "inner" or "equal".
func (e Edge) LongFace() string {
	switch {
	case e.Run < sameFace:
		return "equal"
	case e.Tilt > 0:
		return "outer"
	}
	return "inner"
}

// HoleKind is what a hole is for a machine.
type HoleKind string

// The kinds of hole.
const (
	HoleDriver   HoleKind = "driver"
	HoleBolt     HoleKind = "bolt"
	HolePort     HoleKind = "port"
	HoleTerminal HoleKind = "terminal"
	HoleCable    HoleKind = "cable"
	HoleSlot     HoleKind = "slot"
	HoleRecess   HoleKind = "recess"
	HoleFixing   HoleKind = "fixing"
	HoleWindow   HoleKind = "window"
)

// HoleUse is what a small hole is for.
type HoleUse string

// The uses, in the words of the lists.
const (
	UseFaceScrew     HoleUse = "screw of the removable face"
	UseFaceInsert    HoleUse = "insert for the removable face"
	UseTerminalScrew HoleUse = "screw of the terminal plate"
	UseFlangeScrew   HoleUse = "screw of the port's flange"
	UseInsert        HoleUse = "insert for fixing to the vehicle"
	UseBracket       HoleUse = "bracket for fixing to the vehicle"
	UseRadiator      HoleUse = "passive radiator" // of a HoleDriver, its recess and its bolts
)

// Hole is an opening, a bolt hole or a recess. X and Y are its centre on the outer face, even if it is cut from inside.
type Hole struct {
	Kind                  HoleKind
	X, Y                  float64
	Diameter              float64
	Length, Width, Radius float64 // rectangles: along panel x, along panel y, corner radius
	Depth                 float64 // 0: through
	From                  string  // "outer" "inner"
	Use                   HoleUse // of a small hole, or UseRadiator; may be empty
}

// ToVehicle reports whether the hole fixes the box to the vehicle.
func (h Hole) ToVehicle() bool { return h.Use == UseInsert || h.Use == UseBracket }

// area is what the hole opens, m2.
func (h Hole) area() float64 {
	if h.Diameter > 0 {
		return math.Pi / 4 * h.Diameter * h.Diameter
	}
	return h.Length*h.Width - (4-math.Pi)*h.Radius*h.Radius
}
