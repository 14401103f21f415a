package panels

import (
	"fmt"
	"math"

	"cubby/internal/unit"
	"cubby/internal/word"
)

// Message is what is to be said of a box: a form of words and the values in it. The sentence is made by Text, in the reader's
// units; nothing decides by it.
type Message struct {
	form   string
	values []any
}

// Quantities in a message; Text writes each in the reader's units. The form takes them with %s.
type (
	Length    float64 // m, to the steps of a tape measure
	Fine      float64 // m, too small for those
	Volume    float64 // m3
	Angle     float64 // rad, written in degrees without the word
	Frequency float64 // Hz
)

// later is a message whose facts are looked for when it is wanted.
type later func() Message

// say makes a message. Values are quantities, other messages, words and numbers.
func say(form string, values ...any) Message { return Message{form, values} }

// sayIf makes a message where there is something to say, else an empty one.
func sayIf(holds bool, form string, values ...any) Message {
	if !holds {
		return Message{}
	}
	return say(form, values...)
}

// Words is a message that is the same in all units.
func Words(text string) Message { return say("%s", text) }

// Empty reports whether there is nothing to say.
func (m Message) Empty() bool { return m.form == "" }

// Text gives the sentence, without a full stop.
func (m Message) Text(u unit.System) string {
	words := make([]any, len(m.values))
	for i, v := range m.values {
		words[i] = worded(v, u)
	}
	return fmt.Sprintf(m.form, words...)
}

func worded(v any, u unit.System) any {
	switch v := v.(type) {
	case Length:
		return unit.FormatLength(float64(v), u)
	case Volume:
		return unit.FormatVolume(float64(v), u)
	case Fine:
		if u == unit.Inch {
			return fmt.Sprintf("%.3f\"", float64(v)/inch)
		}
		return fmt.Sprintf("%.2f mm", float64(v)*1000)
	case Angle:
		return fmt.Sprintf("%.1f", float64(v)*180/math.Pi)
	case Frequency:
		return fmt.Sprintf("%.0f Hz", float64(v))
	case later:
		return v().Text(u)
	case Message:
		return v.Text(u)
	case []Message:
		words := make([]string, len(v))
		for i, x := range v {
			words[i] = x.Text(u)
		}
		return word.Either(words)
	}
	return v
}

// Texts gives the sentences of several messages.
func Texts(all []Message, u unit.System) []string {
	var out []string
	for _, m := range all {
		out = append(out, m.Text(u))
	}
	return out
}

const inch = 0.0254 // m, exact
