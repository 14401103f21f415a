package nest

import (
	"cmp"
	"slices"
)

const (
	// A reusable offcut is at least this long and wide (common practice).
	offcutLength = 300 * mm
	offcutWidth  = 100 * mm
)

func (s size) reusable() bool {
	return max(s[0], s[1]) >= offcutLength && min(s[0], s[1]) >= offcutWidth
}

// draw fills the sheet with what bin x holds.
func (r *boardLayout) draw(sh *Sheet, x *bin) {
	sh.slants = make(map[string]slant)
	root := x.slabs(new(quarry).clear(len(x.nodes)), 0, r.p, [2]Um{sh.trim, sh.trim})
	root.walk(func(s *slab) {
		if s.piece >= 0 {
			p := r.pieces[s.piece]
			s.name = p.name
			pl := p.place(s)
			sh.Placements = append(sh.Placements, pl)
			if p.pair != nil {
				sh.slants[p.name] = p.slantOf(pl)
			}
		}
	})
	sh.root = root
	(&cutter{saw: r.saw, sheet: sh, plan: true}).cutSheet()
	sh.listOffcuts()
	slices.SortStableFunc(sh.Placements, func(a, b Placement) int {
		return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X))
	})
}

// listOffcuts lists what the cuts leave over, without names.
func (sh *Sheet) listOffcuts() {
	sh.Offcuts = nil
	sh.root.walk(func(s *slab) {
		if r := s.lies; r.size[0] > 0 {
			o := Offcut{X: r.at[0], Y: r.at[1], Width: r.size[0], Height: r.size[1], Reusable: r.reusable()}
			sh.Offcuts = append(sh.Offcuts, o)
		}
	})
}

// place gives the placement of a piece in the rectangle s.
func (p piece) place(s *slab) Placement {
	pl := Placement{Panel: p.name, X: s.at[0], Y: s.at[1], Width: s.size[0], Height: s.size[1]}
	pl.Turned = s.turned != (p.grain == "width")
	if pl.Turned {
		pl.Rotation = 90
	}
	if p.pair != nil {
		for i, o := range p.pair.outlines {
			pl.Parts = append(pl.Parts, PairPart{Panel: p.names[i], Outline: p.onSheet(pl, o), Flipped: i == 1 && p.pair.flipped})
		}
	}
	return pl
}

// onSheet moves points of the piece's own frame to the sheet. A quarter turn is counter-clockwise.
func (p piece) onSheet(pl Placement, pts [][2]Um) [][2]Um {
	out := make([][2]Um, len(pts))
	for i, q := range pts {
		if pl.Turned {
			q = [2]Um{p.width - q[1], q[0]}
		}
		out[i] = [2]Um{pl.X + q[0], pl.Y + q[1]}
	}
	return out
}

// rect is the whole sheet.
func (sh *Sheet) rect() rect { return rect{size: size{sh.Width, sh.Height}} }
