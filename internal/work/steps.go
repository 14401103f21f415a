package work

import (
	"cmp"
	"slices"
	"strings"

	"cubby/internal/panels"
)

// builder puts the steps of the assembly together. A step only uses what stands already, and touches what it is glued to.
type builder struct {
	b      *panels.Box
	stands map[int]bool
	later  []int // braces that nothing which stands holds yet
	out    []Step
}

// steps is the order of assembly. A plain box is wrapped first, and the wrap set on its first end; where boards of a slot stand between
// the ends, they and then the walls are set up on the first end, which lies flat.
func steps(b *panels.Box, cuts []Cut) []Step {
	w := &builder{b: b, stands: map[int]bool{}}
	var laminated []int
	for i := range b.Panels {
		if b.Panels[i].Layers > 1 {
			laminated = append(laminated, i)
		}
	}
	if len(laminated) > 0 {
		w.step(Step{Kind: Laminate, Panels: laminated})
	}
	w.step(Step{Kind: DryFit})
	early, late := bores(b, cuts)
	if len(early) > 0 {
		w.step(Step{Kind: OpenUp, Panels: taken(early), Cuts: numbers(early)})
	}
	ends := w.ends()
	if parts := w.with(ofPort); len(parts) > 0 && len(ends) > 0 {
		w.onEnd(ends[0], parts)
	} else {
		w.wrapFirst(ends)
	}
	w.fitOut(ends)
	if len(ends) > 1 {
		w.put(Close, ends[len(ends)-1])
	}
	w.finish(late)
	return w.out
}

func (w *builder) step(s Step) { w.out = append(w.out, s) }

// put puts panels on what stands.
func (w *builder) put(kind StepKind, which ...int) {
	s := Step{Kind: kind, Panels: which}
	for _, i := range which {
		s.On = append(s.On, w.contacts(i)...)
	}
	for _, i := range which {
		w.stands[i] = true
	}
	w.step(s)
}

// with lists the panels that a condition holds for, in order of their marks; a removable face is none of them.
func (w *builder) with(is func(*panels.Panel) bool) []int {
	var out []int
	for i := range w.b.Panels {
		if i != removable(w.b) && is(&w.b.Panels[i]) {
			out = append(out, i)
		}
	}
	byMark(w.b, out)
	return out
}

func role(r ...panels.Role) func(*panels.Panel) bool {
	return func(p *panels.Panel) bool { return slices.Contains(r, p.Role) }
}

// ends are the end that is glued first, lying flat, and the one that closes the box. The first is the one that boards of a slot stand
// on, else the one with more openings: the last is clamped flat.
func (w *builder) ends() []int {
	ends := w.with(role(panels.End))
	weight := func(i int) int {
		n := len(w.b.Panels[i].Holes)
		for _, k := range w.with(ofPort) {
			for _, e := range w.b.Panels[k].Edges {
				if other(w.b, e) == i {
					n += 1000
				}
			}
		}
		for _, s := range w.b.Ports {
			if s.Height > 0 && index(w.b, s.Panel) == i {
				n += 10000
			}
		}
		return n
	}
	slices.SortStableFunc(ends, func(i, j int) int { return cmp.Compare(weight(j), weight(i)) })
	return ends
}

// walls are the walls in the order in which they are set up: the lowest first.
func (w *builder) walls() []int {
	walls := w.with(role(panels.Wall, panels.Pocket))
	height := func(i int) float64 {
		sum := 0.0
		for _, q := range w.b.Panels[i].Outer {
			sum += q.Z / float64(len(w.b.Panels[i].Outer))
		}
		return sum
	}
	slices.SortStableFunc(walls, func(i, j int) int {
		if d := height(i) - height(j); d < -1e-6 || d > 1e-6 {
			return cmp.Compare(height(i), height(j))
		}
		return 0
	})
	return walls
}

// wrapFirst glues the walls to a wrap, with the braces in it before its last wall, and sets it on the first end.
func (w *builder) wrapFirst(ends []int) {
	walls, inner := w.walls(), w.with(role(panels.Window, panels.Strip, panels.Saddle))
	left := slices.Clone(walls)
	if run := w.mitredRun(walls); len(run) > 2 && len(inner) == 0 {
		w.put(Fold, run...)
		left = slices.DeleteFunc(left, func(k int) bool { return slices.Contains(run, k) })
	}
	w.grow(left, inner)
	w.step(Step{Kind: Diagonals})
	w.step(Step{Kind: Seal, Panels: walls})
	if len(ends) > 0 {
		w.put(SetOn, ends[0])
	}
}

