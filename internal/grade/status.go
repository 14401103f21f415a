package grade

// Status is the grade of one check. The zero value is NotChecked.
type Status int8

// The grades, the worse the larger; NotChecked is none.
const (
	NotChecked Status = iota
	Pass
	Marginal
	Fail
)

// String returns "pass", "marginal", "fail" or "not checked".
func (s Status) String() string {
	switch s {
	case Pass:
		return "pass"
	case Marginal:
		return "marginal"
	case Fail:
		return "fail"
	}
	return "not checked"
}

// Slack makes every comparison with a limit inclusive: 238 mm passes for 238 mm however the two were computed. It is
// relative.
const Slack = 1e-9

const nought = 1e-12 // the same beside a limit of 0

// AtMost reports whether value does not exceed limit, with the slack.
func AtMost(value, limit float64) bool { return value <= limit+Slack*abs(limit)+nought }

// AtLeast reports whether value is not below limit, with the slack.
func AtLeast(value, limit float64) bool { return value >= limit-Slack*abs(limit)-nought }

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// Sense says on which side of its figures a rule is kept.
type Sense int8

// The senses.
const (
	Figure Sense = iota // a number that is used, not graded: Pass holds it
	Most                // at most Pass passes, at most Marginal is marginal
	Least               // at least Pass passes, at least Marginal is marginal
)

// Rule is one threshold, or a pair of them, with its unit and source.
type Rule struct {
	Sense          Sense
	Pass, Marginal float64 // equal where there is nothing between pass and fail
	Unit           string  // "m", "Hz", "dB", "m/s", "deg", "min", "l", "W", "kg", or "" for a ratio
	What           string  // what the figure is of
	Source         string  // author, title, year; or "common practice", "from memory", "derived"
}

// Value is the figure of a rule that is used and not graded, and the pass figure of any other.
func (r Rule) Value() float64 { return r.Pass }

// Grade grades a value, both limits inclusive. A value that is no number, and any value of a plain figure, is
// NotChecked.
func (r Rule) Grade(value float64) Status { return r.Scaled(value, 1) }

// Scaled grades a value by the rule's figures times scale (not negative): a ratio times what it is a ratio of.
func (r Rule) Scaled(value, scale float64) Status {
	switch {
	case value != value || scale != scale || r.Sense == Figure:
		return NotChecked
	case r.Sense == Least:
		return NoLess(value, r.Pass*scale, r.Marginal*scale)
	}
	return NoMore(value, r.Pass*scale, r.Marginal*scale)
}

// NoMore grades a value that passes up to pass and is marginal up to marginal.
func NoMore(value, pass, marginal float64) Status {
	switch {
	case AtMost(value, pass):
		return Pass
	case AtMost(value, marginal):
		return Marginal
	}
	return Fail
}

// NoLess grades a value that passes from pass up and is marginal from marginal up.
func NoLess(value, pass, marginal float64) Status { return NoMore(-value, -pass, -marginal) }

// Between grades a value that two rules bound from below and above: the worse of the two grades.
func Between(low, high Rule, value float64) Status { return max(low.Grade(value), high.Grade(value)) }

// Table is one rule for each ID.
type Table [Count]Rule

// Standard returns a copy of the table.
func Standard() Table { return standard }

// Of returns the standard rule of an ID.
func Of(id ID) Rule { return standard[id] }

// Grade grades a value by the table's rule.
func (t *Table) Grade(id ID, value float64) Status { return t[id].Grade(value) }
