package panels

import (
	"math"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/solid"
)

var (
	// sawTilt is the largest tilt that a saw's blade is set to; joints are chosen to stay within it.
	sawTilt = grade.Of(grade.TiltMost).Pass * degree
	// flatCorner is the interior angle beyond which boards of different thickness have no inside corner worth the name.
	flatCorner = grade.Of(grade.ThinCorner).Pass * degree
	// Rabbets are at least minRabbet deep and leave a lip of at least minLip.
	minRabbet = grade.Of(grade.RabbetLeast).Pass
	minLip    = grade.Of(grade.RabbetLip).Pass
)

const (
	// squareSlack is how far from 90 degrees a corner may be and still take a rabbet (common practice).
	squareSlack = 0.5 * degree
	// sameBoard is the difference up to which two boards count as equally thick: the smallest that a caliper shows.
	sameBoard = 0.05e-3
	// rounding is what two lengths, in metres, or two ratios that are equal may differ by through arithmetic: nothing that a
	// tool could show, and far above the 1e-15 or so that each step leaves.
	rounding = 1e-9
	// sameSize is what two lengths may differ by, in metres, when one of them comes out of a search: a micrometre, at which
	// the searches stop and which no tool shows.
	sameSize = 1e-6
)

// buttTilt is the size of the tilt of both edges of a butt joint at interior angle a.
func buttTilt(a float64) float64 {
	if a < math.Pi {
		return math.Abs(math.Pi/2 - a)
	}
	return math.Abs(3*math.Pi/2 - a)
}

// mitreTilt is the signed tilt of the edge of a board t thick, mitred at interior angle a to one t2 thick:
//
//	tilt = atan(run/t), run = (t2 + t cos a) / sin a
//
// For equal boards it is 90 degrees - a/2. Valid for reflex corners too.
func mitreTilt(t, t2, a float64) float64 {
	return math.Atan((t2 + t*math.Cos(a)) / math.Sin(a) / t)
}

// largestTilt is the larger size of the two tilts of a joint.
func largestTilt(j Joint, a, t1, t2 float64) float64 {
	if j != Mitre {
		return buttTilt(a)
	}
	return math.Max(math.Abs(mitreTilt(t1, t2, a)), math.Abs(mitreTilt(t2, t1, a)))
}

// chooseJoint keeps the wish where a saw can make it, and takes the joint with the smaller tilt where it cannot.
func chooseJoint(wish Joint, a, t1, t2 float64) Joint {
	if wish == Rabbet {
		if squareCorner(a) {
			return Rabbet
		}
		wish = Butt
	}
	other := Butt + Mitre - wish
	wished, instead := largestTilt(wish, a, t1, t2), largestTilt(other, a, t1, t2)
	if wished <= sawTilt+angleSlack || wished <= instead {
		return wish
	}
	return other
}

func squareCorner(a float64) bool { return math.Abs(a-math.Pi/2) <= squareSlack }

// edge is a meeting of two faces of the solid, low the one with the lower index.
type edge struct {
	low, high int
	dihedral  float64 // interior
}

// edgesOf lists the pairs of faces that meet, once each, with the first dihedral found.
func edgesOf(s *solid.Solid) []edge {
	var all []edge
	seen := make([]bool, len(s.Faces)*len(s.Faces))
	for i := range s.Faces {
		for _, loop := range s.Faces[i].Loops {
			for k, j := range loop.With {
				if i < j && !seen[i*len(s.Faces)+j] {
					seen[i*len(s.Faces)+j] = true
					all = append(all, edge{i, j, dihedral(s, i, loop, k)})
				}
			}
		}
	}
	return all
}

// settle decides the joint of every edge: who runs through by rank, mitres and rabbets by the angle and the wish. It refuses
// edges that no joint closes, and says which wishes could not be met.
func (sh *shell) settle(spec *Spec) ([]Message, error) {
	edges := edgesOf(sh.outside)
	said := sh.unmet(spec.Corners, edges)
	var chosen, byRule []Wish
	var rabbets []edge
	for _, e := range edges {
		if err := sh.unlike(e); err != nil {
			return nil, err
		}
		joint, w, own := sh.wished(spec, e)
		if !own {
			joint = chooseJoint(joint, e.dihedral, sh.parts[e.low].t, sh.parts[e.high].t)
		}
		switch {
		case w != nil && joint != Mitre:
			chosen = append(chosen, *w)
		case joint == Mitre && own:
			chosen = append(chosen, Wish{e.low, e.high, Mitred})
		case joint == Mitre:
			byRule = append(byRule, Wish{e.low, e.high, Mitred})
		}
		if joint == Rabbet {
			rabbets = append(rabbets, e)
		}
	}
	var refused []Refused
	var err error
	sh.joints, refused, err = Settle(sh.outside, sh.ranks(spec), append(append(slices.Clone(sh.asked), chosen...), byRule...))
	if err != nil {
		return nil, &BuildError{Reason: NoInside, Say: say("no order of the boards closes every corner of this shape: another pocket or joint would do")}
	}
	for _, r := range refused {
		said = append(said, sh.refusal(r))
	}
	for _, e := range rabbets {
		if !sh.rabbeted(spec.Wood, e) {
			said = append(said, say("%s and %s cannot be rabbeted together (a rabbet wants a square corner and a board of %s or more): butt joint",
				sh.parts[e.low].name, sh.parts[e.high].name, Length(minRabbet+minLip)))
		}
	}
	return said, sh.rabbetEnds(spec, edges)
}

