package render

import "cubby/internal/design"

// fitterPages lays out part A: summary, graphs, vehicle cautions and fitting, as-built form.
func fitterPages(b *book, r *design.Result, o Options) {
	f := summary(b, r)
	if len(r.Designs) == 0 {
		f.origins(r, o)
		return
	}
	told := false
	tell := func(f *flow, always bool) {
		if !told && (always || f.hasRoomForOrigins(r)) {
			f.origins(r, o)
			told = true
		}
	}
	tell(f, false)
	tell(graphs(b, r), false)
	tell(fittingPages(b, r), true)
	asBuilt(b, r)
}
