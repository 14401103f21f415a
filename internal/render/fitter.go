package render

import "cubby/internal/design"

// fitterPages lays out part A: the answer, what else was possible, graphs and checks, the space with fitting, cautions and the form.
func fitterPages(b *book, r *design.Result, o Options) {
	if len(r.Designs) == 0 {
		f := noBoxPage(b, r)
		f.origins(r, o)
		return
	}
	frontPage(b, r)
	told := false
	tell := func(f *flow) {
		if !told && f.hasRoomForOrigins(r) {
			f.origins(r, o)
			told = true
		}
	}
	tell(b.fewest([]float64{66, 58, 50}, func(b *book, tall float64) *flow { return offersPage(b, r, tall) }))
	tell(b.fewest(asItIs, func(b *book, _ float64) *flow { return graphPage(b, r) }))
	tell(b.fewest([]float64{92, 84, 76, 68}, func(b *book, tall float64) *flow { return placePage(b, r, o, tall, 9) }))
	b.fewest([]float64{9.5, 9, 8.5}, func(b *book, size float64) *flow {
		f := lastPage(b, r, size)
		if !told {
			f.origins(r, o)
		}
		return f
	})
}

// lastPage is the page that stays with the vehicle: cautions, read before anything is fitted, and what was really built.
func lastPage(b *book, r *design.Result, size float64) *flow {
	f := b.flow(partA, "Cautions, as built", portrait)
	f.Heading("Before fitting: read this")
	f.labelled(vehicleCautions, size)
	f.asBuilt(r)
	return f
}
