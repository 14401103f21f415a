package design

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// MostEntrants is the largest number of drivers in one ranking. At some 2 to 3 ms a driver it is some minutes.
const MostEntrants = 100_000

// An Entrant is a driver to be ranked.
type Entrant struct {
	Source string // the file, and the line of a list, as messages name it
	Spec   thielesmall.Spec
	Frame  panels.Driver
}

// RankedAt is where the maximum level is stated, Hz.
var RankedAt = [3]float64{30, 40, 50}

// A Placing is one row of the table: the box that [Run] would choose for that driver.
type Placing struct {
	Entrant
	Rank      int        // from 1 among those that suit; 0: does not
	Kind      Kind       // empty: no box can be built
	NetVolume float64    // m3
	Tuning    float64    // Hz, fb of a vented box and fc of a sealed one
	F3        float64    // Hz; NaN when there is none, see Figures.Reason
	Score     float64    // by the job's aim: the more the better
	Aimed     float64    // what the aim is about, see Aim.figure
	Maximum   [3]Maximum // at RankedAt
	Ruling
	Estimated bool // heard, not built: what the air of the space would give if driver and port found their place
}

// Ruling is what is held of a driver's box.
type Ruling struct {
	Verdict  Verdict  // empty: no box can be built
	Cautions []string // a verdict of less power, and the checks that are marginal
	Reason   string   // why it does not suit; empty when it does
}

// Maximum is the loudest level at one frequency and what limits it.
type Maximum struct {
	Level, CabinLevel float64 // dB, free field and in the vehicle; NaN without a vehicle
	LimitedBy         thielesmall.Cause
}

// A Refusal is a driver whose data do not suffice.
type Refusal struct {
	Entrant
	Err error
}

// A Ranking is the same space designed for many drivers.
type Ranking struct {
	Request    Request // of the job, whose own driver is not used
	Air        thielesmall.Air
	DriveVolts float64   // of the curves
	Placings   []Placing // best first: those that suit, those that do not, those without a box
	Refused    []Refusal // in the order given
	Total      int       // drivers given
	Stopped    bool      // before all of them were designed: the table holds those that were
	Best       []Ranked  // up to three that suit, with their curves
	// Assumptions are those made for the job, whatever the driver.
	Assumptions []string
}

// Ranked is one of the best, designed in full.
type Ranked struct {
	Placing
	Design Design
}

// curvesOf is for how many of the best the curves are worked out.
const curvesOf = 3

// Rank designs the job's space for each driver on all processors and sorts the answers by the job's aim: those that suit
// first, then the score, then the smaller box, then the name, then the order given.
//
// proven is how many of the best must be designed in full; 0: all. The others may then be estimates, see Placing: the air of
// the space is an upper bound for what a driver can do in it, so drivers are built in the order of their estimates until none
// of the rest can come before the last of the proven ones.
//
// progress, if not nil, is told how many drivers are done, by one caller at a time. Cancelling ctx leaves out the drivers that
// are not done by then and is no error. The error is for a job that cannot be worked on, whatever the driver.
func Rank(ctx context.Context, req Request, entrants []Entrant, proven int, progress func(done int)) (*Ranking, error) {
	if len(entrants) > MostEntrants {
		return nil, fmt.Errorf("%d drivers: at most %d at once", len(entrants), MostEntrants)
	}
	r, err := newRanker(ctx, req)
	if err != nil {
		return nil, err
	}
	var answers []*answer
	if proven <= 0 || proven >= len(entrants) {
		answers = r.all(ctx, entrants, progress)
	} else {
		answers = r.best(ctx, entrants, proven, progress)
	}
	rank := &Ranking{Request: *r.req, Air: r.air, DriveVolts: r.drive, Total: len(entrants), Assumptions: r.assumptions}
	for i, a := range answers {
		switch {
		case a == nil:
			rank.Stopped = true
		case a.err != nil:
			rank.Refused = append(rank.Refused, Refusal{entrants[i], a.err})
		default:
			rank.Placings = append(rank.Placings, a.placing)
		}
	}
	slices.SortStableFunc(rank.Placings, before)
	for i := range rank.Placings {
		if p := &rank.Placings[i]; group(p) == 0 {
			p.Rank = i + 1
		}
	}
	for _, p := range rank.Placings[:min(curvesOf, len(rank.Placings))] {
		if p.Rank > 0 && !p.Estimated {
			rank.Best = append(rank.Best, r.full(p))
		}
	}
	return rank, nil
}

// group is 0 for a driver that has a box, at however much power, 1 for one whose box fails a check, 2 for one without a box.
func group(p *Placing) int {
	switch {
	case p.Kind == "":
		return 2
	case p.Verdict == DoesNotSuit:
		return 1
	}
	return 0
}

// before orders two placings.
func before(a, b Placing) int {
	return cmp.Or(
		cmp.Compare(group(&a), group(&b)), -cmp.Compare(a.Score, b.Score), cmp.Compare(a.NetVolume, b.NetVolume),
		strings.Compare(a.Spec.Name, b.Spec.Name),
	)
}
