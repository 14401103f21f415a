package panels

import (
	"cmp"
	"math"
	"strings"

	"cubby/internal/grade"
	"cubby/internal/word"

	"gonum.org/v1/gonum/spatial/r3"
)

// Limits of what is said of the boards.
var (
	faceLeast  = grade.Of(grade.FaceLength).Pass // shortest face that can be worked,
	faceBoards = grade.Of(grade.FaceBoards).Pass // or so many times the board
	blankLeast = grade.Of(grade.BlankWidth).Pass // narrowest strip that can be ripped safely
)

// slack is of comparisons, relative.
const slack = grade.Slack

// add adds a check.
func (f *Findings) add(name string, status Status, value, limit float64, unit string, note Message) {
	f.Checks = append(f.Checks, Check{Name: name, Status: status, Value: value, Limit: limit, Unit: unit, Note: note})
}

// least adds a check of a length of which want is wanted, and least the least.
func (f *Findings) least(name string, value, want, least float64, form string, values ...any) {
	f.add(name, grade.NoLess(value, want, least), value, want, "m", say(form, values...))
}

// warn adds a warning.
func (f *Findings) warn(m Message) { f.Warnings = append(f.Warnings, m) }

// checkPlates states the first resonance of every face, before and after bracing.
func (sc *scene) checkPlates(b *Box) {
	lowest := sc.spec.Brace.Lowest
	if lowest <= 0 {
		return
	}
	low, which, unbraced := math.Inf(1), 0, math.Inf(1)
	for i := range sc.shell.parts {
		before, after := sc.resonance(i, nil), sc.resonance(i, sc.braced.spots)
		if s, ok := sc.braced.spans[i]; ok {
			after = sc.plateResonance(s[0], s[1], sc.shell.parts[i].t)
		}
		b.Resonances = append(b.Resonances, Resonance{sc.shell.parts[i].name, before, after})
		unbraced = math.Min(unbraced, before)
		if after < low {
			low, which = after, i
		}
	}
	b.add("first panel resonance", grade.NoLess(low, lowest, lowest/2), low, lowest, "Hz", sc.plateNote(low, unbraced, which))
}

// plateNote says which panel resonates first, what the braces did and, when it is still too low, what would help.
func (sc *scene) plateNote(low, unbraced float64, which int) Message {
	name, t, lowest := sc.shell.parts[which].name, sc.shell.parts[which].t, sc.spec.Brace.Lowest
	strips := 0
	for i := range sc.pieces {
		if sc.pieces[i].role == Strip {
			strips++
		}
	}
	var braces []string
	if n := len(sc.braced.spots); n > 0 {
		braces = append(braces, word.Few(n, "window brace"))
	}
	if strips > 0 {
		braces = append(braces, word.Few(strips, "strip brace"))
	}
	with := "without braces"
	if len(braces) > 0 {
		with = "with " + strings.Join(braces, " and ")
	}
	began := sayIf(len(sc.braced.spots)+strips > 0, " (without, the panels begin at %s)", Frequency(unbraced))
	thicker := sayIf(low < lowest, "; a %s of %s or more would do", name, Length(t*lowest/low)) // the resonance goes with the thickness
	return say("the %s resonates first, at %s, %s%s; edges taken as simply supported; %s is wanted%s", name, Frequency(low), with, began, Frequency(lowest), thicker)
}

// checkBoards says what is awkward about the boards.
func (sc *scene) checkBoards(b *Box) {
	for i := range b.Panels {
		if p := &b.Panels[i]; p.Role.Shell() {
			b.checkFaces(p)
		}
	}
	b.checkSaw(sc.shell)
	b.Warnings = append(b.Warnings, sc.shell.said...)
}

// checkFaces warns of strips that are awkward to rip and faces too short to work.
func (b *Box) checkFaces(p *Panel) {
	least := math.Max(faceLeast, faceBoards*p.Thickness)
	short, width := math.Inf(1), math.Min(p.Length, p.Width)
	for _, at := range [...][]r3.Vec{p.Outer, p.Inner} {
		g := p.Place.Flat(at).Bounds()
		short = math.Min(short, math.Min(g.Width(), g.Height()))
	}
	if short < least-rounding {
		b.warn(say("%s: its short face is only %s; faces under %s are hard to work (common practice)", p.Name, Length(short), Length(least)))
	}
	if width < blankLeast-rounding {
		b.warn(say("%s: the strip is only %s wide; under %s it is cut from a longer blank (common practice)", p.Name, Length(width), Length(blankLeast)))
	}
}

