package render

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
	solids "cubby/internal/solid"
)

// pocketFromPage is the volume that a pocket of the space takes of the outside, m3: what the tables of corners say that the notched end
// lacks of the section, as deep as the notches of the walls go along the box.
func pocketFromPage(boards map[string]pageBoard, outside plane.Polygon, walls map[string]plane.Polygon, b *panels.Box) float64 {
	deep, least := 0.0, outside.Area()
	for m := range walls {
		w := boards[m]
		if d := w.notch(); d > 0 {
			deep = math.Max(deep, d)
		}
	}
	over := 0.0 // of the end: all of it, but for its rabbet, where ends lie over the walls
	for _, p := range b.Panels {
		if e := boards[p.Mark]; p.Role == panels.End {
			if a := e.covers(&p, boards, b).Area(); a < least {
				least, over = a, e.t-e.depth
			}
		}
	}
	if b.Spec.Wood.Ends == panels.EndsInside {
		over = 0
	}
	return (outside.Area() - least) * (deep + over)
}

// notch is how far a notch in a wall goes along the box from its end, m; 0: it has none.
func (w pageBoard) notch() float64 {
	g := w.corners
	if g == nil {
		return 0
	}
	g, deep := g.CCW(), 0.0
	for i := range g {
		if g.InteriorAngle(i) < math.Pi+leastTilt {
			continue
		}
		for _, k := range []int{i, (i + len(g) - 1) % len(g)} {
			from, to := g.Edge(k)
			along := to.Sub(from).X
			if w.turned {
				along = to.Sub(from).Y
			}
			deep = math.Max(deep, math.Abs(along))
		}
	}
	return deep
}

// covers is the outline of what an end closes: trimmed if it is cut larger, and with the walls that it lies between.
func (e pageBoard) covers(p *panels.Panel, boards map[string]pageBoard, b *panels.Box) plane.Polygon {
	if e.corners == nil {
		e.corners = rectOutline(e.l, e.outer)
	}
	g := e.corners.CCW()
	if more := g.Bounds().Width() - e.l; more > nearEnough {
		return drawnIn(g, func(int) float64 { return more / 2 })
	}
	if b.Spec.Wood.Ends != panels.EndsInside {
		return g
	}
	mirrored, n := e.corners.Area() < 0, len(g)
	return drawnIn(g, func(i int) float64 { // a side bears its neighbour's name in the drawing
		if mirrored {
			i = (2*n - 2 - i) % n
		}
		for _, f := range p.Edges {
			if sideIndex(f.Edge) == i && !toPocket(b, place(f.Meets)) {
				for _, q := range boards {
					if place(q.name) == place(f.Meets) {
						return -q.t
					}
				}
			}
		}
		return 0
	})
}

// TestPocketsFromThePage reads the pocket of a box out of the corners of its boards, with ends of each style.
func TestPocketsFromThePage(t *testing.T) {
	tool(t, "pdftotext")
	for _, ends := range []panels.EndStyle{panels.EndsOver, panels.EndsInside, panels.EndsRabbeted} {
		c := shopCases()[0]
		c.spec.Wood.Ends = ends
		lo, hi := c.spec.Outside.Bounds()
		post := solids.Box{Name: "post", Min: r3.Vec{X: hi.X - 0.12*(hi.X-lo.X), Y: hi.Y - 0.3*(hi.Y-lo.Y), Z: lo.Z - 1}, Max: r3.Add(hi, r3.Vec{X: 1, Y: 1})}
		post.Max.Z = lo.Z + 0.3*(hi.Z-lo.Z)
		var err error
		if c.spec.Outside, err = c.spec.Outside.Pocket(post); err != nil {
			t.Fatal(err)
		}
		r, all := printedWords(t, c, "letter")
		b := r.Designs[0].Box
		boards := pageBoards(all, b, c.units)
		outside, walls, err := wrapFromPage(all, boards, c.units, b)
		if err != nil {
			t.Fatalf("ends %v: %v", ends, err)
		}
		if got, want := pocketFromPage(boards, outside, walls, b), pocketed(b); want < 1e-6 || math.Abs(got-want) > 3e-3*want {
			t.Errorf("ends %v: the page's notches take %.3f l, the pocket %.3f l", ends, got*1000, want*1000)
		}
	}
}
