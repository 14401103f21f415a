package panels

import "gonum.org/v1/gonum/spatial/r3"

// scene is a box whose boards stand, into which one thing after the other is put: cleats and doublers, fixing points, the
// drivers, the ports, braces and strips, the terminal. Each looks at what stands already (bodies) and adds what it takes.
type scene struct {
	spec   *Spec
	shell  *shell
	faces  []face // of every face of the solid, its index
	bodies []body // what stands in the air so far
	pieces []piece
	fitted fitted
	moved  []*mounted // other places of the drivers; nil: not yet asked for
	alone  *alone     // the drivers before a slot; nil: not yet asked for
	cleats *cleats    // nil: every face is glued
	braced braced
}

// fitted is what was put on the faces.
type fitted struct {
	fixings   []fixingFit
	drivers   mounted
	radiators mounted
	ports     portFit
	terminal  terminalFit
}

// piece is a board inside the box, with its holes in the frame that its panel will have (frameOf of its board's outer face).
type piece struct {
	name   string // for people
	role   Role
	board  Board
	layers int      // boards glued face to face; 0: one
	on     int      // the face of the solid that it is glued along or lies behind, -1: none
	meets  []string // by its edges; nil: by BoardEdge.With
	holes  []Hole
	air    float64 // by which it counts in the balance, where that is not its volume less its holes, m3; 0: that
	notes  []Message
}

// bodyKind says what stands in the air.
type bodyKind int8

const (
	driverBody bodyKind = iota
	radiatorBody
	portBody
	slotBody
	cleatBody
	layerBody
	braceBody
	stripBody
	terminalBody
	nutBody
)

// The functions of this file's other side, in the order in which Build calls them:
//
//	newFace(sh *shell, i int, inward float64, layer *piece) face
//	    face.go: the face of board i; its free outline is what is clear of joints on both its faces and, less inward (the
//	    landing of a removable face on its cleats), on the air's side; where a doubler lies behind, also within that.
//	placeFixings(s *scene) ([]fixingFit, error)
//	placeDriver(s *scene) (mounted, error)
//	placePorts(s *scene) (portFit, error)        portFit.wishes: relations that a slot's mouth needs
//	placeTerminal(s *scene) terminalFit
//	(s *scene) holes() [][]Hole                  openings, bolts, pilots of every face, panel frame, from all that was fitted
//	(s *scene) describe(f *Fittings)             Drivers, Ports, Slot
//	(s *scene) fittingChecks() (checks []Check, notes []Message)
//	(s *scene) portPieces() []piece              slot walls, roofs, fins, with the notes of each
//	(s *scene) fittedAir() []Deduction           driver, port (with its boards), terminal plate: positive volumes only
//	faceThread(t float64, inch bool) thread      fasten.go: of the screws of a removable face
//
// and of body.go:
//
//	newBody(kind bodyKind, name string, corners []r3.Vec, air float64) body
//	    the convex hull of the corners (a board: its two outlines), air to be kept to it by a tube
//	(b *body) span(dir r3.Vec) (lo, hi float64)  its stretch along a unit vector
//	(b *body) meets(o *body, air float64) bool   nearer to each other than air (touching does not count)
//	(b *body) round() (t roundTube, ok bool)     a straight round tube, which a window brace lets pass
//	(s *scene) mouths() []body                   air before inner mouths that braces and strips keep clear of

// roundTube is the straight leg of a tube.
type roundTube struct {
	from, to r3.Vec
	radius   float64 // outside
}
