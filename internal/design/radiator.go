package design

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
)

// Passives are equal passive radiators: those on hand for a box that is designed, or those of a ready-made one.
type Passives struct {
	Spec      thielesmall.Spec // of one, as it is sold, less the motor
	Frame     panels.Driver    // the same as a thing of metal
	Count     int              // that a box gets; 0: 1
	MostAdded float64          // kg, the most that may be added to each
	Face      string           // that they go into; empty: any that has room
	File      string           // as written in the job; empty when inline
}

// RadiatorDesign is the passive radiators of a box: as designed, or as it is sold with them.
type RadiatorDesign struct {
	thielesmall.Radiator // with what is added
	Name                 string
	Added, MostAdded     float64 // kg, to each
	Travel               float64 // m, of each at full power
	Sag                  float64 // m, by its own weight; 0: it stands upright
	Ratio                float64 // the volume that all displace over that of the drivers; 0: one of the two is not known
}

// Mass is what all radiators weigh with what is added to them, kg.
func (q *Passives) Mass(r *RadiatorDesign) float64 {
	return float64(r.Count) * (q.Frame.Mass + r.Added)
}

// stockOf is the radiators as the search knows them, and what is to be said of their data.
func (q *Passives) stockOf() (search.Stock, []thielesmall.Finding, error) {
	r, findings, err := q.Spec.Radiator()
	r.Count = max(1, q.Count)
	for i := range findings {
		findings[i].Quantity, findings[i].Text = "passive."+findings[i].Quantity, "passive radiator: "+findings[i].Text
	}
	return search.Stock{Radiator: r, MostAdded: q.MostAdded}, findings, err
}

// assumePassive says what is taken for granted of radiators.
func (p *rig) assumePassive(q *Passives) {
	if q.Spec.Qms == 0 && q.Spec.Rms == 0 {
		p.assume("the radiator's own loss (qms) is not stated: none is counted beside QL %.0f", ventedLeakQ)
	}
	if q.MostAdded == 0 {
		p.assume("no mass may be added to the radiator: passive.mass_added, the most that its maker allows, is not stated")
	}
}

// massStep is the step in which mass is added, kg: what a kitchen scale shows.
const massStep = 1e-3

// loaded is the stock's radiators with the whole grams that tune so much air nearest to a frequency.
func (p *rig) loaded(volume, tuning float64) thielesmall.Radiator {
	r := p.onHand.Radiator
	added := math.Round((r.Tuned(p.air, volume, tuning).Mms-r.Mms)/massStep) * massStep
	r.Mms += math.Max(0, math.Min(added, p.onHand.MostAdded))
	return r
}

// saggy reports whether a radiator of that mass may only stand upright.
func (p *rig) saggy(r thielesmall.Radiator) bool {
	return r.Xmax > 0 && !grade.AtMost(r.Sag(), p.grades[grade.RadiatorSag].Pass*r.Xmax)
}

// radiatorFaces are the faces that radiators may go into, in the order in which they are tried; "" leaves it to the wood.
func (p *rig) radiatorFaces(r thielesmall.Radiator) []string {
	own := p.req.Mount.Face
	switch {
	case p.req.Passive.Face != "":
		return []string{p.req.Passive.Face}
	case !p.saggy(r):
		return []string{"", "front", "left", "right", "back", "top"}
	case upright(own):
		return []string{own, "front", "left", "right", "back"}
	}
	return []string{"front", "left", "right", "back"}
}

func upright(face string) bool { return face != "top" && face != "bottom" }

// withRadiators is a stand with the radiators on hand mounted; nil where they find no place.
func (f *finder) withRadiators(s *stand) *stand {
	own := &stand{region: s.region, minutes: s.minutes}
	m := f.req.Mount
	spec := s.spec
	spec.Radiators = &panels.Radiators{Driver: f.req.Passive.Frame, Count: f.onHand.Count,
		Mounting: panels.Mounting{Recess: m.Recess, Chamfer: m.Chamfer, Fastening: m.Fastening}}
	box, err := f.planRadiators(&made{spec: spec, radiator: f.onHand.Radiator})
	if err != nil {
		if f.noRadiator == nil {
			f.noRadiator = f.inUnits(err)
		}
		return nil
	}
	own.spec, own.net, own.taken = spec, box.NetVolume, s.region.Air-box.NetVolume
	s.radiators = own
	return own
}

// planRadiators plans a box with the radiators on the first face on which they are right.
func (f *finder) planRadiators(m *made) (box *panels.Box, err error) {
	own := *m.spec.Radiators
	m.spec.Radiators = &own
	var first error
	for _, own.Face = range f.radiatorFaces(m.radiator) {
		if box, err = panels.Plan(m.spec); err == nil {
			if err = f.wrong(m, box); err == nil {
				return box, nil
			}
		}
		if first == nil {
			first = err
		}
	}
	return nil, first
}

