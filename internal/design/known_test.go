package design

import (
	"reflect"
	"testing"

	"cubby/internal/thielesmall"
)

// TestKnown holds that what is known of a job changes nothing in the answer, that the stands of a job whose amplifier alone
// has changed are not looked for again, and that they are where it moves the limit up to which panels are braced.
func TestKnown(t *testing.T) {
	ask := func(k *Known, power, lowPass float64) (*Result, *prepared) {
		req := wedgeRequest()
		space := *req.Space
		space.Known = k
		req.Space, req.Kinds = &space, []Kind{Sealed}
		req.Amplifier = &Amplifier{Power: power, Into: 4, Filters: []thielesmall.Filter{{Kind: thielesmall.LowPass, Frequency: lowPass, Order: 4}}}
		r := mustRun(t, req)
		if k == nil {
			return r, nil
		}
		return r, k.last.prepared
	}
	k := new(Known)
	_, first := ask(k, 200, 80)
	for _, c := range []struct {
		power, lowPass float64
		again          bool
	}{{400, 80, false}, {400, 120, true}} {
		got, at := ask(k, c.power, c.lowPass)
		want, _ := ask(nil, c.power, c.lowPass)
		if again := at != first; again != c.again {
			t.Errorf("%v W, low-pass %v Hz: stands are looked for again: %v", c.power, c.lowPass, again)
		}
		a, b := got.Designs[0], want.Designs[0]
		if a.Score != b.Score || a.VerdictText != b.VerdictText || len(got.Designs) != len(want.Designs) || !reflect.DeepEqual(a.Box.Panels, b.Box.Panels) ||
			!reflect.DeepEqual(got.Outcomes, want.Outcomes) || !reflect.DeepEqual(got.Shapes, want.Shapes) {
			t.Errorf("%v W, low-pass %v Hz: %s; without what is known %s", c.power, c.lowPass, a.VerdictText, b.VerdictText)
		}
	}
}
