package render

import (
	"math"
	"slices"
	"strings"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/unit"
)

// slotShop is the shop of a box with a slot that turns up a leaning back, 30 mm high, its mouth low in the front.
func slotShop(t *testing.T) *shop {
	t.Helper()
	r := shopResult(t, shopCase{name: "slot", spec: panels.Spec{Outside: prism(mmSection(0, 0, 560, 0, 430, 380, 0, 380), 0, 0.28), Wood: mdf(0.015), Face: "front", Driver: someDriver(0.15), Count: 1, Port: &panels.Port{Height: 0.030, Width: 0.250, Length: 0.75, Face: "front"}}})
	return &shop{box: r.Designs[0].Box, d: &r.Designs[0], m: newMeasure(r.Request.Units, 0)}
}

// The boards of a slot go in before the last wall, and the wall over the mouth stands off the floor of the slot.
func TestSlotInTheOrderOfAssembly(t *testing.T) {
	s := slotShop(t)
	at := map[string]int{}
	for i, step := range s.assemblySteps() {
		for _, want := range []string{"(front): it stands 30.0 mm off", "Put in " + s.markOf("slot wall 1"), "Put in " + s.markOf("slot wall 2"), "closes the wrap", "Glue on the first end"} {
			if strings.Contains(step, want) {
				at[want] = i
			}
		}
	}
	last := 0
	for _, want := range []string{"(front): it stands 30.0 mm off", "Put in " + s.markOf("slot wall 1"), "Put in " + s.markOf("slot wall 2"), "closes the wrap", "Glue on the first end"} {
		if at[want] <= last {
			t.Errorf("%q is step %d, want it after step %d", want, at[want]+1, last+1)
		}
		last = at[want]
	}
}

func (s *shop) markOf(name string) string {
	p, _ := s.named(name)
	return marked(p)
}

// The bevels of the slot's boards are drawn and set as those of the walls; the longer blank keeps what is over for the other edge.
func TestBevelsOfTheSlot(t *testing.T) {
	s := slotShop(t)
	for _, name := range []string{"slot wall 1", "slot wall 2"} {
		p, _ := s.named(name)
		secs := edgeSections(p)
		if len(secs) != 1 {
			t.Fatalf("%s: %d sections, want 1", name, len(secs))
		}
		e, set := secs[0], false
		if d := e.Shape[3].X - e.Edge.Run*sign(e.Edge.Tilt); d > 1e-9 || d < -1e-9 {
			t.Errorf("%s: the section's run is not the edge's", name)
		}
		for _, g := range s.bevelGroups() {
			for _, w := range g.which {
				set = set || strings.HasPrefix(w, p.Mark+" ") && g.width > p.Blank[1]-1e-9 && g.width < p.Blank[1]+1e-9
			}
		}
		if !set {
			t.Errorf("%s: no set-up at the width of its blank, %g m", name, p.Blank[1])
		}
	}
}

// Rows through the bottom and the top are not called rows through the ends.
func TestRowsOfScrewsNameTheirPanels(t *testing.T) {
	r := shopResult(t, shopCases()[0])
	s := &shop{box: r.Designs[0].Box, d: &r.Designs[0], m: newMeasure(r.Request.Units, 0)}
	if got := s.throughText([]string{"left end", "right end"}); got != "both ends" {
		t.Errorf("both ends are called %q", got)
	}
	want := s.markedName("bottom") + " and " + s.markedName("top")
	if got := s.throughText([]string{"bottom", "top"}); got != want {
		t.Errorf("bottom and top are called %q, want %q", got, want)
	}
}

