package design

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
	"cubby/internal/word"
)

// answer searches, builds what is offered and fills the result in, or alone: with the best design; first is told of the first.
func (f *finder) answer(ctx context.Context, res *Result, first func(*Result) error, alone bool) error {
	e := &eager{finder: f, res: *res, tell: first}
	found, err := search.Search(ctx, f.model, f.places, e, search.Options{Tolerance: searchTolerance})
	if err != nil {
		return err
	}
	if found.Status != search.Proved {
		res.SearchNotes = append(res.SearchNotes, "the search was ended by its budget: not proved best")
	}
	res.Outcomes = f.outcomes(&found)
	if found.Best == nil {
		return nil
	}
	best, err := e.best(found.Best)
	if err == nil && e.tell != nil {
		err = e.first(ctx, best, res.Outcomes)
	}
	if err != nil {
		return err
	}
	if alone {
		if err := f.lay(ctx, best, false); err != nil {
			return err
		}
		f.tellLostWishes(best, res.Outcomes)
		res.Designs = append(res.Designs, *best)
		return nil
	}
	offers, err := search.Offers(ctx, f.model, f, found, search.Options{Builds: offerBuilds, Tolerance: offerTolerance})
	if err != nil {
		return err
	}
	if better := offers[0].Found; better != found.Best {
		found.Best, found.Kinds[better.Candidate.Kind].Found = better, better
		if best, err = e.best(better); err != nil {
			return err
		}
	}
	if err := f.lay(ctx, best, false); err != nil {
		return err
	}
	res.Designs = append(res.Designs, *best)
	for _, o := range offers[1:] {
		if o.Because == search.OtherKind && o.Found != nil {
			found.Kinds[o.Found.Candidate.Kind].Found = o.Found
		}
		if !o.Kept {
			continue
		}
		d, err := f.complete(o.Because, o.Found, res)
		if err != nil {
			return err
		}
		if err := f.lay(ctx, d, true); err != nil {
			return err
		}
		if d.Verdict != DoesNotSuit { // beside the best none is offered that does not suit
			res.Designs = append(res.Designs, *d)
		}
	}
	res.Outcomes = f.outcomes(&found)
	f.surround(res)
	return nil
}

// surround says what stands round the best design: lost wishes, the next place, other sizes and the spread.
func (f *finder) surround(res *Result) {
	best := &res.Designs[0]
	f.tellLostWishes(best, res.Outcomes)
	f.runnerUp(best)
	for _, k := range f.kinds() {
		if points := f.sized(f.model.Tradeoff(f.sizePlaces(), k.search())); len(points) > 0 {
			res.Tradeoff = append(res.Tradeoff, SizeTradeoff{k, points})
		}
	}
	res.Spread = &Spread{f.model.Spread(best.candidate, best.Circuit.Without(), f.req.Saw.RoundTo), search.Frequencies()}
	res.Spread.band(best.Curves, best.Circuit, f.drive)
}

// outcomes says how the search for each kind of box ended.
func (f *finder) outcomes(found *search.Result[*made]) []Outcome {
	var all []Outcome
	for _, k := range f.kinds() {
		all = append(all, f.outcome(k, found))
	}
	return all
}

// tellLostWishes says with the best design that a wish which speaks of one kind of box is not kept, when no box of that kind
// can be built with it and one of another kind is offered in its place.
func (f *finder) tellLostWishes(best *Design, outcomes []Outcome) {
	l := f.req.Limits
	for _, o := range outcomes {
		wish, key := "", ""
		switch {
		case o.Status != "impossible":
			continue
		case o.Kind != Sealed && l.Tuning[0] > 0:
			wish, key = "a tuning of "+wished(l.Tuning, "%.1f", " Hz"), "tuning"
		case o.Kind == Sealed && l.Qtc[0] > 0 && l.Qtc[0] == l.Qtc[1]:
			wish, key = "a Qtc of "+wished(l.Qtc, "%.2f", ""), "qtc"
		default:
			continue
		}
		best.VerdictText += fmt.Sprintf(" The wish for %s is not kept: no %s box with it can be built.", wish, o.Kind)
		best.Warnings = append([]string{fmt.Sprintf("no %s box with %s (limits.%s) can be built: %s. To have no other kind offered, say consider: [%s]",
			o.Kind, wish, key, o.Reason, o.Kind)}, best.Warnings...)
	}
}

