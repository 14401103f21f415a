package design

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/word"
)

// runnerUp says which places are as good as the first design's and which it came before.
func (f *finder) runnerUp(d *Design) {
	var regions []cavity.Region
	for i := range f.stands {
		regions = append(regions, f.stands[i].region)
	}
	taken, minutes := []cavity.Region{d.Placed.Region}, math.Round(d.Placed.Minutes)
	var parts []string
	for _, q := range f.room.Place(regions, d.Placed.Air, f.weights, f.shop) {
		if math.Round(q.Minutes) < minutes || slices.ContainsFunc(taken, func(r cavity.Region) bool { return q.Region.Shares(&r) > 0.5 }) {
			continue // what asks less did not serve; the same place again is none
		}
		if math.Round(q.Minutes) > minutes {
			parts = append(parts, fmt.Sprintf("the next place for as much air, %s, asks %.0f minutes of the shop instead of %.0f%s",
				f.placeText(&q), q.Minutes, d.Placed.Minutes, f.whyMore(&q.Effort, &d.Placed.Effort)))
			break
		}
		taken = append(taken, q.Region)
		parts = append(parts, fmt.Sprintf("as good, for as much air: %s", f.placeText(&q)))
	}
	d.RunnerUp = strings.Join(parts, "; ")
}

// whyMore names what makes most of the difference where one place asks more than another, after a comma.
func (f *finder) whyMore(a, b *cavity.Effort) string {
	w := &f.weights
	most, why := 0.5, "" // less is not worth a word
	for _, t := range []struct {
		minutes float64
		text    string
	}{
		{w.Board*float64(a.Boards-b.Boards) + w.PocketBoard*float64(a.PocketBoards-b.PocketBoards), "for its boards"},
		{w.Corner*float64(a.Corners-b.Corners) + w.Compound*float64(a.Compound-b.Compound), "for its bevels"},
		{w.Standing*(a.Perched-b.Perched) + w.Height*(a.Height-b.Height), "for what carries it"},
		{w.Reach * (a.Reach - b.Reach), "as it lies deeper in"},
		{w.Area*(a.Area-b.Area) + w.Mass*(math.Max(a.Mass, w.Light)-math.Max(b.Mass, w.Light)), "for more board"},
	} {
		if t.minutes > most {
			most, why = t.minutes, ", most of them "+t.text
		}
	}
	return why
}

// beside says what keeps a box from more of the width, where a thing in the space does; empty where none does.
func (f *finder) beside(r *cavity.Region) string {
	b, e := r.Bounds(), f.room.Extent()
	used, whole := b.Max.X-b.Min.X, e.Max.X-e.Min.X
	if used > mostlyAll*whole {
		return ""
	}
	var parts []string
	for _, side := range [2]cavity.Side{cavity.Left, cavity.Right} {
		if o := f.room.Beside(r, side); o.Block != "" {
			parts = append(parts, fmt.Sprintf("%s stands at its %s", o.Block, side))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("it uses %s of %s of the width: %s", f.length(used), f.length(whole), word.List(parts))
}

// mostlyAll is the share of the width, or of a base, from which nothing is said about the rest.
const mostlyAll = 0.9

// samePlace reports whether two regions are the same but for a few millimetres.
func samePlace(a, b *cavity.Region) bool {
	const near = 0.005
	p, q := a.Bounds(), b.Bounds()
	return math.Abs(p.Min.X-q.Min.X) < near && math.Abs(p.Min.Y-q.Min.Y) < near && math.Abs(p.Min.Z-q.Min.Z) < near &&
		math.Abs(p.Max.X-q.Max.X) < near && math.Abs(p.Max.Y-q.Max.Y) < near && math.Abs(p.Max.Z-q.Max.Z) < near
}

// placeText says where a box stands and how large it is.
func (p *rig) placeText(q *cavity.Placed) string {
	b := q.Bounds()
	return fmt.Sprintf("%s x %s x %s from %s on the left, %s", p.length(b.Max.X-b.Min.X), p.length(b.Max.Y-b.Min.Y), p.length(b.Max.Z-b.Min.Z),
		p.length(b.Min.X), p.standingText(&q.Stands))
}

// standingText says on what a box stands.
func (p *rig) standingText(s *cavity.Standing) string {
	switch s.On {
	case cavity.OnFloor:
		if s.Pads > tapeStep {
			return fmt.Sprintf("on the floor, on pads of %s", p.length(s.Pads))
		}
		return "on the floor"
	case cavity.OnBlock, cavity.OnStep:
		on := cmp.Or(s.Block, "the floor")
		if s.Carried > mostlyAll {
			return "on " + on
		}
		rest := "free between"
		if s.Legs > 0 {
			rest = "on legs of " + p.length(s.Legs)
		}
		return fmt.Sprintf("on %s with %.0f %% of its base; the rest %s", on, s.Carried*100, rest)
	}
	return fmt.Sprintf("on a stand %s high", p.length(s.Legs))
}

// offers says what the space holds, in order of workshop effort, and what each more buys.
func (f *finder) offers() []ShapeOffer {
	stands := slices.Clone(f.stands)
	slices.SortStableFunc(stands, func(a, b stand) int { return cmp.Compare(a.minutes, b.minutes) })
	var all []ShapeOffer
	for i := range stands {
		s := &stands[i]
		if n := len(all); n > 0 && s.net < all[n-1].Net*worthMore {
			continue
		}
		o := ShapeOffer{Kind: shapeName(&s.region), Bevels: s.region.Bevels, Boards: s.region.Boards, Net: s.net, Minutes: f.room.Weigh(s.region, f.weights, f.shop).Minutes}
		if n := len(all); n > 0 {
			way, by := "more", o.Minutes-all[n-1].Minutes
			if by < 0 {
				way, by = "less", -by
			}
			o.GainText = fmt.Sprintf("%s more than the one before, for %.0f minutes %s", f.volume(o.Net-all[n-1].Net), by, way)
		}
		all = append(all, o)
	}
	return all
}

// ShapeName names the shape of the design's outside.
func (d *Design) ShapeName() string { return shapeName(&d.Placed.Region) }

// shapeName names a region as a shape.
func shapeName(r *cavity.Region) string {
	name := "rectangle"
	if !r.Rectangle {
		name = fmt.Sprintf("%d corners", len(r.Section))
		switch r.Axis {
		case cavity.Depth:
			name += ", along the depth"
		case cavity.Up:
			name += ", upright"
		}
	}
	ends := [2]string{"left", "right"}
	if r.Axis == cavity.Depth {
		ends = [2]string{"front", "back"}
	}
	for k, lean := range r.Leans {
		if lean != 0 {
			name += fmt.Sprintf(", its %s leaning", ends[k])
		}
	}
	for i, p := range r.Pockets {
		if i == 0 {
			name += " round "
		} else {
			name += " and "
		}
		name += p.Name
	}
	return name
}
