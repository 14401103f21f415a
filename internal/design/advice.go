package design

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/numeric"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// The filling that advice is worked out for: loose polyester fibre, most of the volume (common practice).
const (
	fillShare   = 0.8  // of the volume
	fillDensity = 12.0 // kg/m3
)

// filledQtc is the Qtc of a sealed box with a share of its volume filled; NaN where that is no box.
func filledQtc(s thielesmall.System, share float64) float64 {
	if share > 0 {
		s.Box.FillGain, s.Box.AbsorbQ = thielesmall.FillingGain(share, fillDensity), thielesmall.AbsorptionQ(share)
	}
	c, err := thielesmall.NewCircuit(s)
	if err != nil {
		return math.NaN()
	}
	return c.Figures(1).Qtc
}

// fillingTo is the share of a box between none and most that brings its Qtc, which falls with the share, to the wanted one.
func fillingTo(want, most float64, qtc func(share float64) float64) float64 {
	return numeric.Bisect(most, 0, 40, func(share float64) bool { return qtc(share) <= want })
}

// lowerQtc says what brings a Qtc down: filling, no more than is wanted, and the volume that would do without.
func (h *rig) lowerQtc(p performance) string {
	text, want := "", h.wantedQtc(h.grades[grade.QtcHigh].Pass)
	filled := func(share float64) float64 { return filledQtc(p.Circuit.System, share) }
	share := fillShare
	if filled(share) < h.grades[grade.QtcLow].Pass {
		share = fillingTo(want, share, filled)
	}
	if q := filled(share); q < p.Figures.Qtc*(1-slack) { // it may be filled so far already
		text = fmt.Sprintf("filling %.0f %% of it with fibre, %.0f kg/m3, brings Qtc to %.2f (a model)", share*100, fillDensity, q)
	}
	if v, err := thielesmall.SealedVolume(h.set, h.air, h.source, want); err == nil {
		text = joinAlternatives(text, fmt.Sprintf("%s of net air gives %.2f", h.volume(v), want))
	}
	return text
}

// wantedQtc is what advice brings a Qtc to: the one wished for, or the given end of what is wanted.
func (h *rig) wantedQtc(end float64) float64 {
	if q := h.wishedQtc(); q > 0 {
		return q
	}
	return end
}

func joinAlternatives(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; or " + b
}

// spreadShare is the usual spread of a catalogue's Qts (common practice): more than any threshold here.
const spreadShare = 0.15

// spread adds to an acoustic check how it would come out with a driver at either end of the catalogue's spread, when
// that changes the grade. grade makes the check for other figures.
func (h *rig) spread(p performance, c Check, grade func(thielesmall.Figures) Check) Check {
	for _, side := range []struct {
		word  string
		share float64
	}{{"below", 1 - spreadShare}, {"above", 1 + spreadShare}} {
		f, ok := h.figuresWithQts(p.Circuit.System.Box, side.share)
		if !ok {
			continue
		}
		if other := grade(f); other.Status != c.Status && other.Status != panels.NotChecked {
			c.Note += fmt.Sprintf("; with a driver whose Qts is %.0f %% %s the catalogue's it would be %.3g, %s",
				spreadShare*100, side.word, other.Value, other.Status)
		}
	}
	return c
}

// figuresWithQts are a box's figures with the driver's Qts multiplied by a share, its force factor changed to suit.
func (h *rig) figuresWithQts(b thielesmall.Box, share float64) (thielesmall.Figures, bool) {
	driver := h.set
	qms := driver.Qms()
	wanted := share * driver.Qts()
	if wanted >= qms {
		return thielesmall.Figures{}, false
	}
	qes := 1 / (1/wanted - 1/qms)
	driver.Bl *= math.Sqrt(driver.Qes() / qes) // Qes is proportional to 1/Bl^2
	c, err := thielesmall.NewCircuit(thielesmall.System{Air: h.air, Driver: driver, Box: b, Source: h.source})
	if err != nil {
		return thielesmall.Figures{}, false
	}
	return c.Figures(1), true
}