// unlike refuses unlike boards that meet almost in one plane.
func (sh *shell) unlike(e edge) error {
	a, b := &sh.parts[e.low], &sh.parts[e.high]
	if math.Abs(a.t-b.t) <= sameBoard || math.Min(e.dihedral, 2*math.Pi-e.dihedral) <= flatCorner {
		return nil
	}
	return &BuildError{Reason: UnlikeBoards, Panel: b.name, Value: a.t, Limit: b.t,
		Say: say("%s and %s meet at %s degrees: walls that meet so flat must be the same board, and one is %s and the other %s thick",
			a.name, b.name, Angle(e.dihedral), Length(a.t), Length(b.t))}
}

// wished gives the joint that is wished for an edge, by the job's own word for it (own) or by the box's style; w is the
// relation that the job asks for with it.
func (sh *shell) wished(spec *Spec, e edge) (joint Joint, w *Wish, own bool) {
	if e.low == sh.loose || e.high == sh.loose {
		return Butt, nil, true
	}
	if sh.parts[e.low].role == Wall && sh.parts[e.high].role == Wall {
		joint = spec.Wood.Joints
	}
	for _, x := range spec.Corners {
		if !sh.between(x, e) {
			continue
		}
		joint, own = x.Joint, true
		switch x.Through {
		case sh.parts[e.low].name:
			w = &Wish{e.low, e.high, Through}
		case sh.parts[e.high].name:
			w = &Wish{e.high, e.low, Through}
		}
	}
	return joint, w, own
}

func (sh *shell) between(x CornerWish, e edge) bool {
	a, b := sh.parts[e.low].name, sh.parts[e.high].name
	return x.Between == [2]string{a, b} || x.Between == [2]string{b, a}
}

// unmet warns of wishes for corners that this shape does not have.
func (sh *shell) unmet(wishes []CornerWish, edges []edge) []Message {
	var said []Message
	for _, x := range wishes {
		if !slices.ContainsFunc(edges, func(e edge) bool { return sh.between(x, e) }) {
			said = append(said, say("no corner between %s and %s in this shape: the %s joint wished there is left out", x.Between[0], x.Between[1], x.Joint))
		}
	}
	return said
}

// refusal says why a wish could not be met.
func (sh *shell) refusal(r Refused) Message {
	a, b := sh.parts[r.A].name, sh.parts[r.B].name
	what := say("the %s cannot run past the %s", a, b)
	if r.R == Mitred {
		what = say("%s and %s cannot be mitred together", a, b)
	}
	how := "they would run round in a ring"
	if r.Why == OddBetween {
		how = "one would run past one neighbour and stop at the other"
	}
	return say("%s: with a third board at a corner of theirs %s, and the corner would stay open; butt joint by the usual order", what, how)
}

// ranks are the faces' ranks: the lowest runs through.
func (sh *shell) ranks(spec *Spec) []int {
	rank := make([]int, len(sh.parts))
	for i := range sh.parts {
		c := sh.parts[i].call
		if c.kind == endKind && spec.Wood.Ends == EndsInside {
			c.kind = insideEndKind
		}
		rank[i] = int(c.kind)*64 + c.number
	}
	if sh.loose >= 0 {
		rank[sh.loose] = -1
	}
	return rank
}

// rabbetDepth is how deep a rabbet is cut into a board t thick: a third of it, half for plywood, rounded down to 1 mm.
func rabbetDepth(wood Wood, t float64) (depth float64, ok bool) {
	depth = wood.RabbetDepth
	if depth == 0 {
		share := grade.Of(grade.RabbetMDF).Value()
		if boardOf(wood.Board).plies {
			share = grade.Of(grade.RabbetPly).Value()
		}
		depth = math.Floor((t*share+rounding)*1000) / 1000
	}
	return depth, depth >= minRabbet-rounding && t-depth >= minLip-rounding
}

// runs gives the board of an edge that runs through and the one that stops there; ok is false where they are mitred.
func (sh *shell) runs(e edge) (through, stop int, ok bool) {
	switch sh.joints.Of(e.low, e.high) {
	case Through:
		return e.low, e.high, true
	case Stops:
		return e.high, e.low, true
	}
	return 0, 0, false
}

// rabbeted lets the board that stops at an edge into the one that runs through; false where that cannot be.
func (sh *shell) rabbeted(wood Wood, e edge) bool {
	through, stop, ok := sh.runs(e)
	if !ok || !squareCorner(e.dihedral) {
		return false
	}
	depth, ok := rabbetDepth(wood, sh.parts[through].t)
	if ok {
		sh.joints.rabbet(through, stop, depth)
	}
	return ok
}

// rabbetEnds lets the walls into rabbeted ends, all round, by the depth that the thinner end takes.
func (sh *shell) rabbetEnds(spec *Spec, edges []edge) error {
	if spec.Wood.Ends != EndsRabbeted {
		return nil
	}
	t, name := math.Inf(1), ""
	for i := range sh.parts {
		if p := &sh.parts[i]; p.role == End && p.t < t {
			t, name = p.t, p.name
		}
	}
	depth, ok := rabbetDepth(spec.Wood, t)
	if !ok {
		return &BuildError{Reason: NoRabbet, Panel: name, Value: t, Limit: minRabbet + minLip,
			Say: say("ends %s thick are too thin for a rabbet: it is at least %s deep and leaves a lip of at least %s", Length(t), Length(minRabbet), Length(minLip))}
	}
	for _, e := range edges {
		end, wall, ok := sh.runs(e)
		if !ok || sh.parts[end].role != End {
			continue
		}
		if !squareCorner(e.dihedral) {
			return &BuildError{Reason: NoRabbet, Panel: sh.parts[end].name, Value: e.dihedral, Limit: math.Pi / 2,
				Say: say("the %s meets the %s at %s degrees: a rabbet wants a square edge; ends: over would do", sh.parts[end].name, sh.parts[wall].name, Angle(e.dihedral))}
		}
		sh.joints.rabbet(end, wall, depth)
	}
	return nil
}
