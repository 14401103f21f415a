package design

import (
	"fmt"

	"cubby/internal/search"
)

// Describe says in words what the aim looks for.
func (a Aim) Describe() string {
	switch a {
	case Flat:
		return "the evenest level from 30 to 80 Hz (with the cabin's gain from 25 Hz, when a vehicle is given)"
	case Loud:
		return "the most output from 30 to 80 Hz within every limit"
	case Compact:
		return "the smallest outside volume that gives up no more than 1.5 dB of deep output (20 to 40 Hz) against the best sealed box"
	default:
		return "the most output from 20 to 40 Hz within every limit"
	}
}

// figure is what the aim is about: the mean maximum level from 20 to 40 Hz (low) or 30 to 80 Hz (loud), dB, the deviation of the
// level from its mean, dB (flat), or the outside volume, m3 (compact).
func (a Aim) figure(e *search.Evaluation, outside float64) float64 {
	switch a {
	case Flat:
		return e.Figures.Sigma
	case Loud:
		return e.Loud
	case Compact:
		return outside
	}
	return e.MeanLow
}

// text states what a score is made of in the words of its aim; gross is the outside volume in words.
func (a Aim) text(e *search.Evaluation, gross string) string {
	text := ""
	switch a {
	case Flat:
		text = fmt.Sprintf("level deviates %.2f dB rms from its mean", e.Figures.Sigma)
	case Loud:
		text = fmt.Sprintf("mean maximum level %.1f dB, 30 to 80 Hz", e.Loud)
	case Compact:
		text = fmt.Sprintf("outside volume %s; mean maximum level %.1f dB, 20 to 40 Hz", gross, e.MeanLow)
	default:
		text = fmt.Sprintf("mean maximum level %.1f dB, 20 to 40 Hz", e.MeanLow)
	}
	if e.Penalty >= 0.005 { // as printed
		text += fmt.Sprintf(" (what is marginal counts %.2f against it)", e.Penalty)
	}
	return text
}
