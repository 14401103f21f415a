package design

import (
	"fmt"
	"math"
)

// Score differences that count as a tie: a smaller box is then the better one (common practice; nobody hears them).
const (
	tieSpread = 0.01 // dB, aim flat
	tieLevel  = 0.1  // dB, aims low and loud
	tieShare  = 1e-3 // of the outside volume, aim compact
)

// score says how well a candidate serves the aim: the more the better. gross is its outside volume and leastLow the
// level that aim compact must keep (-Inf: any).
//
//	flat     -(sigma + 1.0 dB x P)                   sigma: rms deviation of the level from its mean, 30-80 Hz
//	low      M(20,40) - 2 dB x P                      M: mean over log f of the maximum level
//	loud     M(30,80) - 2 dB x P
//	compact  -gross x (1 + 0.25 P), M(20,40) >= leastLow
//
// P is the penalty of the marginal checks. Weights are common practice.
func (a Aim) score(s sound, gross, leastLow float64) float64 {
	switch a {
	case Flat:
		return -(s.sigma + s.penalty)
	case Loud:
		return s.meanLoud - 2*s.penalty
	case Compact:
		if s.meanLow < leastLow {
			return math.Inf(-1)
		}
		return -gross * (1 + 0.25*s.penalty)
	default:
		return s.meanLow - 2*s.penalty
	}
}

// tie is the score difference that counts for nothing, beside the given score.
func (a Aim) tie(score float64) float64 {
	switch a {
	case Flat:
		return tieSpread
	case Compact:
		return tieShare * math.Abs(score)
	default:
		return tieLevel
	}
}

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

// text states a score in the words of its aim.
func (a Aim) text(s sound, gross string) string {
	switch a {
	case Flat:
		return fmt.Sprintf("level deviates %.2f dB rms from its mean%s", s.sigma, s.marginal())
	case Loud:
		return fmt.Sprintf("mean maximum level %.1f dB, 30 to 80 Hz%s", s.meanLoud, s.marginal())
	case Compact:
		return fmt.Sprintf("outside volume %s; mean maximum level %.1f dB, 20 to 40 Hz%s", gross, s.meanLow, s.marginal())
	default:
		return fmt.Sprintf("mean maximum level %.1f dB, 20 to 40 Hz%s", s.meanLow, s.marginal())
	}
}

// marginal says how far the marginal checks are towards failing; nothing when all pass.
func (s sound) marginal() string {
	if s.penalty == 0 {
		return ""
	}
	return fmt.Sprintf(" (marginal checks count %.2f against it)", s.penalty)
}
