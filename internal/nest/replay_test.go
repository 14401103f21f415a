package nest

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// replay cuts every sheet by its sequence, once sheet by sheet and once in the order of the batches, and reports
// whether exactly the parts and offcuts come out. It uses only the exported fields, and the settings as a saw would.
func replay(l *Layout) error {
	bench := newBench(l)
	for i, sh := range l.Sheets {
		for j, c := range sh.Cuts {
			if c.No != j+1 {
				return fmt.Errorf("%s: cut %d is numbered %d", sh.Name, j+1, c.No)
			}
			if err := bench.cut(i, c); err != nil {
				return fmt.Errorf("%s, cut %d: %w", sh.Name, c.No, err)
			}
		}
	}
	if err := bench.compare(l); err != nil {
		return err
	}
	bench = newBench(l)
	done := make(map[CutRef]bool)
	if err := honest(l); err != nil {
		return err
	}
	for i, b := range l.Batches {
		for _, ref := range b.Cuts {
			if ref.Sheet < 0 || ref.Sheet >= len(l.Sheets) || ref.No < 1 || ref.No > len(l.Sheets[ref.Sheet].Cuts) || done[ref] {
				return fmt.Errorf("batch %d: cut %d of sheet %d does not exist or is made already", i+1, ref.No, ref.Sheet+1)
			}
			done[ref] = true
			c := l.Sheets[ref.Sheet].Cuts[ref.No-1]
			if c.Tool != b.Tool || abs(c.Setting-b.Setting) > settingSlack {
				return fmt.Errorf("batch %d: cut %d of sheet %d has another setting", i+1, ref.No, ref.Sheet+1)
			}
			if err := bench.cut(ref.Sheet, c); err != nil {
				return fmt.Errorf("batch %d, cut %d of sheet %d: %w", i+1, ref.No, ref.Sheet+1, err)
			}
		}
	}
	return bench.compare(l)
}

// bench holds the pieces that are there now, by name.
type bench map[string]benchPiece

type benchPiece struct {
	sheet int
	rect  rect
	pair  bool    // one of a head-to-tail pair, cut off by a slant
	sawn  [4]bool // its edges that a saw made: left right bottom top
}

func newBench(l *Layout) bench {
	b := make(bench)
	for i, sh := range l.Sheets {
		b[sh.startName()] = benchPiece{sheet: i, rect: rectOf(0, 0, sh.Width, sh.Height)}
		if sh.trim == 0 { // good factory edges
			p := b[sh.startName()]
			p.sawn = [4]bool{true, true, true, true}
			b[sh.startName()] = p
		}
	}
	return b
}

func (b bench) cut(sheet int, c Cut) error {
	p, ok := b[c.Piece]
	if !ok || p.sheet != sheet || p.pair {
		return fmt.Errorf("there is no piece %q to cut", c.Piece)
	}
	delete(b, c.Piece)
	made := [2]rect{p.rect, p.rect}
	if c.Direction != "slant" {
		along := c.Direction == "x"
		if along != (c.Reference == "bottom" || c.Reference == "top") || !along && c.Reference != "left" && c.Reference != "right" {
			return fmt.Errorf("a cut along %q has no reference edge %q", c.Direction, c.Reference)
		}
		made = c.split(p.rect)
		if want := lineOf(made, along); c.At != want {
			return fmt.Errorf("is drawn from %v to %v, not from %v to %v", c.At[0], c.At[1], want[0], want[1])
		}
	}
	sawn := [2][4]bool{p.sawn, p.sawn}
	if c.Direction != "slant" {
		near := slices.Index(sideNames[:], c.Reference)
		if p.sawn[near] == c.Rough && !c.turned {
			return fmt.Errorf("measured from the %s edge, which is sawn: %v; rough: %v", c.Reference, p.sawn[near], c.Rough)
		}
		sawn[0][near^1], sawn[1][near] = true, true
		shave := strings.Contains(c.Safety, MarkShave)
		if _, across := c.extents(); across-c.Setting < c.Kerf && !shave {
			return fmt.Errorf("takes %s mm, under the kerf", showMM(across-c.Setting))
		}
	}
	for i, name := range c.Makes {
		r := made[i]
		switch gone := r.void(); {
		case name == "" && !gone:
			return fmt.Errorf("a piece of %s x %s mm is left over", showMM(r.size[0]), showMM(r.size[1]))
		case name == "":
		case gone && name != waste:
			return fmt.Errorf("nothing is left for %q", name)
		case name != waste:
			if _, there := b[name]; there {
				return fmt.Errorf("there are two pieces %q", name)
			}
			b[name] = benchPiece{sheet, r, c.Direction == "slant", sawn[i]}
		}
	}
	return nil
}