// wished writes a wish: one value, or the least and the most.
func wished(v [2]float64, format, unitName string) string {
	if v[0] == v[1] {
		return fmt.Sprintf(format, v[0]) + unitName
	}
	return fmt.Sprintf(format+" to "+format, v[0], v[1]) + unitName
}

// How much work goes into each design beside the winner: boxes that are built, and what is not worth another, dB.
const (
	searchTolerance = 0.15 // of the winner itself
	offerBuilds     = 3
	offerTolerance  = 0.5
)

// sizePlaces are the places that the trade-off of size is worked out in: those of the stand with the most air, its port a slot.
func (f *finder) sizePlaces() []search.Place {
	largest := 0
	for i := range f.stands {
		if f.stands[i].net > f.stands[largest].net {
			largest = i
		}
	}
	var all []search.Place
	for i, at := range f.sites {
		if at.stand == largest && (at.duct == nil || at.duct.isSlot()) {
			all = append(all, f.places[i])
		}
	}
	return all
}

// complete builds a design in full, all but its layout on sheets.
func (f *finder) complete(why search.Because, found *search.Found[*made], res *Result) (*Design, error) {
	d, err := f.finish(found)
	if err != nil {
		return nil, err
	}
	d.Rank, d.Because = len(res.Designs)+1, why.String()
	d.Curves = f.curves(d.Circuit, d.Figures, f.limitsOf(d.Circuit, d.Evaluation.SpeedAllowed))
	d.Fitting = f.fitting(d)
	if len(res.Designs) > 0 {
		d.Tradeoff = f.tradeoff(&res.Designs[0], d)
	}
	if f.req.Frame.Displacement == 0 {
		d.Warnings = append(d.Warnings, noDisplacement)
	}
	return d, nil
}

// search is the kind as the search knows it: a band-pass has a port too.
func (k Kind) search() search.Kind {
	switch k {
	case Vented, BandPass:
		return search.Vented
	case Passive:
		return search.Passive
	}
	return search.Sealed
}

// outcome says how the search for one kind of box ended.
func (f *finder) outcome(k Kind, found *search.Result[*made]) Outcome {
	r := &found.Kinds[k.search()]
	o := Outcome{Kind: k, Status: "found"}
	switch {
	case r.Found != nil && found.Best.Candidate.Kind == k.search():
		o.Reason = "it serves the aim best"
	case r.Found != nil:
		o.Status = "limited"
		o.Reason = fmt.Sprintf("its best is %s worse by the aim", f.difference(found.Best.Evaluation.Score-r.Found.Evaluation.Score))
	case k == Passive && f.noRadiator != nil && math.IsInf(r.Bound, -1):
		o.Status, o.Reason = "impossible", "the radiators find no place in the space: "+f.noRadiator.Error()
	case r.Refused == nil && (math.IsInf(r.Bound, -1) || found.Best == nil || r.Bound >= found.Best.Evaluation.Score):
		o.Status = "impossible"
		o.Reason = "no volume and tuning that the space allows serves this driver: " + f.whyNone(k)
	case found.Best != nil && r.Bound < found.Best.Evaluation.Score:
		o.Status = "limited"
		o.Reason = "none was built: even the best that the space might hold would serve the aim no better"
		if worse := found.Best.Evaluation.Score - r.Bound; worse >= tellableScore {
			o.Reason = fmt.Sprintf("none was built: even the best that the space might hold would be %s worse by the aim", f.difference(worse))
		}
		if r.Refused != nil {
			o.Reason += " (" + r.Refused.Error() + ")"
		}
	default: // it was built or tried and nothing came of it
		o.Status, o.Reason = "impossible", r.Refused.Error()
		if r.Out != search.Feasible {
			o.Reason = fmt.Sprintf("what can be built of it fails by its %s", r.Out)
		}
		if least, most := f.leastNet(k), f.req.Limits.Volume[1]; most > 0 && least > most && !math.IsInf(least, 1) {
			why := ": " + o.Reason
			if r.Out != search.Feasible {
				why = ""
			}
			o.Reason = fmt.Sprintf("the smallest box that takes the driver has %s of net air%s", f.volume(least), why)
		}
	}
	if f.stuck != nil && o.Status == "impossible" {
		o.Reason = f.stuck.Error()
	}
	if l := f.req.Limits.Qtc; k == Sealed && o.Status == "impossible" && l[0] > 0 && len(f.stands) > 0 {
		o.Reason = cmp.Or(f.noQtc(l), o.Reason)
	}
	if k == Vented && o.Status == "impossible" && f.req.Passive == nil {
		o.Reason += "; a passive radiator needs no room for a port: state one that is on hand (passive)"
	}
	return o
}

