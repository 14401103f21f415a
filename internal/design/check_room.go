package design

import (
	"fmt"
	"math"
	"sort"

	"cubby/internal/cavity"
	"cubby/internal/plane"
)

// The steps in which a box that does not go in is tried smaller: what a tape measure tells.
const (
	trimStepMetric = 1e-3
	trimStepInch   = inch / 16
)

// mostTrim is the share of a size beyond which a trim leaves nothing that would be called a box.
const mostTrim = 0.9

// A trim is what a box, standing in one attitude, has too much in one direction.
type trim struct {
	attitude
	way string
	by  float64 // m; infinite when no trim in one direction alone lets it in
}

// overSize says of a box that does not go into the space what would let it in, with the gap round it: as it is sold, and
// turned where that takes half as much.
func (h *rig) overSize(r *cavity.Room, all []attitude) string {
	sold := h.leastTrim(r, all[:1], math.Inf(1))
	turned := h.leastTrim(r, all[1:], sold.by/2)
	said := func(t trim) string { return fmt.Sprintf("%s too %s", h.length(t.by), t.way) }
	gap, size := h.req.Space.Gap, r.Extent()
	left := func(v float64) string { return h.length(math.Max(0, v-2*gap)) }
	text := fmt.Sprintf("as it is sold it is too large in more than one direction: with the gap of %s taken off, the space is at most %s wide, %s deep and %s high",
		h.length(gap), left(size.Max.X-size.Min.X), left(size.Max.Y-size.Min.Y), left(size.Max.Z-size.Min.Z))
	if !math.IsInf(sold.by, 1) {
		text = fmt.Sprintf("as it is sold it is %s for the gap of %s", said(sold), h.length(gap))
	}
	if !math.IsInf(turned.by, 1) {
		text += fmt.Sprintf("; with its front %s and its top %s it is %s", whither[turned.looks["front"]], whither[turned.looks["top"]], said(turned))
	}
	return text
}

// leastTrim is the least that a box is too wide, too deep or too high in any of the given attitudes, under atMost.
func (h *rig) leastTrim(r *cavity.Room, ways []attitude, atMost float64) trim {
	best := trim{by: atMost}
	step := h.step(trimStepMetric, trimStepInch)
	for _, a := range ways {
		size := [3]float64{a.width, a.section.Bounds().Width(), a.section.Bounds().Height()}
		for axis, way := range [3]string{"wide", "deep", "high"} {
			in := func(steps int) bool {
				shrunk := size
				shrunk[axis] -= float64(steps) * step
				return stands(r, a.scaled(shrunk[0]/size[0], shrunk[1]/size[1], shrunk[2]/size[2]))
			}
			most := int(math.Min(best.by-step, mostTrim*size[axis])/step + slack)
			if most < 1 || !in(most) {
				continue
			}
			least := 1 + sort.Search(most-1, func(n int) bool { return in(1 + n) })
			best = trim{a, way, float64(least) * step}
		}
	}
	if best.by == atMost {
		best.by = math.Inf(1)
	}
	return best
}

// scaled is the box in other proportions, standing as it stands.
func (a attitude) scaled(width, depth, height float64) attitude {
	g := make(plane.Polygon, len(a.section))
	for i, p := range a.section {
		g[i] = plane.Point{X: p.X * depth, Y: p.Y * height}
	}
	a.section, a.width = g, a.width*width
	return a
}
