package panels

import (
	"math"
	"testing"
)

// A hole on the top of the wedge, 900 mm wide from across 0, at x 180, y 200 is at (195, 200, 240) in the space.
func TestPlaceOfHole(t *testing.T) {
	b, err := Build(Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top"})
	if err != nil {
		t.Fatal(err)
	}
	top := b.panel("top")
	got, want := top.Place.At(0.180, 0.200, 0), [3]float64{0.195, 0.200, 0.240}
	for i := range got {
		if math.Abs(got[i]-want[i]) > 1e-12 {
			t.Errorf("hole on top: got %v, want %v", got, want)
		}
	}
	if out := top.Place.Out(); math.Abs(out[2]-1) > 1e-12 {
		t.Errorf("top looks to %v, want up", out)
	}
	// the closed volume of the same box, bare: 900 mm x 94 800 mm2 less the inside
	if got, want := b.WallVolume*1e9, 0.9e3*94800-870*76518.75; math.Abs(got-want) > 0.01 {
		t.Errorf("wood: got %.3f mm3, want %.3f", got, want)
	}
}

func BenchmarkBuild(b *testing.B) { benchmark(b, func(s Spec) { _, _ = Build(s) }) }
func BenchmarkPlan(b *testing.B)  { benchmark(b, func(s Spec) { _, _ = Plan(s) }) }

func benchmark(b *testing.B, f func(Spec)) {
	s := Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top",
		Driver: Driver{Frame: 0.260, Cutout: 0.235, Depth: 0.120, Magnet: 0.140, Displacement: 0.0015, Circle: 0.248, Bolts: 8, Hole: 0.0045, Vent: true},
		Port:   &Port{Count: 1, Bore: 0.075, Outside: 0.080, Length: 0.30, Elbow: true}}
	b.ReportAllocs()
	for b.Loop() {
		f(s)
	}
}