// leastNet is the net air of the smallest box of a kind that takes the driver, m3; infinite where none does.
func (f *finder) leastNet(k Kind) float64 {
	least := math.Inf(1)
	for i := range f.sites {
		if f.places[i].Kind == k.search() {
			least = math.Min(least, f.standAt(f.sites[i]).least(f))
		}
	}
	return least
}

// tellableScore is the least difference of scores that is printed as one.
const tellableScore = 0.05

// noQtc says that no sealed box has the Qtc that is wished for, and what the nearest has; empty where one would have it.
func (f *finder) noQtc(l [2]float64) string {
	most := 0.0
	for i := range f.stands {
		most = math.Max(most, f.stands[i].net)
	}
	what := "the most air that there is"
	if v := f.req.Limits.Volume[1]; v > 0 && v < most {
		most, what = v, "the air wished for"
	}
	e := f.model.Evaluate(search.Candidate{Kind: search.Sealed, Volume: most})
	if q := e.Figures.Qtc; q >= l[0] && q <= l[1] {
		return ""
	}
	text := fmt.Sprintf("no box gives a Qtc of %s: %s, %s, gives %.2f", wished(l, "%.2f", ""), what, f.volume(most), e.Figures.Qtc)
	if v, err := thielesmall.SealedVolume(f.set, f.air, f.source, l[1]); err == nil {
		text += fmt.Sprintf("; it takes %s of net air", f.volume(v))
	}
	return text
}

// whyNone says what keeps every box of a kind from serving the driver, by the box of the largest stand that comes nearest.
func (f *finder) whyNone(k Kind) string {
	const steps = 6
	var best search.Evaluation
	var at search.Candidate
	for i := range f.places {
		p := &f.places[i]
		if p.Kind != k.search() {
			continue
		}
		wished := f.req.Limits.Volume
		for _, v := range logGrid(math.Max(p.Volume.Most/4, wished[0]), math.Min(p.Volume.Most, orMost(wished[1])), steps) {
			for i, fb := range logGrid(25, 50, steps) {
				c := search.Candidate{Kind: p.Kind, Volume: v}
				switch p.Kind {
				case search.Passive:
					r := f.onHand.Radiator
					r.Mms += f.onHand.MostAdded * float64(i) / (steps - 1)
					c.Tuning = thielesmall.Box{Volume: v, Passive: r}.Tuning(f.air)
				case search.Vented:
					c = f.model.Tuned(v, fb, search.Port{Count: 1, Area: v / 10, Edge: slotEdge})
				}
				e := f.model.Evaluate(c)
				if at.Volume == 0 || e.Settings.Allowed > best.Settings.Allowed {
					best, at = e, c
				}
				if p.Kind == search.Sealed {
					break
				}
			}
		}
	}
	switch best.Out {
	case search.OfExcursion, search.OfPortSpeed:
		return fmt.Sprintf("%s: at best, in %s, %s", best.Out, f.volume(at.Volume), mayPlay(best.Settings))
	case search.OfQtc:
		return fmt.Sprintf("Qtc %.2f at best, in %s", best.Figures.Qtc, f.volume(at.Volume))
	}
	return best.Out.String()
}

// orMost is a limit, or more than any where none is stated.
func orMost(limit float64) float64 {
	if limit > 0 {
		return limit
	}
	return math.Inf(1)
}

// difference writes a difference of scores.
func (f *finder) difference(d float64) string {
	if f.req.Aim == Compact {
		return fmt.Sprintf("%.1f l", math.Abs(d))
	}
	return fmt.Sprintf("%.1f dB", math.Abs(d))
}

