package panels

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Strip braces: pieces of board on edge, glued along their whole length to the panel that they stiffen (common practice).
// They serve where a window brace does not: on the ends, and on walls of boxes in which a window would open less than half
// of the section or where something stands in the way of one.
const (
	stripTall  = 3.0    // height over thickness; 4 is the most that does not tip over while it is glued
	stripLeast = 60e-3  // shortest strip
	mostStrips = 3      // on one panel
	stripTries = 6      // places tried to each side of the one wanted
	stripStep  = 10e-3  // between them
	stripPlay  = 0.3e-3 // in its length
)

// stiffen is a face that strips are put on: of a wall, the widest stretch along the axis that is free of window braces.
type stiffen struct {
	plateOf
	height float64 // of a strip
	other  float64 // the widest other stretch along the axis
}

// addStrips puts strips on the ends and walls whose first resonance is still too low with the braces placed so far.
func (sc *scene) addStrips() {
	sc.braced.spans = map[int][2]float64{}
	for _, ends := range [...]bool{true, false} {
		for i := range sc.shell.parts {
			if p := &sc.shell.parts[i]; i != sc.shell.loose && p.role != Pocket && (p.role == End) == ends {
				sc.stiffen(sc.stiffening(i))
			}
		}
	}
}

// stiffening is face i as strips can stiffen it.
func (sc *scene) stiffening(i int) stiffen {
	s := stiffen{plateOf: sc.plateOf(i)}
	t := sc.spec.Wood.Thickness
	if sc.shell.parts[i].role == End {
		lo, hi := sc.along()
		s.height = math.Min(stripTall*t, (hi-lo)/4)
		return s
	}
	end := sc.plateOf(sc.shell.end(solid.High))
	s.height = math.Min(stripTall*t, math.Min(end.sides[0], end.sides[1])/4)
	from, span, other := sc.between(&s.plateOf, sc.braced.spots)
	s.o = r3.Add(s.o, r3.Scale(from-sc.shell.axis.Of(s.o), s.e[0]))
	s.sides[0], s.other = span, other
	return s
}

// stiffen adds the fewest strips that lift a plate's resonance to the lowest wished for, or those that lift it most.
func (sc *scene) stiffen(p stiffen) {
	t := sc.shell.parts[p.face].t
	best, low := []piece(nil), sc.plateResonance(p.sides[0], p.sides[1], t)
	var split [2]float64
	for n := 1; n <= mostStrips && low < sc.spec.Brace.Lowest; n++ {
		order := [...]int{0, 1} // the longer side first: the strip across it is short, and so stiff
		if p.sides[1] > p.sides[0] {
			order = [...]int{1, 0}
		}
		for _, k := range order {
			if low >= sc.spec.Brace.Lowest {
				break
			}
			strips, widest := sc.spread(p, k, n)
			if strips == nil {
				continue
			}
			sides := p.sides
			sides[k] = widest
			if k == 0 {
				sides[k] = math.Max(widest, p.other)
			}
			if f := sc.plateResonance(sides[0], sides[1], t); f > low*(1+slack) {
				best, low, split = strips, f, sides
			}
		}
	}
	if best == nil {
		return
	}
	sc.braced.spans[p.face] = split
	name := sc.shell.parts[p.face].name
	for i := range best {
		best[i].name = "strip on the " + name
		if len(best) > 1 {
			best[i].name = fmt.Sprintf("strip %d on the %s", i+1, name)
		}
		sc.put(best[i], stripBody)
	}
}

// spread places n strips across side k of a plate at unequal spans, each moved a little where something stands in its way,
// and gives the widest span that is left; nil when one of them does not go.
func (sc *scene) spread(p stiffen, k, n int) (strips []piece, widest float64) {
	t := sc.spec.Wood.Thickness
	clear := p.sides[k] - float64(n)*t
	if clear/float64(n+1) < stripLeast || k == 1 && sc.shell.parts[p.face].role == Wall && len(sc.braced.spots) > 0 {
		return nil, 0
	}
	x, from := 0.0, 0.0
	for i := range n {
		x += clear / float64(n+1) * (1 + braceUneven*(2*float64(i)/float64(n)-1))
		found := false
		for try := 0; try <= 2*stripTries && !found; try++ {
			at := x + float64((try+1)/2)*stripStep*float64(1-2*(try%2))
			if at < from || at > p.sides[k]-t {
				continue
			}
			if s, ok := sc.strip(p, k, at); ok {
				strips, found = append(strips, s), true
				widest, from = math.Max(widest, at-from), at+t
			}
		}
		if !found {
			return nil, 0
		}
		x += t
	}
	return strips, math.Max(widest, p.sides[k]-from)
}

