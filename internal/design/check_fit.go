package design

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
)

// contradiction is how far a stated depth may exceed the one that follows from the outside, m (common practice).
const contradiction = 0.003

// depthCheck is the row on the room behind the driver, of the wood that is designed and of a ready-made box.
const depthCheck = "depth behind the driver"

func (h *rig) depthMargin() float64 {
	if h.req.Frame.Vent {
		return h.grades[grade.DepthBehindVent].Pass
	}
	return h.grades[grade.DepthBehind].Pass
}

func (h *rig) checkOpening(b ReadyBox) Check {
	const name = "driver opening"
	f := h.req.Frame
	if b.Opening == 0 || f.Cutout == 0 {
		return notChecked(name, needs(lack{b.Opening == 0, "the box's opening"}, lack{f.Cutout == 0, "the driver's cutout"}))
	}
	over := b.Opening - f.Cutout
	c := row(name, panels.Pass, b.Opening, f.Cutout, "m",
		fmt.Sprintf("the box is cut for %s, the driver wants %s", h.length(b.Opening), h.length(f.Cutout)))
	tiny := slack * f.Cutout
	switch {
	case over >= -tiny && over <= h.grades[grade.OpeningOver].Pass+tiny:
	case over < 0 && -over <= h.grades[grade.OpeningUnder].Marginal+tiny:
		c.Status = panels.Marginal
		c.Setting = fmt.Sprintf("open it up by %s on the diameter", h.length(-over))
		if -over < 0.001-tiny {
			c.Setting = "open it up a little with a rasp: it is under 1 mm short"
		}
	case over < 0:
		c.Status = panels.Fail
		c.Note += ": too much to open up by hand"
		c.Setting = fmt.Sprintf("only a router on a trammel opens it by %s, where the face has room for the driver's frame (common practice)", h.length(-over))
	default:
		h.coverLarge(&c, b)
	}
	return c
}

// coverLarge grades an opening that is larger than the driver wants: the frame must cover it and the bolts must hold.
func (h *rig) coverLarge(c *Check, b ReadyBox) {
	f := h.req.Frame
	switch {
	case f.Frame == 0:
		c.Status = panels.Marginal
		c.Setting = "measure the driver's frame: it must cover the opening by 3 mm a side; or fit a reducing ring"
	case h.grades.Grade(grade.FrameCover, f.Frame-b.Opening) == panels.Fail:
		c.Status = panels.Fail
		c.Setting = "a reducing ring screwed and glued into the opening, cut to the driver's cut-out"
	case f.Circle > 0 && h.grades.Grade(grade.OpeningToBolt, (f.Circle-f.Hole-b.Opening)/2) == panels.Fail:
		c.Status = panels.Fail
		c.Note += "; the bolt holes would break into the opening"
		c.Setting = "a reducing ring screwed and glued into the opening, cut to the driver's cut-out"
	default:
		c.Status = panels.Marginal
		c.Setting = "the frame still covers it: centre the driver and seal it with gasket tape"
	}
}

// sameCircle is how far two bolt circles may differ and still be one: the play of a screw in its hole (common practice).
const sameCircle = 0.001 // m, on the diameter

// checkCircle compares the bolt circles, when both are known.
func (h *rig) checkCircle(b ReadyBox) (Check, bool) {
	f := h.req.Frame
	if b.Circle == 0 || f.Circle == 0 {
		return Check{}, false
	}
	c := row("bolt circle", panels.Pass, b.Circle, f.Circle, "m",
		fmt.Sprintf("the box is drilled on %s, the driver has %s", h.length(b.Circle), h.length(f.Circle)))
	if math.Abs(b.Circle-f.Circle) > sameCircle*(1+slack) {
		c.Status = panels.Marginal
		c.Setting = "plug the old holes with glued dowels and drill new ones between them"
	}
	return c, true
}

// derivedDepth is the room behind the flange's plane that the outside allows: its size square to the face, less a wall.
func (h *rig) derivedDepth(b ReadyBox) float64 {
	if b.Section == nil || b.Wall == 0 || b.Kind == BandPass { // its driver stands inside
		return math.NaN()
	}
	s := b.Section.Bounds()
	switch h.req.Mount.Face {
	case "top", "bottom":
		return s.Height() - b.Wall
	case "left", "right":
		return b.Width - b.Wall
	}
	return s.Width() - b.Wall
}

