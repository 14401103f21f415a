package panels

import (
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Joint is how two walls are wished to meet.
type Joint int

// The joints. Rabbet is made at square corners only; elsewhere it becomes Butt.
const (
	Butt Joint = iota
	Mitre
	Rabbet
)

// String names the joint as a job file does.
func (j Joint) String() string {
	switch j {
	case Mitre:
		return "mitre"
	case Rabbet:
		return "rabbet"
	}
	return "butt"
}

// EndStyle says how the two ends of the prism close its walls.
type EndStyle int

// The end styles: over the walls' ends, inside the walls, or over them with a step on their inner face.
const (
	EndsOver EndStyle = iota
	EndsInside
	EndsRabbeted
)

// Wood is what the box is made of. Lengths are in metres.
type Wood struct {
	Board       string
	Thickness   float64            // measured
	Nominal     float64            // 0: same
	Panels      map[string]float64 // measured thickness of named panels that differ; all layers together
	Density     float64            // kg/m3; 0: by board name, with its source in the box's Notes
	Joints      Joint
	Ends        EndStyle
	FrontLayers int     // layers of the driver's face; 0 or 1: one
	LayerInside bool    // inner doublers instead of outer full-size layers
	RabbetDepth float64 // depth of a rabbet from the inner face; 0: by the board, see rabbetDepth
	Covering    *Covering
	Flush       float64 // boards over the walls' ends are cut this much larger all round, and trimmed flush after they are glued
}

// CornerWish overrides the joint between two named boards. Through names the one that runs through a butt joint; empty:
// decided by rank.
type CornerWish struct {
	Between [2]string
	Joint   Joint
	Through string
}

// Driver is the driver as a thing of metal: metres, 0 unknown.
type Driver struct {
	Name         string
	Frame        float64 // outside diameter of the flange
	Cutout       float64
	Depth        float64 // underside of the flange to the rearmost point
	Magnet       float64 // magnet diameter
	Displacement float64 // m3, as published: it includes what sits in the panel's hole
	Circle       float64 // bolt circle
	Bolts        int
	Hole         float64
	Vent         bool
	Mass         float64 // kg
	Cone
}

// Cone is what moves of a driver; 0 unknown.
type Cone struct {
	Excursion float64 // the larger of Xmax and the computed one, m
	Sd        float64 // effective area, for the displaced cone, m2
}

// Mounting says how the driver and its face are fixed. Lengths are in metres.
type Mounting struct {
	Removable bool      // the driver's face is screwed on over a gasket
	Recess    float64   // depth by which the flange is sunk into the face
	Chamfer   float64   // of the opening from behind, at 45 degrees
	Fastening Fastening // of the driver; empty: chosen
	Centred   bool      // the drivers stay in the middle of their face
	Outside   bool      // the magnets stand outside: nothing of the drivers is in the air, which gains their displacement
	At        *Spot     // where the middle of the drivers is wished; nil: chosen
}

// Fastening is how the driver is screwed to its face.
type Fastening string

// The fastenings: nuts pulled in from behind, screw-in inserts, wood screws.
const (
	TNut      Fastening = "t-nut"
	Insert    Fastening = "insert"
	WoodScrew Fastening = "screw"
)

// Spot is a place on a face by what was measured of it in the space: two of its three coordinates, the plane of the face gives
// the third; or one, and the other is free. Coordinates that are not Known are not looked at.
type Spot struct {
	At    r3.Vec // m
	Known [3]bool
}

// Port is a wanted port, before it is placed.
type Port struct {
	Count         int
	Bore          float64    // inside diameter of each tube; 0 for a slot
	Outside       float64    // outside diameter of the tube; 0: bore plus two 3 mm walls
	Height, Width float64    // slot; Width 0 or more than the inside width: the full inside width
	Length        float64    // that acts: mouth to mouth along the centre line, board included, less what bends and flares take off
	Elbows        int        // how many a tube may have, 0 to 2 (a slot's bends need no leave)
	ElbowRadius   float64    // of the elbow's centre line; 0: one outside diameter
	Face          string     // face with the mouths; empty: chosen
	Flange        Flange     // of each tube
	Flares        [2]float64 // radius of the flared end outside and inside, 0: none
	At            *Spot      // where the middle of the mouths is wished, on Face; nil: chosen
}

// Flange is the rim of a tube's outer mouth, let into the face. The zero value is a tube glued in without one.
type Flange struct {
	Rim    float64 // by which it stands out beyond the tube, all round, m
	Rebate float64 // depth to which it is let in, m; 0: it lies on the face
	Screws int     // 0: glued
	Hole   float64 // pilot of its screws, m; 0: 2.5 mm
}

// Plate is a terminal plate. Zero fields take the size of a common plate (common practice): measure the one in hand.
type Plate struct {
	Width, Height float64 // of the opening, along the panel's x and y, m
	Radius        float64 // of its corners
	Diameter      float64 // of a round opening instead
	Depth         float64 // from the outer face of the panel to the back of the cup
	Face          string  // the face that it goes on; empty: chosen
	Screws        int
	Circle        float64 // of the screws; 0: 8 mm outside the opening's corners
	Hole          float64 // pilot of its screws
}

// FixingPoint is where the box is fixed to the vehicle. Lengths are in metres, from the outside of the bare box; of the pair
// Left and Right one is stated, of Front and Bottom what the face needs: one for a wall, both for an end.
type FixingPoint struct {
	Face          string
	Left, Right   *float64
	Front, Bottom *float64
	Kind          FixingKind
	Hole          float64 // diameter; 0: by kind
}

// FixingKind is what goes into a fixing point's hole.
type FixingKind string

// The kinds: a nut or insert in the wood, or a bracket bolted through it.
const (
	FixingInsert  FixingKind = "insert"
	FixingBracket FixingKind = "bracket"
)

// Radiators is a number of like passive radiators on one face: they are mounted as drivers are. A Displacement of 0 is taken as a
// third of the basket. A box has a port or radiators. Excursion is how far
// the moving mass comes back: that much air more is wanted behind it. Removable is not looked at.
type Radiators struct {
	Driver
	Count int     // 0: 1
	Face  string  // empty: chosen, the driver's first
	Added float64 // kg, mass to be added to the middle of each: for the shop, not looked at here
	Mounting
}

// Hardware is what else goes on the box.
type Hardware struct {
	Radiators *Radiators                // nil: none
	Terminal  bool                      // a cable hole, 10 mm, is wanted as the least
	Plate     *Plate                    // a terminal plate instead
	Room      func(at, out r3.Vec) bool // whether a plug finds room before a place; nil: everywhere
	Fixings   []FixingPoint
}

// BraceRule says when braces are put in. Zero value: none.
type BraceRule struct {
	Lowest float64 // Hz: a board whose first plate resonance (simply supported) lies below this is braced; 0 none
}

// Saw is what the shop's saw can do; a zero field takes the default, which is common practice.
type Saw struct {
	Depth     float64 // depth of cut, square; 0: 54 mm
	DepthAt45 float64 // depth of cut with the blade at 45 degrees; 0: 38 mm
	MaxTilt   float64 // rad; 0: 45 degrees
}

// Shop is what the workshop has.
type Shop struct {
	RoundTo     float64 // the step to which sizes are printed, m, for WorstJoint; 0: 1 mm
	Saw         Saw
	InchThreads bool // machine screws are of inch threads, else metric
}

// Spec is everything that the workshop needs to know of a box.
type Spec struct {
	Outside  *solid.Solid // wood only, in the space's coordinates
	Axis     solid.Axis   // along which it is a prism between two ends
	Wood     Wood
	Corners  []CornerWish
	Face     string // the driver's face: front back top bottom left right (or any board's name); empty: front
	Driver   Driver
	Count    int // of drivers; 0: 1
	Mounting Mounting
	Port     *Port // nil: sealed
	Brace    BraceRule
	Hardware
	Shop
}
