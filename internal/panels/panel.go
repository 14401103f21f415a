package panels

import "cubby/internal/plane"

// Role is what a panel does in the box.
type Role int

// The roles.
const (
	Wall Role = iota
	End
	Layer
	Divider
	Brace
	PortPart
	Ring
	Cleat
)

// String gives the word used in machine output.
func (r Role) String() string {
	words := [...]string{"wall", "end", "layer", "divider", "brace", "port", "ring", "cleat"}
	if r < 0 || int(r) >= len(words) {
		return "unknown"
	}
	return words[r]
}

// Frame places a panel in the space: (across, depth, height), m. X cross Y points out of the box.
type Frame struct{ Origin, X, Y [3]float64 }

// At gives the place in the space of the point (x, y) of the panel's outer face, z metres out of it (negative: into the wood).
func (f Frame) At(x, y, z float64) [3]float64 {
	out := f.Out()
	var p [3]float64
	for i := range p {
		p[i] = f.Origin[i] + x*f.X[i] + y*f.Y[i] + z*out[i]
	}
	return p
}

// Out gives the unit vector that points out of the box.
func (f Frame) Out() [3]float64 {
	return [3]float64{
		f.X[1]*f.Y[2] - f.X[2]*f.Y[1],
		f.X[2]*f.Y[0] - f.X[0]*f.Y[2],
		f.X[0]*f.Y[1] - f.X[1]*f.Y[0],
	}
}

// Panel is one piece of board, in metres and radians; sections, outlines and volumes are those before openings.
type Panel struct {
	Mark                   string // A, B, C ... in order of the printed list
	Name                   string
	Role                   Role
	Count                  int
	Board                  string
	Thickness, Nominal     float64 // of the whole panel, all its layers
	Layers                 int     // full-size boards glued face to face before cutting, each Thickness/Layers thick; at least 1
	Length, Width          float64 // along panel x, overall across
	OuterWidth, InnerWidth float64
	Blank                  [2]float64    // length, width of the rectangle to cut from the sheet
	CutWidth               float64       // walls whose edge a slot's mouth takes: the width to cut; 0: Width
	Grain                  string        // "length" "width" ""
	Section                plane.Polygon // walls: O0 O1 N1 N0 (or 6, 8 corners with rabbets), section plane of the space
	Outline                plane.Polygon // ends, braces: panel frame, outer face
	Edges                  []Edge
	Holes                  []Hole
	Rabbet                 *RabbetStep // rabbeted ends
	Flush                  float64     // ends: cut this much larger than the outline all round, trimmed after they are glued
	Place                  Frame
	Places                 []Frame // Count > 1
	Volume                 float64 // m3, of one
	Notes                  []string
}

// CutOutline is the outline as cut: Outline with the allowance of a panel that is trimmed flush, every side moved out by it.
func (p *Panel) CutOutline() plane.Polygon {
	if p.Flush <= 0 {
		return p.Outline
	}
	n := len(p.Outline)
	out := make(plane.Polygon, n)
	side := func(i int) plane.Line {
		a, b := p.Outline.Edge(i)
		return plane.LineThrough(a, b).Offset(-p.Flush)
	}
	for i := range out {
		q, ok := side((i + n - 1) % n).Meet(side(i))
		if !ok {
			q = p.Outline[i]
		}
		out[i] = q
	}
	return out
}

// RabbetStep is the step on the inner face of an end panel: its depth, and its width along each side of the outline.
type RabbetStep struct {
	Depth  float64
	Widths []float64
}

// Edge is one edge of a panel and what it meets there.
type Edge struct {
	Edge     string // y0 y1 x0 x1 (ends: e0, e1 ... by outline side)
	Meets    string
	Joint    string  // "butt-through" "butt-stop" "mitre" "rabbet"
	Angle    float64 // interior corner angle, rad
	Tilt     float64 // rad, signed, + outer face longer at this edge
	Run      float64 // t tan|tilt|, m
	LongFace string  // "outer" "inner" "equal"
}

// Hole is an opening, a bolt hole or a recess. X and Y are its centre on the outer face, even if it is cut from inside.
type Hole struct {
	Kind                  string // driver bolt port terminal cable slot recess fixing window
	X, Y                  float64
	Diameter              float64
	Length, Width, Radius float64 // rectangles: along panel x, along panel y, corner radius
	Depth                 float64 // 0: through
	From                  string  // "outer" "inner"
	Use                   string  // of a small hole, in words: "screw of the removable face"; may be empty
}

// ToVehicle reports whether the hole fixes the box to the vehicle.
func (h Hole) ToVehicle() bool { return h.Use == UseInsert || h.Use == UseBracket }

// What small holes are for.
const (
	UseFaceScrew     = "screw of the removable face"
	UseFaceInsert    = "insert for the removable face"
	UseTerminalScrew = "screw of the terminal plate"
	UseFlangeScrew   = "screw of the port's flange"
	UseInsert        = "insert for fixing to the vehicle"
	UseBracket       = "bracket for fixing to the vehicle"
)