// narrowGap says what the air in the gap before a cone that looks at a closed side does to it: it moves with the cone and
// adds to its mass. Empty when the face does not look at a closed side or the gap is not stated.
func (h *rig) narrowGap(d *Design) (text string, caution bool) {
	m := h.req.Mount
	if m.Face == "front" || m.AirInFront <= 0 {
		return "", false
	}
	radius := h.gapRadius(d)
	if radius <= 0 {
		return "", false
	}
	extra := thielesmall.SlotMass(h.air, h.set, m.AirInFront, radius)
	share := extra / h.set.Mms
	loaded := h.set
	loaded.Mms += extra
	text = fmt.Sprintf("the %s of air before the %s face moves with the cone: about %.0f g more on %.0f g (%.0f %%), fs %.1f Hz instead of %.1f Hz, Qts %.2f instead of %.2f; a model, not in the curves",
		h.length(m.AirInFront), m.Face, extra*1000, h.set.Mms*1000, share*100, loaded.Fs(), h.set.Fs(), loaded.Qts(), h.set.Qts())
	return text, share > h.grades[grade.GapMass].Pass
}

// gapRadius is how far the gap before the face reaches from a cone's axis: to the nearest edge of the face.
func (h *rig) gapRadius(d *Design) float64 {
	for _, p := range d.Box.Panels {
		if p.Name != d.Box.Drivers.Panel {
			continue
		}
		r := math.Inf(1)
		for _, c := range d.Box.Drivers.Centres {
			r = math.Min(r, math.Min(math.Min(c.X, p.Length-c.X), math.Min(c.Y, p.OuterWidth-c.Y)))
		}
		if !math.IsInf(r, 1) {
			return r
		}
	}
	return 0
}

// boxMode is the lowest standing wave along the inside of the box, c/2L of its longest dimension, Hz.
func (h *rig) boxMode(d *Design) float64 {
	size := d.Box.Inside.Bounds()
	longest := math.Max(d.Box.InsideWidth, math.Max(size.Width(), size.Height()))
	return h.air.SoundSpeed / (2 * longest)
}

// withPort is a vented box evaluated again with ports of another area or tuning: their length follows, and what they take more
// of the air is gone from the box. ok is false where there is no such port.
func (h *rig) withPort(p performance, area, fb float64) (q performance, length float64, ok bool) {
	b := p.Circuit.System.Box
	first, n := b.Ports[0], float64(len(b.Ports))
	walls := 1.0 // of a tube
	if p.Port.Bore > 0 && p.Port.Outside > p.Port.Bore {
		walls = p.Port.Outside * p.Port.Outside / (p.Port.Bore * p.Port.Bore)
	}
	scale := math.Sqrt(area / first.Area)
	ends := [2]float64{first.Ends[0] * scale, first.Ends[1] * scale}
	length = first.Length
	for range 6 {
		b.Volume = p.volume() - n*walls*(area*length-first.Area*first.Length)
		if b.Volume <= 0 {
			return q, 0, false
		}
		if length, ok = thielesmall.PortLength(h.air, b.Volume, fb, area, len(b.Ports), ends[0]+ends[1]); !ok || length <= 0 {
			return q, 0, false
		}
	}
	first.Area, first.Length, first.Ends = area, length, ends
	b.Ports = slices.Repeat([]thielesmall.Port{first}, len(b.Ports))
	c, err := h.circuit(b, p.Circuit.System.Filters)
	if err != nil {
		return q, 0, false
	}
	q = p
	q.Circuit, q.Figures = c, c.Figures(h.drive)
	q.built.Volume, q.built.Tuning = b.Volume, b.Tuning(h.air)
	q.built.Port.Area, q.built.Port.Length = area, length+ends[0]+ends[1]
	q.Evaluation = h.model.EvaluateCircuit(q.built, c.Without())
	return q, length, true
}