// strip is the strip that divides side k of a plate at the place at; ok is false where it does not go.
func (sc *scene) strip(p stiffen, k int, at float64) (s piece, ok bool) {
	t := sc.spec.Wood.Thickness
	in := r3.Scale(-1, sc.shell.air.Faces[p.face].N)
	u, w := r3.Unit(p.e[1-k]), p.e[k]
	base := r3.Add(p.o, r3.Scale(at, w))
	l := leg{floor: p.face, start: p.face, o: base, v: w, w: u, n: in}
	clear, _ := sc.widest(&l, block{[3]float64{edgeOff, -longestSide, edgeOff}, [3]float64{t - edgeOff, longestSide, p.height - edgeOff}})
	lo, hi := clear.lo, clear.hi
	if k == 1 && sc.shell.parts[p.face].role == Wall {
		lo, hi = math.Max(lo, 0), math.Min(hi, p.sides[0])
	}
	length := hi - lo - stripPlay
	if length < stripLeast {
		return s, false
	}
	o := r3.Add(base, r3.Add(r3.Scale(lo+stripPlay/2, u), r3.Scale(t, w)))
	at4 := []r3.Vec{o, r3.Add(o, r3.Scale(length, u)), r3.Add(o, r3.Add(r3.Scale(length, u), r3.Scale(p.height, in))), r3.Add(o, r3.Scale(p.height, in))}
	if r3.Dot(r3.Cross(u, in), w) < 0 {
		slices.Reverse(at4)
	}
	s = piece{role: Strip, on: p.face, board: plate(solid.Through(o, w), at4, t)}
	s.air = s.board.Volume
	s.board.restsOn(p.face, r3.Scale(-1, in))
	s.notes = []Message{say("on edge inside the %s, glued along its whole length; %s", sc.shell.parts[p.face].name, sc.stripAt(p, k, at, lo+stripPlay/2))}
	b := s.body(stripBody)
	return s, sc.clearOfAll(&b)
}

// clearOfAll reports whether a strip keeps the air that is wanted to drivers and ports, stands clear of all else, and is not before the
// inner mouth of a port.
func (sc *scene) clearOfAll(b *body) bool {
	axis := sc.shell.axis.Unit()
	lo, hi := b.span(axis)
	for i := range sc.bodies {
		o := &sc.bodies[i]
		air := 0.0
		switch o.kind {
		case driverBody, radiatorBody, portBody:
			air = braceClear
		case braceBody: // it reaches from wall to wall
			if from, to := o.span(axis); lo < to && from < hi {
				return false
			}
			continue
		}
		if b.meets(o, air) {
			return false
		}
	}
	for _, m := range sc.mouths() {
		if b.meets(&m, 0) {
			return false
		}
	}
	return true
}

// stripAt says where a strip stands: at, its near face, and along where its square end stays away from a leaning neighbour.
func (sc *scene) stripAt(p stiffen, k int, at, along float64) Message {
	sh := sc.shell
	from := at
	for _, e := range sc.braced.spots {
		if k == 0 && sh.parts[p.face].role == Wall && sh.axis.Of(p.o)+rounding > e {
			lo, _ := sc.along()
			from = sh.axis.Of(p.o) + at - lo
		}
	}
	way, u := "upright", r3.Unit(p.e[1-k])
	if math.Abs(u.X) > 1-sameSize {
		way = "along the width"
	} else if math.Abs(u.Z) < 0.5 {
		way = "from front to back"
	}
	text := say("%s, near face %s from the inside of the %s", way, Length(from), sc.neighbour(p, p.e[k]))
	if along > 2*stripPlay {
		text = say("%s, its end %s from the inside of the %s", text, Length(along), sc.neighbour(p, u))
	}
	return text
}

// neighbour is that of a stiffened face, by its near corner, from which a direction leads away.
func (sc *scene) neighbour(p stiffen, way r3.Vec) (name string) {
	best := math.Inf(-1)
	for _, loop := range sc.shell.air.Faces[p.face].Loops {
		for _, j := range loop.With {
			f := &sc.shell.air.Faces[j]
			if d := -r3.Dot(f.N, way) - math.Abs(f.Depth(p.o)); d > best {
				best, name = d, sc.shell.parts[j].name
			}
		}
	}
	return name
}
