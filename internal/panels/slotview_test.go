package panels

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// The cuts through a slot show its boards as they are listed, run into no other piece, and give the air's height, its length and what
// is free before its inner end.
func TestSlotCutsShowTheBoards(t *testing.T) {
	kinds := map[string]int{}
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		m, err := plan(slotted(r))
		if err != nil || m.slot == nil {
			return
		}
		m.makePanels()
		s, v := m.slot, m.box.Slot
		kind := kindOfSlot(s)
		kinds[kind]++
		length := 0.0
		for i := 1; i < len(v.Along.Air); i++ {
			length += v.Along.Air[i].Sub(v.Along.Air[i-1]).Norm()
		}
		if math.Abs(length-s.legs[0]-sumOf(s.legs[1:])) > 1e-6 {
			t.Errorf("%s slot: the middle of its air is %g long, want %v", kind, length, s.legs)
		}
		for _, c := range []SlotCut{v.Along, v.Across} {
			all := append(append([]CutPiece(nil), c.Walls...), c.Boards...)
			for i, p := range all {
				for _, q := range all[:i] {
					if x := p.Shape.CCW().IntersectArea(q.Shape.CCW()); x > 1e-9 && m.Wood.Ends != EndsRabbeted {
						t.Errorf("%s slot, %s: %s and %s share %g m2", kind, c.View, p.Panel, q.Panel, x)
					}
				}
			}
		}
		for i := range s.legs {
			p := m.box.panel(v.Along.Boards[i].Panel)
			want := p.Width
			if s.lane != nil {
				want = p.Length
			}
			if z := v.Along.Sizes[2*i]; math.Abs(z.B.Sub(z.A).Norm()-want) > 1e-9 {
				t.Errorf("%s slot: %s is drawn %g long, want %g", kind, p.Name, z.B.Sub(z.A).Norm(), want)
			}
			if z := v.Along.Sizes[2*i+1]; math.Abs(z.B.Sub(z.A).Norm()-s.h) > 1e-9 {
				t.Errorf("%s slot: its air is drawn %g high, want %g", kind, z.B.Sub(z.A).Norm(), s.h)
			}
		}
		free := v.Along.Sizes[len(v.Along.Sizes)-1]
		if math.Abs(free.B.Sub(free.A).Norm()-s.free) > 1e-9 {
			t.Errorf("%s slot: %g is drawn free, want %g", kind, free.B.Sub(free.A).Norm(), s.free)
		}
		if s.lane == nil && m.loose < 0 {
			near := math.Inf(1)
			for _, l := range m.wrap.inn {
				near = math.Min(near, math.Abs(l.Distance(free.B)))
			}
			if near > 1e-6 {
				t.Errorf("%s slot: what is free before it ends %g off the nearest wall", kind, near)
			}
		}
	})
	for _, kind := range []string{"straight", "straight narrow", "bent", "bent narrow", "end", "end narrow"} {
		if kinds[kind] == 0 {
			t.Errorf("no %s slot was made: %v", kind, kinds)
		}
	}
}

func sumOf(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s
}
