package panels

import (
	"math"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// plate is a board with square edges whose outer face has the corners at, counter-clockwise as seen from outside.
func plate(outer solid.Plane, at []r3.Vec, t float64) Board {
	n := len(at)
	b := Board{Rim: Rim{Outer: at, Inner: make([]r3.Vec, n), Sides: make([]solid.Plane, n), Edges: make([]BoardEdge, n)}, Thickness: t, Out: outer.N}
	for k := range at {
		b.Inner[k] = r3.Sub(at[k], r3.Scale(t, outer.N))
		b.Sides[k] = solid.Through(at[k], r3.Cross(r3.Sub(at[(k+1)%n], at[k]), outer.N))
		b.Edges[k] = BoardEdge{With: -1, Relation: Stops, Convex: true, Bevel: Bevel{Angle: math.Pi / 2}}
	}
	b.measure(b.Out, t)
	b.Volume = b.volume()
	return b
}

// squareSlab is a board in the air between two parallel planes with square edges: what it would be with every edge square and
// play smaller all round. It names the faces of the air that it stops at.
func squareSlab(air *solid.Solid, outer, inner solid.Plane, play float64) (Board, error) {
	sides, with, err := slabSides(air, outer, inner, nil)
	if err != nil {
		return Board{}, err
	}
	z, n := outer.N, len(sides)
	for k, p := range sides {
		nz := r3.Dot(p.N, z)
		e := r3.Sub(p.N, r3.Scale(nz, z))
		l := r3.Norm(e)
		reach := math.Min((p.D-nz*outer.D)/l, (p.D-nz*inner.D)/l)
		sides[k] = solid.Plane{N: r3.Scale(1/l, e), D: reach - play}
	}
	at := make([]r3.Vec, n)
	for k := range sides {
		var ok bool
		if at[k], ok = solid.Meet(outer, sides[(k+n-1)%n], sides[k]); !ok {
			return Board{}, ErrSlab
		}
	}
	b := plate(outer, at, outer.D-inner.D)
	if !(b.Volume > 0) || solid.Cross(z, at) {
		return Board{}, ErrSlab
	}
	for k := range b.Edges {
		b.Edges[k].With = with[k]
		if r3.Dot(r3.Sub(at[(k+1)%n], at[k]), r3.Cross(z, sides[k].N)) <= 0 {
			return Board{}, ErrSlab
		}
	}
	return b, nil
}

// corners are all corners of a board.
func (b *Board) corners() []r3.Vec {
	return append(append(make([]r3.Vec, 0, 2*len(b.Outer)), b.Outer...), b.Inner...)
}

// doublerPlay is what an inner doubler is smaller than the inside on every side, so that it goes in after the walls (common
// practice).
const doublerPlay = 1e-3

// addDoublers makes the inner doublers of the driver's face: square edged, the inside size less 1 mm per side.
func (sc *scene) addDoublers(landing float64) error {
	w, sh := &sc.spec.Wood, sc.shell
	if !w.LayerInside || w.FrontLayers < 2 {
		return nil
	}
	open := sc.spec.drivers().opened()
	face := sh.outside.Faces[sh.driver].Plane
	front := sh.parts[sh.driver].t
	for k := 1; k < w.FrontLayers; k++ {
		p := piece{name: numbered("inner layer", k-1, w.FrontLayers-1), role: Doubler, on: sh.driver}
		var err error
		p.board, err = squareSlab(sh.air, face.Offset(-front), face.Offset(-front-w.Thickness), doublerPlay+landing)
		if err != nil || p.board.Volume <= open*w.Thickness {
			return &BuildError{Reason: NoInside, Panel: p.name, Say: say("behind the %s there is no room for an inner layer", sh.parts[sh.driver].name)}
		}
		p.air = p.board.Volume - open*w.Thickness
		p.notes = []Message{say("goes in after the walls are glued, square edges; open the driver's hole from behind at 45 degrees between the bolts if wished")}
		p.meets = make([]string, len(p.board.Edges))
		sc.pieces = append(sc.pieces, p)
		front += w.Thickness
	}
	return nil
}

// lastDoubler is the doubler that lies furthest inside; nil when there is none.
func (sc *scene) lastDoubler() *piece {
	for i := len(sc.pieces) - 1; i >= 0; i-- {
		if sc.pieces[i].role == Doubler {
			return &sc.pieces[i]
		}
	}
	return nil
}
