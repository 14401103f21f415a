package design

import (
	"fmt"
	"math"

	"cubby/internal/grade"
	"cubby/internal/panels"
)

// claimed is the net air that is claimed of a box, both chambers of a band-pass together, m3.
func (b ReadyBox) claimed() float64 { return b.NetVolume + b.Rear }

// bandFacts are the key figures of a band-pass's sound.
func bandFacts(j *Judged) []Fact {
	of := func(name, unitName string, v float64) Fact {
		return Fact{Name: name, Values: []float64{v}, Unit: unitName, Place: OfTheSound}
	}
	return []Fact{{Name: "air behind, net", Values: []float64{j.Ready.Rear}, Unit: "m3"}, of("plays from, −3 dB", "Hz", j.Band.Low), of("plays to, −3 dB", "Hz", j.Band.High),
		of("tuning", "Hz", j.Figures.Fb), of("over the driver", "dB", j.Band.Level), of("losses, QL", "", j.Figures.QL)}
}

// Lowest is the lowest note of a box, f3, or the lower end of a band-pass's band, Hz; NaN where there is none.
func (j *Judged) Lowest() float64 {
	switch {
	case j.Circuit == nil:
		return math.NaN()
	case j.Kind == BandPass:
		return j.Band.Low
	}
	return j.Figures.F3
}

// airBefore is the row on the air before the cone of a ready-made box; in a band-pass the driver works inside.
func (h *rig) airBefore(b ReadyBox, excursion float64) Check {
	c := h.checkAirInFront(h.travel(excursion))
	if b.Kind == BandPass {
		return notChecked(c.Name, fmt.Sprintf("the driver works into the front chamber: ask for its depth before the cone, at least %s", h.length(h.set.Xmax+h.grades[grade.AirInFront].Pass)))
	}
	return c
}

// bandRows are the rows on the shape of what a band-pass plays. The table grades no peak of one: it speaks of boxes whose
// driver plays straight into the room.
func (h *rig) bandRows(p performance) []Check {
	const name = "pass band"
	b, rule := p.Circuit.Band(), h.grades[grade.PassBand]
	text := fmt.Sprintf("%+.1f dB against the driver's own level at %.1f Hz", b.Level, p.Figures.Fb)
	octaves := math.Log2(b.High / b.Low)
	played := notChecked(name, text+", and no band about it to -3 dB")
	if !math.IsNaN(octaves) {
		text += fmt.Sprintf("; to 3 dB below that it plays from %.1f to %.1f Hz, %.1f octaves", b.Low, b.High, octaves)
		played = row(name, rule.Grade(octaves), octaves, rule.Pass, "", text)
		if played.Status != panels.Pass {
			played.Setting = "nothing that is set mends it: it plays few notes, and those loud; look for one with more air behind the driver and in front of it"
		}
		if h.lowPass > 0 && h.lowPass < b.Low {
			played.Status, played.Setting = panels.Fail, fmt.Sprintf("the low-pass of %.0f Hz lets nothing of that through: another box", h.lowPass)
		} else if h.lowPass > b.High {
			played.Note += fmt.Sprintf(", which ends below the low-pass of %.0f Hz: between the two little plays", h.lowPass)
		}
	}
	dip := h.checkDip(p)
	if dip.Status != panels.Pass {
		dip.Setting = "nothing that is set mends it: a larger front chamber evens it out, which is another box"
	}
	return []Check{
		played,
		notChecked(PeakCheck, "no limit is agreed for a band-pass, which is louder than its driver where it plays: see the pass band"), dip,
		told("not looked at", "whether the rear chamber is tight, how the driver is reached, and what the port lets out above the pass band"),
	}
}
