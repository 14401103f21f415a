package cavity

import (
	"context"
	"encoding/binary"
	"math"
	"testing"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// numbers reads measures of about a metre, and now and then something wild, from bytes.
type numbers struct{ data []byte }

func (n *numbers) byte() int {
	if len(n.data) == 0 {
		return 0
	}
	b := n.data[0]
	n.data = n.data[1:]
	return int(b)
}

func (n *numbers) length() float64 {
	switch b := n.byte(); {
	case b == 255 && len(n.data) >= 8:
		v := math.Float64frombits(binary.LittleEndian.Uint64(n.data))
		n.data = n.data[8:]
		return v
	default:
		return float64(b-10)/200 + float64(n.byte())/1e5
	}
}

// FuzzSpace holds that no space makes the search panic or run away, and that what it gives are sound numbers.
func FuzzSpace(f *testing.F) {
	f.Add([]byte("two stations and a block, more or less, with some heights in between them and a wall"))
	f.Add([]byte{2, 40, 0, 30, 9, 80, 9, 120, 1, 90, 9, 200, 3, 1, 60, 2, 80, 3, 40, 4})
	f.Fuzz(func(t *testing.T, data []byte) {
		tried(t, data)
	})
}

// tried makes a space of bytes and asks all there is to ask.
func tried(t *testing.T, data []byte) {
	{
		n := &numbers{data}
		s := &Space{Gap: n.length() / 20}
		x := 0.0
		for range n.byte() % 5 {
			st := Station{FromLeft: x, Front: n.length() / 10, Back: 0.3 + n.length()}
			x += 0.1 + n.length()
			y := 0.0
			for range n.byte() % 6 {
				st.Roof = append(st.Roof, Height{Depth: y, Height: 0.1 + n.length(), Unknown: n.byte()%11 == 0})
				y += 0.06 + n.length()/2
			}
			y = 0
			for range n.byte() % 5 {
				st.Floor = append(st.Floor, Height{Depth: y, Height: n.length() / 4})
				y += 0.06 + n.length()/2
			}
			if len(st.Floor) == 1 {
				st.Floor = nil
			}
			s.Stations = append(s.Stations, st)
		}
		for range n.byte() % 4 {
			switch n.byte() % 3 {
			case 0:
				s.Blocks = append(s.Blocks, BoxBlock("block", r3.Vec{X: n.length(), Y: n.length(), Z: n.length()}, r3.Vec{X: n.length(), Y: n.length(), Z: n.length()}))
			case 1:
				s.Blocks = append(s.Blocks, Block{Axis: Axis(n.byte() % 4), Outline: RoundOutline(plane.Point{X: n.length(), Y: n.length()}, n.length(), n.length()), Lo: n.length(), Hi: n.length()})
			default:
				b := BoxBlock("lamp", r3.Vec{X: n.length(), Y: n.length()}, r3.Vec{X: n.length(), Y: n.length(), Z: 1})
				b.Hangs = n.length()
				s.Blocks = append(s.Blocks, b)
			}
		}
		if n.byte()%3 == 0 {
			s.Leans = []Lean{{Side(n.byte() % 6), n.length()}}
		}
		if n.byte()%3 == 0 {
			s.Sticks = []Stick{{n.length(), n.length(), n.length(), Side(n.byte() % 6)}}
		}
		m, err := s.Settle()
		if err != nil {
			return
		}
		res, err := m.Regions(context.Background(), Limits{Budget: 300, Pockets: 1})
		if err != nil {
			return
		}
		for i := range res.Regions {
			r := &res.Regions[i]
			if !finite(r.Lo, r.Hi, r.Air, r.Volume) || r.Air <= 0 || r.Air > r.Volume*(1+1e-9) || !r.Section.IsSimple() || r.Section.Area() <= 0 {
				t.Fatalf("region %+v", r)
			}
		}
		m.Place(res.Regions[:min(3, len(res.Regions))], res.Regions[0].Air/2, DefaultWeights(), Limits{})
		m.StickTests(&res.Regions[0])
		m.Before(r3.Vec{X: n.length(), Y: n.length(), Z: n.length()}, r3.Vec{Y: -1}, 0.1, 0.05)
	}
}
