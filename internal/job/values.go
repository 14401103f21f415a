package job

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"cubby/internal/glyph"
	"cubby/internal/unit"
	"cubby/internal/word"

	"gopkg.in/yaml.v3"
)

// A span is the range of values that something real can have.
type span struct {
	low, high float64
	open      bool   // low itself is out
	below     string // what would be right, for a value below (or at an open) low
	above     string
}

// positive takes values above zero up to high; atMost says high in words.
func positive(high float64, atMost string) span {
	return span{0, high, true, "must be greater than 0", "must be at most " + atMost}
}

// notNegative takes zero too.
func notNegative(high float64, atMost string) span {
	return span{0, high, false, "must be 0 or more", "must be at most " + atMost}
}

// between takes values from low to high, both included; text says them in words.
func between(low, high float64, text string) span {
	return span{low, high, false, "must be " + text, "must be " + text}
}

// Spans of lengths. Nothing in a vehicle is longer than 10 m (a coach's cabin is 12 m, and has its own); a value beyond
// is a slip of the unit.
var (
	anyLength    = positive(10, "10 m (is the unit right?)")
	lengthOrZero = notNegative(10, "10 m (is the unit right?)")
	anyPosition  = between(-10, 10, "within 10 m of the space (is the unit right?)")
)

// unsure reports whether lengths are without a unit in a file that does not say its units: nothing is known of them.
func (r *reader) unsure() bool { return r.bare > 0 && !r.stated }

// quantity reads a number with its unit.
func (r *reader) quantity(dst *float64, d unit.Dimension, s span) field {
	return func(n *yaml.Node, path string) {
		if v, ok := r.measure(n, path, d); ok && r.within(n, path, v, s) {
			*dst = v
		}
	}
}

// within faults a value that is out of its span.
func (r *reader) within(n *yaml.Node, path string, v float64, s span) bool {
	switch {
	case v < s.low || s.open && v == s.low:
		r.fault(n, path, "%s", s.below)
	case v > s.high:
		r.fault(n, path, "%s", s.above)
	default:
		return true
	}
	return false
}

// measure reads a quantity, whatever its size.
func (r *reader) measure(n *yaml.Node, path string, d unit.Dimension) (float64, bool) {
	if !r.scalar(n, path, d.String()) {
		return 0, false
	}
	v, err := unit.Parse(n.Value, d, r.sys)
	if err != nil {
		var e *unit.Error
		if errors.As(err, &e) {
			r.fault(n, path, "%s", e.Want)
		} else {
			r.fault(n, path, "%v", err)
		}
		return 0, false
	}
	if d == unit.Length && !r.stated {
		// A length that reads differently in the other system has no unit of its own. It says nothing until units does.
		if other, err := unit.Parse(n.Value, d, 1-r.sys); err == nil && other != v {
			if r.bare == 0 {
				r.bare = n.Line
			}
			return 0, false
		}
	}
	return v, true
}

// whole reads a whole number from low to high.
func (r *reader) whole(dst *int, low, high int) field {
	want := fmt.Sprintf("want a whole number from %d to %d", low, high)
	if high == low+1 {
		want = fmt.Sprintf("want %d or %d", low, high)
	}
	return func(n *yaml.Node, path string) {
		if !r.scalar(n, path, want[len("want "):]) {
			return
		}
		v, err := unit.Parse(n.Value, unit.Number, r.sys)
		if err != nil || v != math.Trunc(v) || v < float64(low) || v > float64(high) {
			r.fault(n, path, "%s", want)
			return
		}
		*dst = int(v)
	}
}

// truth reads true or false.
func (r *reader) truth(dst *bool) field {
	return func(n *yaml.Node, path string) {
		if !r.scalar(n, path, "true or false") {
			return
		}
		if n.Value != "true" && n.Value != "false" {
			r.fault(n, path, "want true or false")
			return
		}
		*dst = n.Value == "true"
	}
}

// text reads one line of print of at most limit characters.
func (r *reader) text(dst *string, limit int) field {
	return func(n *yaml.Node, path string) {
		if !r.scalar(n, path, "a text") {
			return
		}
		if why := unprintable(n.Value, limit); why != "" {
			r.fault(n, path, "%s", why)
			return
		}
		if c, missing := glyph.FirstMissing(n.Value); missing {
			r.fault(n, path, "%s", undrawable(c))
			return
		}
		*dst = strings.TrimSpace(n.Value)
	}
}

// undrawable says that a character cannot be printed.
func undrawable(c rune) string {
	return fmt.Sprintf("the printed sheet has no letter for %c (U+%04X): write the text in Latin, Greek or Cyrillic letters", c, c)
}

// unprintable says why a text cannot be printed; empty if it can. The last character that the PDF's fonts can address
// is U+FFFF.
func unprintable(s string, limit int) string {
	count := 0
	for _, c := range s {
		count++
		switch {
		case c == '\n' || c == '\r' || c == '\t':
			return "one line of text is wanted, without tabs"
		case c > 0xffff:
			return fmt.Sprintf("the character %c (U+%04X) cannot be printed: leave it out", c, c)
		case !unicode.IsPrint(c) && !unicode.Is(unicode.Zs, c) || c == unicode.ReplacementChar:
			return fmt.Sprintf("the character U+%04X cannot be printed: leave it out", c)
		}
	}
	if count > limit {
		return fmt.Sprintf("%d characters are too many to print: at most %d", count, limit)
	}
	if strings.TrimSpace(s) == "" {
		return "the text is empty: write something or leave the key out"
	}
	return ""
}

// otherWords are what people also call what a field may hold.
var otherWords = map[string]string{
	"ported": "vented", "reflex": "vented", "bass reflex": "vented", "closed": "sealed",
	"up": "top", "down": "bottom", "rear": "back", "rebate": "rabbet",
	"inches": "in", "inch": "in", "imperial": "in", "metric": "mm", "millimetres": "mm", "millimeters": "mm",
	"deep": "low", "small": "compact",
}

// choice reads one of a few words, given with | between, each of which stands for a value.
func choice[T any](r *reader, dst *T, all string, values ...T) field {
	words := strings.Split(all, "|")
	return func(n *yaml.Node, path string) {
		if !r.scalar(n, path, word.Either(words)) {
			return
		}
		if i := slices.Index(words, n.Value); i >= 0 {
			*dst = values[i]
			return
		}
		near := word.Nearest(n.Value, words)
		if w := otherWords[strings.ToLower(n.Value)]; slices.Contains(words, w) {
			near = w
		}
		if near != "" {
			r.fault(n, path, "did you mean %s? want %s", near, word.Either(words))
			return
		}
		r.fault(n, path, "want %s", word.Either(words))
	}
}
