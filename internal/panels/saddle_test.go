package panels

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// A saddle stands on its wall round the tube's last leg near its end, clear of everything but that tube.
func TestSaddles(t *testing.T) {
	needed, made := 0, 0
	for seed := range uint64(400) {
		spec, ok := randomFitted(rand.New(rand.NewPCG(seed, 7)))
		if !ok || spec.Port == nil || spec.Port.Bore <= 0 {
			continue
		}
		sc, box, err := plan(&spec)
		if err != nil {
			continue
		}
		for _, p := range box.Ports {
			if p.Saddle > 0 {
				needed++
			}
		}
		for i := range sc.pieces {
			x := &sc.pieces[i]
			if x.role != Saddle {
				continue
			}
			made++
			on := sc.shell.air.Faces[x.on].Plane
			standing := 0
			for _, c := range slices.Concat(x.board.Outer, x.board.Inner) {
				if math.Abs(on.Depth(c)) < 1e-9 {
					standing++
				}
			}
			if standing != 4 {
				t.Errorf("seed %d: %d corners of a saddle stand on its wall", seed, standing)
			}
			b := newBody(stripBody, "", slices.Concat(x.board.Outer, x.board.Inner), 0)
			met := 0
			for k := range sc.bodies {
				o := &sc.bodies[k]
				if o.kind == stripBody || o.kind == braceBody || o.kind == terminalBody || !b.meets(o, 0) {
					continue
				}
				if met++; o.kind != portBody {
					t.Errorf("seed %d: a saddle meets %s", seed, o.name)
				}
			}
			if met == 0 {
				t.Errorf("seed %d: no tube goes through a saddle", seed)
			}
			found := false
			for _, tube := range sc.fitted.ports {
				n := len(tube.path.Line)
				end, dir := tube.path.Line[n-1], tube.path.Directions[len(tube.path.Legs)-1]
				f := barFrame(solid.Through(x.board.Outer[0], x.board.Out), x.board.Outer)
				c := r3.Add(f.O, r3.Add(r3.Scale(x.holes[0].X, f.X), r3.Scale(x.holes[0].Y, f.Y)))
				d := r3.Sub(end, c)
				along := r3.Dot(d, dir)
				found = found || along > 0 && along <= box.Ports[0].Saddle && r3.Norm(r3.Sub(d, r3.Scale(along, dir))) < 1e-9
			}
			if !found {
				t.Errorf("seed %d: the saddle's hole is not on a tube's axis near its end", seed)
			}
		}
	}
	if t.Logf("%d of %d tubes that need a saddle stand in a board", made, needed); made < needed/2 {
		t.Error("too few")
	}
}
