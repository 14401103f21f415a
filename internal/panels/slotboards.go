package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// roofName is the name of board number i over a slot.
func (k *slot) roofName(i int) string {
	return numbered("slot wall", i, len(k.roofs))
}

// portPieces are the boards of a slot: what is over its air, side pieces, fins.
func (s *scene) portPieces() []piece {
	k := s.slot()
	if k == nil {
		return nil
	}
	var out []piece
	fixed := say("fixed through both ends")
	round := say("round both mouths by %s or more, never more than half the board without support (common practice)", Length(grade.Of(grade.SlotEdgeRadius).Pass))
	for n := range k.legs {
		if !k.boarded(n) {
			continue
		}
		p := s.roofPiece(k, len(out), n)
		if len(out) == len(k.roofs)-1 {
			p.notes = append(p.notes, fixed)
		}
		if len(k.roofs) > 1 {
			p.notes = append(p.notes, say("round the edge that the air turns about (common practice)"))
		}
		p.notes = append(p.notes, round)
		out = append(out, p)
	}
	for _, u := range k.uprights() {
		out = append(out, s.upright(k, u))
	}
	return out
}

// roofPiece is roof i, of leg n, with what its edges meet: walls, the boards of the legs before and after it, a side piece.
func (s *scene) roofPiece(k *slot, i, n int) piece {
	b := &k.roofs[i]
	p := piece{name: k.roofName(i), role: SlotRoof, board: *b, on: k.legs[n].floor}
	if p.on < 0 {
		p.on = k.legs[0].floor
	}
	for e := range b.Edges {
		next := n + 1
		if r3.Dot(b.Sides[e].N, k.legs[n].v) < 0 {
			next = n - 1
		}
		switch {
		case b.Edges[e].With >= 0:
		case math.Abs(r3.Dot(b.Sides[e].N, k.legs[0].w)) > 0.99:
			b.Edges[e].Piece = "slot side"
		case k.boarded(next):
			b.Edges[e].Piece = k.roofName(i + next - n)
		}
	}
	high := s.shell.air.Faces[p.on].Depth(b.Outer[0])
	p.notes = []Message{say("its outer face looks at the slot and stands %s from the inner face of the %s", Length(high), s.faces[p.on].name)}
	return p
}

// upright is a side piece or a fin of a slot, and where it begins along w.
type upright struct {
	name string
	role Role
	x    float64
}

// uprights are the side pieces and then the fins.
func (k *slot) uprights() []upright {
	var sides []float64
	if k.low {
		sides = append(sides, k.x0)
	}
	if k.high {
		sides = append(sides, k.x1-k.t)
	}
	var out []upright
	for i, x := range sides {
		out = append(out, upright{numbered("slot side", i, len(sides)), SlotWall, x})
	}
	lo, _ := k.airSpan()
	pitch := k.clear/float64(k.fins+1) + k.t
	for i := range k.fins {
		out = append(out, upright{numbered("slot fin", i, k.fins), Fin, lo + float64(i+1)*pitch - k.t})
	}
	return out
}

// upright is a board between floor and roof: its outline is that of the air.
func (s *scene) upright(k *slot, u upright) piece {
	l, x := &k.legs[0], u.x
	shift := r3.Scale(x+k.t-k.x0, l.w)
	at := make([]r3.Vec, len(k.air))
	for i, p := range k.air {
		at[i] = r3.Add(p, shift)
	}
	sides := append([]int(nil), k.sides...)
	if solid.LoopArea(at, l.w) < 0 { // turned round: edge i then runs from corner i to the one before
		n := len(at)
		back, turned := make([]r3.Vec, n), make([]int, n)
		for i := range at {
			back[i], turned[i] = at[n-1-i], sides[(2*n-2-i)%n]
		}
		at, sides = back, turned
	}
	p := piece{name: u.name, role: u.role, on: l.floor, board: plate(solid.Through(at[0], l.w), at, k.t)}
	for e, side := range sides {
		if side >= 0 {
			p.board.Edges[e].With = side
		} else if side != noSide {
			p.board.Edges[e].Piece = k.roofName(-1 - side)
		}
	}
	low, from := s.wallAt(k)
	p.notes = []Message{say("near face %s from the inner face of the %s", Length(x-from), low)}
	if x-from < sameFace {
		p.notes = []Message{say("flat against the %s", low)}
	}
	if u.role == Fin {
		p.notes = append(p.notes, say("round the leading and trailing edges"))
	}
	return p
}

// wallAt is what uprights are measured from: the wall that the slot begins at along w, or what lies beyond its side piece.
func (s *scene) wallAt(k *slot) (name string, x float64) {
	l := &k.legs[0]
	d, face := s.shell.ahead(r3.Add(l.at(0, (k.x0+k.x1)/2, k.h/2), r3.Scale(math.Max(0, l.lean*k.h)+leastRoof, l.v)), r3.Scale(-1, l.w), 0)
	if face < 0 {
		return "start of the slot", k.x0
	}
	return s.faces[face].name, (k.x0+k.x1)/2 - d
}
