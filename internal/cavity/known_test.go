package cavity

import (
	"context"
	"reflect"
	"testing"
)

// TestKnown holds that a space is searched once, another one anew, and that only the last few are kept.
func TestKnown(t *testing.T) {
	room := func(gap float64) *Room {
		t.Helper()
		s := &Space{Stations: []Station{{Roof: []Height{{Depth: 0, Height: 0.3}, {Depth: 0.4, Height: 0.35}}, Back: 0.4}, {FromLeft: 0.9, Roof: []Height{{Depth: 0, Height: 0.3}, {Depth: 0.4, Height: 0.35}}, Back: 0.4}}, Gap: gap}
		r, err := s.Settle()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	var k Known
	ended, end := context.WithCancel(t.Context())
	end()
	if _, err := k.Regions(ended, room(0.005), Limits{}); err == nil || len(k.last) > 0 {
		t.Errorf("an ended search is kept: %v", err)
	}
	for i := range 7 {
		gap := 0.005 + 0.001*float64(i)
		first, err := k.Regions(t.Context(), room(gap), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		was := k.last[0].was.Regions
		again, _ := k.Regions(t.Context(), room(gap), Limits{})
		if fresh, _ := room(gap).Regions(t.Context(), Limits{}); !reflect.DeepEqual(first, fresh) || !reflect.DeepEqual(again, fresh) {
			t.Errorf("gap %v: other regions than a search finds", gap)
		}
		if &again.Regions[0] != &was[0] {
			t.Errorf("gap %v: searched again", gap)
		}
		if len(k.last) > mostKnown {
			t.Errorf("%d are kept", len(k.last))
		}
	}
	before := k.last[0].was.Regions
	if other, _ := k.Regions(t.Context(), room(0.011), Limits{Board: 0.025}); reflect.DeepEqual(before, other.Regions) {
		t.Error("a thicker board changes nothing")
	}
}