// Each slot's boards are drawn in a cut along the air, and across it where there is more than a board from end to end; the cuts give
// the figures of the seat and name every board of the slot.
func TestCutsThroughTheSlot(t *testing.T) {
	seen := 0
	for _, c := range shopCases() {
		if c.spec.Port == nil || c.spec.Port.Height == 0 {
			continue
		}
		seen++
		r := shopResult(t, c)
		box, m := r.Designs[0].Box, newMeasure(r.Request.Units, r.Request.Saw.RoundTo)
		for _, paper := range []string{"letter", "a4"} {
			text := textOf(shopBook(t, r, paper), "Inner parts")
			want := []string{"along the air, " + box.Slot.Along.View, m.sloped(box.Ports[0].Height), m.sloped(box.Ports[0].FreeEnd), m.full(box.Ports[0].Length)}
			if len(box.Slot.Across.Boards) > 0 {
				want = append(want, "across the air, "+box.Slot.Across.View)
			}
			for _, p := range box.Panels {
				if p.Role.OfPort() {
					want = append(want, p.Mark+" "+p.Name)
				}
			}
			for _, w := range want {
				if !strings.Contains(text, w) {
					t.Errorf("%s on %s: the inner parts do not say %q", c.name, paper, w)
				}
			}
		}
	}
	if seen < 4 {
		t.Errorf("%d slots, want 4", seen)
	}
}

// The edges of a slot's rectangular side piece are named after what they meet, though they are sides of its outline.
func TestEdgesOfASlotsSideAreNamed(t *testing.T) {
	for _, c := range shopCases() {
		if c.name != "slot narrow" {
			continue
		}
		s := &shop{box: shopResult(t, c).Designs[0].Box}
		p, _ := s.named("slot side")
		got := map[string]string{}
		for _, e := range p.Edges {
			got[sideOf(p, e.Edge)] = e.Meets
		}
		for side, want := range map[string]string{"y0": "bottom", "y1": "slot wall", "x0": "front", "x1": ""} {
			if got[side] != want {
				t.Errorf("side %s meets %q, want %q", side, got[side], want)
			}
		}
	}
}

// textOf joins the texts of the pages of a title.
func textOf(b *book, title string) string {
	var all []string
	for _, s := range b.sheets {
		for _, o := range s.ops {
			if s.Title == title && o.kind == opText {
				all = append(all, o.text)
			}
		}
	}
	return strings.Join(all, "\n")
}

// A slot's mouth that takes off a whole edge is a cut, not an opening to be centred: what comes off and what stays are dimensioned.
func TestMouthIsACutOffTheEdge(t *testing.T) {
	s := slotShop(t)
	p, _ := s.named("front")
	if key, h := mouthStrip(p); key != "y0" || math.Abs(h-0.030) > 1e-9 {
		t.Fatalf("mouth %g at %q", h, key)
	}
	for _, o := range bigOpenings(p) {
		if o.Hole.Kind == "slot" {
			t.Error("the mouth is dimensioned by its centre")
		}
	}
	var row string
	for _, r := range s.openingTable(p).Rows {
		if r[1].Text == "port mouth" {
			row = r[2].Text + "|" + r[4].Text + "|" + r[7].Text
		}
	}
	if row != "whole edge|0 to 30.0|cut off last" {
		t.Errorf("row of the mouth: %s", row)
	}
	var c Recorder
	d := onPaper(&c, Rect{0, 0, 150, 150})
	s.drawPlate(d, p, view{250, 40, 120}, bigOpenings(p))
	var all []string
	for _, o := range c.ops {
		all = append(all, o.text)
	}
	for _, want := range []string{"30.0", s.m.sloped(p.CutWidth)} {
		if !slices.Contains(all, want) {
			t.Errorf("no dimension %s: %v", want, all)
		}
	}
}

// Printed figures of a chain add up, whatever they are rounded from.
func TestClosingSizesAddUp(t *testing.T) {
	m := newMeasure(unit.Metric, 0)
	if got := m.bare(0.11695) + " + " + m.rest(0.2339, 0.11695) + " = " + m.bare(0.2339); got != "117.0 + 116.9 = 233.9" && got != "116.9 + 117.0 = 233.9" {
		t.Error(got)
	}
	m = newMeasure(unit.Inch, inch/32)
	if got := m.bare(1.0156*inch) + " + " + m.rest(2.0312*inch, 1.0156*inch) + " = " + m.bare(2.0312*inch); got != "1 + 1-1/32 = 2-1/32" && got != "1-1/32 + 1 = 2-1/32" {
		t.Error(got)
	}
}
