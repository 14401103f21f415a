package panels

import (
	"math"
	"slices"
	"strings"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

// Of a hopper every compound edge is told with its blade, its corners and the distances of its long and its short points: four sides
// at 60 degrees, mitred, to be checked by hand. The blade by sin tilt = sin 60 sin 45, the corner by tan gauge = cos 60 tan 45; an
// edge up the slope joins the same two corners on both faces, less where the inner face begins and ends.
func TestCompoundEdgesAreTold(t *testing.T) {
	s := hopper(t, 4, 60*deg)
	b := build(t, Spec{Outside: s, Axis: solid.Up, Wood: Wood{Board: "MDF", Thickness: .018, Joints: Mitre}})
	told := 0
	for i := range b.Panels {
		p := &b.Panels[i]
		for k, e := range p.Edges {
			if !e.Compound() || e.Joint != MitreEdge {
				continue
			}
			told++
			near(t, "blade", math.Abs(e.Tilt)/deg, 37.761244, 5e-7)
			near(t, "gauge", math.Abs(e.GaugeStart)/deg, 26.565051, 5e-7)
			near(t, "long points", e.OuterLen, r3.Norm(r3.Sub(p.Outer[(k+1)%4], p.Outer[k])), 1e-12)
			near(t, "short points", e.InnerLen, r3.Norm(r3.Sub(p.Inner[(k+1)%4], p.Inner[k])), 1e-12)
			text := p.compoundCut(k).Text(unit.Metric)
			if !slices.ContainsFunc(p.Notes, func(m Message) bool { return m.Text(unit.Metric) == text }) {
				t.Errorf("%s: nothing of the edge to the %s", p.Name, e.Meets)
			}
			if !strings.Contains(text, "blade 37.8 degrees") || !strings.Contains(text, "63.4 degrees towards the top and 116.6 towards the bottom") && !strings.Contains(text, "116.6 degrees towards the bottom and 63.4 towards the top") {
				t.Error(text)
			}
		}
	}
	if told != 8 {
		t.Errorf("%d compound mitres in a hopper of four sides", told)
	}
}

// stairs is a box whose section has n steps, so that it has 2 n + 4 boards, and a driver on its front.
func stairs(t testing.TB, n int) Spec {
	g := plane.Polygon{{}, {X: .3 + .1*float64(n)}}
	for k := range n {
		x, y := .3+.1*float64(n-k), .3+.1*float64(k)
		g = append(g, plane.Point{X: x, Y: y}, plane.Point{X: x - .1, Y: y})
	}
	g = append(g, plane.Point{X: .3, Y: .3 + .1*float64(n)}, plane.Point{Y: .3 + .1*float64(n)})
	return Spec{Outside: across(t, g, 0, .6), Wood: Wood{Board: "MDF", Thickness: .018},
		Driver: Driver{Frame: .22, Cutout: .2, Depth: .1, Magnet: .1, Circle: .21, Bolts: 8, Hole: 5e-3}}
}

func benchmarkStairs(b *testing.B, n int) {
	spec := stairs(b, n)
	for b.Loop() {
		if _, err := Build(spec); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBuild6(b *testing.B)  { benchmarkStairs(b, 0) }
func BenchmarkBuild12(b *testing.B) { benchmarkStairs(b, 3) }
func BenchmarkBuild24(b *testing.B) { benchmarkStairs(b, 9) }
func BenchmarkBuild48(b *testing.B) { benchmarkStairs(b, 21) }

// The work of a build grows with the boards and no faster: what is allocated for one more board is the same for many as for few.
func TestBuildGrowsLinearly(t *testing.T) {
	count := func(n int) float64 {
		spec := stairs(t, n)
		return testing.AllocsPerRun(3, func() { build(t, spec) })
	}
	few, some, many := count(0), count(9), count(21)
	first, then := (some-few)/18, (many-some)/24
	t.Logf("%.0f, %.0f and %.0f allocations for 6, 24 and 48 boards", few, some, many)
	if then > 1.25*first {
		t.Errorf("a board more takes %.1f allocations among the first 24, %.1f among the next", first, then)
	}
}
