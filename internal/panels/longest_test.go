package panels

import (
	"errors"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// The longest port that a refusal names goes into the box, and half a millimetre more does not.
func TestLongestPortGoesIn(t *testing.T) {
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := equip(r, randomSpec(r))
		if s.Port == nil {
			return
		}
		s.Brace.Lowest, s.Plate, s.Fixings = 0, nil, nil
		s.Port.Length = 0.6 + r.Float64()
		_, err := Build(s)
		var why *BuildError
		if !errors.As(err, &why) || why.LongestPort <= 0 {
			return
		}
		s.Port.Length = why.LongestPort - 1e-6
		if _, err := Build(s); err != nil {
			t.Errorf("a port of %g does not go in though it is the longest: %v", s.Port.Length, err)
		}
		s.Port.Length = why.LongestPort + 0.5e-3
		if b, err := Build(s); err == nil {
			t.Errorf("a port of %g goes in though %g is the longest (face %s, seats %+v)", s.Port.Length, why.LongestPort, s.Face, b.PortSeats)
		}
	})
}