// radiatorDesign is what is to be said of the radiators of a box; flat: they face up or down.
func (p *rig) radiatorDesign(q *Passives, unloaded, r thielesmall.Radiator, flat bool, travel float64) *RadiatorDesign {
	d := &RadiatorDesign{Radiator: r, Name: q.Spec.Name, Added: r.Mms - unloaded.Mms, MostAdded: q.MostAdded, Travel: travel}
	if flat {
		d.Sag = r.Sag()
	}
	if p.set.Xmax > 0 {
		d.Ratio = float64(r.Count) * r.Sd * r.Xmax / p.set.VolumeDisplacement()
	}
	return d
}

// radiatorFacts are the key figures of radiators; none without any.
func radiatorFacts(r *RadiatorDesign) []Fact {
	if r == nil {
		return nil
	}
	all := []Fact{{Name: "mass added, each", Values: []float64{r.Added}, Unit: "g", Place: OfTheSound}}
	if r.Travel > 0 && r.Xmax > 0 {
		all = append(all, Fact{Name: "radiator travels", Values: []float64{r.Travel, r.Xmax}, Unit: "mm of", Place: OfTheSound})
	}
	return all
}

// RadiatorCheck names the check of the radiators' travel.
const RadiatorCheck = "radiator travel at full power"

// radiatorRows are the rows on the radiators of a box.
func (h *rig) radiatorRows(p performance) []Check {
	r, full := p.Radiator, p.Evaluation.Settings.Full
	g := h.grades
	var rows []Check
	switch {
	case r.Xmax == 0:
		rows = append(rows, notChecked(RadiatorCheck, "the radiator's xmax is not stated"))
	case full == 0:
		rows = append(rows, notChecked(RadiatorCheck, "the amplifier's power and load are not stated"))
	default:
		c := row(RadiatorCheck, g[grade.Excursion].Scaled(r.Travel, r.Xmax), r.Travel, r.Xmax, "m",
			fmt.Sprintf("%.1f mm peak of each radiator with a full sine of %.0f W%s; its Xmax is %.1f mm", r.Travel*1000, full, behind(&p.Evaluation), r.Xmax*1000))
		if c.Status != panels.Pass {
			c.Setting = limitTo(full*r.Xmax*r.Xmax/(r.Travel*r.Travel)) + ", or use a radiator that moves more air"
		}
		rows = append(rows, c)
	}
	if r.Sag > 0 && r.Xmax > 0 {
		most := g[grade.RadiatorSag].Pass * r.Xmax
		c := row("radiator sag", g[grade.RadiatorSag].Scaled(r.Sag, r.Xmax), r.Sag, most, "m",
			fmt.Sprintf("facing up or down it sinks %.1f mm by its own weight; a tenth of its Xmax is %.1f mm", r.Sag*1000, most*1000))
		if c.Status != panels.Pass {
			c.Setting = "mount it on an upright face"
		}
		rows = append(rows, c)
	}
	if r.Ratio > 0 {
		rows = append(rows, told("radiator displacement", fmt.Sprintf("the radiators move %.1f times the air that the drivers do; at least %.0f times is wanted (Small, 1974)",
			r.Ratio, g[grade.RadiatorDisplacement].Value())))
	}
	return append(rows, told("mass on the radiator", r.MassText()))
}

// MassText says what is added to the radiators.
func (r *RadiatorDesign) MassText() string {
	what := "the radiator"
	if r.Count > 1 {
		what = fmt.Sprintf("each of the %d radiators", r.Count)
	}
	if r.Added < massStep/2 {
		return fmt.Sprintf("nothing is added to %s: %.0f g move", what, r.Mms*1000)
	}
	return fmt.Sprintf("add %.0f g to %s, in its middle and for good: %.0f g move then; at most %.0f g may be added", r.Added*1000, what, r.Mms*1000, r.MostAdded*1000)
}

// Text says what the radiators are and how far they move.
func (r *RadiatorDesign) Text() string {
	text := fmt.Sprintf("%d x %s of %.0f cm2; %s", r.Count, cmp.Or(r.Name, "passive radiator"), r.Sd*1e4, r.MassText())
	if r.Travel > 0 {
		text += fmt.Sprintf("; moving %.1f mm at full power", r.Travel*1000)
	}
	return text
}

