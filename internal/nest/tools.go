package nest

import (
	"cmp"
	"slices"
)

// Workshop sizes. Common practice unless a source is named.
const (
	handleLength = 1200 * mm // a piece one person can hold
	handleWidth  = 800 * mm
	handleMass   = 20.0     // kg
	fenceEdge    = 300 * mm // the edge along the fence is at least this long, and 2/3 of the size across
	crossReach   = 600 * mm // a longer cross-cut than this is more than a gauge and its stop hold
	trackEdge    = 60 * mm  // the rail of a guided saw needs this much board to lie on
	pushStick    = 150 * mm // narrower between blade and fence than this (6 in, as a table-saw maker's manual has it): push stick
	pushBlock    = 50 * mm  // narrower than this: a push block that carries both sides
	neverBetween = 20 * mm  // narrower than this never runs between blade and fence
	smallPiece   = 150 * mm // both sides under this: held down on the sled
	wasteStrip   = 10 * mm  // a leftover narrower than this is marked
)

// Safety marks.
const (
	MarkPushStick = "push stick"
	MarkPushBlock = "push block over both sides"
	MarkFreeSide  = "narrow piece comes off on the free side"
	MarkNarrow    = "too narrow for the fence: track saw or leave on wider board"
	MarkSled      = "sled"
	MarkHoldDown  = "sled with hold-down"
	MarkStrip     = "waste strip"
	MarkShave     = "takes less than a kerf: hold it down, feed slowly"
	MarkLeftover  = "check what is left: it is a part"
)

// extents are the sizes of the piece along the cut and square to it.
func (cut *Cut) extents() (edge, across Um) {
	if cut.Direction == "y" {
		return cut.from.size[1], cut.from.size[0]
	}
	return cut.from.size[0], cut.from.size[1]
}

// fits says which tools can make a cut, as bits in the order of tools.
func (cut *Cut) fits() (mask uint8) {
	edge, across := cut.extents()
	if cut.handy && edge >= fenceEdge && 3*edge >= 2*across {
		mask |= 1 << toolRip
	}
	if cut.handy && edge <= crossReach {
		mask |= 1 << toolCross
	}
	if min(edge, across) >= trackEdge || mask == 0 {
		mask |= 1 << toolTrack
	}
	return mask
}

// best is the tool that is taken where several can make a cut.
func best(mask uint8) string {
	for _, t := range [...]uint8{toolRip, toolCross, toolTrack} {
		if mask&(1<<t) != 0 {
			return tools[t]
		}
	}
	return Track
}

// equip gives the cuts of one sheet their tools and safety marks.
func (c *cutter) equip() {
	for i := range c.sheet.Cuts {
		if cut := &c.sheet.Cuts[i]; cut.Direction != "slant" {
			cut.Tool = best(cut.fits())
		}
		c.sheet.Cuts[i].mark(c.saw.Step)
	}
}

// oneTool gives all cuts of one setting over the whole job one tool, where one can make them all: equal lengths are cut
// at one stop.
func oneTool(sheets []Sheet, step Um) {
	var all []*Cut
	for i := range sheets {
		for j := range sheets[i].Cuts {
			if cut := &sheets[i].Cuts[j]; cut.Direction != "slant" && !cut.Rough && !cut.turned {
				all = append(all, cut)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b *Cut) int { return cmp.Compare(a.Setting, b.Setting) })
	for i := 0; i < len(all); {
		j, mask := i, uint8(0xff)
		for ; j < len(all) && all[j].Setting-all[i].Setting <= settingSlack; j++ {
			mask &= all[j].fits()
		}
		if mask != 0 {
			for _, cut := range all[i:j] {
				cut.Tool = best(mask)
				cut.mark(step)
			}
		}
		i = j
	}
}

// otherTool gives the cuts of a batch that comes back to a setting the tool that is best for them, where that is
// another one. Lengths that several parts share stay on one.
func otherTool(l *Layout, step Um, shared func(Um) bool) (changed bool) {
	type key struct {
		tool string
		at   Um
	}
	seen := make(map[key]bool)
	for _, b := range l.Batches {
		k := key{b.Tool, b.Setting}
		if seen[k] && !shared(b.Setting) {
			for _, ref := range b.Cuts {
				if c := &l.Sheets[ref.Sheet].Cuts[ref.No-1]; c.Direction != "slant" && !c.turned && best(c.fits()) != c.Tool {
					c.Tool, changed = best(c.fits()), true
					c.mark(step)
				}
			}
		}
		seen[k] = true
	}
	return changed
}

// mark gives a cut its safety mark; a rip that would leave a narrow piece at the fence is turned round, so that it is
// on the free side of the blade.
func (cut *Cut) mark(step Um) {
	if cut.Direction == "slant" {
		return
	}
	edge, across := cut.extents()
	cut.Safety = ""
	switch cut.Tool {
	case Rip:
		cut.markRip(across, step)
	case Cross:
		if across < smallPiece || cut.Setting < smallPiece && edge < smallPiece {
			cut.Safety = MarkHoldDown
		} else if max(edge, across) < fenceEdge {
			cut.Safety = MarkSled
		}
	}
	if cut.shave {
		cut.Safety = join(cut.Safety, MarkShave)
	}
	if cut.leftover {
		cut.Safety = join(cut.Safety, MarkLeftover)
	}
	if rest := across - cut.Setting - cut.Kerf; rest > 0 && rest < wasteStrip && !cut.turned && (cut.sliver || cut.Makes[1] == waste) {
		cut.Safety = join(cut.Safety, MarkStrip)
	}
}

func (cut *Cut) markRip(across, step Um) {
	if cut.turned {
		cut.Safety = MarkFreeSide
		return
	}
	switch other := across - cut.Setting - cut.Kerf; {
	case cut.Setting >= pushStick:
	case cut.Setting >= pushBlock:
		cut.Safety = MarkPushStick
	case cut.Setting >= neverBetween:
		cut.Safety = MarkPushBlock
	case other < neverBetween:
		cut.Safety = MarkNarrow
	default:
		cut.Setting, cut.turned = other, true
		cut.Makes[0], cut.Makes[1] = cut.Makes[1], cut.Makes[0]
		cut.Reference = sideNames[cut.side()^1]
		cut.draw(step)
		cut.Safety = MarkFreeSide
	}
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}
