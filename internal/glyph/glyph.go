// Package glyph says which characters the embedded type family can draw, so that a text that would come out as question
// marks is refused where it is written.
package glyph

import (
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansitalic"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"
)

// StandIn is what is drawn for characters that people type or our own texts use and the family lacks.
var StandIn = map[rune]rune{'⌀': 'Ø', '\u2011': '-', '\u2010': '-', '\u00ad': '-', '\u2033': '"', '✓': '+'}

// last is the last character that a font in a PDF can address here.
const last = 0xffff

// faces are the cuts of the family that documents use, read when a character outside Latin-1 is first asked for.
var faces = sync.OnceValue(func() []*sfnt.Font {
	var all []*sfnt.Font
	for _, data := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF, liberationsansitalic.TTF} {
		f, err := sfnt.Parse(data)
		if err != nil {
			panic("glyph: an embedded font cannot be read: " + err.Error())
		}
		all = append(all, f)
	}
	return all
})

// Drawable reports whether every cut of the family has the character, or a stand-in for it.
func Drawable(c rune) bool {
	switch {
	case c >= ' ' && c < 0x7f || c >= 0xa0 && c <= 0xff:
		return true // all of Latin-1; a test holds that
	case c < ' ' || c > last:
		return false
	}
	if StandIn[c] != 0 {
		return true
	}
	var b sfnt.Buffer
	for _, f := range faces() {
		if i, err := f.GlyphIndex(&b, c); err != nil || i == 0 {
			return false
		}
	}
	return true
}

// FirstMissing is the first character of a text that cannot be drawn; ok is false when all can.
func FirstMissing(text string) (c rune, ok bool) {
	for _, c := range text {
		if !Drawable(c) {
			return c, true
		}
	}
	return 0, false
}
