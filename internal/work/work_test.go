package work

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
)

// drawBox draws a box of 3 to 8 corners with any joints, ends, ports, braces and faces; nil where it cannot be built.
func drawBox(t *rapid.T) *panels.Box {
	span := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	w, h := span("depth", 0.2, 0.6), span("height", 0.18, 0.5)
	g := plane.Polygon{{}, {X: w}, {X: w, Y: h}, {Y: h}}
	switch rapid.IntRange(0, 3).Draw(t, "shape") {
	case 1:
		g[2].X *= span("top", 0.5, 1.2)
	case 2:
		x, y := w*span("x", 0.4, 0.7), h*span("y", 0.4, 0.7)
		g = plane.Polygon{{}, {X: w}, {X: w, Y: y}, {X: x, Y: y}, {X: x, Y: h}, {Y: h}}
	case 3:
		g[2].X, g[3].Y = w*span("top", 0.6, 1.2), h*span("left", 0.5, 0.95)
	}
	d := math.Min(w, h) * span("driver", 0.25, 0.5)
	outside, err := solid.Straight(g, solid.Across, 0, span("width", 0.3, 1.1))
	if err != nil {
		return nil
	}
	s := panels.Spec{Outside: outside, Count: rapid.IntRange(1, 2).Draw(t, "count"), Hardware: panels.Hardware{Terminal: true},
		Face:   rapid.SampledFrom([]string{"front", "top", "back", "left"}).Draw(t, "face"),
		Driver: panels.Driver{Frame: d * 1.12, Cutout: d, Depth: d * 0.4, Magnet: d * 0.5, Displacement: d * d * d / 8, Circle: d * 1.06, Bolts: 8, Hole: 0.0055},
		Wood: panels.Wood{Board: "MDF", Thickness: span("board", 0.011, 0.02), Joints: panels.Joint(rapid.IntRange(0, 2).Draw(t, "joints")),
			Ends: panels.EndStyle(rapid.IntRange(0, 2).Draw(t, "ends")), Flush: rapid.SampledFrom([]float64{0, 0, 0.001}).Draw(t, "flush")}}
	switch rapid.IntRange(0, 3).Draw(t, "port") {
	case 1:
		s.Port = &panels.Port{Count: 1, Bore: 0.05, Outside: 0.054, Length: span("length", 0.08, 0.3), Elbows: 1}
	case 2:
		s.Port = &panels.Port{Height: 0.03, Length: span("slot", 0.15, 0.6), Face: "front"}
	}
	if rapid.Bool().Draw(t, "braced") {
		s.Brace = panels.BraceRule{Lowest: 300}
	}
	s.Mounting.Removable = rapid.IntRange(0, 5).Draw(t, "removable") == 0
	b, err := panels.Build(s)
	if err != nil {
		return nil
	}
	return b
}

