package render

import (
	"strings"
	"unicode/utf8"
)

// Type sizes in points.
const (
	sizeTitle   = 20
	sizeHeading = 12
	sizeSub     = 10
	sizeBody    = 9.5
	sizeSmall   = 8.5 // the least of running text and tables
	sizeLabel   = 8.5 // in drawings
	sizeLeast   = 8.5 // what a label in a drawing may shrink to where its place is narrow
)

// leading is the distance of baselines in sizes.
const leading = 1.34

// lineHeight is the distance of two baselines of a text of that size, mm.
func lineHeight(size float64) float64 { return leading * size * pointMM }

// rise is the height of capitals above the baseline, mm.
func rise(size float64) float64 { return textRise * size * pointMM }

// wrap breaks a text into lines no wider than width mm. Newlines are kept; a word that is wider than a line is broken.
func wrap(s string, t TextStyle, width float64) []string {
	var out []string
	for _, para := range strings.Split(s, "\n") {
		out = append(out, wrapLine(printable(para, t.face()), t, width)...)
	}
	return out
}

// unitMarks are what stays on the line of the number before it.
var unitMarks = map[string]bool{"mm": true, "in": true, "l": true, "cu": true, "Hz": true, "dB": true, "W": true, "kW": true, "V": true, "kg": true, "g": true, "lb": true, "oz": true,
	"Ω": true, "ohm": true, "m/s": true, "ms": true, "s": true, "%": true, "C": true, "°C": true, "kPa": true, "cm²": true, "m": true, "litres": true}

// words splits a text at blanks, but not between a number and its unit nor within a size such as 900 × 430 mm.
func words(s string) []string {
	var out []string
	for _, w := range strings.Fields(s) {
		if n := len(out); n > 0 {
			last := out[n-1]
			bare := strings.TrimRight(w, ".,;:)")
			digit := last[len(last)-1] >= '0' && last[len(last)-1] <= '9'
			if digit && (unitMarks[bare] || w == "×") || bare == "ft" && strings.HasSuffix(last, " cu") || strings.HasSuffix(last, " ×") {
				out[n-1] = last + " " + w
				continue
			}
		}
		out = append(out, w)
	}
	return out
}

// fittingWords are the words of a text; what is wider than a line is split at its blanks after all.
func fittingWords(s string, t TextStyle, width float64) []string {
	var out []string
	for _, w := range words(s) {
		if strings.Contains(w, " ") && textWidth(w, t) > width {
			out = append(out, strings.Fields(w)...)
		} else {
			out = append(out, w)
		}
	}
	return out
}

func wrapLine(s string, t TextStyle, width float64) []string {
	var out []string
	cur, curWidth := "", 0.0
	blank := textWidth(" ", t)
	for _, w := range fittingWords(s, t, width) {
		ww := textWidth(w, t) // widths add up: the document does not kern
		if cur != "" && curWidth+blank+ww <= width {
			cur, curWidth = cur+" "+w, curWidth+blank+ww
			continue
		}
		if cur != "" {
			out = append(out, cur)
		}
		for ww > width {
			n := fitting(w, t, width)
			out = append(out, w[:n])
			w = w[n:]
			ww = textWidth(w, t)
		}
		cur, curWidth = w, ww
	}
	return append(out, cur)
}

// fitting is how many bytes of s, at least one rune, fit in width.
func fitting(s string, t TextStyle, width float64) int {
	n := 0
	for i, r := range s {
		end := i + utf8.RuneLen(r)
		if n > 0 && textWidth(s[:end], t) > width {
			break
		}
		n = end
	}
	return n
}

// clipText shortens a text with an ellipsis so that it is no wider than width mm.
func clipText(s string, t TextStyle, width float64) string {
	s = printable(s, t.face())
	if textWidth(s, t) <= width {
		return s
	}
	rest := width - textWidth("…", t)
	if rest <= 0 {
		return ""
	}
	n := fitting(s, t, rest)
	if textWidth(s[:n], t) > rest {
		return ""
	}
	return strings.TrimRight(s[:n], " ") + "…"
}

// paragraph sets a wrapped text with the top of its first line at at.Y, and returns the Y below its last line.
func paragraph(c Canvas, at Pt, width float64, s string, t TextStyle) float64 {
	y := at.Y
	x := at.X + width*t.Align.share()
	for _, l := range wrap(s, t, width) {
		c.Text(Pt{x, y + rise(t.Size)}, l, t)
		y += lineHeight(t.Size)
	}
	return y
}

// paragraphHeight is the height that paragraph takes, mm.
func paragraphHeight(width float64, s string, t TextStyle) float64 {
	return float64(len(wrap(s, t, width))) * lineHeight(t.Size)
}
