package render

import "cubby/internal/design"

// fitterPages lays out part A: summary, graphs, vehicle cautions and fitting, as-built form.
func fitterPages(b *book, r *design.Result, o Options) {
	f := b.fewest(viewHeights, func(b *book, height float64) *flow { return summary(b, r, o, height) })
	if len(r.Designs) == 0 {
		f.origins(r, o)
		return
	}
	told := false
	tell := func(f *flow) {
		if !told && f.hasRoomForOrigins(r) {
			f.origins(r, o)
			told = true
		}
	}
	tell(f)
	tell(b.fewest(asItIs, func(b *book, _ float64) *flow { return graphs(b, r) }))
	b.fewest([]float64{9.5, 9, 8.5}, func(b *book, size float64) *flow {
		f := fittingPages(b, r, size)
		if !told {
			f.origins(r, o)
		}
		return f
	})
	asBuilt(b, r)
}
