package nest

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// A job is what Lay is given.
type job struct {
	parts []Part
	stock []Stock
	saw   Saw
	o     Options
}

func drawJob(t *rapid.T) job {
	var j job
	j.saw.Kerf = rapid.SampledFrom([]Um{0, 1, 3200, 2200, 3175}).Draw(t, "kerf")
	trims := []Um{0, j.saw.Kerf + MinTrimPlate, 10 * mm}
	j.saw.Trim = rapid.SampledFrom(trims).Draw(t, "trim")
	j.o.NoTurn = rapid.Bool().Draw(t, "no turn")
	size := func(what string, lo, hi int64) Um {
		u := rapid.Int64Range(lo, hi).Draw(t, what)
		if rapid.Bool().Draw(t, "whole") {
			return u * 10 * mm
		}
		return u*10*mm + rapid.Int64Range(0, 9999).Draw(t, "um")
	}
	for i := range rapid.IntRange(1, 3).Draw(t, "stocks") {
		s := Stock{Name: fmt.Sprint("s", i), Board: "MDF", Thickness: 18 * mm, Length: size("L", 20, 250), Width: size("W", 20, 130), Trim: -1}
		s.Count = rapid.IntRange(0, 3).Draw(t, "count")
		s.Offcut = rapid.IntRange(0, 3).Draw(t, "offcut") == 0
		if s.Offcut {
			s.Count++
		}
		s.Price = float64(rapid.IntRange(0, 5).Draw(t, "price")) * 7.25
		j.stock = append(j.stock, s)
	}
	for i := range rapid.IntRange(1, 7).Draw(t, "parts") {
		p := Part{Name: fmt.Sprint("p", i), Count: rapid.IntRange(1, 3).Draw(t, "n"), Board: "MDF", Thickness: 18 * mm, Length: size("l", 1, 120),
			Width: size("w", 1, 60), Grain: rapid.SampledFrom([]string{"", "", "length", "width"}).Draw(t, "grain")}
		if rapid.IntRange(0, 9).Draw(t, "board") == 0 {
			p.Board = "ply"
		}
		if rapid.IntRange(0, 3).Draw(t, "sloped") == 0 {
			cut := rapid.Int64Range(1, p.Length-1).Draw(t, "slope")
			p.Outline = [][2]Um{{0, 0}, {p.Length - cut, 0}, {p.Length, p.Width}, {0, p.Width}}
			q := p
			q.Name += "m"
			q.Outline = [][2]Um{{cut, 0}, {p.Length, 0}, {p.Length, p.Width}, {0, p.Width}}
			q.PairWith = p.Name
			p.PairWith = p.Name
			if rapid.Bool().Draw(t, "pair") {
				p.PairWith = q.Name
				j.parts = append(j.parts, q)
			}
		}
		j.parts = append(j.parts, p)
	}
	return j
}

// TestLayoutIsSound lays random jobs and sees that every rule of a layout holds.
func TestLayoutIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := drawJob(t)
		j.o.Budget = 20000
		l, err := Lay(j.parts, j.stock, j.saw, j.o)
		if err != nil {
			t.Fatal(err)
		}
		if err := check(j, l); err != nil {
			t.Fatal(err)
		}
	})
}

// check applies the rules of a layout.
func check(j job, l *Layout) error {
	wanted := make(map[string]Part)
	for _, p := range j.parts {
		for k := range p.Count {
			name := p.Name
			if p.Count > 1 {
				name = fmt.Sprintf("%s#%d", p.Name, k+1)
			}
			wanted[name] = p
		}
	}
	take := func(name string) (Part, error) {
		p, ok := wanted[name]
		if !ok {
			return p, fmt.Errorf("%s comes out twice or was never wanted", name)
		}
		delete(wanted, name)
		return p, nil
	}
	used := make([]int, len(j.stock))
	for _, sh := range l.Sheets {
		used[sh.Stock]++
		if err := checkSheet(j, sh, take); err != nil {
			return fmt.Errorf("%s: %w", sh.Name, err)
		}
	}
	for i, n := range used {
		if c := j.stock[i].Count; c > 0 && n > c {
			return fmt.Errorf("%d of stock %d used, there are %d", n, i, c)
		}
	}
	for _, u := range l.Unplaced {
		if _, err := take(u.Part); err != nil {
			return err
		}
		if u.Why == "" {
			return fmt.Errorf("no reason for %s", u.Part)
		}
	}
	if len(wanted) > 0 {
		return fmt.Errorf("parts lost: %v", wanted)
	}
	if len(l.Sheets) < l.LowerBound {
		return fmt.Errorf("%d sheets, under the lower bound %d", len(l.Sheets), l.LowerBound)
	}
	return replay(l)
}

