package render

import (
	"flag"
	"fmt"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"cubby/internal/design"
	"cubby/internal/panels"
	solids "cubby/internal/solid"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// printedWords lays a case out and reads it back.
func printedWords(t testing.TB, c shopCase, paper string) (*design.Result, []pageWord) {
	r := shopResult(t, c)
	b := shopBook(t, r, paper)
	data, err := b.pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
	if err != nil {
		t.Fatal(err)
	}
	return r, wordsOf(t, data)
}

// fromPage compares every board that part B gives, and the box that they make, with the design.
func fromPage(all []pageWord, b *panels.Box, u unit.System) error {
	p, err := readBox(all)
	if err != nil {
		return err
	}
	if p.units != u || p.axis != b.Spec.Axis {
		return fmt.Errorf("in %v along %v", p.units, p.axis)
	}
	if err := builtFromPage(all, p, b); err != nil {
		return err
	}
	return assembledFromPage(all, p, b)
}

// posted is the first worked box with a post in its lower back corner on the right.
func posted(t testing.TB, ends panels.EndStyle) shopCase {
	c := shopCases()[0]
	c.spec.Wood.Ends = ends
	lo, hi := c.spec.Outside.Bounds()
	size := r3.Sub(hi, lo)
	post := solids.Box{Name: "post", Min: r3.Vec{X: hi.X - 0.12*size.X, Y: hi.Y - 0.3*size.Y, Z: lo.Z - 1}, Max: r3.Vec{X: hi.X + 1, Y: hi.Y + 1, Z: lo.Z + 0.3*size.Z}}
	var err error
	if c.spec.Outside, err = c.spec.Outside.Pocket(post); err != nil {
		t.Fatal(err)
	}
	return c
}

// TestBuiltFromThePage builds the worked boxes from part B, on both papers; and with a notch, with ends of each style.
func TestBuiltFromThePage(t *testing.T) {
	tool(t, "pdftotext")
	cases := shopCases()
	for _, ends := range []panels.EndStyle{panels.EndsOver, panels.EndsInside, panels.EndsRabbeted} {
		cases = append(cases, posted(t, ends))
	}
	for _, c := range cases {
		if c.extra > 0 {
			continue
		}
		for _, paper := range []string{"letter", "a4"} {
			r, all := printedWords(t, c, paper)
			if err := fromPage(all, r.Designs[0].Box, c.units); err != nil {
				t.Errorf("%s on %s: %v", c.name, paper, err)
			}
		}
	}
}

var long = flag.Bool("long", false, "build hundreds of random boxes from the page")

// TestBuiltFromThePageRandom builds random boxes from part B, in either unit and on either paper.
func TestBuiltFromThePageRandom(t *testing.T) {
	tool(t, "pdftotext")
	n, most, kinds := 0, 12, map[string]int{}
	if *long {
		most = 400
	}
	rapid.Check(t, func(rt *rapid.T) {
		c := randomCase(rt)
		if _, err := panels.Build(c.spec); err != nil || n >= most {
			return
		}
		paper := rapid.SampledFrom([]string{"letter", "a4"}).Draw(rt, "paper")
		n++
		r, all := printedWords(t, c, paper)
		if err := fromPage(all, r.Designs[0].Box, c.units); err != nil {
			rt.Errorf("%s, %v: %v", paper, c.units, err)
		}
		for _, k := range append(kindsOf(r.Designs[0].Box), paper, c.units.String()) {
			kinds[k]++
		}
	})
	t.Logf("%d boxes built from the page: %v", n, kinds)
	for _, k := range []string{"letter", "a4", "mm", "in"} {
		if kinds[k] == 0 && n == most {
			t.Errorf("none in %s", k)
		}
	}
}

// kindsOf says what a random box has, for the count of what was tried.
func kindsOf(b *panels.Box) (out []string) {
	out = append(out, "axis "+b.Spec.Axis.String(), "joints "+b.Spec.Wood.Joints.String())
	for what, is := range map[string]bool{"pocket": pocketed(b) > 1e-9, "slot": b.Slot != nil, "elbow": len(b.Ports) > 0 && b.Ports[0].Elbow != nil, "two drivers": len(b.Drivers.Centres) > 1, "flush": b.Spec.Wood.Flush > 0,
		"removable": b.Removable != nil, "braced": slices.ContainsFunc(b.Panels, func(p panels.Panel) bool { return p.Role.Stands() })} {
		if is {
			out = append(out, what)
		}
	}
	return out
}

// TestBuiltFromThePageCanFail plants faults in what the page is compared with, or in what is printed: each is found.
func TestBuiltFromThePageCanFail(t *testing.T) {
	tool(t, "pdftotext")
	wedge, slotted, notched := shopCases()[1], shopCases()[13], posted(t, panels.EndsOver)
	rabbeted := wedge // its ends are not sawn apart head to tail
	rabbeted.spec.Wood.Ends = panels.EndsRabbeted
	row := func(d *design.Design, tool work.Tool) *work.Cut {
		d.Work = work.Make(d.Box, d.Sheets)
		return &d.Work.Cuts[slices.IndexFunc(d.Work.Cuts, func(c work.Cut) bool { return c.Tool == tool })]
	}
	for _, f := range []struct {
		what   string
		c      shopCase
		before bool // it is printed
		plant  func(*design.Design)
	}{
		{"length", wedge, false, func(d *design.Design) { d.Box.Panels[0].Length += 0.3e-3 }},
		{"bevel", wedge, false, func(d *design.Design) {
			e := d.Box.Panels[edged(d.Box)].Edges
			e[0].Tilt, e[1].Tilt = -e[0].Tilt, -e[1].Tilt
		}},
		{"width", wedge, false, func(d *design.Design) { d.Box.Panels[edged(d.Box)].OuterWidth += 0.3e-3 }},
		{"hole", wedge, false, func(d *design.Design) { d.Box.Panels[pierced(d.Box)].Holes[0].X += 0.3e-3 }},
		{"corner", wedge, false, func(d *design.Design) { d.Box.Panels[end(d.Box)].Outline[2].X += 0.3e-3 }},
		{"missing panel", wedge, false, func(d *design.Design) {
			p := d.Box.Panels[0]
			p.Mark = "ZZ"
			d.Box.Panels = append(d.Box.Panels, p)
		}},
		{"place of a corner", wedge, false, func(d *design.Design) {
			d.Box.Panels[edged(d.Box)].Inner[0] = r3.Add(d.Box.Panels[edged(d.Box)].Inner[0], r3.Vec{Y: 0.4e-3})
		}},
		{"line of a slot's board", slotted, false, func(d *design.Design) {
			p, _ := panelOf(d.Box, func(p *panels.Panel) bool { return p.Role.OfPort() })
			for i := range p.Outer {
				p.Outer[i].Z += 0.3e-3
			}
		}},
		{"pocket", notched, false, func(d *design.Design) { d.Box.Spec.Outside = shopCases()[0].spec.Outside }},
		{"neighbour", notched, false, func(d *design.Design) {
			p := &d.Box.Panels[slices.IndexFunc(d.Box.Panels, func(p panels.Panel) bool { return outlined(p) })]
			p.Edges[0].Meets, p.Edges[1].Meets = p.Edges[1].Meets, p.Edges[0].Meets
		}},
		{"width as printed", wedge, true, func(d *design.Design) {
			p := &d.Box.Panels[edged(d.Box)]
			p.OuterWidth, p.InnerWidth = p.OuterWidth+0.6e-3, p.InnerWidth+0.6e-3
		}},
		{"joint", wedge, true, func(d *design.Design) {
			for i, e := range d.Box.Panels[0].Edges {
				if e.Joint == panels.ButtThrough {
					d.Box.Panels[0].Edges[i].Joint = panels.ButtStop
				}
			}
		}},
		{"thickness", wedge, true, func(d *design.Design) { d.Box.Panels[edged(d.Box)].Thickness += 0.5e-3 }},
		{"fill", wedge, true, func(d *design.Design) { row(d, work.Rip); d.Work.Fill.Volume *= 1.01 }},
		{"notch", notched, true, func(d *design.Design) { row(d, work.Notch).Fence += 0.3e-3 }},
		{"slant", rabbeted, true, func(d *design.Design) { row(d, work.Taper).Far += 0.3e-3 }},
	} {
		r := shopResult(t, f.c)
		d := &r.Designs[0]
		was := *d.Box
		was.Panels = nil
		for _, p := range d.Box.Panels {
			p.Outline, p.Outer, p.Inner = slices.Clone(p.Outline), slices.Clone(p.Outer), slices.Clone(p.Inner)
			p.Edges, p.Holes = slices.Clone(p.Edges), slices.Clone(p.Holes)
			was.Panels = append(was.Panels, p)
		}
		if f.before {
			f.plant(d)
		}
		data, err := shopBook(t, r, "a4").pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
		if err != nil {
			t.Fatal(err)
		}
		all := wordsOf(t, data)
		if !f.before {
			if err := fromPage(all, &was, f.c.units); err != nil {
				t.Fatalf("%s: %v", f.what, err)
			}
			d.Box = &was
			f.plant(d)
		}
		if fromPage(all, &was, f.c.units) == nil {
			t.Errorf("a fault in the %s is not seen", f.what)
		}
	}
}

func edged(b *panels.Box) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return slices.ContainsFunc(p.Edges, bevelled) })
}

func pierced(b *panels.Box) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return len(p.Holes) > 0 })
}

func end(b *panels.Box) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return p.Role == panels.End })
}
