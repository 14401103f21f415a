package work

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"cubby/internal/nest"
	"cubby/internal/panels"
)

// micrometre is the unit of the layout, m.
const micrometre = 1e-6

// cuts puts all that is cut in one order: the square cuts of the layout by set-up, then bevels by tilt and fence, slants and notches,
// rabbets along the edges that are there by then, and openings, the smallest first.
func (p *Plan) cuts(b *panels.Box, l *nest.Layout) {
	if l != nil {
		p.squareCuts(b, l)
	}
	p.bevelCuts(b)
	p.outlineCuts(b, l)
	p.rabbetCuts(b)
	p.mouthCuts(b)
	p.boreCuts(b)
	for i := range p.Cuts {
		p.Cuts[i].No = i + 1
	}
}

// add puts a cut in a set-up of its own unless it is the same as the one before.
func (p *Plan) add(c Cut, same bool) {
	if !same || len(p.Cuts) == 0 {
		p.Setups++
	}
	c.Setup = p.Setups
	p.Cuts = append(p.Cuts, c)
}

// squareCuts takes over the cuts of the layout, in its order of work.
func (p *Plan) squareCuts(b *panels.Box, l *nest.Layout) {
	at := make(map[string]int, len(b.Panels))
	for i := range b.Panels {
		at[b.Panels[i].Name] = i
	}
	for _, batch := range l.Batches {
		for k, ref := range batch.Cuts {
			c := l.Sheets[ref.Sheet].Cuts[ref.No-1]
			p.add(squareCut(at, ref, c), k > 0)
		}
	}
}

// squareCut is one cut of the layout as a row.
func squareCut(at map[string]int, ref nest.CutRef, c nest.Cut) Cut {
	out := Cut{Tool: Tool(c.Tool), Sheet: ref.Sheet, SheetNo: c.No, Keep: -1, Take: pieceNamed(at, c.Piece), At: Edge{Index: -1},
		Setting: Setting{Reference: Edge{Side: c.Reference, Sawn: !c.Rough, Index: -1}, Fence: um(c.Setting), Far: um(c.Far), Rough: c.Rough}}
	for i, m := range c.Makes {
		out.Makes[i] = pieceNamed(at, m)
		if m == c.Keep && m != "" {
			out.Keep = i
		}
	}
	for m := range strings.SplitSeq(c.Safety, "; ") {
		if m != "" {
			out.Marks = append(out.Marks, Mark(m))
		}
	}
	return out
}

func um(u nest.Um) float64 { return float64(u) * micrometre }

// pieceNamed is what a name of the layout means.
func pieceNamed(at map[string]int, name string) Piece {
	switch {
	case name == "":
		return Piece{Panel: -1}
	case name == "waste":
		return Piece{Kind: Waste, Panel: -1}
	}
	base, k := nest.PartOf(name)
	if i, ok := at[base]; ok {
		return Piece{Kind: Board, Panel: i, Part: k}
	}
	if strings.HasPrefix(name, "offcut ") { // reserved: no panel may be called so
		return Piece{Kind: Offcut, Panel: -1, Name: name}
	}
	return Piece{Kind: Rest, Panel: -1, Name: name}
}

// onBoard is a cut into a panel that has its blank, at an edge of it, -1: none; and what it takes off.
func onBoard(t Tool, panel, edge int, off PieceKind, s Setting, marks ...Mark) Cut {
	return Cut{Tool: t, Sheet: -1, Setting: s, Take: Piece{Kind: Board, Panel: panel}, Makes: [2]Piece{{Kind: Board, Panel: panel}, {Kind: off}}, At: Edge{Index: edge}, Marks: marks}
}

// rabbetCuts are the steps in inner faces, by depth, then by the width from the edge as it is cut: wider where that is trimmed later.
func (p *Plan) rabbetCuts(b *panels.Box) {
	var all []Cut
	for _, i := range p.List {
		for _, s := range b.Panels[i].Rabbets {
			set := Setting{Reference: Edge{Index: s.Edge}, Fence: s.Width + b.Panels[i].Flush, Width: s.Width, Depth: s.Depth, Up: InnerFace}
			all = append(all, onBoard(Rabbet, i, s.Edge, Nothing, set, TestPiece, TwoPasses))
		}
	}
	slices.SortStableFunc(all, func(a, b Cut) int { return cmp.Or(near(a.Depth, b.Depth), near(b.Fence, a.Fence)) })
	for k, c := range all {
		p.add(c, k > 0 && near(c.Depth, all[k-1].Depth) == 0 && near(c.Fence, all[k-1].Fence) == 0)
	}
}

// near compares lengths as a machine is set: within 0.05 mm they are one.
func near(a, b float64) int {
	if math.Abs(a-b) < same {
		return 0
	}
	return cmp.Compare(a, b)
}

// bevelCuts are the bevels by tilt, then by fence; the second bevel of a panel comes after its first.
func (p *Plan) bevelCuts(b *panels.Box) {
	type job struct {
		cut   Cut
		after int // index of the cut that must be made before; -1
	}
	var all []job
	for _, i := range p.List {
		for n, c := range bevels(b, i) {
			after := -1
			if n > 0 {
				after = len(all) - 1
			}
			all = append(all, job{c, after})
		}
	}
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return bevelOrder(all[i].cut, all[j].cut) })
	done := make([]bool, len(all))
	for left := len(all); left > 0; {
		var last *Cut
		for _, i := range order {
			if done[i] || all[i].after >= 0 && !done[all[i].after] {
				continue
			}
			same := last != nil && bevelOrder(*last, all[i].cut) == 0
			p.add(all[i].cut, same)
			done[i], last = true, &all[i].cut
			left--
		}
	}
}

