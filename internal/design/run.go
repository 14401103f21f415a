package design

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	cavity "cubby/internal/cavity/old"
	"cubby/internal/panels"
	"cubby/internal/plane"
)

// Run designs the whole job. The error is for a job that cannot be worked on at all (a *ConfigError, a typed error of a
// package below, or several joined); "no box suits" is an answer, found in Result.Outcomes with Result.Designs empty.
// Cancelling ctx ends the search with ctx's error.
func Run(ctx context.Context, req Request) (*Result, error) {
	p, err := newRig(&req)
	if err != nil {
		return nil, err
	}
	if p.drive, err = p.driveVolts(); err != nil {
		return nil, err
	}
	if req.Space == nil {
		return nil, &ConfigError{Field: "cavity", Want: "the space must be stated: width and profile, or width, depth and height"}
	}
	p.settle()
	res := &Result{
		Request: req, Air: p.air, DriverSingle: p.single, Driver: p.set, Findings: p.findings, DriveVolts: p.drive,
		FullVolts: p.volts, MaxLimits: p.limits,
	}
	defer func() { res.Assumptions = p.assumptions }()
	var none *cavity.NoRoomError
	if p.shapes, err = p.space().Shapes(); errors.As(err, &none) {
		res.Outcomes = impossible(req.Kinds, none)
		return res, nil
	} else if err != nil {
		return nil, err
	}
	rooms, problems := p.rooms()
	if len(rooms) == 0 {
		res.Outcomes = impossible(req.Kinds, problems...)
		return res, nil
	}
	for _, e := range problems {
		res.SearchNotes = append(res.SearchNotes, e.Error())
	}
	res.Shapes = p.offers(rooms)
	if err := newHunt(p, rooms, nil).runAll(ctx, res); err != nil {
		return nil, err
	}
	return res, nil
}

// impossible says of every kind of box wished for that none can be built, and why.
func impossible(kinds []Kind, reasons ...error) []Outcome {
	var all []Outcome
	for _, k := range kinds {
		all = append(all, Outcome{Kind: k, Status: "impossible", Reason: together(reasons)})
	}
	return all
}

// together tells the reasons of several shapes, each once: of all shapes, or behind the names of those that it holds for.
func together(reasons []error) string {
	var texts []string
	shapes := map[string][]string{}
	for _, e := range reasons {
		text, shape := e.Error(), ""
		if inner := errors.Unwrap(e); inner != nil {
			text = inner.Error()
			shape = strings.TrimSuffix(e.Error(), ": "+text)
		}
		if shapes[text] == nil {
			texts = append(texts, text)
		}
		shapes[text] = append(shapes[text], shape)
	}
	if len(texts) == 1 && len(reasons) > 1 {
		return texts[0]
	}
	for i, t := range texts {
		if of := shapes[t]; of[0] != "" {
			texts[i] = list(of) + ": " + t
		}
	}
	return strings.Join(texts, "; ")
}

// A ConfigError is a fault of the job as a whole: a field and what it must be.
type ConfigError struct{ Field, Want string }

func (e *ConfigError) Error() string { return e.Field + ": " + e.Want }

