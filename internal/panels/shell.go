package panels

import (
	"errors"
	"math"

	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/word"
)

// side is a side of the space that a face looks to.
type side int8

const (
	leftSide side = iota
	rightSide
	frontSide
	backSide
	bottomSide
	topSide
)

// sideOn is the side at the upper or the lower end of an axis.
func sideOn(axis solid.Axis, upper bool) side {
	if upper {
		return side(2*axis + 1)
	}
	return side(2 * axis)
}

// word is the side's name.
func (s side) word() string {
	return [...]string{"left", "right", "front", "back", "bottom", "top"}[s]
}

// part is one face of the solid as a piece of the box: its board's name, role and thickness, and the side that it looks to.
type part struct {
	name   string // for people
	call   called
	role   Role // Wall, End or Pocket
	side   side
	t      float64 // of the whole board, all its full-size layers, m
	layers int
	frame  solid.Frame // of its panel
}

// shell is the boards of all faces as they are settled and cut, before anything is put on them or in them. Parts and boards
// have the indices of the solid's faces. The air does not depend on the joints.
type shell struct {
	outside, air *solid.Solid
	axis         solid.Axis
	walls        []int // of the section's walls, in its order; a wall that a pocket cuts in two is there once
	section      plane.Polygon
	parts        []part
	settled
	boards []Board
	driver int      // the face with the driver
	loose  int      // the removable face, -1: every face is glued
	rims   [][]body // by face of the air, once they are asked for: see rimOf
}

// settled is how the boards meet, what a slot's mouth asks of that, and what is said of wishes that could not be met.
type settled struct {
	joints Joints
	asked  []Wish
	said   []Message
}

// newShell names the faces, settles their boards and joints, and cuts them.
func newShell(spec *Spec) (*shell, error) {
	sh := &shell{outside: spec.Outside, axis: spec.Axis, loose: -1}
	sh.section, sh.walls = sectionOf(spec.Outside, spec.Axis)
	sh.parts = partsOf(spec.Outside, spec.Axis, sh.section, sh.walls)
	var err error
	if sh.driver, err = sh.resolve(spec.Face); err != nil {
		return nil, err
	}
	for i := range sh.parts {
		p := &sh.parts[i]
		p.layers = 1
		if i == sh.driver && !spec.Wood.LayerInside {
			p.layers = max(spec.Wood.FrontLayers, 1)
		}
		p.t = spec.Wood.Thickness * float64(p.layers)
		if t, own := spec.Wood.Panels[p.name]; own {
			p.t, p.layers = t, 1
		}
	}
	if spec.Mounting.Removable {
		if err := sh.loosen(spec); err != nil {
			return nil, err
		}
	}
	if sh.said, err = sh.settle(spec); err != nil {
		return nil, err
	}
	return sh, sh.cut()
}

// cut cuts the boards and frames them.
func (sh *shell) cut() error {
	t := make([]float64, len(sh.parts))
	for i := range t {
		t[i] = sh.parts[i].t
	}
	boards, air, err := Cut(sh.outside, t, sh.joints)
	if err != nil {
		return sh.noRoom(err)
	}
	sh.boards, sh.air = boards, air
	for i := range sh.parts {
		sh.parts[i].frame = frameOf(sh.outside.Faces[i].Plane, boards[i].Outer)
	}
	return nil
}

// resolve finds the face that a name means: one of that name, or the largest that looks to that side; empty: the front.
func (sh *shell) resolve(name string) (int, error) {
	if name == "" {
		name = frontSide.word()
	}
	best, largest := -1, 0.0
	for i := range sh.parts {
		p := &sh.parts[i]
		if p.name == name {
			return i, nil
		}
		if a := sh.outside.Area(i); p.role != Pocket && p.side.word() == name && a > largest {
			best, largest = i, a
		}
	}
	if best < 0 {
		var names []string
		for i := range sh.parts {
			names = append(names, sh.parts[i].name)
		}
		return -1, &BuildError{Reason: NoFace, Panel: name, Say: say("the box has no face %q: its faces are %s", name, word.List(names))}
	}
	return best, nil
}

