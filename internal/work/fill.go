package work

import (
	"slices"

	"cubby/internal/panels"
)

// fillShare is how far the bench measurement of the air may lie from the figure before somebody asks, common practice.
const fillShare = 0.02

// fill works out what goes into the box with the driver out: the box stands on its first end, open end up, its openings taped from
// outside and its tubes plugged at their inner mouths. A slot fills, since it is as long as the box is wide.
func fill(b *panels.Box, steps []Step) Fill {
	f := Fill{Share: fillShare, Volume: b.InsideVolume}
	for i := range b.Panels {
		p := &b.Panels[i]
		if inside(p) {
			f.Volume -= wood(p) * float64(pieces(p))
			continue
		}
		if i == removable(b) || slices.ContainsFunc(steps, func(s Step) bool { return s.Kind == Close && slices.Contains(s.Panels, i) }) {
			continue // not on yet
		}
		taped := false
		for _, h := range p.Holes {
			switch h.Kind {
			case "driver", "terminal", "slot":
				f.Opening += area(h) * p.Thickness
				taped = true
			}
		}
		if taped {
			f.Taped = append(f.Taped, i)
		}
	}
	for _, s := range b.Ports {
		if s.Height == 0 {
			f.Plugged += s.InsideVolume
			f.Plugs++
		}
	}
	f.Volume += f.Opening - f.Plugged
	f.Driver = b.Spec.Driver.Displacement * float64(len(b.Drivers.Centres))
	if r := b.Radiators; r != nil {
		f.Driver += b.Spec.Radiators.Displacement * float64(len(r.Centres))
	}
	return f
}

// wood is the wood of one piece, its openings taken off.
func wood(p *panels.Panel) float64 {
	v := p.Volume
	for _, h := range p.Holes {
		d := p.Thickness
		if h.Depth > 0 {
			d = min(d, h.Depth)
		}
		v -= area(h) * d
	}
	return v
}