func (h *rig) checkSeatDepth(b ReadyBox) Check {
	const name = depthCheck
	f := h.req.Frame
	outside := h.derivedDepth(b)
	depth, from := b.Depth, "as stated"
	if depth == 0 || outside < depth {
		if !math.IsNaN(outside) {
			depth, from = outside, "from the outside size less one wall"
		}
	}
	contradicts := b.Depth > outside+contradiction*(1+slack)
	if (f.Depth == 0 || depth == 0) && !contradicts {
		return notChecked(name, needs(lack{f.Depth == 0, "the driver's depth"}, lack{depth == 0, "the box's depth behind the flange, or its outside and wall"}))
	}
	margin := h.depthMargin()
	c := row(name, grade.NoLess(depth, f.Depth+margin, f.Depth), depth, f.Depth+margin, "m", fmt.Sprintf(
		"%s of depth, %s; the driver needs %s and %s behind it", h.length(depth), from, h.length(f.Depth), h.length(margin)))
	if contradicts { // both may be enough
		c.Status = max(c.Status, panels.Marginal)
		c.Note = fmt.Sprintf("a depth of %s is stated, but the outside leaves only %s: one of the two is wrong", h.length(b.Depth), h.length(outside))
		if f.Depth > 0 {
			c.Note += fmt.Sprintf("; the driver needs %s and %s behind it", h.length(f.Depth), h.length(margin))
		}
		c.Setting = "measure both again; the smaller is what is used here"
		return c
	}
	short := f.Depth + margin - depth
	switch c.Status {
	case panels.Marginal:
		c.Setting = h.ring(short)
		if f.Vent {
			c.Note += fmt.Sprintf("; %s is the least we would accept behind a vented pole", h.length(h.grades[grade.DepthBehindVentLeast].Value()))
		}
	case panels.Fail:
		c.Note += ": the magnet would touch the wall"
		c.Setting = h.ring(short) + ", if there is air in front of the cone for it"
	}
	return c
}

const spaceCheck = "box in the space"

// placeReady tries to stand the box in the space and to carry it in.
func (h *rig) placeReady(b ReadyBox) (Check, cavity.Carry) {
	s := h.req.Space
	if s == nil || b.Section == nil || b.Width == 0 {
		return notChecked(spaceCheck, needs(lack{s == nil, "the cavity"}, lack{b.Section == nil || b.Width == 0, "the box's outside size"})), cavity.Carry{}
	}
	var carry cavity.Carry
	if body, err := solid.Straight(b.Section.CCW(), solid.Across, 0, b.Width); err == nil {
		carry = h.carryIn(body, nil)
	}
	size := b.Section.Bounds()
	what := fmt.Sprintf("%s x %s x %s outside (width, depth, height)", h.length(b.Width), h.length(size.Width()), h.length(size.Height()))
	room, err := s.Settle()
	if err != nil {
		return row(spaceCheck, panels.Fail, 0, s.Gap, "m", err.Error()), carry
	}
	bare, err := room.Gapless()
	if err != nil {
		return row(spaceCheck, panels.Fail, 0, s.Gap, "m", err.Error()), carry
	}
	all := attitudes(b)
	for _, ways := range [][]attitude{all[:1], all[1:]} {
		for i, r := range []*cavity.Room{room, bare} {
			for _, a := range ways {
				if stands(r, a) {
					return h.placed(what, a, s.Gap*float64(1-i)), carry
				}
			}
		}
	}
	return row(spaceCheck, panels.Fail, 0, s.Gap, "m", what+" does not go into the space, whichever way it is stood: "+h.overSize(room, all)), carry
}

// placed grades a box that stands in the space with so much air round it.
func (h *rig) placed(what string, a attitude, gap float64) Check {
	wanted := h.req.Space.Gap
	c := row(spaceCheck, panels.Pass, gap, wanted, "m", fmt.Sprintf("%s stands in the space with %s of air all round", what, h.length(gap)))
	if gap < wanted {
		c.Status = panels.Marginal
		c.Note = fmt.Sprintf("%s goes in, but not with the gap of %s", what, h.length(wanted))
		c.Setting = "try it for rattles and for what moves past it before it is fixed"
	}
	if a.turns == 0 {
		return c
	}
	c.Status = panels.Marginal
	c.Note += fmt.Sprintf(", but only with its front %s and its top %s", whither[a.looks["front"]], whither[a.looks["top"]])
	c.Setting = fmt.Sprintf("stand it so, and see that the driver, which then looks %s, and any port have free air before them", whither[a.looks[h.req.Mount.Face]])
	return c
}

// placeSteps is how finely places along the depth are tried; a box that only fits between two of them is refused, so the
// step is kept under a millimetre in spaces of less than a metre and a half.
const placeSteps = 2000

// stands reports whether a box can stand so in a space, on the lowest level of what is free, in front of, behind or beside
// its blocks.
func stands(r *cavity.Room, b attitude) bool {
	for _, mark := range r.Marks() {
		for _, left := range [2]float64{mark, mark - b.width} {
			for _, piece := range r.Allowed(cavity.Across, left, left+b.width) {
				if slides(piece, b.section) {
					return true
				}
			}
		}
	}
	return false
}

// slides reports whether a section can lie on the lowest level of a free piece, somewhere along its depth.
func slides(piece, section plane.Polygon) bool {
	r, size := piece.Bounds(), section.Bounds()
	room := r.Width() - size.Width()
	if room < -fitSlack {
		return false
	}
	levels := []float64{r.Min.Y}
	for _, v := range piece {
		if v.Y+size.Height() <= r.Max.Y+fitSlack && !slices.Contains(levels, v.Y) {
			levels = append(levels, v.Y)
		}
	}
	for _, y := range levels {
		for i := 0; i <= placeSteps; i++ {
			at := plane.Point{X: r.Min.X + math.Max(0, room)*float64(i)/placeSteps, Y: y}
			if piece.ContainsPolygon(section.Translate(at)) {
				return true
			}
			if room <= 0 {
				break
			}
		}
	}
	return false
}

// fitSlack is how much a box may be larger than its place and still go in: less than a tape shows.
const fitSlack = 1e-6 // m