// worse names the checks of the sound that are worse in q than in p, as an addition to an advice.
func (h *rig) worse(p, q performance) string {
	a, b := h.model.GradeOf(p.built, p.Evaluation), h.model.GradeOf(q.built, q.Evaluation)
	var all []string
	for _, c := range []struct {
		name        string
		before, now grade.Status
	}{{"peak", a.Peak, b.Peak}, {"dip", a.Dip, b.Dip}, {"excursion", a.Excursion, b.Excursion}, {"port air speed", a.Speed, b.Speed}, {"first duct resonance", a.Duct, b.Duct}} {
		if c.now > c.before {
			all = append(all, c.name)
		}
	}
	if len(all) == 0 {
		return ""
	}
	return ", but worse in " + word.List(all)
}

// along is the length along the centre line of a port like p's that acts over the given length, m.
func (p performance) along(acts float64) float64 {
	return acts + p.Port.Length - p.Circuit.System.Box.Ports[0].Length
}

// bent says that a port of that length and height needs a bend in the box.
func (p performance) bent(length, height float64) string {
	if p.inside > 0 && length+height > p.inside {
		return ", which goes in only with an elbow or a bend"
	}
	return ""
}

// retune says what other length of the same port would bring a graded figure of a vented box within its pass limit: a lower
// tuning when down, else a higher one. Empty when none within a third of the tuning does.
func (h *rig) retune(p performance, down bool, grade func(thielesmall.Figures) Check) string {
	const step, most = 0.98, 20
	switch {
	case p.Radiator != nil:
		return h.remass(p, down, grade)
	case p.Kind == BandPass:
		return ""
	}
	fb := p.Figures.Fb
	for range most {
		if down {
			fb *= step
		} else {
			fb /= step
		}
		q, length, ok := h.withPort(p, p.Circuit.System.Box.Ports[0].Area, fb)
		if !ok {
			return ""
		}
		if g := grade(q.Figures); g.Status == panels.Pass {
			if p.Port.Implied {
				return fmt.Sprintf("ask for the port's size and length; a tuning of %.1f Hz brings it to %.1f dB%s", fb, g.Value, h.worse(p, q))
			}
			length = p.along(length)
			return fmt.Sprintf("a port of %s%s (tuning %.1f Hz) brings it to %.1f dB%s",
				h.length(length), p.bent(length, math.Max(p.Port.Bore, p.Port.Height)), fb, g.Value, h.worse(p, q))
		}
	}
	return ""
}

// widen says what larger port of the same tuning brings the air in it to the speed allowed; empty where none within six times the
// area does.
func (h *rig) widen(p performance) string {
	const step, most = 1.05, 36
	if p.Radiator != nil || p.Kind == BandPass {
		return ""
	}
	area := p.Port.Area
	for range most {
		area *= step
		q, length, ok := h.withPort(p, area, p.Figures.Fb)
		if !ok {
			return ""
		}
		if q.Evaluation.Speed <= q.Evaluation.SpeedAllowed*(1+slack) {
			n, length := float64(p.Port.Count), p.along(length)
			return fmt.Sprintf("%s of port in place of %s, %s long%s, brings it to %.1f m/s%s", unit.FormatArea(n*area, h.req.Units),
				unit.FormatArea(n*p.Port.Area, h.req.Units), h.length(length), p.bent(length, math.Sqrt(area)), q.Evaluation.Speed, h.worse(p, q))
		}
	}
	return ""
}

// filler says how large a block makes a sealed box that is larger than useful right.
func (h *rig) filler(p performance) string {
	want := h.wantedQtc(h.grades[grade.QtcLow].Pass)
	v, err := thielesmall.SealedVolume(h.set, h.air, h.source, want)
	if err != nil || v >= p.volume() {
		return "the box is larger than useful"
	}
	return fmt.Sprintf("the box is larger than useful: a filler block of %s brings Qtc to %.2f", h.volume(p.volume()-v), want)
}