// finish builds the boards of a box that was found and makes a design of it: its circuit, figures and checks. Curves and
// sheets come later, for the designs that are kept.
func (f *finder) finish(found *search.Found[*made]) (*Design, error) {
	m := found.Box
	box, err := panels.Build(m.spec)
	if err != nil {
		return nil, f.inUnits(err)
	}
	d := &Design{candidate: found.Candidate}
	d.Kind, d.Evaluation, d.Score, d.Box, d.Placed, d.Carry = Kind(m.kind().String()), found.Evaluation, found.Evaluation.Score, box, m.placed, m.carry
	air := f.airIn(m, box)
	if m.duct != nil {
		at := box.Ports[0]
		size := PortSize{m.duct.count, m.duct.bore, m.duct.outside, m.duct.height, m.duct.width, m.duct.area()}
		d.Port = &PortDesign{
			PortSize: size, Length: at.Length, Effective: effective(&at), EndOuter: m.ends[0], EndInner: m.ends[1],
		}
	}
	if d.Circuit, err = f.circuit(air, f.filters); err != nil {
		return nil, err
	}
	d.Figures = d.Circuit.Figures(f.drive)
	if e := f.model.EvaluateCircuit(found.Candidate, d.Circuit.Without()); e.Out == search.Feasible { // by the aim, whatever it was looked for
		d.Evaluation, d.Score = e, e.Score
	}
	d.ScoreText = f.req.Aim.text(&d.Evaluation, f.volume(box.OuterVolume))
	if d.Port != nil {
		f.describePort(d, air.Tuning(f.air))
	}
	if at := box.Radiators; at != nil {
		d.Radiator = f.radiatorDesign(f.req.Passive, f.onHand.Radiator, m.radiator, liesFlat(box), d.Evaluation.Radiator)
		d.Mass = f.req.Passive.Mass(d.Radiator)
	}
	d.Mass += box.BoardMass + float64(max(1, f.req.Mount.Count))*f.req.Frame.Mass
	d.Warnings = append(d.Warnings, panels.Texts(box.Warnings, f.req.Units)...)
	d.CarryText = f.carryText(d.Carry)
	d.StickTests = f.room.StickTests(&m.region)
	d.Access, d.Beside = f.access(m, box), f.beside(&m.region)
	d.Checks = f.spaceRows()
	if c, ok := f.checkRadiatorAir(box); ok {
		d.Checks = append(d.Checks, c)
	}
	f.judge(d)
	if text, caution := f.narrowGap(d); caution {
		d.Warnings = append(d.Warnings, text)
	}
	if heavy := f.weigh(d); heavy != "" {
		d.Warnings = append(d.Warnings, heavy)
	}
	return d, nil
}

// tradeoff says in words what d gives and takes against the first design.
func (f *finder) tradeoff(first, d *Design) string {
	more := func(v float64, what, unitName string) string {
		word := "more"
		if v < 0 {
			word = "less"
		}
		return fmt.Sprintf("%.1f %s %s %s", math.Abs(v), unitName, word, what)
	}
	parts := []string{
		more(d.Evaluation.MeanLow-first.Evaluation.MeanLow, "output from 20 to 40 Hz", "dB"),
		more(d.Evaluation.Loud-first.Evaluation.Loud, "from 30 to 80 Hz", "dB"),
		fmt.Sprintf("%s outside instead of %s", f.volume(d.Box.OuterVolume), f.volume(first.Box.OuterVolume)),
	}
	if !math.IsNaN(d.Figures.F3) && !math.IsNaN(first.Figures.F3) {
		parts = append(parts, fmt.Sprintf("f3 %.1f Hz instead of %.1f Hz", d.Figures.F3, first.Figures.F3))
	}
	if n := d.Placed.Minutes - first.Placed.Minutes; math.Abs(n) >= 1 {
		parts = append(parts, more(n, "in the shop", "minutes"))
	}
	return fmt.Sprintf("%s: %s.", upper(becauseText(d)), word.List(parts))
}

// becauseText says why a design is offered.
func becauseText(d *Design) string {
	switch d.Because {
	case search.OtherKind.String():
		return fmt.Sprintf("the best %s box", d.Kind)
	case search.QuietPort.String():
		return "the quietest port"
	case search.Smallest.String():
		return "the smallest box within 2 dB"
	case search.LowestCorner.String():
		return "the lowest note within 2 dB"
	}
	return "the best box"
}

// tellIdleWishes says of a wish for a kind of box that the job does not consider that nothing comes of it.
func (f *finder) tellIdleWishes(best *Design) {
	l := f.req.Limits
	for _, w := range []struct {
		kind Kind
		key  string
		said bool
	}{{Vented, "tuning", l.Tuning[0] > 0}, {Sealed, "qtc", l.Qtc[0] > 0}} {
		if w.said && !slices.Contains(f.req.Kinds, w.kind) {
			best.Warnings = append(best.Warnings, fmt.Sprintf("limits.%s speaks of %s boxes alone, and consider names none: nothing comes of it", w.key, w.kind))
		}
	}
}
