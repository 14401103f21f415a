package cavity

import (
	"context"
	"math/rand"
	"testing"
)

// noisy is a space of 12 stations with 40 heights of roof and floor each, as rough as sheet metal.
func noisy() *Space {
	rnd := rand.New(rand.NewSource(7))
	s := &Space{Gap: 0.006}
	for i := range 12 {
		t := Station{FromLeft: 1.2 * float64(i) / 11, Back: 0.43}
		for k := range 40 {
			y := 0.43 * float64(k) / 39
			dome := 0.23 - 0.6*(y-0.15)*(y-0.15)
			t.Roof = append(t.Roof, Height{Depth: y, Height: dome + 0.004*rnd.NormFloat64()})
			t.Floor = append(t.Floor, Height{Depth: y, Height: 0.004 * rnd.NormFloat64()})
		}
		s.Stations = append(s.Stations, t)
	}
	return s
}

// crowded is a cuboid space with n posts, shelves and rails.
func crowded(n int) *Space {
	rnd := rand.New(rand.NewSource(9))
	s := &Space{Gap: 0.006, Stations: []Station{at(0, line(0, 330, 500, 300), nil), at(1300, line(0, 330, 500, 300), nil)}}
	for i := range n {
		x, y := 1300*rnd.Float64(), 500*rnd.Float64()
		b := box("post", x, 20+60*rnd.Float64(), y, 20+60*rnd.Float64(), -1000, 1020+100*rnd.Float64())
		if i%3 == 0 {
			b = box("shelf", x, 20+60*rnd.Float64(), y, 20+60*rnd.Float64(), 180+80*rnd.Float64(), 1000)
		}
		s.Blocks = append(s.Blocks, b)
	}
	return s
}

func BenchmarkLimits(b *testing.B) {
	for _, c := range []struct {
		name  string
		space *Space
	}{{"12 stations of 40", noisy()}, {"5 blocks", crowded(5)}, {"10 blocks", crowded(10)}, {"20 blocks", crowded(20)}} {
		b.Run(c.name, func(b *testing.B) {
			room := settled(b, c.space)
			for b.Loop() {
				if _, err := room.Regions(context.Background(), Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRegions(b *testing.B) {
	for name, s := range spaces() {
		b.Run(name, func(b *testing.B) {
			room, err := s.Settle()
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := room.Regions(context.Background(), Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
