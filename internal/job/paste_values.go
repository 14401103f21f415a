package job

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"cubby/internal/unit"
)

var (
	tolerance    = regexp.MustCompile(`\s*(?:±|\+/-)\s*\d+(?:\.\d+)?\s*%.*$`)
	atFrequency  = regexp.MustCompile(`(?i)\s*(?:@|\bat\b)\s*\d+(?:\.\d+)?\s*k?Hz\b`) // of an inductance
	plusMinus    = regexp.MustCompile(`^(?:±|\+/-|\+-)\s*`)
	asideWords   = regexp.MustCompile(`(?i)\s*,?\s*\b(?:one[- ]way|peak[- ]to[- ]peak|p-p|pk-pk|peak|max\.?|nominal|nom\.?|rms|continuous|typ\.?|approx\.?|aes)\b\.?`)
	alternatives = regexp.MustCompile(`\s+/\s*|\s*/\s+|;`) // not the stroke of a fraction
	commaNumber  = regexp.MustCompile(`^(\d+),(\d+)\b`)
	continuous   = regexp.MustCompile(`(?i)rms|continuous|aes`)
	ofEach       = regexp.MustCompile(`(?i)\s*[,(\[]?\s*(?:\b(?:per|each)\b|/\s*(?:voice\s*)?coil).*$`)
)

// readings are the ways in which a value may be read, the likeliest first: as it stands, with the unit of its label,
// and the first of alternatives in two units.
func (p *paster) readings(key, label, value string) (all []string) {
	value = tolerance.ReplaceAllString(value, "")
	if key == "le" {
		value = atFrequency.ReplaceAllString(value, "")
	}
	value = plusMinus.ReplaceAllString(value, "")
	if m := commaNumber.FindStringSubmatch(value); m != nil {
		switch {
		case len(m[2]) != 3 || m[1] == "0":
			value = m[1] + "." + m[2] + value[len(m[0]):]
		case key == "power" || key == "rms": // 1,200 W: no power has three decimals
			value = m[1] + m[2] + value[len(m[0]):]
		default:
			return nil
		}
	}
	inLabel := ""
	for _, m := range brackets.FindAllStringSubmatch(label, -1) {
		switch {
		case key == "sensitivity":
			all = append(all, value+" ("+m[1]+")")
		case unitAlone(m[1]):
			inLabel = m[1]
		}
	}
	add := func(v string) {
		v = strings.Trim(v, " ,;/")
		if inLabel != "" && v != "" && !strings.ContainsFunc(v, isUnit) {
			all = append(all, v+" "+inLabel)
		}
		if (key == "re" || key == "impedance") && ofEach.MatchString(value+" "+label) {
			all = append(all, ofEach.ReplaceAllString(brackets.ReplaceAllString(v, ""), "")+" per coil")
			return // of a coil, not of the driver
		}
		all = append(all, v)
		if short := strings.TrimSpace(asideWords.ReplaceAllString(v, "")); short != v {
			if key == "power" && !continuous.MatchString(v) && regexp.MustCompile(`(?i)peak|max`).MatchString(v) {
				return
			}
			all = append(all, short)
		}
	}
	add(value)
	cut := value
	if i := strings.IndexAny(cut, "(["); i > 0 {
		add(cut[:i])
		cut = cut[:i]
	}
	parts := alternatives.Split(cut, -1)
	if key == "power" {
		slices.SortStableFunc(parts, func(a, b string) int { return btoi(continuous.MatchString(b)) - btoi(continuous.MatchString(a)) })
	}
	if len(parts) > 1 {
		for _, part := range parts {
			add(part)
		}
	}
	return all
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// contradicts reports whether a value carries a second figure, in brackets or after a stroke, that is another.
func contradicts(reading, value string) bool {
	first, d, ok := figure(reading)
	if !ok {
		return false
	}
	others := alternatives.Split(brackets.ReplaceAllString(value, ""), -1)[1:]
	for _, m := range brackets.FindAllStringSubmatch(value, -1) {
		others = append(others, m[1])
	}
	for _, o := range others {
		if v, other, ok := figure(o); ok && other == d && math.Abs(v-first) > roundedOff*math.Abs(first) {
			return true
		}
	}
	return false
}

// agree reports whether two readings of one key are the same but for rounding.
func agree(a, b string) bool {
	if strings.EqualFold(a, b) {
		return true
	}
	x, dx, okX := figure(a)
	y, dy, okY := figure(b)
	if okX && okY {
		return dx == dy && math.Abs(x-y) <= roundedOff*math.Abs(x)
	}
	x, errX := unit.Parse(a, unit.Number, unit.Metric)
	y, errY := unit.Parse(b, unit.Number, unit.Metric)
	return errX == nil && errY == nil && math.Abs(x-y) <= roundedOff*math.Abs(x)
}

// roundedOff is how far two roundings of one value in two units are apart at most, as a share.
const roundedOff = 0.02

// inFront is the number that stands before a unit.
var inFront = regexp.MustCompile(`^[\d.,/ -]+`)

// figure reads a quantity of whatever dimension its unit has.
func figure(text string) (v float64, d unit.Dimension, ok bool) {
	text = strings.TrimSpace(text)
	d, ok = unit.Of(text[len(inFront.FindString(text)):])
	if !ok {
		return 0, 0, false
	}
	v, err := unit.Parse(text, d, unit.Metric)
	return v, d, err == nil
}
