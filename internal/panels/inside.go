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

// restsOn says that the edges of a board that look along dir meet a face.
func (b *Board) restsOn(face int, dir r3.Vec) {
	for k := range b.Edges {
		if r3.Dot(b.Sides[k].N, dir) > 0.5 {
			b.Edges[k].With = face
		}
	}
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
		p.board, err = slab(sh.air, face.Offset(-front), face.Offset(-front-w.Thickness), nil, doublerPlay+landing, true)
		if err != nil || p.board.Volume <= open*w.Thickness {
			return &BuildError{Reason: NoInside, Panel: p.name, Say: say("behind the %s there is no room for an inner layer", sh.parts[sh.driver].name)}
		}
		p.air = p.board.Volume - open*w.Thickness
		p.notes = []Message{say("goes in after the walls are glued, square edges; open the driver's hole from behind at 45 degrees between the bolts if wished")}
		for e := range p.board.Edges {
			p.board.Edges[e].With = -1
		}
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
