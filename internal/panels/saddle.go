package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Of saddles (common practice).
const (
	saddleWood  = 20e-3 // round the tube
	saddleLeast = 10e-3 // over it, at least
	saddlePlay  = 1e-3  // of its hole, in diameter
)

// needsSaddle reports whether a tube is held near its inner end.
func (t *port) needsSaddle() bool {
	return t.slot == nil && (t.path.Length > grade.Of(grade.TubeSaddleFrom).Pass || t.path.Elbow != nil)
}

// addSaddles puts a board on edge round every tube that needs one, on the wall nearest to it that has the room. A tube that finds
// none is left to a bought one.
func (s *scene) addSaddles() {
	for i := range s.fitted.ports {
		t := &s.fitted.ports[i]
		if !t.needsSaddle() {
			continue
		}
		f, n := &s.faces[t.face], len(t.path.Legs)
		dir, best := t.path.Directions[n-1], math.Inf(1)
		var saddle piece
		for _, u := range [...]r3.Vec{f.X, r3.Scale(-1, f.X), f.Y, r3.Scale(-1, f.Y), f.N, r3.Scale(-1, f.N)} {
			if math.Abs(r3.Dot(u, dir)) > rounding {
				continue
			}
			if p, high, ok := s.saddleOn(i, u, best); ok {
				saddle, best = p, high
			}
		}
		if saddle.role == Saddle {
			s.put(saddle, stripBody)
		}
	}
}

// saddleOn is the saddle of tube i that stands on the wall ahead of u, lower than high.
func (s *scene) saddleOn(i int, u r3.Vec, high float64) (p piece, low float64, ok bool) {
	t, wood := &s.fitted.ports[i], s.spec.Wood.Thickness
	last := len(t.path.Legs) - 1
	dir, end, leg := t.path.Directions[last], t.path.Line[last+1], t.path.Legs[last]
	if last == 0 {
		leg -= s.faces[t.face].t
	}
	within := math.Min(grade.Of(grade.TubeSaddleWithin).Pass, leg/2)
	r := s.spec.Port.outside() / 2
	c := r3.Sub(end, r3.Scale(within, dir))
	down, wall := s.shell.ahead(c, u, r)
	if wall < 0 || down >= high || wall == s.shell.loose || within < wood || r3.Dot(s.shell.air.Faces[wall].N, u) < 1-rounding {
		return p, 0, false
	}
	up, _ := s.shell.ahead(c, r3.Scale(-1, u), r)
	over := math.Min(up-tubeSide, r+saddleWood)
	if over < r+saddleLeast {
		return p, 0, false
	}
	v := r3.Cross(dir, u)
	face := r3.Add(c, r3.Scale(wood/2, dir))
	at := func(x, y float64) r3.Vec { return r3.Add(face, r3.Add(r3.Scale(x, v), r3.Scale(y, u))) }
	wide := r + saddleWood
	corners := []r3.Vec{at(-wide, down), at(-wide, -over), at(wide, -over), at(wide, down)}
	if r3.Dot(r3.Cross(r3.Sub(corners[1], corners[0]), r3.Sub(corners[2], corners[1])), dir) < 0 {
		corners[1], corners[3] = corners[3], corners[1]
	}
	outer := solid.Through(face, dir)
	p = piece{name: "saddle", role: Saddle, on: wall, board: plate(outer, corners, wood)}
	p.board.restsOn(wall, u)
	b := p.body(stripBody)
	if room, _ := s.shell.within(&b, wall, tubeSide); room < -rounding || !s.shell.air.OnFace(wall, at(-wide, down)) || !s.shell.air.OnFace(wall, at(wide, down)) {
		return p, 0, false
	}
	for k := range s.bodies {
		o := &s.bodies[k]
		if own := o.kind == portBody && o.number == i; !own && b.meets(o, 0) || o.kind == driverBody && b.meets(o, braceClear) {
			return p, 0, false
		}
	}
	hole := barFrame(outer, corners).To(face)
	p.holes = []Hole{{Kind: HolePort, X: hole.X, Y: hole.Y, Diameter: 2*r + saddlePlay, From: "outer"}}
	p.notes = []Message{say("on edge inside the %s, glued along it; the tube goes through it and ends %s further on", s.faces[wall].name, Length(within-wood/2))}
	return p, down, true
}
