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
	k, at, extent := 0, [2]Um{pl.X, pl.Y}, [2]Um{pl.Width, pl.Height}
	if p.pair.alongY != pl.Turned { // the parallel sides run along y
		k = 1
	}
	sl.reference, sl.setting, sl.far = sideNames[2*k], line[0][k]-at[k], line[1][k]-at[k]
	if !slices.ContainsFunc(pl.Parts[0].Outline, func(q [2]Um) bool { return q[k] == at[k] }) {
		sl.reference, sl.setting, sl.far = sideNames[2*k+1], extent[k]-sl.setting, extent[k]-sl.far
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
