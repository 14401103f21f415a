package design

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
)

// CheckResult is the answer to "does this ready-made box suit?", for one box or several.
type CheckResult struct {
	Basis
	Boxes    []Judged // best first
	Best     *Design  // the best box that could be built for the driver in the same space; nil without a space
	Shopping string   // what to look for instead, when no box suits; empty otherwise
}

// Judged is one ready-made box with its checks.
type Judged struct {
	Sound
	Judgement
	Rank      int
	Ready     ReadyBox
	OtherWay  bool             // a box again, with a claimed figure in place of the described one or the other way round
	NetVolume float64          // m3
	Band      thielesmall.Band // of a band-pass
	Loud      []LoudAt         // the most it plays at a few frequencies; none where no limit is known
}

// LoudAt is the most that a box plays at a frequency within the limits of Circuit.MaxLevel.
type LoudAt struct {
	Frequency float64 // Hz
	Level     float64 // dB, 1 m, half space
	LimitedBy thielesmall.Cause
}

// CheckBoxes judges the request's ready-made boxes. The error is for a job that cannot be worked on at all.
func CheckBoxes(ctx context.Context, req Request) (*CheckResult, error) {
	return checkBoxes(ctx, req, true)
}

// checkBoxes is CheckBoxes; instead asks for the box that could be built in the same space as well.
func checkBoxes(ctx context.Context, req Request, instead bool) (*CheckResult, error) {
	if len(req.Boxes) == 0 {
		return nil, &ConfigError{Field: "box", Want: "the box to be judged must be described; cubby design finds one instead"}
	}
	h, err := newRig(&req)
	if err != nil {
		return nil, err
	}
	if req.Mount.Face == "" {
		req.Mount.Face = "front"
		h.assume("the driver sits on the front face")
	}
	for _, f := range h.findings { // the flagged ones are a check
		if f.Severity == thielesmall.Warning {
			h.assume("%s", strings.TrimSuffix(f.Text, "."))
		}
	}
	res := &CheckResult{}
	for i, b := range req.Boxes {
		if b.Name == "" && len(req.Boxes) > 1 {
			b.Name = fmt.Sprintf("box %d", i+1)
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for _, b := range h.byWalls(b) {
			j := h.judgeReady(b)
			res.Boxes = append(res.Boxes, j)
			for _, other := range h.otherWays(b, j) {
				again := h.judgeReady(other)
				again.OtherWay = true
				res.Boxes = append(res.Boxes, again)
			}
		}
	}
	sort.SliceStable(res.Boxes, func(i, j int) bool {
		if a, b := res.Boxes[i], res.Boxes[j]; a.OtherWay != b.OtherWay {
			return b.OtherWay
		}
		return rankReady(res.Boxes[i]) < rankReady(res.Boxes[j])
	})
	suits := false
	for i := range res.Boxes {
		res.Boxes[i].Rank = i + 1
		suits = suits || !res.Boxes[i].OtherWay && res.Boxes[i].Verdict != DoesNotSuit
	}
	if !suits {
		res.Shopping = h.shopping()
	}
	if instead {
		if res.Best, err = bestInstead(ctx, req, h); err != nil {
			return nil, err
		}
	}
	res.Basis = h.basis()
	return res, nil
}

// rankReady orders boxes: fewest fails, then fewest cautions.
func rankReady(j Judged) int {
	const failed = 1000
	n := 0
	for _, c := range j.Checks {
		switch c.Status {
		case panels.Fail:
			n += failed
		case panels.Marginal:
			n++
		}
	}
	return n
}

// commonBoard is the thickness of the commonest board for boxes, m (common practice).
const commonBoard = 0.018

// bestInstead is the best box that could be built in the same space; nil without a space or when none can be built.
func bestInstead(ctx context.Context, req Request, p *rig) (*Design, error) {
	if req.Space == nil {
		return nil, nil
	}
	req.Boxes = nil
	unstated := req.Wood.Thickness == 0
	if unstated {
		req.Wood = panels.Wood{Board: "MDF", Thickness: commonBoard}
	}
	r, err := run(ctx, req, nil, true)
	if err != nil || len(r.Designs) == 0 {
		return nil, ctx.Err() // that nothing better can be built is an answer too
	}
	if unstated {
		p.assume("the box that could be built instead is of %s MDF", p.length(commonBoard))
	}
	return &r.Designs[0], nil
}

// judgeReady makes every check of one box.
func (h *rig) judgeReady(b ReadyBox) Judged {
	j := Judged{Ready: b, Sound: Sound{Kind: b.Kind}}
	add := func(c ...Check) { j.Checks = append(j.Checks, c...) }
	add(h.checkOpening(b), h.checkSeatDepth(b), h.airBefore(b, 0))
	if c, ok := h.checkCircle(b); ok {
		add(c)
	}
	a, err := h.airOf(b)
	if err != nil {
		add(row("net volume", panels.Fail, 0, 0, "", err.Error()))
		return h.judged(j, performance{})
	}
	j.NetVolume = a.net
	add(h.checkClaim(b, a))
	if why := h.playReady(&j, b, a); why != nil {
		add(*why)
		return h.judged(j, performance{})
	}
	if c, ok := h.checkTuning(b, j.Figures.Fb); ok {
		add(c)
	}
	f := h.performanceOf(&j, b)
	j.Fitting = h.electrical(j.Circuit, j.Figures.F3)
	h.playLoud(&j)
	j.Checks[2] = h.airBefore(b, j.Evaluation.Excursion)
	add(h.soundRows(f)...)
	add(h.checkPower(f), h.checkLoad())
	fit, carry := h.placeReady(b)
	j.Carry, j.CarryText = carry, h.carryText(carry)
	add(fit, h.checkCarry(carry))
	j.Checks = h.doubt(j.Checks)
	return h.judged(j, f)
}

// judged sums a box's checks up.
func (h *rig) judged(j Judged, f performance) Judged {
	what := title(j.Ready)
	if j.NetVolume > 0 {
		what += fmt.Sprintf(" (%s, %s net", j.Kind, h.volume(j.NetVolume))
		if j.Kind == BandPass {
			what += fmt.Sprintf(" in front and %s behind", h.volume(j.Ready.Rear))
		}
		if j.Figures.Fb > 0 {
			what += fmt.Sprintf(", tuned to %.1f Hz", j.Figures.Fb)
		}
		if b := j.Band; b.High > 0 {
			what += fmt.Sprintf(", playing from %.1f to %.1f Hz", b.Low, b.High)
		}
		what += ")"
	}
	j.Verdict, j.VerdictText = h.conclude(what, j.Checks, f)
	return j
}

func title(b ReadyBox) string { return cmp.Or(b.Name, "This box") }

// playReady makes the box's circuit, figures and port. It gives a failed check when the box cannot be what it claims.
func (h *rig) playReady(j *Judged, b ReadyBox, a readyAir) *Check {
	air := thielesmall.Box{Volume: a.net, LeakQ: b.LeakQ}
	fail := func(name, format string, args ...any) *Check {
		c := row(name, panels.Fail, 0, 0, "", fmt.Sprintf(format, args...))
		return &c
	}
	if b.Kind != Sealed && air.LeakQ == 0 {
		air.LeakQ = ventedLeakQ
	}
	switch b.Kind {
	case Sealed:
		air.FillGain, air.AbsorbQ = b.Filling.effect()
	case Passive:
		stock, _, err := b.Passive.stockOf()
		if err != nil {
			return fail("passive radiator", "%v", err)
		}
		h.assumePassive(b.Passive)
		air.Passive = stock.Radiator
	default:
		air.Rear = b.Rear
		port, why := h.portOf(b, a.net)
		if why != "" {
			return fail("port", "%s", why)
		}
		e := port.ends(h.boxSection(b))
		air.Ports = slices.Repeat([]thielesmall.Port{{Area: port.area(), Length: port.acting(), Ends: e, Friction: port.Friction}}, max(1, port.Count))
		j.Port = &PortDesign{
			PortSize: PortSize{max(1, port.Count), port.Diameter, 0, port.Height, port.Width, port.area()},
			Length:   port.Length, Effective: port.acting(), EndOuter: e[0], EndInner: e[1], Implied: b.Port.area() == 0,
		}
	}
	c, err := h.circuit(air, h.filters)
	if err != nil {
		return fail("acoustics", "%v", err)
	}
	j.Circuit = c
	j.Figures = c.Figures(h.drive)
	if b.Kind == BandPass {
		j.Band = c.Band()
	}
	return nil
}

// playLoud fills in how loud a judged box plays.
func (h *rig) playLoud(j *Judged) {
	limits := h.limitsOf(j.Circuit, j.Evaluation.SpeedAllowed)
	j.Curves = h.curves(j.Circuit, j.Figures, limits)
	for _, f := range loudAt {
		if level, cause := j.Circuit.MaxLevel(f, limits); cause != thielesmall.Unlimited {
			j.Loud = append(j.Loud, LoudAt{f, level, cause})
		}
	}
}

// effect gives the gain in volume and the absorption Q of a filling.
func (f Filling) effect() (gain, q float64) {
	gain, q = f.Gain, f.Q
	if f.Fraction > 0 {
		if gain == 0 {
			gain = thielesmall.FillingGain(f.Fraction, f.Density)
		}
		if q == 0 {
			q = thielesmall.AbsorptionQ(f.Fraction)
		}
	}
	return gain, q
}

// portOf is the port that a box has: as stated, with the length that a claimed tuning asks for when that is not stated,
// or implied by the tuning alone. why is not empty when there can be no such port.
func (h *rig) portOf(b ReadyBox, net float64) (r ReadyPort, why string) {
	r = b.Port
	if r.area() > 0 && r.Length > 0 {
		h.assumeBent(b, r)
		return r, ""
	}
	if r.Tuning == 0 {
		return r, "a vented box needs its port (diameter or slot, and length) or its tuning"
	}
	if r.area() > 0 {
		e := r.ends(h.boxSection(b))
		length, ok := thielesmall.PortLength(h.air, net, r.Tuning, r.area(), max(1, r.Count), e[0]+e[1])
		if !ok || length < b.Wall {
			return r, fmt.Sprintf("with a port of %s in %s a tuning of %.1f Hz would need a port of less than no length: the claim cannot be true",
				h.portSize(r), h.volume(net), r.Tuning)
		}
		r.Length += length - r.acting()
		h.assume("%s: the port's length is what its claimed tuning asks for, %s", title(b), h.length(r.Length))
		h.assumeBent(b, r)
		return r, ""
	}
	implied, ok := h.impliedBore(net, r.Tuning)
	if !ok {
		return r, fmt.Sprintf("no port tunes %s to %.1f Hz and goes into it: the claim cannot be true", h.volume(net), r.Tuning)
	}
	implied.Count = max(1, r.Count)
	h.assume("%s: only its tuning is claimed; taken as a tube of %s bore, %s long, the largest stock tube that would go in",
		title(b), h.length(implied.Diameter), h.length(implied.Length))
	return implied, ""
}

// assumeBent says of a port that is longer than its box is inside that it must have a bend, which nobody has stated.
func (h *rig) assumeBent(b ReadyBox, r ReadyPort) {
	if most := b.longestInside(); most > 0 && r.Length > most+b.Wall {
		h.assume("%s: its port, %s long, is longer than the box is inside, %s: taken to have a bend or an elbow; measure it", title(b), h.length(r.Length), h.length(most))
	}
}

func (h *rig) portSize(r ReadyPort) string {
	if r.Diameter > 0 {
		return h.length(r.Diameter) + " bore"
	}
	return h.length(r.Height) + " x " + h.length(r.Width)
}

// boxSection is the area of the box across its depth, for a port's inner end near walls; 0 when it is not known.
func (h *rig) boxSection(b ReadyBox) float64 {
	if b.Section == nil {
		return 0
	}
	s := b.Section.Bounds()
	return math.Max(0, (b.Width-2*b.Wall)*(s.Height()-2*b.Wall))
}

// shopping says what to look for instead, so that it can be read out on the phone.
func (h *rig) shopping() string {
	lo, errLo := thielesmall.SealedVolume(h.set, h.air, h.source, h.grades[grade.QtcHigh].Pass)
	text := "Look for"
	if errLo == nil {
		text += fmt.Sprintf(" a sealed box of at least %s net", h.volume(lo))
		if hi, err := thielesmall.SealedVolume(h.set, h.air, h.source, math.Max(usefulQtc, h.grades[grade.QtcLow].Pass)); err == nil {
			text += fmt.Sprintf(" (up to %s is useful)", h.volume(hi))
		}
	} else {
		text += " another driver: this one's Qts is too high for a sealed box"
	}
	f := h.req.Frame
	if f.Cutout > 0 {
		text += fmt.Sprintf(", an opening of %s to %s", h.length(f.Cutout), h.length(f.Cutout+h.grades[grade.OpeningOver].Pass))
	}
	if f.Depth > 0 {
		text += fmt.Sprintf(", and %s of depth behind the flange", h.length(f.Depth+h.depthMargin()))
	}
	return text + h.largestOblong() + "."
}

// largestOblong names the largest rectangular box that goes into the space.
func (h *rig) largestOblong() string {
	if h.req.Space == nil {
		return ""
	}
	room, err := h.req.Space.Settle()
	if err != nil {
		return ""
	}
	found, err := room.Regions(context.Background(), cavity.Limits{Pockets: -1, Corners: 4})
	if err != nil {
		return ""
	}
	best := cavity.Region{}
	for _, r := range found.Regions {
		if r.Rectangle && r.Volume > best.Volume {
			best = r
		}
	}
	if best.Volume == 0 {
		return ""
	}
	b := best.Bounds()
	text := fmt.Sprintf("; the largest rectangular box that goes into the space is %s wide, %s deep and %s high outside",
		h.length(b.Max.X-b.Min.X), h.length(b.Max.Y-b.Min.Y), h.length(b.Max.Z-b.Min.Z))
	if body, err := best.Solid(); err == nil {
		if c := h.carryIn(body, nil); c.Answer == cavity.Cannot || c.Answer == cavity.PerhapsTilting {
			o := h.req.Space.Passage
			text += fmt.Sprintf(", and what is bought has to go through the opening of %s x %s, which a box of that size does not", h.length(o.Width), h.length(o.Height))
			if c.Answer == cavity.PerhapsTilting {
				text += " without tilting"
			}
		}
	}
	return text
}

// performanceOf evaluates a ready-made box as the search evaluates a design.
func (h *rig) performanceOf(j *Judged, b ReadyBox) performance {
	c := search.Candidate{Kind: j.Kind.search(), Volume: j.NetVolume, Tuning: j.Figures.Fb}
	if b.Section != nil {
		c.Outside = b.Section.Area() * b.Width
	}
	if p := j.Port; p != nil && !p.Implied {
		c.Port = search.Port{Count: p.Count, Area: p.Area, Length: p.Effective + p.EndOuter + p.EndInner,
			Edge: h.grades.EdgeOf(max(b.Port.Edge, b.Port.Flare), cmp.Or(p.Bore, p.Height))}
	}
	j.Evaluation = h.model.EvaluateCircuit(c, j.Circuit.Without())
	if q := b.Passive; q != nil {
		r := j.Circuit.System.Box.Passive
		j.Radiator = h.radiatorDesign(q, r, r, !upright(q.Face), j.Evaluation.Radiator)
	}
	return performance{j.Sound, c, b.longestInside()}
}

// usefulQtc is the Qtc below which more air in a sealed box gives little (the maximally flat one).
const usefulQtc = 0.7071