// onEnd sets everything up on an end that lies flat: boards of the slot, walls, and braces before the last walls.
func (w *builder) onEnd(end int, parts []int) {
	w.put(LayDown, end)
	walls, inner := w.walls(), w.with(role(panels.Window, panels.Strip, panels.Saddle))
	left := append(slices.Clone(parts), walls...)
	for len(left) > 0 {
		i := slices.IndexFunc(left, func(k int) bool { return len(w.contacts(k)) > 0 })
		if i < 0 {
			i = 0
		}
		w.put(GlueOn, left[i])
		left = slices.Delete(left, i, i+1)
		inner = w.brace(inner, len(left) <= 2)
	}
	w.later = w.brace(inner, true)
	w.step(Step{Kind: Diagonals})
	w.step(Step{Kind: Seal, Panels: walls})
}

// grow glues walls one after the other, each to one that stands; braces go in when two of their walls stand and before the last wall.
func (w *builder) grow(walls, inner []int) {
	for len(walls) > 0 {
		i, kind := slices.IndexFunc(walls, func(k int) bool { return len(w.contacts(k)) > 0 }), GlueOn
		if len(w.stands) == 0 {
			kind = LayDown
		}
		i = max(i, 0)
		w.put(kind, walls[i])
		walls = slices.Delete(walls, i, i+1)
		inner = w.brace(inner, len(walls) == 1)
	}
	w.later = w.brace(inner, true)
}

// brace puts in the braces that have two walls to be glued to; all of them with a wall when it is time.
func (w *builder) brace(inner []int, now bool) (left []int) {
	for _, k := range inner {
		if n := len(w.contacts(k)); n >= 2 && now || n >= 3 {
			w.put(GlueOn, k)
			continue
		}
		left = append(left, k)
	}
	return left
}

// mitredRun is the longest run of walls of which each is mitred to the next, in the order in which they lie side by side.
func (w *builder) mitredRun(walls []int) (best []int) {
	next := map[int][]int{}
	for _, i := range walls {
		for _, e := range w.b.Panels[i].Edges {
			if k := other(w.b, e); e.Joint == "mitre" && slices.Contains(walls, k) {
				next[i] = append(next[i], k)
			}
		}
	}
	for _, i := range walls {
		run := []int{i}
		for on := true; on; {
			on = false
			for _, k := range next[run[len(run)-1]] {
				if !slices.Contains(run, k) {
					run, on = append(run, k), true
					break
				}
			}
		}
		if len(run) > len(best) {
			best = run
		}
	}
	return best
}

// contacts are the places where a panel touches what stands.
func (w *builder) contacts(i int) []Contact {
	p := &w.b.Panels[i]
	var out []Contact
	seen := map[int]bool{}
	for k, e := range p.Edges {
		on := other(w.b, e)
		if on < 0 || !w.stands[on] || seen[on] {
			continue
		}
		seen[on] = true
		out = append(out, Contact{Panel: i, On: on, Edge: k, Joint: jointOf(p, e)})
	}
	for j := range w.b.Panels {
		if !w.stands[j] || seen[j] || j == i {
			continue
		}
		for _, e := range w.b.Panels[j].Edges {
			if other(w.b, e) == i && !seen[j] {
				seen[j] = true
				out = append(out, Contact{Panel: i, On: j, Edge: -1, Joint: RunsPast})
			}
		}
	}
	if face := w.behind(p); face >= 0 && w.stands[face] && !seen[face] {
		out = append(out, Contact{Panel: i, On: face, Edge: -1, Joint: FaceToFace})
	}
	slices.SortStableFunc(out, func(a, b Contact) int { return cmp.Compare(a.On, b.On) })
	glued := slices.DeleteFunc(slices.Clone(out), func(c Contact) bool { return c.Joint == OffBy })
	if len(glued) == 0 {
		return nil
	}
	return out
}

// behind is the panel that a doubler lies on, -1 for all others.
func (w *builder) behind(p *panels.Panel) int {
	if p.Role != panels.Doubler {
		return -1
	}
	return index(w.b, w.b.Drivers.Panel)
}