// lineOf is the edge of the first piece of a cut that faces the second, along x or y.
func lineOf(made [2]rect, along bool) [2][2]Um {
	near := made[0]
	x, y := near.at[0], near.at[1]
	switch {
	case along && made[1].at[1] > y:
		y += near.size[1]
	case !along && made[1].at[0] > x:
		x += near.size[0]
	}
	if along {
		return [2][2]Um{{x, y}, {x + near.size[0], y}}
	}
	return [2][2]Um{{x, y}, {x, y + near.size[1]}}
}

// compare reports the first difference between what is on the bench and what the layout promises.
func (b bench) compare(l *Layout) error {
	left := len(b)
	want := func(sheet int, name string, r rect, pair bool) error {
		p, ok := b[name]
		if !ok {
			return fmt.Errorf("%q does not come out", name)
		}
		if p.sheet != sheet || p.rect != r || p.pair != pair {
			return fmt.Errorf("%q comes out as %v at %v um, not %v at %v", name, p.rect.size, p.rect.at, r.size, r.at)
		}
		left--
		return nil
	}
	for i, sh := range l.Sheets {
		for _, pl := range sh.Placements {
			r := rectOf(pl.X, pl.Y, pl.Width, pl.Height)
			if p := b[pl.Panel]; len(pl.Parts) == 0 && p.sawn != [4]bool{true, true, true, true} {
				return fmt.Errorf("%q has an edge that no saw made: %v", pl.Panel, p.sawn)
			}
			if len(pl.Parts) == 0 {
				if err := want(i, pl.Panel, r, false); err != nil {
					return err
				}
				continue
			}
			for _, q := range pl.Parts {
				if err := want(i, q.Panel, r, true); err != nil {
					return err
				}
			}
			if err := sh.checkSlant(pl); err != nil {
				return err
			}
		}
		for _, o := range sh.Offcuts {
			if err := want(i, o.Name, rectOf(o.X, o.Y, o.Width, o.Height), false); err != nil {
				return err
			}
		}
	}
	if left != 0 {
		return fmt.Errorf("%d pieces come out that are neither part nor offcut", left)
	}
	return nil
}

// slantSlack allows for corners on whole micrometres beside a slanted line.
const slantSlack = 2.0

// checkSlant sees that the slanted cut of a pair runs clear of both parts, its kerf between them.
func (sh Sheet) checkSlant(pl Placement) error {
	for _, c := range sh.Cuts {
		if c.Direction != "slant" || c.Piece != pl.Panel {
			continue
		}
		for i, want := range [2]Um{c.Setting, c.Far} {
			at := map[string]Um{"left": c.At[i][0] - pl.X, "right": pl.X + pl.Width - c.At[i][0], "bottom": c.At[i][1] - pl.Y, "top": pl.Y + pl.Height - c.At[i][1]}[c.Reference]
			if at != want {
				return fmt.Errorf("the slanted cut of %q ends %d from the %s, and %d is set", pl.Panel, at, c.Reference, want)
			}
		}
		dx, dy := float64(c.At[1][0]-c.At[0][0]), float64(c.At[1][1]-c.At[0][1])
		n := math.Hypot(dx, dy)
		side := func(q [2]Um) float64 {
			return (dx*float64(q[1]-c.At[0][1]) - dy*float64(q[0]-c.At[0][0])) / n
		}
		sign := 1.0
		for _, q := range pl.Parts[0].Outline {
			if d := side(q); math.Abs(d) > slantSlack {
				sign = math.Copysign(1, -d)
			}
		}
		for i, part := range pl.Parts {
			for _, q := range part.Outline {
				if q[0] < pl.X || q[1] < pl.Y || q[0] > pl.X+pl.Width || q[1] > pl.Y+pl.Height {
					return fmt.Errorf("%q leaves its rectangle", part.Panel)
				}
				d := side(q) * sign
				if i == 0 && d > slantSlack || i == 1 && d < float64(c.Kerf)-slantSlack {
					return fmt.Errorf("the slanted cut runs into %q", part.Panel)
				}
			}
		}
		return nil
	}
	return fmt.Errorf("%q is never cut apart", pl.Panel)
}
