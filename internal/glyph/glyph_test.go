package glyph

import (
	"testing"

	"golang.org/x/image/font/sfnt"
)

func TestDrawable(t *testing.T) {
	for text, want := range map[string]bool{
		"Under the bench, 14-3/8\u2033": true, "Zażółć gęślą jaźń": true, "Ρετσίνα": true, "Щука": true, "½ Ω ° × ± ⌀": true,
		"漢字": false, "กล่อง": false, "box \U0001F600": false, "tab\t": false,
	} {
		if _, missing := FirstMissing(text); missing == want {
			t.Errorf("%q: drawable %v, want %v", text, !missing, want)
		}
	}
}

// TestLatin1 holds that the characters that are not looked up are there.
func TestLatin1(t *testing.T) {
	var b sfnt.Buffer
	for c := rune(' '); c <= 0xff; c++ {
		if !Drawable(c) || StandIn[c] != 0 {
			continue
		}
		for k, f := range faces() {
			if i, err := f.GlyphIndex(&b, c); err != nil || i == 0 {
				t.Errorf("cut %d has no %q", k, c)
			}
		}
	}
}