func layout(t testing.TB, b *panels.Box) *nest.Layout {
	var parts []nest.Part
	var stock []nest.Stock
	have := map[int64]bool{}
	for _, p := range b.Panels {
		up := func(v float64) int64 { return int64(math.Ceil(v*1e6 - 1e-3)) }
		q := nest.Part{Name: p.Name, Count: pieces(&p) * max(1, p.Layers), Board: p.Board, Thickness: up(p.Thickness / float64(max(1, p.Layers))), Length: up(p.Blank[0]), Width: up(p.Blank[1]), Grain: p.Grain}
		parts = append(parts, q)
		if !have[q.Thickness] {
			have[q.Thickness] = true
			stock = append(stock, nest.Stock{Name: "sheet", Board: p.Board, Thickness: q.Thickness, Length: 2440000, Width: 1220000, Trim: -1})
		}
	}
	l, err := nest.Lay(parts, stock, nest.Saw{Kerf: 3200, Trim: 5000, Step: 500}, nest.Options{Budget: 20000})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestPlanOfRandomBoxes replays the plan of whatever box is built.
func TestPlanOfRandomBoxes(t *testing.T) {
	built := 0
	rapid.Check(t, func(rt *rapid.T) {
		b := drawBox(rt)
		if b == nil {
			return
		}
		built++
		l := layout(t, b)
		p := Make(b, l)
		for _, check := range []func(*panels.Box, *nest.Layout, *Plan) error{replayCuts, checkSetups, replaySteps, openedInTime, checkFill, checkBevels, checkEdges, checkTotals, checkWorst} {
			if err := check(b, l, p); err != nil {
				rt.Error(err)
			}
		}
	})
	if built < 10 {
		t.Errorf("only %d boxes could be built", built)
	}
}

// replayCuts cuts by the table: no row takes a piece that is not there, every panel of the list comes out of it, every work on a panel
// comes after its blank, and the numbers run on.
func replayCuts(b *panels.Box, l *nest.Layout, p *Plan) error {
	type key struct {
		name        string
		panel, part int
	}
	of := func(q Piece) key { return key{q.Name, q.Panel, q.Part} }
	there := map[key]bool{}
	at := map[string]int{}
	for i := range b.Panels {
		at[b.Panels[i].Name] = i
	}
	for _, sh := range l.Sheets {
		there[of(pieceNamed(at, sh.Name))] = true
	}
	for i, c := range p.Cuts {
		if c.No != i+1 || c.Setup < 1 || c.Setup > p.Setups || i > 0 && c.Setup < p.Cuts[i-1].Setup {
			return fmt.Errorf("cut %d is numbered %d in set-up %d of %d", i+1, c.No, c.Setup, p.Setups)
		}
		if c.Sheet >= 0 {
			if !there[of(c.Take)] {
				return fmt.Errorf("cut %d takes %+v, which is not there", c.No, c.Take)
			}
			delete(there, of(c.Take))
			if drawn := l.Sheets[c.Sheet].Cuts[c.SheetNo-1]; math.Abs(c.Fence-float64(drawn.Setting)*1e-6) > 1e-12 {
				return fmt.Errorf("cut %d is set to %.6f m, the sheet's cut %d to %d um", c.No, c.Fence, c.SheetNo, drawn.Setting)
			}
			for _, m := range c.Makes {
				if m.Kind != Nothing && m.Kind != Waste {
					there[of(m)] = true
				}
			}
			continue
		}
		panel := &b.Panels[c.Take.Panel]
		if err := marked(panel, c); err != nil {
			return err
		}
		for k := range pieces(panel) {
			one, many := key{"", c.Take.Panel, 0}, key{"", c.Take.Panel, k + 1}
			if !there[one] && !there[many] {
				return fmt.Errorf("cut %d works on %s, which is not cut out yet", c.No, panel.Name)
			}
		}
	}
	for i := range b.Panels {
		n := 0
		for k := range there {
			if k.panel == i {
				n++
			}
		}
		if want := pieces(&b.Panels[i]) * max(1, b.Panels[i].Layers); n != want && len(l.Unplaced) == 0 {
			return fmt.Errorf("%d of %s come out, want %d", n, b.Panels[i].Name, want)
		}
	}
	return nil
}

// checkSetups sees that a saw is set twice to the same only where its cuts come both before and after those at another setting: it
// follows every chain of settings from what a cut makes to what is cut next.
func checkSetups(b *panels.Box, _ *nest.Layout, p *Plan) error {
	type setup struct {
		tool        Tool
		fence, tilt int // um, 1e-4 rad
	}
	var fences []float64
	for _, c := range p.Cuts {
		fences = append(fences, c.Fence)
	}
	slices.Sort(fences)
	fence := func(at float64) int { // those within 0.05 mm are one
		one := fences[0]
		for _, f := range fences {
			if f > at+1e-9 {
				break
			}
			if f-one > 5e-5+1e-9 {
				one = f
			}
		}
		return int(math.Round(one * 1e6))
	}
	next := map[setup]map[setup]bool{}
	made := map[Piece]setup{}   // at which setting
	bevelled := map[int]setup{} // the last bevel of a panel
	first := map[setup]int{}    // set-up in which a setting comes first
	twice := map[setup]int{}
	for i, c := range p.Cuts {
		if c.Sheet < 0 && c.Tool != Bevel {
			continue
		}
		s := setup{c.Tool, fence(c.Fence), int(math.Round(c.Tilt * 1e4))}
		from, ok := made[c.Take]
		if c.Tool == Bevel {
			from, ok = bevelled[c.Take.Panel]
			bevelled[c.Take.Panel] = s
		}
		if ok && from != s {
			if next[from] == nil {
				next[from] = map[setup]bool{}
			}
			next[from][s] = true
		}
		for _, m := range c.Makes {
			made[m] = s
		}
		if n, ok := first[s]; ok && n != c.Setup && p.Cuts[i-1].Setup != c.Setup {
			twice[s] = c.Setup
		} else if !ok {
			first[s] = c.Setup
		}
	}
	for s, n := range twice {
		reached := map[setup]bool{}
		for todo := []setup{s}; len(todo) > 0; todo = todo[1:] {
			for t := range next[todo[0]] {
				if !reached[t] {
					reached[t] = true
					todo = append(todo, t)
				}
			}
		}
		if !reached[s] {
			return fmt.Errorf("set-up %d comes back to %+v of set-up %d for nothing", n, s, first[s])
		}
	}
	return nil
}

// marked sees that a cut on a panel has the marks that its size asks for, and that a rip for a slot says along which edge.
func marked(p *panels.Panel, c Cut) error {
	has := func(m Mark) bool { return slices.Contains(c.Marks, m) }
	switch c.Tool {
	case Rip:
		edges := ""
		for _, e := range []Edge{c.At, c.Reference} {
			if e.Index >= 0 {
				edges += p.Edges[e.Index].Edge
			}
		}
		if c.Fence != p.CutWidth || edges != "y0y1" && edges != "y1y0" || has(PushStick) != (c.Fence < 0.15) {
			return fmt.Errorf("the rip of %s to %.3f m: %+v", p.Name, p.CutWidth, c)
		}
	case Bevel:
		if has(PushBlock) != (c.Fence < 0.05) || has(PushStick) != (c.Fence >= 0.05 && (c.Fence < 0.15 || p.Length < 0.3)) {
			return fmt.Errorf("a bevel of %s at a fence of %.3f m is marked %v", p.Name, c.Fence, c.Marks)
		}
	}
	return nil
}

// replaySteps puts the box together: each panel once, on what stands, glued to what it touches.
func replaySteps(b *panels.Box, _ *nest.Layout, p *Plan) error {
	stands := map[int]bool{}
	for n, s := range p.Steps {
		switch s.Kind {
		case LayDown, GlueOn, Fold, SetOn, Close, ScrewOn, OnBench:
		default:
			continue
		}
		for _, c := range s.On {
			if stands[c.On] == (s.Kind == OnBench) && s.Kind != Fold {
				return fmt.Errorf("step %d uses %s, which does not stand yet", n+1, b.Panels[c.On].Name)
			}
			if err := touches(b, c); err != nil {
				return fmt.Errorf("step %d: %w", n+1, err)
			}
		}
		for k, i := range s.Panels {
			if s.Kind == Fold && k > 0 && !mitredTo(b, s.Panels[k-1], i) {
				return fmt.Errorf("step %d folds %s, which is not mitred to the one before", n+1, b.Panels[i].Name)
			}
			if stands[i] {
				return fmt.Errorf("step %d puts %s on again", n+1, b.Panels[i].Name)
			}
			if len(stands) > 0 && len(s.On) == 0 && s.Kind != Fold {
				return fmt.Errorf("step %d: %s touches nothing that stands", n+1, b.Panels[i].Name)
			}
			stands[i] = true
		}
	}
	for i := range b.Panels {
		if !stands[i] {
			return fmt.Errorf("%s is never put in", b.Panels[i].Name)
		}
	}
	if last := p.Steps[len(p.Steps)-1]; last.Kind != HandBack {
		return fmt.Errorf("the last step is %d, not the measures", last.Kind)
	}
	return nil
}

// openedInTime sees that every row of openings belongs to one step, and that the cable goes through what is open by then.
func openedInTime(b *panels.Box, _ *nest.Layout, p *Plan) error {
	opened := map[int]bool{}
	for n, s := range p.Steps {
		if s.Kind == Wire && !slices.ContainsFunc(p.Cuts, func(c Cut) bool { return c.Take.Panel == s.Panels[0] && opened[c.No] }) {
			return fmt.Errorf("step %d brings the cable through %s before it is opened", n+1, b.Panels[s.Panels[0]].Name)
		}
		for _, no := range s.Cuts {
			if opened[no] {
				return fmt.Errorf("step %d makes cut %d again", n+1, no)
			}
			opened[no] = true
		}
	}
	for _, c := range p.Cuts {
		if len(c.Holes) > 0 && !opened[c.No] {
			return fmt.Errorf("no step makes the openings of cut %d", c.No)
		}
		if len(c.Holes) > 0 && (c.Tool == Bore) != (b.Panels[c.Take.Panel].Holes[c.Holes[0]].Diameter > 0) {
			return fmt.Errorf("cut %d: %s", c.No, c.Tool)
		}
	}
	return nil
}

// mitredTo reports whether an edge of a panel is mitred to another.
func mitredTo(b *panels.Box, i, k int) bool {
	return slices.ContainsFunc(b.Panels[i].Edges, func(e panels.Edge) bool { return other(b, e) == k && e.Joint == "mitre" })
}

// touches sees that two panels lie against each other: the boxes round their wood, 1 mm larger, meet.
func touches(b *panels.Box, c Contact) error {
	lo, hi := extent(b, &b.Panels[c.Panel])
	lo2, hi2 := extent(b, &b.Panels[c.On])
	for k := range 3 {
		if lo[k] > hi2[k]+1e-3 || lo2[k] > hi[k]+1e-3 {
			if c.Joint == OffBy || c.Joint == FaceToFace {
				continue
			}
			return fmt.Errorf("%s does not touch %s", b.Panels[c.Panel].Name, b.Panels[c.On].Name)
		}
	}
	return nil
}

func extent(b *panels.Box, p *panels.Panel) (lo, hi [3]float64) {
	for k := range 3 {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	add := func(q r3.Vec) {
		for k, v := range [...]float64{q.X, q.Y, q.Z} {
			lo[k], hi[k] = math.Min(lo[k], v), math.Max(hi[k], v)
		}
	}
	if len(p.Places) == 0 {
		for _, q := range append(slices.Clone(p.Outer), p.Inner...) {
			add(q)
		}
		return lo, hi
	}
	for _, f := range append(slices.Clone(p.Places), p.Place) {
		for _, q := range p.Outline {
			add(f.At(q, 0))
			add(f.At(q, -p.Thickness))
		}
	}
	return lo, hi
}

// checkBevels saws every bevel by its row, from a blank as wide as both faces together, and compares the faces that come out with the
// corners of the panel's two faces in space. Every bevelled edge has one row.
func checkBevels(b *panels.Box, _ *nest.Layout, p *Plan) error {
	for i := range b.Panels {
		q := &b.Panels[i]
		want := 0
		for _, e := range q.Edges {
			if math.Abs(e.Tilt) > square {
				want++
			}
		}
		for _, c := range p.Cuts {
			if c.Tool != Bevel || c.Take.Panel != i {
				continue
			}
			want--
			if run := q.Thickness * math.Tan(c.Tilt); math.Abs(c.Run-run) > 1e-6 {
				return fmt.Errorf("%s: a bevel of %.3f rad runs %.3f mm, not %.3f", q.Name, c.Tilt, run*1000, c.Run*1000)
			}
			r, _ := rimOf(q, c.At.Index)
			far := math.Inf(1)
			outer, inner := math.Inf(-1), math.Inf(-1)
			for k := range q.Outer {
				o, in := q.Place.To(q.Outer[k]).Dot(r.n), q.Place.To(q.Inner[k]).Dot(r.n)
				outer, inner, far = math.Max(outer, o), math.Max(inner, in), math.Min(far, math.Min(o, in))
			}
			short, long := far+c.Fence, far+c.Fence+q.Thickness*math.Tan(c.Tilt)
			gotOuter, gotInner := long, short
			if c.Up == InnerFace {
				gotOuter, gotInner = short, long
			}
			if len(q.Outline) > 4 {
				continue // another side may reach further
			}
			if math.Abs(gotOuter-outer) > 1e-4 || math.Abs(gotInner-inner) > 1e-4 {
				return fmt.Errorf("%s, edge %d: sawn to %.3f outside, %.3f inside, not %.3f and %.3f", q.Name, c.At.Index, gotOuter*1000, gotInner*1000, outer*1000, inner*1000)
			}
		}
		if want != 0 {
			return fmt.Errorf("%s: %d bevelled edges have no row", q.Name, want)
		}
	}
	return nil
}

// checkTotals compares the bill with what it counts.
func checkTotals(b *panels.Box, _ *nest.Layout, p *Plan) error {
	screws := 0
	for _, r := range p.Screws {
		screws += len(r.At)
	}
	for _, i := range p.Bill {
		switch i.Kind {
		case Screws:
			if i.Count != screws {
				return fmt.Errorf("%d screws on the bill, %d in the rows", i.Count, screws)
			}
		case Glue:
			// each corner of the section has one seam along the box and each end one seam round the inside
			want := 0.0
			for k := range b.Inside {
				v, w := b.Inside.Edge(k)
				want += 2 * w.Sub(v).Norm()
			}
			for k := range b.Panels {
				if b.Panels[k].Role == panels.Wall {
					want += b.Panels[k].Length
				}
			}
			if b.Removable != nil {
				want -= b.Removable.Tape
			}
			if math.Abs(i.Length-want) > 1e-6 {
				return fmt.Errorf("%.3f m of glue, want %.3f", i.Length, want)
			}
		case Gasket:
			if want := math.Pi * b.Spec.Driver.Frame * float64(len(b.Drivers.Centres)); math.Abs(i.Length-want) > 1e-6 {
				return fmt.Errorf("%.3f m of gasket, want %.3f", i.Length, want)
			}
		}
	}
	return nil
}

// checkWorst works the worst joint out from the tilts as they are printed: half a step at an end, and what half of a tenth of a degree opens.
func checkWorst(b *panels.Box, _ *nest.Layout, _ *Plan) error {
	open := 0.0
	for _, p := range b.Panels {
		if !p.Role.Shell() {
			continue
		}
		for _, e := range p.Edges {
			if a := math.Abs(e.Tilt); a > 1e-9 {
				open = math.Max(open, p.Thickness*(math.Tan(a+0.05*math.Pi/180)-math.Tan(a)))
			}
		}
	}
	if want := 0.5e-3 + open; math.Abs(b.WorstJoint-want) > 1e-6 {
		return fmt.Errorf("the worst joint is %.4f mm, want %.4f", b.WorstJoint*1000, want*1000)
	}
	return nil
}