func checkSheet(j job, sh Sheet, take func(string) (Part, error)) error {
	s := j.stock[sh.Stock]
	if sh.Width != s.Length || sh.Height != s.Width {
		return fmt.Errorf("not the size of its stock")
	}
	trim := s.Trim
	if trim < 0 {
		trim = j.saw.Trim
	}
	inside := rectOf(trim, trim, sh.Width-2*trim, sh.Height-2*trim)
	var all []rect
	for _, pl := range sh.Placements {
		all = append(all, rectOf(pl.X, pl.Y, pl.Width, pl.Height))
		names := []string{pl.Panel}
		if len(pl.Parts) > 0 {
			names = []string{pl.Parts[0].Panel, pl.Parts[1].Panel}
		}
		for i, n := range names {
			p, err := take(n)
			if err != nil {
				return err
			}
			if p.Board != s.Board || p.Thickness != s.Thickness {
				return fmt.Errorf("%s is on the wrong board", n)
			}
			if p.Grain != "" && pl.Turned != (p.Grain == "width") || p.Grain == "" && pl.Turned && j.o.NoTurn {
				return fmt.Errorf("%s is turned against its grain", n)
			}
			if pl.Turned != (pl.Rotation == 90 || pl.Rotation == 270) {
				return fmt.Errorf("%s: turned %v but rotation %d", n, pl.Turned, pl.Rotation)
			}
			w, h := p.Length, p.Width
			if pl.Turned {
				w, h = h, w
			}
			if len(pl.Parts) == 0 {
				if pl.Width != w || pl.Height != h {
					return fmt.Errorf("%s has the wrong size", n)
				}
			} else if a, b := area2(pl.Parts[i].Outline), area2(p.Outline); abs(a) != abs(b) || (a < 0) {
				return fmt.Errorf("%s has the outline %v in its pair", n, pl.Parts[i].Outline)
			}
		}
	}
	parts := len(all)
	for _, o := range sh.Offcuts {
		all = append(all, rectOf(o.X, o.Y, o.Width, o.Height))
	}
	for i, a := range all {
		inside := inside
		if i >= parts { // an offcut keeps the factory edges that nobody needs to cut off
			inside = rectOf(0, 0, sh.Width, sh.Height)
		}
		if lo, hi, end := inside.at, inside.end(), a.end(); a.void() || a.at[0] < lo[0] || a.at[1] < lo[1] || end[0] > hi[0] || end[1] > hi[1] {
			return fmt.Errorf("%v is off the clean sheet %v", a, inside)
		}
		for _, b := range all[:i] {
			near := func(k int) bool { return a.at[k] < b.end()[k]+j.saw.Kerf && b.at[k] < a.end()[k]+j.saw.Kerf }
			if near(0) && near(1) {
				return fmt.Errorf("%v and %v overlap or have no kerf between them", a, b)
			}
		}
	}
	if !separable(all[:parts], inside, j.saw.Kerf) {
		return fmt.Errorf("no edge-to-edge cuts separate the parts")
	}
	return nil
}

func rectOf(x, y, w, h Um) rect { return rect{[2]Um{x, y}, size{w, h}} }

// area2 is twice the signed area.
func area2(o [][2]Um) int64 {
	s := int64(0)
	for i, a := range o {
		b := o[(i+1)%len(o)]
		s += a[0]*b[1] - a[1]*b[0]
	}
	return s
}

// separable reports whether edge-to-edge cuts of the kerf's width part the rectangles; it knows nothing of the
// package's own trees. Cutting wherever one can never spoils a later cut, so there is nothing to try again.
func separable(rs []rect, in rect, kerf Um) bool {
	if len(rs) <= 1 {
		return true
	}
	for axis := range 2 {
		for _, r := range rs {
			at := r.end()[axis]
			var low, high []rect
			ok := true
			for _, q := range rs {
				lo, hi := q.at[axis], q.end()[axis]
				switch {
				case hi <= at:
					low = append(low, q)
				case lo >= at+kerf:
					high = append(high, q)
				default:
					ok = false
				}
			}
			if ok && len(low) > 0 && len(high) > 0 {
				return separable(low, in, kerf) && separable(high, in, kerf)
			}
		}
	}
	return false
}
