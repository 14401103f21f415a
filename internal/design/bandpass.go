package design

import (
	"fmt"
	"math"

	"cubby/internal/panels"
)

// claimed is the net air that is claimed of a box, both chambers of a band-pass together, m3.
func (b ReadyBox) claimed() float64 { return b.NetVolume + b.Rear }

// airBefore is the row on the air before the cone of a ready-made box; in a band-pass the driver works inside.
func (h *rig) airBefore(b ReadyBox, excursion float64) Check {
	c := h.checkAirInFront(h.travel(excursion))
	if b.Kind == BandPass {
		return notChecked(c.Name, fmt.Sprintf("the driver works into the front chamber: ask for its depth before the cone, at least %s", h.length(h.set.Xmax+0.006)))
	}
	return c
}

// bandRows are the rows on the shape of what a band-pass plays. The table grades no peak of one: it speaks of boxes whose
// driver plays straight into the room.
func (h *rig) bandRows(p performance) []Check {
	b := p.circuit.Band()
	text := fmt.Sprintf("%+.1f dB over the driver's own level at %.1f Hz", b.Level, p.figures.Fb)
	switch {
	case math.IsNaN(b.Low) || math.IsNaN(b.High):
		text += ", and no band about it to -3 dB"
	default:
		text += fmt.Sprintf("; to 3 dB below that it plays from %.1f to %.1f Hz, %.1f octaves", b.Low, b.High, math.Log2(b.High/b.Low))
		if h.lowPass > b.High {
			text += fmt.Sprintf(", which ends below the low-pass of %.0f Hz: between the two nothing plays", h.lowPass)
		}
	}
	dip := h.checkDip(p)
	if dip.Status != panels.Pass {
		dip.Setting = "nothing that is set mends it: a larger front chamber evens it out, which is another box"
	}
	return []Check{
		told("pass band", text),
		notChecked(PeakCheck, "no limit is agreed for a band-pass, which is louder than its driver where it plays: see the pass band"), dip,
		told("not looked at", "whether the rear chamber is tight, how the driver is reached, and what the port lets out above the pass band"),
	}
}
