package design

import (
	"errors"
	"math"

	"cubby/internal/panels"
	"cubby/internal/unit"
)

// spec is a sealed box as the job wants it made, without an outside.
func (p *rig) spec() panels.Spec {
	frame := p.req.Frame
	frame.Excursion = math.Max(frame.Excursion, p.set.Xmax)
	return panels.Spec{
		Wood: p.req.Wood, Corners: p.req.Corners,
		Face: p.req.Mount.Face, Driver: frame, Count: max(1, p.req.Mount.Count), Mounting: p.req.Mount.Mounting,
		Brace: panels.BraceRule{Lowest: p.braceBelow()}, Hardware: panels.Hardware{Terminal: true, Plate: p.req.Terminal, Fixings: p.req.Fixings},
		Shop: panels.Shop{RoundTo: p.req.Saw.RoundTo, InchThreads: p.req.Units == unit.Inch,
			Saw: panels.Saw{Depth: p.req.Saw.Depth, DepthAt45: p.req.Saw.DepthAt45, MaxTilt: p.req.Saw.MaxTilt}},
	}
}

// braceBelow is the plate resonance under which a panel is braced: what the job says, or twice the low-pass (common
// practice); without either nothing is braced.
func (p *rig) braceBelow() float64 {
	if p.req.Limits.Panels > 0 {
		return p.req.Limits.Panels
	}
	return 2 * p.lowPass
}

// inUnits is an error whose sentence is in the job's units where the wood made it.
func (p *rig) inUnits(err error) error {
	var b *panels.BuildError
	if errors.As(err, &b) {
		return &inUnits{p.req.Units, b, err}
	}
	return err
}

// inUnits is the sentence with the error that it is about.
type inUnits struct {
	units unit.System
	build *panels.BuildError
	err   error
}

func (e *inUnits) Error() string { return e.build.Text(e.units) }
func (e *inUnits) Unwrap() error { return e.err }