// settle puts defaults where the job is silent and says so.
func (p *rig) settle() {
	r := p.req
	if r.Saw.RoundTo == 0 {
		r.Saw.RoundTo = defaultStep(r.Units)
		p.assume("outside sizes are rounded down to %s", p.length(r.Saw.RoundTo))
	}
	if r.Saw.Kerf == 0 {
		r.Saw.Kerf = 0.0032
		p.assume("saw kerf %s (a full-kerf blade)", p.length(r.Saw.Kerf))
	}
	if r.Saw.Trim == 0 && !r.Saw.NoTrim {
		r.Saw.Trim = DefaultTrim(r.Saw.Kerf, r.Units)
		p.assume("%s comes off each factory edge, kerf included", p.length(r.Saw.Trim))
	}
	if r.Aim == "" {
		r.Aim = Low
		p.assume("aim: low, %s", Low.Describe())
	}
	if len(r.Kinds) == 0 {
		r.Kinds = []Kind{Sealed, Vented}
	}
	if r.Mount.Face == "" {
		r.Mount.Face = "front"
		p.assume("the driver sits on the front face")
	}
	if t := r.Terminal; t != nil && (t.Diameter == 0 && t.Width == 0 || t.Depth == 0) {
		d := t.WithDefaults()
		size := p.length(d.Diameter) + " across"
		if d.Diameter == 0 {
			size = p.length(d.Width) + " x " + p.length(d.Height)
		}
		p.assume("terminal plate: opening %s, %s deep (common practice: measure the plate)", size, p.length(d.Depth))
	}
	for _, k := range r.Kinds {
		if k == Vented {
			p.assume("vented boxes lose air with QL %.0f (Small's working value for all losses); sealed boxes do not", ventedLeakQ)
			if !p.highPass {
				p.assume("the search lets vented boxes play through a high-pass of 24 dB an octave at %.2f of the tuning; the curves are without it", assumedHighPass)
			}
		}
	}
}

// space is the cavity with its clearances: the gap, the covering and the gasket of a removable face, and the stated air
// where the driver's face looks at a closed side. The front is the open side: the air before a front face lies outside the
// space. What is found to stand in it is wood.
func (p *rig) space() cavity.Space {
	s := p.req.Space.Space
	s.Units = p.req.Units
	m, c := p.req.Mount, p.req.Wood.Covering
	air := func(side string) float64 {
		if side == m.Face && side != "front" {
			return math.Max(s.Gap, m.AirInFront)
		}
		return s.Gap
	}
	s.InsetLeft, s.InsetRight = air("left")+p.skin("left"), air("right")+p.skin("right")
	s.Insets = make([]float64, len(s.Section))
	for i := range s.Section {
		side := panels.SideOf(s.Section, i)
		s.Insets[i] = air(side) + p.skin(side)
	}
	if c != nil || m.Removable {
		s.Blocks = append([]cavity.Block(nil), s.Blocks...)
		for i := range s.Blocks {
			p.wrapBlock(&s.Blocks[i])
		}
	}
	return s
}

// skin is what stands outside the wood on a side of the box: covering, and the squeezed gasket of a removable face.
func (p *rig) skin(side string) float64 {
	t := p.req.Wood.Covering.On(side)
	if p.req.Mount.Removable && side == p.req.Mount.Face {
		t += panels.GasketSqueezed
	}
	return t
}

// wrapBlock makes a block larger by the skin of the sides of the box that look at it.
func (p *rig) wrapBlock(b *cavity.Block) {
	b.Left -= p.skin("right")
	b.Width += p.skin("right") + p.skin("left")
	b.Front -= p.skin("back")
	b.Depth += p.skin("back") + p.skin("front")
	b.Floor -= p.skin("top")
	b.Height += p.skin("top") + p.skin("bottom")
}

