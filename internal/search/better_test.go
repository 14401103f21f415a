package search

import (
	"math/rand/v2"
	"testing"
)

// Where a box that the search did not come to is built for an offer, it is the winner: the first offer serves the aim as well as
// any that was built.
func TestWinnerIsTheBestBuilt(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	replaced := 0
	for i := range 6 {
		d := randomDriver(rng)
		m, err := New(taskFor(d, []Aim{Low, Loud, Flat}[i%3]))
		if err != nil {
			t.Fatal(err)
		}
		places := placesIn(d, 0.03+0.06*rng.Float64())
		short, err := Search(t.Context(), m, places[:1], lumps{}, Options{})
		if err != nil || short.Best == nil {
			continue
		}
		whole, err := Search(t.Context(), m, places, lumps{}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		short.Places, short.Built = whole.Places, whole.Built // as if its budget had ended it early
		offers, err := Offers(t.Context(), m, lumps{}, short, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if offers[0].Found.Evaluation.Score < whole.Best.Evaluation.Score {
			t.Errorf("the winner scores %.3f, what was built %.3f", offers[0].Found.Evaluation.Score, whole.Best.Evaluation.Score)
		}
		if offers[0].Found != short.Best {
			replaced++
		}
	}
	if replaced == 0 {
		t.Error("no winner was replaced: nothing is tested")
	}
}
