package cavity

import (
	"encoding/binary"
	"math"
	"testing"

	"cubby/internal/plane"
)

// FuzzShapes gives the space any section and blocks: nothing panics, and every shape is a simple section of a width that
// stands inside the space and clear of every block.
func FuzzShapes(f *testing.F) {
	add := func(gap, width float64, v ...float64) {
		var b []byte
		for _, x := range v {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
		}
		f.Add(b, gap, width, uint8(len(v)/2))
	}
	add(0.008, 1.1, 0, 0, 0.36, 0, 0.43, 0.34, 0, 0.34)
	add(0.008, 0.56, 0, 0, 0.6, 0, 0.6, 0.24, 0.36, 0.24, 0.36, 0.46, 0, 0.46)
	f.Add([]byte("a section of words and then blocks of words, all of them floats"), 0.01, 1.0, uint8(4))
	f.Fuzz(func(t *testing.T, data []byte, gap, width float64, corners uint8) {
		next := func() float64 {
			if len(data) < 4 {
				return 0
			}
			v := math.Float32frombits(binary.LittleEndian.Uint32(data))
			data = data[4:]
			return float64(v)
		}
		s := Space{Width: width, Gap: gap}
		for range min(int(corners), plane.MaxCorners) {
			s.Section = append(s.Section, plane.Point{X: next(), Y: next()})
		}
		for len(data) >= 24 && len(s.Blocks) < 5 {
			s.Blocks = append(s.Blocks, Block{Name: "b", Left: next(), Width: next(), Front: next(), Depth: next(), Floor: next(), Height: next()})
		}
		shapes, err := s.Shapes()
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		for _, p := range s.Section {
			if math.Abs(p.X) > 20 || math.Abs(p.Y) > 20 {
				return // nothing that a tape measures
			}
		}
		extent := s.Section.Bounds()
		for _, h := range shapes {
			b := h.Section.Bounds()
			if !(h.Volume > 0) || !(h.Width > 0) || math.IsInf(h.Volume, 0) || !h.Section.IsSimple() {
				t.Fatalf("%+v: shape %+v", s, h)
			}
			const hair = 1e-6 // m
			if h.Left < -hair || h.Left+h.Width > s.Width+hair || b.Min.X < extent.Min.X-hair || b.Max.X > extent.Max.X+hair ||
				b.Min.Y < extent.Min.Y-hair || b.Max.Y > extent.Max.Y+hair {
				t.Fatalf("%+v: shape %+v lies outside", s, h)
			}
		}
	})
}
