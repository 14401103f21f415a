package panels

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

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
	cleats *cleats    // nil: every face is glued
	braced braced
}

// fitted is what was put on the faces.
type fitted struct {
	fixings   []fixingFit
	drivers   mounted
	radiators mounted
	ports     []port // tubes, or one slot
	terminal  terminalFit
}

// piece is a board inside the box, with its holes in the frame that its panel will have (frameOf of its board's outer face).
type piece struct {
	name   string // for people
	role   Role
	board  Board
	layers int // boards glued face to face; 0: one
	on     int // the face of the solid that it is glued along or lies behind, -1: none
	holes  []Hole
	air    float64 // by which it counts in the balance, where that is not its volume less its holes, m3; 0: that
	notes  []Message
}

// put puts a piece into the box, where a body of a kind then stands.
func (sc *scene) put(p piece, kind bodyKind) {
	sc.pieces = append(sc.pieces, p)
	sc.bodies = append(sc.bodies, p.body(kind))
}

// body is the piece as a body.
func (p *piece) body(kind bodyKind) body {
	return newBody(kind, p.name, slices.Concat(p.board.Outer, p.board.Inner), bodyAir)
}

// bodyKind says what stands in the air.
type bodyKind int8

const (
	driverBody bodyKind = iota
	radiatorBody
	portBody
	slotBody
	cleatBody
	braceBody
	stripBody
	terminalBody
	nutBody
)

// roundTube is the straight leg of a tube.
type roundTube struct {
	from, to r3.Vec
	radius   float64 // outside
}
