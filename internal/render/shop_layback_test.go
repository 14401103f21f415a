package render

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/work"
)

// printedHole is one row of a panel's table of openings, as a reader finds it on the page.
type printedHole struct {
	panel              string // name in capitals, from the heading over the table
	yEdge              string // "FRONT": the neighbour named in the head of the Y column
	fromFront          bool   // X from the FRONT: an end
	what               string
	x, xClose, y, yEnd float64 // mm
}

// figuresOf reads the figure of a cell and the closing one in parentheses after it, NaN where it has none.
func figuresOf(t *testing.T, s string) (from, rest float64) {
	t.Helper()
	first, second, has := strings.Cut(s, " (")
	from, err := strconv.ParseFloat(first, 64)
	rest = math.NaN()
	if has && err == nil {
		rest, err = strconv.ParseFloat(strings.TrimSuffix(second, ")"), 64)
	}
	if err != nil {
		t.Fatalf("figures %q: %v", s, err)
	}
	return from, rest
}

// tableHoles reads the table of openings of a panel as printed, cell by cell.
func tableHoles(t *testing.T, s *shop, p panels.Panel) []printedHole {
	tb := s.openingTable(p)
	var out []printedHole
	for _, r := range tb.Rows {
		if r[2].Text == "whole edge" { // the strip of a slot's mouth
			continue
		}
		h := printedHole{panel: place(p.Name), what: r[1].Text}
		h.x, h.xClose = figuresOf(t, r[2].Text)
		h.y, h.yEnd = figuresOf(t, r[3].Text)
		h.fromFront = tb.Columns[2].Head == "X from the FRONT"
		h.yEdge = strings.TrimPrefix(strings.TrimPrefix(tb.Columns[3].Head, "Y from edge to "), "Y from the ")
		out = append(out, h)
	}
	return out
}

// wallNames are the names of the walls by the edges of the section that their outer faces lie on.
func wallNames(b *panels.Box) []string {
	names := make([]string, len(b.Section))
	for i := range b.Section {
		from, to := b.Section.Edge(i)
		u := to.Sub(from).Unit()
		for _, p := range b.Panels {
			if s := p.Section; len(s) > 1 && math.Abs(u.Cross(s[0].Sub(from))) < 1e-9 && math.Abs(u.Cross(s[1].Sub(from))) < 1e-9 {
				names[i] = p.Name
			}
		}
	}
	return names
}

// layWall lays a printed hole out on a wall by hand: from the left end of the wall, and square from the arris that the section's
// corner between the wall and the named neighbour makes on the outer face. It knows the section, the names and the ends alone.
func layWall(b *panels.Box, h printedHole, endThick float64) ([3]float64, error) {
	names := wallNames(b)
	for i, n := range names {
		if place(n) != h.panel {
			continue
		}
		var wall panels.Panel
		for _, p := range b.Panels {
			if p.Name == n {
				wall = p
			}
		}
		k := len(names)
		start, end := wall.Section[0], wall.Section[1]
		var from, along plane.Point
		switch h.yEdge {
		case place(names[(i+1)%k]):
			from, along = end, start.Sub(end)
		case place(names[(i+k-1)%k]):
			from, along = start, end.Sub(start)
		default:
			return [3]float64{}, fmt.Errorf("%s is no neighbour of %s", h.yEdge, h.panel)
		}
		at := from.Add(along.Unit().Mul(h.y / 1000))
		return [3]float64{b.Left + endThick + h.x/1000, at.X, at.Y}, nil
	}
	return [3]float64{}, fmt.Errorf("no wall %s", h.panel)
}

// TestHolesLaidBack lays every hole back into the space from what is printed and compares it with where it is meant to be; and
// reference and closing sizes add up to the face.
func TestHolesLaidBack(t *testing.T) {
	const printed = 0.08e-3 // m: two figures rounded to 0.1 mm, and a diagonal of them
	count := 0
	for _, c := range shopCases() {
		if c.spec.Wood.Ends != panels.EndsOver || c.units != 0 {
			continue
		}
		box, err := panels.Build(c.spec)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		s := &shop{box: box, plan: work.Make(box, nil), m: newMeasure(c.units, 0)}
		ends := s.withRole(panels.End)
		for _, p := range box.Panels {
			if p.Role != panels.Wall && p.Role != panels.End {
				continue
			}
			holes := slices.DeleteFunc(openings(p), func(o opening) bool { return isStrip(p, o.Hole) })
			for k, h := range tableHoles(t, s, p) {
				want := onPanel(p.Place, plane.Point{X: holes[k].Hole.X, Y: holes[k].Hole.Y})
				var got [3]float64
				if p.Role == panels.Wall {
					if got, err = layWall(box, h, ends[0].Thickness); err != nil {
						t.Errorf("%s: %v", c.name, err)
						continue
					}
				} else {
					lo, _ := bounds(box.Section)
					side := box.Left
					if p.Name == "right end" {
						side += box.Width
					}
					if !h.fromFront || h.yEdge != "BOTTOM" {
						t.Errorf("%s: %s measured from %s", c.name, p.Name, h.yEdge)
					}
					got = [3]float64{side, lo.X + h.x/1000, p.Place.O.Z + h.y/1000} // an end may stand on a slot's floor
				}
				if d := vec(got).sub(want).norm(); d > printed*math.Sqrt2 {
					t.Errorf("%s: %s %s laid out at %v, meant at %v, %.2f mm off", c.name, h.panel, h.what, got, want, d*1000)
				}
				g := datumOf(p)
				if !math.IsNaN(h.xClose) && s.m.bare((h.x+h.xClose)/1000) != s.m.bare(g.Width) || !math.IsNaN(h.yEnd) && s.m.bare((h.y+h.yEnd)/1000) != s.m.bare(g.Height) {
					t.Errorf("%s: %s %s: %.1f + %.1f across, %.1f + %.1f up do not close to %.1f x %.1f", c.name, h.panel, h.what, h.x, h.xClose, h.y, h.yEnd, g.Width*1000, g.Height*1000)
				}
				count++
			}
		}
	}
	if count < 50 {
		t.Errorf("only %d holes were laid back", count)
	}
}

// TestMirroredHoleIsSeen makes sure that the check above can fail: a hole mirrored across the panel lands elsewhere unless centred.
func TestMirroredHoleIsSeen(t *testing.T) {
	c := shopCases()[3]
	box, err := panels.Build(c.spec)
	if err != nil {
		t.Fatal(err)
	}
	s := &shop{box: box, plan: work.Make(box, nil), m: newMeasure(c.units, 0)}
	p, _ := s.named("front")
	for k, h := range tableHoles(t, s, p) {
		if strings.Contains(h.what, "port") {
			h.x, h.xClose = h.xClose, h.x
			got, err := layWall(box, h, s.withRole(panels.End)[0].Thickness)
			if err != nil {
				t.Fatal(err)
			}
			hole := openings(p)[k].Hole
			if vec(got).sub(onPanel(p.Place, plane.Point{X: hole.X, Y: hole.Y})).norm() < 0.01 {
				t.Error("a mirrored port is not noticed")
			}
			return
		}
	}
	t.Error("no port on the front")
}
