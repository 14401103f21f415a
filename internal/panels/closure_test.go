package panels

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/plane"
	"pgregory.net/rapid"
)

// closureTolerance is the promise: areas and volumes agree to it, relative to the outside. The arithmetic does better.
const closureTolerance = 1e-9

// built builds the box; a box that cannot be made must say so with a sentence.
func built(t *rapid.T, s Spec) *Box {
	b, err := Build(s)
	if err == nil {
		return b
	}
	var why *BuildError
	if !errors.As(err, &why) || why.Text == "" || why.Reason == "" {
		t.Fatalf("refused without a reason: %#v", err)
	}
	if math.IsNaN(why.Value + why.Limit + why.LongestPort) {
		t.Fatalf("a number of the refusal is NaN: %#v", why)
	}
	return nil
}

func TestClosure(t *testing.T) {
	made, loose := 0, 0
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := randomSpec(r)
		if r.IntN(2) == 0 {
			s = loosen(s)
		}
		b := built(t, s)
		if b == nil {
			return
		}
		made++
		if b.Removable != nil {
			loose++
		}
		outer := b.Section.Area()
		var walls []plane.Polygon
		sum, wood := b.Inside.Area(), 0.0
		for _, p := range b.Panels {
			if p.Role == Wall || p.Role == End {
				wood += p.Volume
			}
			if p.Role == Wall {
				walls = append(walls, p.Section)
				sum += p.Section.Area()
				if got := p.Section.Area() * p.Length; math.Abs(got-p.Volume) > closureTolerance*got {
					t.Errorf("%s: volume %g, section x length %g", p.Name, p.Volume, got)
				}
			}
		}
		if math.Abs(sum-outer) > closureTolerance*outer {
			t.Errorf("inside and walls have %.12g m2, the outside %.12g", sum, outer)
		}
		if math.Abs(wood-b.WallVolume) > closureTolerance*b.OuterVolume {
			t.Errorf("walls and ends have %.12g m3, stated %.12g", wood, b.WallVolume)
		}
		if got := b.WallVolume + b.InsideVolume; math.Abs(got-b.OuterVolume) > closureTolerance*b.OuterVolume {
			t.Errorf("wood and air make %.12g m3, the outside %.12g", got, b.OuterVolume)
		}
		for i, a := range walls {
			if got := a.IntersectArea(b.Section); math.Abs(got-a.Area()) > closureTolerance*outer {
				t.Errorf("%s sticks out of the outside by %g m2", b.Panels[i].Name, a.Area()-got)
			}
			if got := a.IntersectArea(b.Inside); got > closureTolerance*outer {
				t.Errorf("%s stands in the air by %g m2", b.Panels[i].Name, got)
			}
			for j := range i {
				if got := a.IntersectArea(walls[j]); got > closureTolerance*outer {
					t.Errorf("%s and %s overlap by %g m2", b.Panels[i].Name, b.Panels[j].Name, got)
				}
			}
		}
	})
	if made == 0 || loose == 0 {
		t.Error("no random box could be made, or none with a removable face")
	}
	t.Logf("%d boxes made, %d with a removable face", made, loose)
}

// A panel put into the space by its place alone, with its faces and tilts as printed, has its corners where its section is.
func TestPlaces(t *testing.T) {
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := randomSpec(r)
		if r.IntN(2) == 0 {
			s = loosen(s)
		}
		b := built(t, s)
		if b == nil {
			return
		}
		near := func(what string, got [3]float64, across float64, want plane.Point) {
			if d := math.Hypot(math.Hypot(got[0]-across, got[1]-want.X), got[2]-want.Y); d > 1e-9 {
				t.Errorf("%s: at %v, its section says (%g %g %g)", what, got, across, want.X, want.Y)
			}
		}
		for _, p := range b.Panels {
			f := p.Place
			if l := math.Hypot(math.Hypot(f.X[0], f.X[1]), f.X[2]); math.Abs(l-1) > 1e-12 {
				t.Errorf("%s: x is %g long", p.Name, l)
			}
			switch p.Role {
			case Wall:
				left, right := f.Origin[0], f.Origin[0]+p.Length
				n := len(p.Section)
				near(p.Name+" origin", f.At(0, 0, 0), left, p.Section[1])
				near(p.Name+" far corner", f.At(p.Length, p.OuterWidth, 0), right, p.Section[0])
				if p.Edges[0].Joint != "rabbet" && p.Edges[1].Joint != "rabbet" && n == 4 {
					y1 := p.Thickness * math.Tan(p.Edges[0].Tilt)
					y0 := p.OuterWidth - p.Thickness*math.Tan(p.Edges[1].Tilt)
					near(p.Name+" inner corner at y0", f.At(0, y1, -p.Thickness), left, p.Section[2])
					near(p.Name+" inner corner at y1", f.At(p.Length, y0, -p.Thickness), right, p.Section[3])
					if math.Abs(y0-y1-p.InnerWidth) > 1e-9 {
						t.Errorf("%s: tilts give an inner face of %g, stated %g", p.Name, y0-y1, p.InnerWidth)
					}
				}
			case End:
				across := b.Left
				if p.Name == rightEnd {
					across += b.Width
				}
				if out := f.Out(); math.Abs(math.Abs(out[0])-1) > 1e-12 || out[0] > 0 != (p.Name == rightEnd) {
					t.Errorf("%s looks to %v", p.Name, out)
				}
				want := b.Section
				if b.Spec.Wood.Ends == EndsInside {
					want = b.Inside
				} else if loose := b.loose(); loose != nil {
					want = append(plane.Polygon(nil), want...) // the ends stop behind the removable wall
					for k, q := range b.Section {
						if q == loose.Section[0] {
							want[k], want[(k+1)%len(want)] = loose.Section[3], loose.Section[2]
						}
					}
				}
				for i, q := range p.Outline {
					k := i
					if p.Name == leftEnd {
						k = len(want) - 1 - i
					}
					near(p.Name, f.At(q.X, q.Y, 0), across, want[k])
				}
			}
		}
	})
}

// loose is the removable wall, if there is one.
func (b *Box) loose() *Panel {
	if b.Removable == nil {
		return nil
	}
	if p := b.panel(b.Removable.Panel); p.Role == Wall {
		return p
	}
	return nil
}