// Saw defaults, where a feather edge begins, and what may be cut standing.
var (
	sawDepth     = grade.Of(grade.SawDepth).Value()
	sawDepthAt45 = grade.Of(grade.SawDepthAt45).Value()
	feather      = grade.Of(grade.FeatherTilt).Value() * degree // the tilt above which the arris of a bevel is too thin to be screwed near
	standRun     = grade.Of(grade.StandRun).Pass
	standHeight  = grade.Of(grade.StandHeight).Pass
	standLength  = grade.Of(grade.StandEdge).Pass
)

// arris is what is taken off a sharp edge (common practice).
const arris = 1e-3

// checkSaw warns of tilts and depths that the saw does not do, of feather edges and of compound ones.
func (b *Box) checkSaw(sh *shell) {
	s := b.Spec.Saw.withDefaults()
	sharp, compound := false, false
	for i := range b.Panels {
		p := &b.Panels[i]
		if !p.Role.Shell() {
			continue
		}
		for k, e := range p.Edges {
			a := math.Abs(e.Tilt)
			if a > s.MaxTilt+angleSlack {
				b.warn(say("edge of the %s to the %s: bevel %s degrees from square, beyond the saw: %s", p.Name, e.Meets, Angle(a), p.standing(e)))
			} else if depth, can := p.Thickness/math.Cos(a), s.depth(a); depth > can+rounding {
				b.warn(say("edge of the %s to the %s: %s deep cut at %s degrees, the saw does %s: bevel the layers before they are glued, or put the second layer inside",
					p.Name, e.Meets, Length(depth), Angle(a), Length(can)))
			}
			sharp, compound = sharp || a > feather+angleSlack, compound || e.Compound()
			if e.Compound() {
				p.Notes = append(p.Notes, p.compoundCut(k))
			}
		}
	}
	if sharp {
		b.Notes = append(b.Notes, say("bevels over 30 degrees leave a sharp arris: take %s off or tape it before handling (common practice)", Length(arris)))
	}
	if compound {
		b.Notes = append(b.Notes, say("compound edges want the blade tilted and the gauge turned: cut a pair of offcuts first and try the joint (common practice)"))
	}
}

// compoundCut says how edge k is cut, which wants the blade tilted and the gauge turned, and what to measure when it is.
func (p *Panel) compoundCut(k int) Message {
	n, e := len(p.Edges), p.Edges[k]
	long, face, short := e.OuterLen, "outer", e.InnerLen
	if e.LongFace() == "inner" {
		long, face, short = e.InnerLen, "inner", e.OuterLen
	}
	return say("compound cut to the %s: blade %s degrees from square, gauge by its corners on the outer face, %s degrees towards the %s and %s towards the %s; "+
		"%s between its long points (%s face), %s between its short ones", e.Meets, Angle(math.Abs(e.Tilt)), Angle(math.Pi/2+e.GaugeStart), p.Edges[(k+n-1)%n].Meets,
		Angle(math.Pi/2+e.GaugeEnd), p.Edges[(k+1)%n].Meets, Length(long), face, Length(short))
}

// standing says how to cut a bevel beyond the saw's tilt.
func (p *Panel) standing(e Edge) Message {
	height := p.Width
	if e.Edge == "x0" || e.Edge == "x1" {
		height = p.Length
	}
	if e.Run > standRun || height > standHeight || math.Max(e.OuterLen, e.InnerLen) < standLength {
		return say("plane it to the line, or reshape the box")
	}
	return say("rip it square to the long face, stand the panel on that edge in a tall-fence carriage, clamped, blade tilted %s degrees; or cut 45 and plane to the line; check against the two face lengths",
		Angle(math.Pi/2-math.Abs(e.Tilt)))
}

func (s Saw) withDefaults() Saw {
	return Saw{cmp.Or(s.Depth, sawDepth), cmp.Or(s.DepthAt45, sawDepthAt45), cmp.Or(s.MaxTilt, sawTilt)}
}

// depth is the depth of cut at a tilt, interpolated.
func (s Saw) depth(tilt float64) float64 {
	return s.Depth + (s.DepthAt45-s.Depth)*tilt/sawTilt
}
