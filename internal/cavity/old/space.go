package cavity

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// Space is a measured space. Frame: across from its left side, depth from the front, height from the floor; metres.
type Space struct {
	Width   float64
	Section plane.Polygon // X depth, Y height, 3 to 12 corners, simple; either direction
	Insets  []float64     // air kept on each side of Section, square to it, len(Section); nil: Gap everywhere
	Gap     float64       // air kept on left and right, round blocks, and on every side when Insets is nil
	Blocks  []Block

	InsetLeft, InsetRight float64 // air kept on the left and on the right; 0: Gap

	LeastWall float64 // the narrowest wall that the shop builds, outside; 0: DefaultLeastWall
	Board     float64 // thickness of the walls, for the nose of a blunted toe; 0: DefaultBoard
	KeepToes  bool    // leave corners under 45 degrees sharp

	Units unit.System // of the sentences in notes and errors
}

// The workshop's limits when nothing else is said (common practice).
const (
	DefaultLeastWall = 0.060 // m: a narrower board is hard to hold at the saw
	DefaultBoard     = 0.018 // m
)

// Block is a thing to stay clear of (Gap all round is kept).
type Block struct {
	Name                                     string
	Left, Width, Front, Depth, Floor, Height float64
}

// ShapeKind says how much work a section is.
type ShapeKind int

// The kinds, in order of workshop effort.
const (
	Rectangle   ShapeKind = iota
	OneSlope              // convex, one wall neither level nor upright
	TwoSlopes             // convex, two such walls
	FullSection           // anything that the space allows
)

// String names the kind as it is printed.
func (k ShapeKind) String() string {
	switch k {
	case Rectangle:
		return "rectangle"
	case OneSlope:
		return "one slope"
	case TwoSlopes:
		return "two slopes"
	case FullSection:
		return "full section"
	}
	return fmt.Sprintf("shape %d", int(k))
}

// Shape is an outer box that can stand in the space. Section is in the space's own coordinates, counter-clockwise from
// the lower front corner.
type Shape struct {
	Kind        ShapeKind
	Section     plane.Polygon
	Left, Width float64  // the most that can be had; a narrower box may stand anywhere in it
	Bevels      int      // corners that are not square
	Volume      float64  // outside, m3
	Notes       []string // what was done about blocks and corners and what it cost, in words with the air lost and where
	WidthNote   bool     // the first note tells of the width alone: it is nothing to a narrower box
}

// nearCorner is the distance under which two corners of a measured section are one: a hundredth of a millimetre, far
// below what a tape measure tells.
const nearCorner = 1e-5

// normal returns the space with its section counter-clockwise, doubled corners dropped and all defaults filled in.
func (s Space) normal() (Space, error) {
	if err := s.check(); err != nil {
		return s, err
	}
	if s.Insets == nil {
		s.Insets = slices.Repeat([]float64{s.Gap}, len(s.Section))
	}
	if s.Section.Area() < 0 {
		s.Section = s.Section.CCW()
		s.Insets = slices.Clone(s.Insets)
		slices.Reverse(s.Insets) // side i from corner i becomes side n-1-i: the corners kept the first one first
	}
	for i := 0; i < len(s.Section) && len(s.Section) > 3; {
		a, b := s.Section.Edge(i)
		if b.Sub(a).Norm() > nearCorner {
			i++
			continue
		}
		s.Section = slices.Delete(slices.Clone(s.Section), i, i+1)
		s.Insets = slices.Delete(slices.Clone(s.Insets), i, i+1)
	}
	if err := s.Section.Validate(); err != nil {
		return s, fmt.Errorf("section of the space: %w", err)
	}
	if s.InsetLeft == 0 {
		s.InsetLeft = s.Gap
	}
	if s.InsetRight == 0 {
		s.InsetRight = s.Gap
	}
	if s.LeastWall == 0 {
		s.LeastWall = DefaultLeastWall
	}
	if s.Board == 0 {
		s.Board = DefaultBoard
	}
	return s, nil
}

// check refuses numbers that no space has.
func (s Space) check() error {
	finite := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	if !finite(s.Width) || s.Width <= 0 {
		return errors.New("width of the space must be greater than 0")
	}
	for _, v := range []float64{s.Gap, s.InsetLeft, s.InsetRight, s.LeastWall, s.Board} {
		if !finite(v) || v < 0 {
			return errors.New("gap, insets, least wall and board of the space must not be negative")
		}
	}
	if n := len(s.Section); n < plane.MinCorners || n > plane.MaxCorners {
		return fmt.Errorf("section of the space has %d corners: must be %d to %d", n, plane.MinCorners, plane.MaxCorners)
	}
	for i, p := range s.Section {
		if !p.IsFinite() {
			return fmt.Errorf("section of the space: corner %d is not a finite number", i+1)
		}
	}
	if s.Insets != nil && len(s.Insets) != len(s.Section) {
		return fmt.Errorf("%d insets for the %d sides of the space", len(s.Insets), len(s.Section))
	}
	for _, v := range s.Insets {
		if !finite(v) || v < 0 {
			return errors.New("insets of the space must not be negative")
		}
	}
	for _, b := range s.Blocks {
		for _, v := range []float64{b.Left, b.Front, b.Floor} {
			if !finite(v) {
				return fmt.Errorf("block %q: its place must be finite", b.Name)
			}
		}
		for _, v := range []float64{b.Width, b.Depth, b.Height} {
			if !finite(v) || v <= 0 {
				return fmt.Errorf("block %q: width, depth and height must be greater than 0", b.Name)
			}
		}
	}
	return nil
}
