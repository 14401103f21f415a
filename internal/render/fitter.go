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
	b.runOn(nil, []float64{0, 0.5, 1}, func(b *book, dense float64) *flow { return furtherPages(b, r, o, dense) })
}

// furtherPages are the pages after the first, from roomy (0) to dense (1).
func furtherPages(b *book, r *design.Result, o Options, dense float64) *flow {
	d := &r.Designs[0]
	size := sizeBody + dense*(sizeSmall-sizeBody)
	f := b.flow(partA, "What else was possible", portrait)
	const sizes, tall, low, views = 26.0, 15.0, 13.0, 38.0 // mm by which graphs and views may grow where a page has room
	f.stretch(sizes, func(f *flow, k float64) { f.possible(r, 36+k*sizes, size) })
	f.part("Graphs and checks")
	f.stretch(tall+2*low, func(f *flow, k float64) {
		f.graphs(r, d, 53+k*tall, 43+k*low)
		f.checks(r, d)
	})
	f.part("The space, fitting")
	f.stretch(views, func(f *flow, k float64) { f.place(r, o, 50+k*views, size) })
	f.part("Cautions, as built")
	f.Heading("Before fitting: read this")
	f.labelled(vehicleCautions, size)
	f.asBuilt(r)
	f.origins(r, o)
	return f
}

// stretch lays blocks that may grow by a share of growth, mm, as large as fills the rest of the page, where no other part would go
// on it.
func (f *flow) stretch(growth float64, lay func(f *flow, share float64)) {
	trial := &flow{b: &book{paper: f.b.paper, tight: f.b.tight}, Y: f.Y, next: f.next}
	trial.sheet = trial.b.add(f.Part, f.Title, f.orientation())
	lay(trial, 0)
	share := 0.0
	if left := trial.Left(); len(trial.b.sheets) == 1 && left < much*f.Area.H {
		share = max(0, min(1, (left-1)/growth))
	}
	lay(f, share)
}

// much of a page, a share, free: the next part goes on it.
const much = 0.3

// part goes on with a part of another title: on this page if much of it is free, and on the pages to come.
func (f *flow) part(title string) {
	f.next = title
	if f.Left() < much*f.Area.H {
		f.Page()
	}
}
