package render

import "cubby/internal/design"

// fitterPages lays out part A: the answer, then what else was possible, graphs and checks, the space with fitting, cautions and the
// form, in as few pages as they take.
func fitterPages(b *book, r *design.Result, o Options) {
	if len(r.Designs) == 0 {
		f := noBoxPage(b, r)
		f.origins(r, o)
		return
	}
	frontPage(b, r)
	b.fewest([]float64{0, 0.5, 1}, func(b *book, dense float64) *flow { return furtherPages(b, r, o, dense) })
}

// furtherPages are the pages after the first, from roomy (0) to dense (1).
func furtherPages(b *book, r *design.Result, o Options, dense float64) *flow {
	between := func(roomy, tight float64) float64 { return roomy + dense*(tight-roomy) }
	size := between(sizeBody, sizeSmall)
	f := b.flow(partA, "What else was possible", portrait)
	f.possible(r, between(62, 42), size)
	f.part("Graphs and checks")
	f.graphs(r, &r.Designs[0], between(68, 53), between(56, 43))
	f.checks(r, &r.Designs[0])
	f.part("The space, fitting")
	f.place(r, o, between(88, 50), size)
	f.part("Cautions, as built")
	f.Heading("Before fitting: read this")
	f.labelled(vehicleCautions, size)
	f.asBuilt(r)
	f.origins(r, o)
	return f
}

// part goes on with a part of another title: on this page if much of it is free, and on the pages to come.
func (f *flow) part(title string) {
	const much = 0.3 // of a page
	f.next = title
	if f.Left() < much*f.Area.H {
		f.Page()
	}
}