// jointOf is how a panel goes against what it meets at an edge.
func jointOf(p *panels.Panel, e panels.Edge) Joint {
	switch {
	case p.CutWidth > 0 && strings.HasPrefix(e.Edge, "y") && slices.ContainsFunc(p.Holes, func(h panels.Hole) bool {
		return h.Kind == "slot" && (e.Edge == "y0") == (h.Y < p.Width/2)
	}):
		return OffBy
	case e.Joint == "mitre":
		return MitredWith
	case e.Joint == "rabbet":
		return RabbetedTo
	case e.Joint == "butt-through":
		return RunsPast
	}
	return StopsOn
}

// fitOut puts in what goes in before the box is closed: braces that lie on the first end alone, those on the last while it lies on the
// bench, doublers, cleats, tubes and cable.
func (w *builder) fitOut(ends []int) {
	for _, i := range w.later {
		if len(w.contacts(i)) > 0 {
			w.put(GlueOn, i)
			continue
		}
		s := Step{Kind: OnBench, Panels: []int{i}}
		for k, e := range w.b.Panels[i].Edges {
			if on := other(w.b, e); on >= 0 && !w.stands[on] {
				s.On = append(s.On, Contact{Panel: i, On: on, Edge: k, Joint: StopsOn})
			}
		}
		w.stands[i] = true
		w.step(s)
	}
	for _, i := range w.with(role(panels.Doubler)) {
		w.put(GlueOn, i)
	}
	for _, i := range w.with(role(panels.Cleat)) {
		s := Step{Kind: GlueOn, Panels: []int{i}}
		r := removable(w.b)
		if r < 0 {
			w.put(GlueOn, i)
			continue
		}
		for _, e := range w.b.Panels[r].Edges {
			if k := other(w.b, e); k >= 0 && w.stands[k] {
				s.On = append(s.On, Contact{Panel: i, On: k, Edge: -1, Joint: FaceToFace})
			}
		}
		w.stands[i] = true
		w.step(s)
	}
	for _, s := range w.b.Ports {
		if i := index(w.b, s.Panel); s.Height == 0 && i >= 0 && (w.stands[i] || len(ends) > 1 && i == ends[1]) {
			w.step(Step{Kind: SetIn, Panels: []int{i}})
			break
		}
	}
	w.wire(false)
	w.step(Step{Kind: DryFill})
}

// wire brings the cable in through the first panel that has an opening for it, when that opening is made: in a panel that is trimmed
// flush it is made late.
func (w *builder) wire(late bool) {
	i := slices.IndexFunc(w.b.Panels, func(p panels.Panel) bool { return hasHole(&p, "cable") || hasHole(&p, "terminal") })
	if i >= 0 && (w.b.Panels[i].Flush > 0) == late {
		w.step(Step{Kind: Wire, Panels: []int{i}})
	}
}

// finish is what follows when the box is closed.
func (w *builder) finish(late []Cut) {
	var over []int
	for i := range w.b.Panels {
		if w.b.Panels[i].Flush > 0 {
			over = append(over, i)
		}
	}
	if len(over) > 0 {
		w.step(Step{Kind: Flush, Panels: over})
	}
	if len(late) > 0 {
		w.step(Step{Kind: OpenLate, Panels: taken(late), Cuts: numbers(late)})
	}
	w.wire(true)
	w.step(Step{Kind: CleanUp})
	if r := removable(w.b); r >= 0 {
		w.step(Step{Kind: Frame, Panels: []int{r}})
		w.put(ScrewOn, r)
	}
	w.step(Step{Kind: LeakTest})
	w.step(Step{Kind: FitDriver})
	if w.b.Radiators != nil {
		w.step(Step{Kind: FitRadiator})
	}
	w.step(Step{Kind: HandBack})
}

// bores are the rows of openings: those made while the panels lie flat, and those of ends that are trimmed when they are glued.
func bores(b *panels.Box, cuts []Cut) (early, late []Cut) {
	for _, c := range cuts {
		switch {
		case len(c.Holes) == 0:
		case b.Panels[c.Take.Panel].Flush > 0:
			late = append(late, c)
		default:
			early = append(early, c)
		}
	}
	return early, late
}

func numbers(cuts []Cut) []int {
	out := make([]int, len(cuts))
	for i, c := range cuts {
		out[i] = c.No
	}
	return out
}

func taken(cuts []Cut) []int {
	var out []int
	for _, c := range cuts {
		if !slices.Contains(out, c.Take.Panel) {
			out = append(out, c.Take.Panel)
		}
	}
	return out
}