// noRoom says which board is squeezed out by the thickness of its neighbours.
func (sh *shell) noRoom(err error) error {
	var move *solid.MoveError
	face := -1
	if errors.As(err, &move) {
		face = move.Face
	}
	if errors.Is(err, solid.ErrSelfCross) || face < 0 {
		return &BuildError{Reason: NoInside, Say: say("two walls meet across a narrow neck of the section: no air is left between them")}
	}
	low, high := sh.end(solid.Low), sh.end(solid.High)
	if width, t := sh.width(), sh.parts[low].t+sh.parts[high].t; width <= t {
		return &BuildError{Reason: NoInside, Value: width, Limit: t,
			Say: say("the box is %s %s: between its ends (%s and %s thick) no room is left", Length(width), [...]string{"wide", "deep", "high"}[sh.axis], Length(sh.parts[low].t), Length(sh.parts[high].t))}
	}
	p := &sh.parts[face]
	n := len(sh.walls)
	for k, i := range sh.walls {
		if i != face {
			continue
		}
		a, b := sh.section.Edge(k)
		t0, t1 := sh.parts[sh.walls[(k+n-1)%n]].t, sh.parts[sh.walls[(k+1)%n]].t
		return &BuildError{Reason: NoInside, Panel: p.name, Value: b.Sub(a).Norm(), Limit: t0 + t1,
			Say: say("the %s is %s long outside: between the boards that it meets (%s and %s thick) no face is left", p.name, Length(b.Sub(a).Norm()), Length(t0), Length(t1))}
	}
	return &BuildError{Reason: NoInside, Panel: p.name, Say: say("the %s is too small for the boards that it meets: no face of it is left", p.name)}
}

// end gives the face at an end of the prism.
func (sh *shell) end(kind solid.Kind) int {
	for i := range sh.outside.Faces {
		if sh.outside.Faces[i].Kind == kind {
			return i
		}
	}
	return 0
}

// width is the extent of the box along its axis.
func (sh *shell) width() float64 {
	lo, hi := sh.outside.Bounds()
	return sh.axis.Of(hi) - sh.axis.Of(lo)
}

// loosen makes the driver's face removable, or refuses one with a bevelled edge or that the ends would hold.
func (sh *shell) loosen(spec *Spec) error {
	f := sh.driver
	name := sh.parts[f].name
	switch isEnd := sh.parts[f].role == End; {
	case isEnd && spec.Wood.Ends != EndsOver:
		return &BuildError{Reason: NoLoose, Panel: name, Say: say("the %s cannot be removable: it has to cover the edges of all the walls; ends: over would do", name)}
	case !isEnd && spec.Wood.Ends == EndsRabbeted:
		return &BuildError{Reason: NoLoose, Panel: name, Say: say("the %s cannot be removable between rabbeted ends: their rabbet would hold it; ends: over or ends: inside would do", name)}
	}
	if other, a := sh.oblique(f); other >= 0 {
		return &BuildError{Reason: NoLoose, Panel: name, Value: a, Limit: math.Pi / 2,
			Say: say("the %s cannot be removable: it meets the %s at %s degrees, and a removable face has square edges and a flat frame under it; %s would do",
				name, sh.parts[other].name, Angle(a), sh.couldLoosen())}
	}
	sh.loose = f
	return nil
}

// oblique is the first face that a face does not meet squarely, and the angle between them; -1: none.
func (sh *shell) oblique(f int) (other int, angle float64) {
	for _, loop := range sh.outside.Faces[f].Loops {
		for k, other := range loop.With {
			if a := dihedral(sh.outside, f, loop, k); !squareCorner(a) {
				return other, a
			}
		}
	}
	return -1, 0
}

// couldLoosen names the faces that could be removable.
func (sh *shell) couldLoosen() string {
	var can []string
	for i := range sh.parts {
		if other, _ := sh.oblique(i); other < 0 && sh.parts[i].role == Wall {
			can = append(can, "the "+sh.parts[i].name)
		}
	}
	return word.Either(append(can, "an end"))
}
