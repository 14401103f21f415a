package render

import "cubby/internal/design"

// fitterPages lays out part A: summary, graphs, vehicle cautions and fitting, as-built form.
func fitterPages(b *book, r *design.Result, o Options) {
	summary(b, r, o)
	if len(r.Designs) == 0 {
		return
	}
	graphs(b, r)
	fittingPages(b, r)
	asBuilt(b, r)
}
