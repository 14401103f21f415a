package design

import (
	"context"
	"errors"
	"slices"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/panels"
)

// Run designs the whole job. The error is for a job that cannot be worked on at all (a *ConfigError, a typed error of a
// package below, or several joined); "no box suits" is an answer, found in Result.Outcomes with Result.Designs empty.
// Cancelling ctx ends the search with ctx's error.
func Run(ctx context.Context, req Request) (*Result, error) {
	return RunTelling(ctx, req, nil)
}

// RunTelling is Run, and tells a first design as soon as one is built that serves, before better and others are looked for: a
// complete design, without others, trade-off and spread. Where no box suits nothing is told. first's error ends the run.
func RunTelling(ctx context.Context, req Request, first func(*Result) error) (*Result, error) {
	return run(ctx, req, first, false)
}

// run is RunTelling, or alone: for the best design without others.
func run(ctx context.Context, req Request, first func(*Result) error, alone bool) (*Result, error) {
	p, err := newRig(&req)
	if err != nil {
		return nil, err
	}
	if req.Space == nil {
		return nil, &ConfigError{Field: "cavity", Want: noSpace}
	}
	p.settle()
	res := &Result{Basis: p.basis()}
	defer func() { res.Assumptions = p.assumptions }()
	f, room, err := p.ready(ctx)
	res.Room = room
	if errors.Is(err, cavity.ErrNoRoom) {
		res.Outcomes = impossible(req.Kinds, err)
		return res, nil
	} else if err != nil {
		return nil, err
	}
	if len(f.stands) == 0 {
		res.Outcomes = impossible(req.Kinds, f.refused...)
		return res, nil
	}
	res.Shapes = f.offers()
	res.Warnings = append(res.Warnings, f.doubts()...)
	res.Ladder = f.ladderText()
	if !f.proved {
		res.SearchNotes = append(res.SearchNotes, "not every place in the space was searched: not proved best")
	}
	return res, f.answer(ctx, res, first, alone)
}

const noSpace = "the space must be stated: stations, or width and profile, or width, depth and height"

// impossible says of every kind of box wished for that none can be built, and why: what another region lacks at the same panel is
// not told a second time.
func impossible(kinds []Kind, reasons ...error) []Outcome {
	var texts, told []string
	for _, e := range reasons {
		if len(texts) == mostReasons {
			break
		}
		var what string
		if b := (*panels.BuildError)(nil); errors.As(e, &b) {
			what = string(b.Reason) + " " + b.Panel
		} else {
			what = e.Error()
		}
		if !slices.Contains(told, what) {
			texts, told = append(texts, e.Error()), append(told, what)
		}
	}
	var all []Outcome
	for _, k := range kinds {
		all = append(all, Outcome{Kind: k, Status: "impossible", Reason: strings.Join(texts, "; ")})
	}
	return all
}

// mostReasons is how many reasons are told, of the largest regions.
const mostReasons = 2

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
		if r.Kinds = []Kind{Sealed, Vented}; r.Passive != nil {
			r.Kinds = append(r.Kinds, Passive)
		}
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
	if slices.Contains(r.Kinds, Vented) || slices.Contains(r.Kinds, Passive) {
		p.assume("vented boxes lose air with QL %.0f (Small's working value for all losses); sealed boxes do not", ventedLeakQ)
	}
	if slices.Contains(r.Kinds, Passive) {
		p.assumePassive(r.Passive)
	}
}

// kinds are the kinds of box wished for, sealed first: aim compact measures by it.
func (p *rig) kinds() []Kind {
	kinds := slices.Clone(p.req.Kinds)
	slices.SortFunc(kinds, func(a, b Kind) int { return int(a.search() - b.search()) })
	return kinds
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
