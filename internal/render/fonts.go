package render

import (
	"math"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"cubby/internal/glyph"
)

// face is one cut of the document's type family.
type face int

const (
	regular face = iota
	bold
	faceCount
)

// Height above and depth below the baseline that a text's box is given, in em: the capitals' height and the descenders of
// Liberation Sans (from the font's own outlines: cap height 1409/2048, parentheses rise to 0.73; descender of g 0.21).
const (
	textRise = 0.73
	textDrop = 0.21
)

// pointMM is one typographic point in millimetres.
const pointMM = 25.4 / 72

// pdfStyle is the style letter under which the face is registered in a document.
func (f face) pdfStyle() string { return [...]string{"", "B"}[f] }

func (f face) data() []byte { return [...][]byte{liberationsansregular.TTF, liberationsansbold.TTF}[f] }

func (t TextStyle) face() face {
	if t.Bold {
		return bold
	}
	return regular
}

// metrics holds the advances of one face in 1/1000 em, rounded as the document's own width table rounds them, so that what
// is measured is what is drawn. Kerning is left out because the document does not kern.
type metrics struct {
	once   sync.Once
	font   *sfnt.Font
	common [commonRunes]int16 // advances of the first runes, read without a lock
	mu     sync.Mutex
	buf    sfnt.Buffer
	width  map[rune]float64
}

// commonRunes covers Basic Latin to Latin Extended-A.
const commonRunes = 0x180

// missing marks a rune that the face has no glyph for.
const missing = -1

var faceMetrics [faceCount]metrics

func (f face) advance(r rune) float64 {
	m := &faceMetrics[f]
	m.once.Do(func() { m.load(f) })
	if r >= 0 && r < commonRunes {
		return float64(m.common[r])
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	w, ok := m.width[r]
	if !ok {
		w = m.read(r)
		m.width[r] = w
	}
	return w
}

func (m *metrics) load(f face) {
	m.width = map[rune]float64{}
	m.font, _ = sfnt.Parse(f.data()) // the embedded font is fixed: a test parses all of them
	for r := range m.common {
		m.common[r] = int16(m.read(rune(r)))
	}
}

// read takes one advance from the font.
func (m *metrics) read(r rune) float64 {
	i, err := m.font.GlyphIndex(&m.buf, r)
	if err != nil || i == 0 {
		return missing
	}
	em := fixed.I(int(m.font.UnitsPerEm()))
	a, err := m.font.GlyphAdvance(&m.buf, i, em, font.HintingNone)
	if err != nil {
		return missing
	}
	return math.Round(1000 * float64(a) / float64(em))
}

// textWidth is the width in mm of s as it is printed. s must have gone through printable.
func textWidth(s string, t TextStyle) float64 {
	f, sum := t.face(), 0.0
	for _, r := range s {
		if w := f.advance(r); w != missing {
			sum += w
		}
	}
	return sum / 1000 * t.Size * pointMM
}

// printable makes a text safe to print: blanks for control characters and '?' for whatever the face has no glyph for.
func printable(s string, f face) string {
	if plain(s) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		i += n
		if r == utf8.RuneError && n == 1 {
			b.WriteByte('?')
			continue
		}
		if r > 0xffff {
			b.WriteByte('?')
			continue
		}
		if unicode.IsControl(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) {
			b.WriteByte(' ')
			continue
		}
		if f.advance(r) == missing {
			if alt, ok := glyph.StandIn[r]; ok && f.advance(alt) != missing {
				r = alt
			} else {
				r = '?'
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}

// plain reports whether s is printable ASCII throughout.
func plain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < 0x20 || s[i] > 0x7e {
			return false
		}
	}
	return true
}
