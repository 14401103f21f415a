package nest

import "slices"

// slant is the slanted cut of one pair, in the sheet's frame.
type slant struct {
	names     [2]string
	line      [2][2]Um
	reference string
	setting   Um // at the start of the line
	far       Um // at its end
}

// slantOf gives the cut of the pair laid as pl.
func (p piece) slantOf(pl Placement) slant {
	line := p.onSheet(pl, p.pair.line[:])
	sl := slant{names: p.names, line: [2][2]Um{line[0], line[1]}}
	r := rect{pl.X, pl.Y, pl.Width, pl.Height}
	first := pl.Parts[0].Outline
	if p.pair.alongY != pl.Turned { // the parallel sides run along y
		sl.reference, sl.setting, sl.far = "bottom", line[0][1]-r.y, line[1][1]-r.y
		if slices.MinFunc(first, func(a, b [2]Um) int { return int(a[1] - b[1]) })[1] > r.y {
			sl.reference, sl.setting, sl.far = "top", r.y+r.h-line[0][1], r.y+r.h-line[1][1]
		}
		return sl
	}
	sl.reference, sl.setting, sl.far = "left", line[0][0]-r.x, line[1][0]-r.x
	if slices.MinFunc(first, func(a, b [2]Um) int { return int(a[0] - b[0]) })[0] > r.x {
		sl.reference, sl.setting, sl.far = "right", r.x+r.w-line[0][0], r.x+r.w-line[1][0]
	}
	return sl
}

// startName is what the sheet is called before the first cut: its own name, or that of the one piece it is already.
func (sh *Sheet) startName() string {
	if len(sh.Placements) == 1 && len(sh.Offcuts) == 0 {
		if p := sh.Placements[0]; p.Width == sh.Width && p.Height == sh.Height {
			return p.Panel
		}
	}
	return sh.Name
}
