package design

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"cubby/internal/thielesmall"
)

// A Pair is one driver in one ready-made box.
type Pair struct {
	Driver  string // its name, or where it was read
	Source  string
	Box     string
	Allowed float64 // W that excursion and port speed allow of what amplifier and rating give; NaN: not known
	Judged
}

// A Pairing is several drivers against several ready-made boxes.
type Pairing struct {
	Request     Request // of the job, whose own driver is not used
	Air         thielesmall.Air
	Drivers     []string // in the order given
	Boxes       []string // as judged, in the order of the job
	Pairs       []Pair   // best first
	Refused     []Refusal
	Assumptions []string
}

// MostPairs is the largest number of pairs that are judged at once; each takes a few milliseconds.
const MostPairs = 2000

// CheckPairs judges each driver in each of the request's ready-made boxes. A driver whose data do not suffice is refused and
// leaves the others alone. The error is for a job that cannot be worked on, or no driver that can.
func CheckPairs(ctx context.Context, req Request, drivers []Entrant) (*Pairing, error) {
	if n := len(drivers) * len(req.Boxes); n > MostPairs {
		return nil, &ConfigError{Field: "box", Want: "fewer drivers or boxes: at most 2000 pairs at once"}
	}
	out := &Pairing{Request: req}
	var last error
	for _, d := range drivers {
		one := req
		one.Driver, one.Frame = d.Spec, d.Frame
		r, err := checkBoxes(ctx, one, false)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if wrong := (*ConfigError)(nil); errors.As(err, &wrong) {
			return nil, err
		}
		if err != nil {
			out.Refused, last = append(out.Refused, Refusal{d, err}), err
			continue
		}
		out.add(d, r)
	}
	if len(out.Pairs) == 0 {
		return nil, last
	}
	slices.SortStableFunc(out.Pairs, pairBefore)
	return out, nil
}

// add takes in what was found out about one driver.
func (p *Pairing) add(d Entrant, r *CheckResult) {
	name := cmp.Or(d.Spec.Name, d.Source)
	p.Air, p.Drivers = r.Air, append(p.Drivers, name)
	for _, a := range r.Assumptions {
		if !slices.Contains(p.Assumptions, a) {
			p.Assumptions = append(p.Assumptions, a)
		}
	}
	for _, j := range r.Boxes {
		if !slices.Contains(p.Boxes, title(j.Ready)) {
			p.Boxes = append(p.Boxes, title(j.Ready))
		}
		p.Pairs = append(p.Pairs, Pair{name, d.Source, title(j.Ready), j.allowed(), j})
	}
}

// At is the pair of one driver and one box; nil when it was not judged.
func (p *Pairing) At(driver, box string) *Pair {
	for i := range p.Pairs {
		if x := &p.Pairs[i]; x.Driver == driver && x.Box == box {
			return x
		}
	}
	return nil
}

// order is the place of a verdict among all, best first; a box that may play at so many watts comes before one that does not
// suit.
func (v Verdict) order() int {
	switch v {
	case Suits:
		return 0
	case SuitsWithCautions:
		return 1
	case SuitsAsChecked:
		return 2
	case DoesNotSuit:
		return 4
	}
	return 3
}

// pairBefore orders two pairs: the better verdict, then the fewer cautions, then the louder at 40 Hz.
func pairBefore(a, b Pair) int {
	return cmp.Or(
		cmp.Compare(a.Verdict.order(), b.Verdict.order()),
		cmp.Compare(rankReady(a.Judged), rankReady(b.Judged)), -cmp.Compare(a.MaxAt(40), b.MaxAt(40)),
	)
}

// MaxAt is the most that a box plays at a frequency of Loud, dB; NaN when it is not known.
func (j *Judged) MaxAt(f float64) float64 {
	for _, l := range j.Loud {
		if l.Frequency == f {
			return l.Level
		}
	}
	return math.NaN()
}

// allowed is the power, W, that the verdict allows; NaN where it is not known.
func (j Judged) allowed() float64 {
	if s := j.Evaluation.Settings; s.Full > 0 {
		return s.Allowed
	}
	return math.NaN()
}
