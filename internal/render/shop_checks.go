package render

import (
	"fmt"

	"cubby/internal/panels"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// checkPages are the shop's part of the form that goes back, the tolerances and the cautions in full.
func (s *shop) checkPages(float64) *flow {
	f := s.book.flow(partB, "Checks, screws and cautions", portrait)
	const gap = 6.0
	wide := 0.62 * (f.Area.W - gap)
	beside := f.Area.W - wide - gap
	form, head := s.tableBlock(s.formTable(), wide), TextStyle{Size: sizeSub, Bold: true}
	title := block{beside, 6, func(c Canvas, at Pt) { c.Text(Pt{at.X, at.Y + rise(sizeSub)}, "Tolerances", head) }}
	both := abreast(form, stack(title, textBlock(beside, s.tolerances())), gap)
	f.Need(both.h + 10)
	f.Sub("Measured on the finished box: write it down, and hand this page back")
	both.draw(f, Pt{f.Area.X, f.Y})
	f.Y += both.h
	f.Gap(2)
	if screws := s.screwBlocks(f.Area.W); screws != nil {
		f.Sub("Screws: their line from the edge, the first from its end, then every; dots on the ends")
		for _, b := range screws {
			b.draw(f, Pt{f.Area.X, f.Box(b.h).Y})
		}
		f.Gap(2)
	}
	if w := panels.Texts(s.box.Warnings, s.m.sys); len(w) > 0 {
		f.Sub("Watch for this on this box")
		f.bullets(w, sizeSmall)
	}
	f.Sub("Cautions in the shop")
	f.bullets(s.cautions(), sizeSmall)
	f.Styled(s.madeFrom(), TextStyle{Size: sizeSmall})
	return f
}

// formTable has a row for every measure that goes back.
func (s *shop) formTable() table {
	t := table{Columns: []column{{Head: "What"}, {Head: "As designed", Width: 29, Align: AlignRight}, {Head: "May differ by", Width: 15}, {Head: "Measured", Width: 24}}}
	for _, m := range s.plan.Checks {
		blank := cell{Height: 5.2, Draw: func(c Canvas, r Rect) { box(c, Rect{r.X, r.Y, r.W, 5}, Stroke{Width: 0.35}) }}
		t.Rows = append(t.Rows, []cell{{Text: s.measureName(m), Bold: true}, {Text: s.measureValue(m)}, {Text: s.measureSlack(m)}, blank})
	}
	return t
}

func (s *shop) measureName(m work.Measure) string {
	on := ""
	if k := s.markAt(m.Panel); k != "" {
		on = " of " + k
	}
	switch m.Kind {
	case work.FillVolume:
		if s.box.Radiators != nil {
			return "Dry fill, driver and radiator out, up to the last end"
		}
		return "Dry fill, driver out, up to the last end"
	case work.Tight:
		return "Leak test: no light, no bubbles"
	case work.BoardThickness:
		return "Board" + on
	case work.RadiatorOpening:
		return "Radiator opening" + on
	case work.OpeningDiameter:
		return "Driver opening" + on
	case work.PortLength:
		return "Port length, mouth to mouth"
	case work.PortSize:
		if s.box.Slot == nil {
			return "Bore of the port's tube"
		}
		return "Clear height of the slot"
	case work.DiagonalUp:
		return "Diagonal of " + s.mouths() + ", outside, front bottom to back top"
	case work.DiagonalDown:
		return "Diagonal of " + s.mouths() + ", outside, front top to back bottom"
	}
	return upperFirst(string(m.Kind))
}

func (s *shop) measureValue(m work.Measure) string {
	switch m.Kind {
	case work.FillVolume:
		return s.litres(m.Value)
	case work.Tight:
		return "tight"
	case work.BoardThickness:
		return s.m.thick(m.Value)
	}
	return s.m.bare(m.Value)
}

func (s *shop) measureSlack(m work.Measure) string {
	switch {
	case m.Kind == work.Tight:
		return ""
	case m.Kind == work.FillVolume:
		return fmt.Sprintf("%.0f %%", 100*m.Slack/m.Value)
	case m.Slack == 0:
		return "not more"
	case s.m.sys == unit.Inch && m.Slack < inch/40:
		return "1/64"
	}
	return s.m.bare(m.Slack)
}

func (s *shop) tolerances() []string {
	length, open := "± 0.5 mm", "– 0 / + 1 mm"
	if s.m.sys == unit.Inch {
		length, open = "± 1/64 in", "– 0 / + 1/32 in"
	}
	t := []string{
		"Lengths and widths " + length + "; blade tilts ± 0.25°, checked by the run with a rule, not by the saw's scale; openings " + open + ".",
		"Square: the two diagonals of anything square equal within 1.5 mm per metre (1/16 in in 40 in).",
		"All figures are finished sizes. The outside must not be exceeded; the rest is not critical beyond these limits as long as the joints close.",
	}
	if s.box.WorstJoint > 0 {
		t = append(t, fmt.Sprintf("Cut exactly to the printed figures, no joint gapes or stands proud by more than %s.", s.m.fine(s.box.WorstJoint)))
	}
	return t
}

// cautions in full. Sources: UK Health and Safety Executive, wood dust limits and Woodworking Sheet 16; IARC monographs 62 and 100C;
// NIOSH recommended exposure limit for noise.
func (s *shop) cautions() []string {
	return []string{
		"Dust: wood and fibreboard dust harms the lungs and can cause cancer of the nose (IARC group 1). Extract at the saw and the router, wear a fitted mask, vacuum rather than sweep.",
		"Saw: guard and riving knife set for each cut, push stick for the last 300 mm (12 in) and for anything narrower than 150 mm (6 in). With the blade tilted the fence stands on the side that the blade leans away from. Never cross-cut against the fence as a stop.",
		"Router: work clamped, both hands on, feed against the rotation. Large openings: support the slug so that it cannot drop or jam.",
		"Noise: a saw or a router of 100 dBA uses up a day's recommended noise in 15 minutes (NIOSH). Ear and eye protection on.",
		"Glue and sealant: air the room, follow the maker's label. Local rules and the machine makers' instructions come first.",
	}
}

func (s *shop) madeFrom() string {
	t := "Made from " + s.o.Source
	if s.o.Source == "" {
		t = "Made from a job without a file name"
	}
	if h := s.o.Hash; h != "" {
		t += ", fingerprint " + h[:min(16, len(h))]
	}
	return t + "."
}
