package design

import (
	"errors"
	"fmt"

	"cubby/internal/impedance"
)

// muchBetter is the share of the fit's error under which another design counts as nearer when neither is as designed: twice
// as good is beyond what noise does.
const muchBetter = 0.5

// nearer says that the finished box is nearer to another of the job's designs than to the best; empty when it is not.
func (h *rig) nearer(r *MeasuredResult, others []Expected, o MeasureOptions) string {
	if r.Verdict == AsDesigned {
		return ""
	}
	for _, e := range others {
		other, _, err := h.against(e, r.Sweep, o)
		if err != nil {
			continue
		}
		if better := other.Verdict != NotAsDesigned && other.Verdict != r.Verdict; better || other.Fit.FitError < muchBetter*r.Fit.FitError {
			return " " + h.otherText(other)
		}
	}
	return ""
}

// orOther adds to a sweep's refusal that it is one of another of the job's designs.
func (h *rig) orOther(err error, others []Expected, sweep impedance.Sweep, o MeasureOptions) error {
	var undecided *impedance.UndecidedError
	if !errors.As(err, &undecided) {
		return err
	}
	for _, e := range others {
		if other, _, no := h.against(e, sweep, o); no == nil && other.Verdict != NotAsDesigned {
			return fmt.Errorf("%w. %s", err, h.otherText(other))
		}
	}
	return err
}

// otherText names the design that a sweep is nearer to, and how to compare with it.
func (h *rig) otherText(r *MeasuredResult) string {
	what := fmt.Sprintf("the best %s one, of %s", r.Expected.Kind, h.volume(r.Expected.NetVolume))
	if r.Expected.Kind != Sealed {
		what += fmt.Sprintf(" tuned to %.1f Hz", r.Expected.Figures.Fb)
	}
	return fmt.Sprintf("The sweep is nearer to another design of this job, %s (%s): if that was built, say consider: [%s] to compare with it.",
		what, r.Verdict, r.Expected.Kind)
}