// remass says what other mass on the radiators would bring a graded figure within its pass limit: more when down, else less.
// The box with it is evaluated in full, and what comes out worse is said. Empty when none does.
func (h *rig) remass(p performance, down bool, grade func(thielesmall.Figures) Check) string {
	const steps = 40
	r, to := p.Radiator, 0.0
	if down {
		to = r.MostAdded
	}
	bare := *h
	bare.brief = true
	for i := 1; i <= steps; i++ {
		added := math.Round((r.Added+(to-r.Added)*float64(i)/steps)/massStep) * massStep
		other, ok := bare.withMass(p, added)
		if !ok {
			return ""
		}
		g := grade(other.Figures)
		if g.Status != panels.Pass {
			continue
		}
		text := fmt.Sprintf("%.0f g on each radiator instead of %.0f g (tuning %.1f Hz) bring it to %.1f dB", added*1000, r.Added*1000, other.Figures.Fb, g.Value)
		if math.Abs(added-r.Added) < massStep/2 {
			return ""
		}
		if worse := worsened(bare.soundRows(p), bare.soundRows(other)); len(worse) > 0 {
			text += ", but then " + strings.Join(worse, ", ")
		}
		return text
	}
	return ""
}

// withMass is a box with so much added to each radiator, kg.
func (h *rig) withMass(p performance, added float64) (performance, bool) {
	b, r := p.Circuit.System.Box, *p.Radiator
	r.Mms += added - r.Added
	b.Passive, r.Added = r.Radiator, added
	bare, err := h.circuit(b, nil)
	if err != nil {
		return p, false
	}
	if p.Circuit, err = h.circuit(b, h.filters); err != nil {
		return p, false
	}
	p.Figures = bare.Figures(h.drive)
	p.built.Tuning = p.Figures.Fb
	p.Evaluation = h.model.EvaluateCircuit(p.built, bare)
	if r.Travel = p.Evaluation.Radiator; r.Sag > 0 {
		r.Sag = r.Radiator.Sag()
	}
	p.Radiator = &r
	return p, true
}

// worsened says which checks of the same names come out worse in others.
func worsened(rows, others []Check) []string {
	var all []string
	for i, c := range others {
		if i < len(rows) && rows[i].Name == c.Name && c.Status > rows[i].Status && rows[i].Status != panels.NotChecked {
			all = append(all, fmt.Sprintf("%s: %s", c.Name, c.Status))
		}
	}
	return all
}

// checkRadiatorAir is the row on the air before the radiators of a box, as the space leaves it; false where it is not asked.
func (f *finder) checkRadiatorAir(box *panels.Box) (c Check, ok bool) {
	const name, near = "air in front of the radiator", 1e-4 // m
	r := f.onHand.Radiator
	at := box.Radiators
	if at == nil || r.Xmax == 0 {
		return c, false
	}
	wanted, reach := r.Xmax+f.grades[grade.AirInFront].Pass, math.Sqrt(r.Sd/math.Pi)
	free, before := wanted, ""
	for _, from := range at.Middles {
		o := f.room.Before(from, at.Out, reach, free)
		if !o.Blocked {
			continue
		}
		if before = o.Block; before == "" {
			before = "the " + o.Side.String() + " of the space"
		}
		for lo := 0.0; free-lo > near; {
			if mid := (lo + free) / 2; f.room.Before(from, at.Out, reach, mid).Blocked {
				free = mid
			} else {
				lo = mid
			}
		}
	}
	needs := fmt.Sprintf("its travel and a margin need %s", f.length(wanted))
	if before == "" {
		return row(name, panels.Pass, free, wanted, "m", fmt.Sprintf("%s or more; %s", f.length(free), needs)), true
	}
	c = row(name, grade.NoLess(free, wanted, r.Xmax), free, wanted, "m", fmt.Sprintf("%s to %s; %s", f.length(free), before, needs))
	c.Setting = "put the radiator on a face that looks at free air: passive.face"
	return c, true
}

// liesFlat reports whether the radiators of a box face up or down.
func liesFlat(box *panels.Box) bool {
	const upright = 0.7 // of the normal's height, at most
	return box.Radiators != nil && math.Abs(box.Radiators.Out.Z) > upright
}

// wrong says why the radiators of a planned box cannot serve where they are; nil: they can.
func (f *finder) wrong(m *made, box *panels.Box) error {
	if err := f.failedWood(box); err != nil || m.tuning == 0 {
		return err
	}
	if liesFlat(box) && f.saggy(m.radiator) {
		return fmt.Errorf("radiator sag: facing up or down it sinks more than a tenth of its Xmax by its own weight")
	}
	if c, ok := f.checkRadiatorAir(box); ok && c.Status == panels.Fail {
		return fmt.Errorf("%s: %s", c.Name, c.Note)
	}
	return nil
}
