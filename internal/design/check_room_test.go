package design

import (
	"context"
	"strings"
	"testing"

	"cubby/internal/plane"
)

// TestOverSize holds that a box that does not go in is told by how much and in which direction. The space is 1100 mm wide,
// 384 mm deep and 384 mm high once the gap of 8 mm is taken off, with nothing in it.
func TestOverSize(t *testing.T) {
	wedge := plane.Polygon{{X: 0, Y: 0}, {X: 0.39, Y: 0}, {X: 0.41, Y: 0.3}, {X: 0, Y: 0.3}}
	for _, test := range []struct {
		name, want string
		change     func(*ReadyBox)
	}{
		{"one direction", "as it is sold it is 21.0 mm too wide for the gap of 8.0 mm", func(b *ReadyBox) { b.Section, b.Width = block(1.105, 0.37, 0.37) }},
		{"one direction, turned as bad", "as it is sold it is 36.0 mm too high for the gap of 8.0 mm", func(b *ReadyBox) { b.Section, b.Width = block(1, 0.37, 0.42) }},
		{"two directions", "as it is sold it is too large in more than one direction: with the gap of 8.0 mm taken off, the space is at most 1084.0 mm wide, 384.0 mm deep and 384.0 mm high",
			func(b *ReadyBox) { b.Section, b.Width = block(1.2, 0.4, 0.4) }},
		{"less when it is turned", "; with its front to the left and its top up it is 26.0 mm too deep", func(b *ReadyBox) { b.Section, b.Width = block(0.41, 0.9, 0.37) }},
		{"a slope", "as it is sold it is 26.0 mm too deep for the gap of 8.0 mm", func(b *ReadyBox) { b.Section, b.Width = wedge, 1.05 }},
	} {
		r := shelfRequest()
		r.Space.Space, r.Kinds = square(1.1, 0.4, 0.4), []Kind{Sealed}
		test.change(&r.Boxes[0])
		got, err := CheckBoxes(context.Background(), r)
		if err != nil {
			t.Fatalf("%s: %v", test.name, err)
		}
		note := ""
		for _, c := range got.Boxes[0].Checks {
			if c.Name == spaceCheck {
				note = c.Note
			}
		}
		if want := "; the largest rectangular box that goes into the space is 1084.0 mm wide, 384.0 mm deep and 384.0 mm high outside."; !strings.HasSuffix(got.Shopping, want) {
			t.Errorf("%s: %s", test.name, got.Shopping)
		}
		if !strings.HasSuffix(note, test.want) {
			t.Errorf("%s: %q, want the end %q", test.name, note, test.want)
		}
	}
}