func bevelOrder(a, b Cut) int {
	if math.Abs(a.Tilt-b.Tilt) > square {
		return cmp.Compare(a.Tilt, b.Tilt)
	}
	return near(b.Fence, a.Fence)
}

// outlineCuts are the slants and notches of outlines that the layout does not cut.
func (p *Plan) outlineCuts(b *panels.Box, l *nest.Layout) {
	paired := pairedEnds(b, l)
	for _, tool := range []Tool{Taper, Notch} {
		var all []Cut
		for _, i := range p.List {
			panel := &b.Panels[i]
			if paired[i] {
				continue
			}
			for _, s := range offRim(panel) {
				if (tool == Notch) != s.notch {
					continue
				}
				c := onBoard(tool, i, s.edge, Waste, Setting{Reference: s.from, Fence: s.fence, Far: s.far, Up: OuterFace}, HandsClear)
				if s.notch {
					c.Marks = []Mark{StopShort}
				} else if math.Min(panel.Length, panel.Width) < 0.3 {
					c.Marks = []Mark{HoldDown}
				}
				all = append(all, c)
			}
		}
		p.addAlike(all)
	}
}

// addAlike puts cuts in the order that they have, and after each those of its setting, so that no setting comes twice.
func (p *Plan) addAlike(all []Cut) {
	for len(all) > 0 {
		first, left := all[0], all[:0:0]
		for k, c := range all {
			if c.Reference == first.Reference && near(c.Fence, first.Fence) == 0 && near(c.Far, first.Far) == 0 {
				p.add(c, k > 0)
			} else {
				left = append(left, c)
			}
		}
		all = left
	}
}

// pairedEnds are the panels that the layout cuts out of a rectangle that they share.
func pairedEnds(b *panels.Box, l *nest.Layout) map[int]bool {
	out := make(map[int]bool)
	if l == nil {
		return out
	}
	for _, sh := range l.Sheets {
		for _, pl := range sh.Placements {
			for _, q := range pl.Parts {
				if i, _ := pieceOf(b, q.Panel); i >= 0 {
					out[i] = true
				}
			}
		}
	}
	return out
}

// mouthCuts take the strip of a slot's mouth off the edge of a wall.
func (p *Plan) mouthCuts(b *panels.Box) {
	for _, i := range p.List {
		panel := &b.Panels[i]
		if panel.CutWidth <= 0 {
			continue
		}
		c := onBoard(Rip, i, -1, Waste, Setting{Reference: Edge{Index: -1}, Fence: panel.CutWidth, Up: OuterFace})
		for _, h := range panel.Holes {
			if h.Kind == "slot" {
				at, ref := "y0", "y1"
				if h.Y > panel.Width/2 {
					at, ref = ref, at
				}
				c.At.Index, c.Reference.Index = edgeAt(panel, at), edgeAt(panel, ref)
			}
		}
		if panel.CutWidth < 0.15 {
			c.Marks = []Mark{PushStick}
		}
		p.add(c, false)
	}
}

// boreCuts are the openings, panel by panel in order of marks, one row for each size of a panel; the driver's openings come last.
func (p *Plan) boreCuts(b *panels.Box) {
	for _, large := range []bool{false, true} {
		for _, i := range p.List {
			panel := &b.Panels[i]
			done := make([]bool, len(panel.Holes))
			for k, h := range panel.Holes {
				if done[k] || h.Kind == "slot" && panel.CutWidth > 0 || (h.Kind == "driver" || h.Kind == "window") != large {
					continue
				}
				c := onBoard(Bore, i, -1, Nothing, Setting{Reference: Edge{Index: -1}, Fence: h.Diameter, Depth: h.Depth, Up: OuterFace})
				if h.Diameter == 0 {
					c.Tool = CutOut
				}
				if h.From == "inner" {
					c.Up = InnerFace
				}
				for j := k; j < len(panel.Holes); j++ {
					o := panel.Holes[j]
					if !done[j] && o.Kind == h.Kind && o.From == h.From && o.Use == h.Use && near(o.Diameter, h.Diameter) == 0 && near(o.Length, h.Length) == 0 && near(o.Width, h.Width) == 0 && near(o.Depth, h.Depth) == 0 {
						done[j] = true
						c.Holes = append(c.Holes, j)
					}
				}
				switch {
				case panel.Flush > 0:
					c.Marks = []Mark{AfterGlue}
				case Notched(panel, h):
					c.Marks = []Mark{StopShort}
				case h.Depth == 0 && (large || h.Diameter > 0.1):
					c.Marks = []Mark{HoldSlug}
				case h.Depth == 0:
					c.Marks = []Mark{BackBoard}
				}
				p.add(c, false)
			}
		}
	}
}

// Notched reports whether an opening with straight sides is a notch: it reaches an edge of its panel.
func Notched(p *panels.Panel, h panels.Hole) bool {
	if h.Diameter > 0 {
		return false
	}
	x, y := math.Min(h.X, p.Length-h.X), math.Min(h.Y, p.Width-h.Y)
	return x < h.Length/2+same || y < h.Width/2+same
}
