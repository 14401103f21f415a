package word

import "testing"

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{List(nil), ""}, {List([]string{"a"}), "a"}, {List([]string{"a", "b"}), "a and b"}, {List([]string{"a", "b", "c"}), "a, b and c"},
		{Either([]string{"in", "mm"}), "in or mm"}, {Either([]string{"a", "b", "c"}), "a, b or c"},
		{Count(0, "sheet"), "0 sheets"}, {Count(1, "sheet"), "1 sheet"}, {Count(2, "notch"), "2 notches"}, {Count(1234, "box"), "1234 boxes"},
		{Few(0, "brace"), "no braces"}, {Few(1, "brace"), "one brace"}, {Few(12, "brace"), "twelve braces"}, {Few(13, "brace"), "13 braces"},
		{Letters(0), "A"}, {Letters(25), "Z"}, {Letters(26), "AA"}, {Letters(27), "AB"}, {Letters(701), "ZZ"}, {Letters(702), "AAA"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"width", "depth", "height", "from_left", "fs", "in", "mm"}
	for word, want := range map[string]string{
		"widht": "width", "Width": "width", "dept": "depth", "hieght": "height", "fromleft": "from_left", "from_rigth": "", "fss": "fs", "im": "in", "dapht": "depth", "fromleff": "from_left", "mmm": "mm", "xxmm": "",
		"wd": "", "zzz": "", "": "", "widthwidthwidthwidthwidthwidthwidthwidthwidth": "",
	} {
		if got := Nearest(word, known); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}