// offers says what each shape of the space would hold, and what the extra bevels buy.
func (p *rig) offers(rooms []room) []ShapeOffer {
	var all []ShapeOffer
	for i, r := range rooms {
		o := ShapeOffer{Kind: p.shapes[r.index].Kind, Bevels: r.bevels, Net: r.netAtFull}
		if i > 0 {
			prev := rooms[i-1]
			o.GainText = fmt.Sprintf("%s more than the %s", p.volume(r.netAtFull-prev.netAtFull), p.shapes[prev.index].Kind)
			if more := r.bevels - prev.bevels; more > 0 {
				o.GainText += fmt.Sprintf(", for %d more bevelled corner%s", more, plural(more))
			}
		}
		all = append(all, o)
	}
	return all
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// kinds are the kinds of box wished for, sealed first: aim compact measures by it.
func (p *rig) kinds() []Kind {
	kinds := append([]Kind(nil), p.req.Kinds...)
	sort.Slice(kinds, func(i, j int) bool { return kinds[i] < kinds[j] })
	return kinds
}

// runAll finds the best design of each kind wished for, ranks them and finishes those that are kept.
func (h *rig) runAll(ctx context.Context, res *Result) error {
	for _, k := range h.kinds() {
		var sealed *Design
		if len(res.Designs) > 0 {
			sealed = &res.Designs[0]
		}
		d, outcome, err := h.find(ctx, k, sealed)
		if err != nil {
			return err
		}
		res.Outcomes = append(res.Outcomes, outcome)
		if d != nil {
			res.Designs = append(res.Designs, *d)
		}
	}
	sort.SliceStable(res.Designs, func(i, j int) bool { return better(res.Designs[i], res.Designs[j], h.req.Aim) })
	for i := range res.Designs {
		d := &res.Designs[i]
		d.Rank = i + 1
		d.Curves = h.curves(d.Circuit, d.Figures, h.grid())
		d.Fitting = h.fitting(d)
		if err := h.lay(ctx, d); err != nil {
			return err
		}
		if i > 0 {
			d.Tradeoff = h.tradeoff(res.Designs[0], *d)
		}
		if h.req.Frame.Displacement == 0 {
			d.Warnings = append(d.Warnings, noDisplacement)
		}
	}
	return h.tellLostWishes(ctx, res)
}

// better says whether a serves the aim better than b: a design without a failed check first, then the score, then the
// smaller box.
func better(a, b Design, aim Aim) bool {
	if f, g := a.Verdict == DoesNotSuit, b.Verdict == DoesNotSuit; f != g {
		return g
	}
	if math.Abs(a.Score-b.Score) > aim.tie(math.Max(a.Score, b.Score)) {
		return a.Score > b.Score
	}
	return a.Box.NetVolume < b.Box.NetVolume
}

// grid is the frequency grid of the curves.
func (p *rig) grid() Grid {
	g := p.req.Grid
	if g.From == 0 {
		g.From = 10
	}
	if g.To == 0 {
		g.To = 300
	}
	if g.Points == 0 {
		g.Points = 300
	}
	return g
}

// tradeoff says in words what d gives and takes against the first design.
func (p *rig) tradeoff(first, d Design) string {
	more := func(v float64, what, unitName string) string {
		word := "more"
		if v < 0 {
			word = "less"
		}
		return fmt.Sprintf("%.1f %s %s %s", math.Abs(v), unitName, word, what)
	}
	parts := []string{
		more(d.meanLow-first.meanLow, "output from 20 to 40 Hz", "dB"),
		more(d.meanLoud-first.meanLoud, "from 30 to 80 Hz", "dB"),
		fmt.Sprintf("%s outside instead of %s", p.volume(d.Box.OuterVolume), p.volume(first.Box.OuterVolume)),
	}
	if !math.IsNaN(d.Figures.F3) && !math.IsNaN(first.Figures.F3) {
		parts = append(parts, fmt.Sprintf("f3 %.1f Hz instead of %.1f Hz", d.Figures.F3, first.Figures.F3))
	}
	if n := bevels(d.Box.Section) - bevels(first.Box.Section); n != 0 {
		parts = append(parts, bevelText(n))
	}
	switch {
	case d.Verdict == DoesNotSuit && first.Verdict != DoesNotSuit:
		return fmt.Sprintf("The best %s box: %s. It does not suit: %s.", d.Kind, list(parts), list(failed(d.Checks)))
	case math.Abs(d.penalty-first.penalty) >= 0.005: // as printed
		parts = append(parts, fmt.Sprintf("marginal checks count %.2f instead of %.2f against it", d.penalty, first.penalty))
	}
	return fmt.Sprintf("The best %s box: %s.", d.Kind, list(parts))
}

// bevelText says how many bevelled corners more or fewer a box has.
func bevelText(n int) string {
	word := "more"
	if n < 0 {
		n, word = -n, "fewer"
	}
	return fmt.Sprintf("%d %s bevelled corner%s", n, word, plural(n))
}

// bevels counts the corners of a section that are not square.
func bevels(g plane.Polygon) int {
	const square = 0.5 * math.Pi / 180 // rad: joints within half a degree of square are cut square
	n := 0
	for i := range g {
		if math.Abs(math.Sin(2*g.InteriorAngle(i))) > math.Sin(2*square) {
			n++
		}
	}
	return n
}
