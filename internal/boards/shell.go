package panels

import (
	"cubby/internal/solid"
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

// word is the side's name.
func (s side) word() string {
	return [...]string{"left", "right", "front", "back", "bottom", "top"}[s]
}

// part is one face of the solid as a piece of the box: its board's name, role and thickness, and the side that it looks to.
type part struct {
	name   string // for people
	role   Role   // Wall, End or Pocket
	side   side
	t      float64 // of the whole board, all its full-size layers, m
	layers int
	frame  Frame // of its panel
}

// shell is the boards of all faces as they are settled and cut, before anything is put on them or in them. Parts and boards
// have the indices of the solid's faces. The air does not depend on the joints.
type shell struct {
	outside, air *solid.Solid
	parts        []part
	joints       Joints
	boards       []Board
	driver       int // the face with the driver
	loose        int // the removable face, -1: every face is glued
}
