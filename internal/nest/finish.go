package nest

import (
	"cmp"
	"fmt"
	"slices"
)

// finish names the offcuts, writes the cuts and gathers them into batches.
func (l *Layout) finish(saw Saw, stop stopper) {
	l.nameOffcuts()
	for i := range l.Sheets {
		stop.ask()
		sh := &l.Sheets[i]
		c := cutter{saw: saw, sheet: sh, no: i + 1}
		c.cutSheet()
		used := Um(0)
		for _, p := range sh.Placements {
			used += p.Width * p.Height
		}
		for _, o := range sh.Offcuts {
			if o.Reusable {
				used += o.Width * o.Height
			}
		}
		sh.Waste = 1 - float64(used)/float64(sh.Width*sh.Height)
	}
	l.Batches, l.Settings = batches(l.Sheets, stop)
}

// nameOffcuts numbers the offcuts over the whole job: reusable ones first, then by size.
func (l *Layout) nameOffcuts() {
	type one struct {
		o *Offcut
	}
	var all []one
	for i := range l.Sheets {
		sh := &l.Sheets[i]
		for j := range sh.Offcuts {
			all = append(all, one{&sh.Offcuts[j]})
		}
	}
	slices.SortStableFunc(all, func(a, b one) int {
		if a.o.Reusable != b.o.Reusable {
			if a.o.Reusable {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.o.Width*b.o.Height, a.o.Width*a.o.Height)
	})
	for i, a := range all {
		a.o.Name = fmt.Sprintf("offcut %d", i+1)
	}
	for i := range l.Sheets {
		sh := &l.Sheets[i]
		named := make(map[[2]Um]string)
		for _, o := range sh.Offcuts {
			named[[2]Um{o.X, o.Y}] = o.Name
		}
		sh.root.walk(func(s *slab) {
			if s.piece < 0 {
				s.name = named[[2]Um{s.x, s.y}]
			}
		})
		slices.SortStableFunc(sh.Offcuts, func(a, b Offcut) int { return cmp.Compare(b.Width*b.Height, a.Width*a.Height) })
	}
}
