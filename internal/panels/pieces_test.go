package panels

import (
	"errors"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// A box of more pieces than are stated is refused with a reason of its own; pieces of several layers count as many.
func TestMostPieces(t *testing.T) {
	for pieces, want := range map[int]bool{mostPieces: true, mostPieces + 1: false} {
		m := maker{box: &Box{Panels: []Panel{{Count: 1, Layers: 3}, {Count: pieces - 3, Layers: 1}}}}
		err := m.countPieces()
		var why *BuildError
		if (err == nil) != want || err != nil && (!errors.As(err, &why) || why.Reason != ManyPieces) {
			t.Errorf("%d pieces: %v", pieces, err)
		}
	}
}

// The widest box that a job can ask for, with every brace, strip, fin and cleat it may get, stays within the limit.
func TestPiecesOfLargeBoxes(t *testing.T) {
	most := 0
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := equip(r, randomSpec(r))
		s.Width, s.Brace.Lowest, s.Wood.FrontLayers = 10, 2000, 3
		if r.IntN(2) == 0 {
			s = loosen(s)
		}
		var why *BuildError
		switch box, err := Build(s); {
		case errors.As(err, &why) && why.Reason == ManyPieces:
			t.Fatalf("%v", err)
		case err == nil:
			n := 0
			for _, p := range box.Panels {
				n += p.Count * max(p.Layers, 1)
			}
			most = max(most, n)
		}
	})
	if most < 20 {
		t.Errorf("the fullest box has %d pieces: the draw is too tame", most)
	}
	t.Logf("the fullest box has %d pieces", most)
}
