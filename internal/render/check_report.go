package render

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/unit"
)

// CheckReport writes the judgement of ready-made boxes as a PDF to be shown to the customer: a page for the best box, with a
// table when several were compared, and a page with its graphs. Errors as those of Document.
func CheckReport(w io.Writer, r *design.CheckResult, o Options) error {
	b, err := layOutCheck(r, o)
	return b.write(w, err)
}

func layOutCheck(r *design.CheckResult, o Options) (*book, error) {
	if r == nil || len(r.Boxes) == 0 {
		return nil, errors.New("document: no box was judged")
	}
	return bound(&design.Result{Basis: r.Basis}, o, func(b *book) {
		b.runOn(nil, []float64{46, 38, 32}, func(b *book, least float64) *flow { return checkPage(b, r, least) })
		if r.Boxes[0].Circuit != nil {
			checkGraphs(b, r)
		}
	})
}

// checkCautions are the cautions of the one page; the full ones come with a design.
const checkCautions = "Fit nothing near airbags, belts, seat sensors, fuel or brake lines; bolt or strap the box down so that a crash does not move it; " +
	"fuse the cable close to the battery. The vehicle maker's instructions and local codes come first, and licensed practice where it is " +
	"required. Deep bass can harm hearing at levels that a sound meter's A-weighting hides."

// checkPage lays the report out with a graph of a least height, mm.
func checkPage(b *book, r *design.CheckResult, least float64) *flow {
	f := b.flow(partA, "Does this box suit?", portrait)
	j := r.Boxes[0]
	f.Name(r.Request.Title, "Does this box suit?")
	f.Para(checkedFor(r, j))
	f.verdict(upperFirst(string(j.Verdict))+".", upperFirst(j.VerdictText))
	f.Styled(factLine(r, &j), TextStyle{Size: sizeSmall})
	if settings := r.Settings(&j); len(settings) > 0 && j.Verdict != design.DoesNotSuit {
		var set []string
		for _, s := range settings {
			set = append(set, s.Text())
		}
		f.Styled("Dial in: "+strings.Join(set, "; ")+".", TextStyle{Size: sizeSmall, Bold: true})
	}
	if text := j.Fitting.Cabin.Text(); text != "" {
		f.Styled("In the vehicle: "+text, TextStyle{Size: sizeSmall})
	}
	f.Gap(1.5)
	if len(r.Boxes) > 1 {
		f.Table(comparison(r))
		f.Gap(3)
	}
	const most = 70.0 // mm, of the graph
	small := TextStyle{Size: sizeSmall}
	taken, best := "", ""
	if len(r.Assumptions) > 0 {
		taken = "Not said in the job, and taken so: " + strings.Join(r.Assumptions, "; ") + "."
	}
	if r.Best != nil {
		best = "What could be built in the same space: " + r.Best.VerdictText
	}
	w := f.Area.W
	foot := paragraphHeight(w, checkCautions, small) + paragraphHeight(w, taken, small) + 2
	rest := foot + paragraphHeight(w, r.Shopping, TextStyle{}) + paragraphHeight(w, best, small) + least + 6
	checks, passes := gradedTable(r, j, w, f.Left()-rest)
	f.Table(checks)
	f.Gap(2)
	if passes != "" {
		f.Styled(passes, small)
		f.Gap(1)
	}
	if r.Shopping != "" {
		f.Para(r.Shopping)
	}
	if best != "" {
		f.Styled(best, small)
		f.Gap(1)
	}
	if j.Circuit != nil {
		if f.Left()-foot < least {
			f.Page()
		}
		checkGraph(r, j).draw(f, f.Box(math.Min(most, f.Left()-foot-3)))
	}
	f.Need(foot)
	f.Gap(2)
	if taken != "" {
		f.Styled(taken, small)
	}
	f.Styled(checkCautions, small)
	return f
}

// gradedTable is the table of a box's checks. Where the page is short of height (mm) for it, its type is smaller; then what
// passes is told in a line of its own instead.
func gradedTable(r *design.CheckResult, j design.Judged, width, height float64) (t table, passes string) {
	q := &design.Result{Basis: r.Basis}
	graded := slices.DeleteFunc(slices.Clone(j.Checks), func(c design.Check) bool { return c.Told })
	t = checkTable(q, graded)
	for t.Size > sizeSmall && t.height(width) > height {
		t.Size -= 0.5
	}
	if t.height(width) <= height {
		return t, ""
	}
	open, passed, _ := openChecks(graded)
	brief := checkTable(q, open)
	brief.Size = t.Size
	return brief, passLine(checkTable(q, passed))
}

// checkedFor says in running text what is judged for what.
func checkedFor(r *design.CheckResult, j design.Judged) string {
	name := driversNamed(r.DriverSingle.Name, "the driver", r.Request.Mount.Count)
	box := j.Ready.Name
	if box == "" {
		box = "The box"
	}
	text := fmt.Sprintf("%s (%s) for %s", box, j.Kind, name)
	if a := r.Request.Amplifier; a != nil && a.Power > 0 {
		text += fmt.Sprintf(" on an amplifier of %s into %s Ω", watts(a.Power), trim(a.Into))
	}
	text += "."
	return text
}

// factLine is the key figures of a box in a line.
func factLine(r *design.CheckResult, j *design.Judged) string {
	var all []string
	for _, k := range r.Facts(j) {
		text := k.Name + " " + k.Text(unit.Metric)
		if k.Place == design.OfTheBox {
			text += " (" + k.Text(unit.Inch) + ")"
		}
		all = append(all, text)
	}
	return upperFirst(strings.Join(all, "; ")) + "."
}

// comparedAt is where the loudest level of several boxes is compared, Hz.
const comparedAt = 40

// comparison lists several boxes, best first, each with what speaks against it. Prices have a column when there are any.
func comparison(r *design.CheckResult) table {
	t := table{Size: sizeSmall, Columns: []column{{Head: "", Width: 6}, {Head: "box", Width: 38}, {Head: "net air", Width: 18, Align: AlignRight},
		{Head: "f3", Width: 15, Align: AlignRight}, {Head: fmt.Sprintf("%d Hz, dB", comparedAt), Width: 18, Align: AlignRight}}}
	isPriced := slices.ContainsFunc(r.Boxes, func(j design.Judged) bool { return j.Ready.Price > 0 })
	if isPriced {
		t.Columns = append(t.Columns, column{Head: "price", Width: 13, Align: AlignRight})
	}
	t.Columns = append(t.Columns, column{Head: "answer"})
	for _, j := range r.Boxes {
		name, air, low, loud, price := j.Ready.Name, "–", "–", cmp.Or(j.At(comparedAt), "–"), "–"
		if name == "" {
			name = string(j.Kind)
		}
		if j.NetVolume > 0 {
			air = unit.FormatVolume(j.NetVolume, r.Request.Units)
		}
		if v := j.Lowest(); finite(v) {
			low = hertz(v)
		}
		if j.Ready.Price > 0 {
			price = trim(j.Ready.Price)
		}
		words := []string{fmt.Sprint(j.Rank), name, air, low, loud}
		if isPriced {
			words = append(words, price)
		}
		t.Rows = append(t.Rows, cells(append(words, answer(j))...))
	}
	return t
}

// answer is the verdict with the names of the checks that fail; of a box that fails none, of those that are marginal.
func answer(j design.Judged) string {
	for _, s := range []panels.Status{panels.Fail, panels.Marginal} {
		var names []string
		for _, c := range j.Checks {
			if c.Status == s {
				names = append(names, c.Name)
			}
		}
		if len(names) > 0 {
			return string(j.Verdict) + ": " + strings.Join(names, ", ")
		}
	}
	return string(j.Verdict)
}

// checkGraphs is the second page: how the best of the boxes behaves over frequency, in the graphs of a design.
func checkGraphs(b *book, r *design.CheckResult) {
	j := &r.Boxes[0]
	f := b.flow(partA, "How it plays", portrait)
	d := &design.Design{Sound: j.Sound, Judgement: j.Judgement}
	q := &design.Result{Basis: r.Basis,
		Designs: []design.Design{*d}}
	name := j.Ready.Name
	if name == "" {
		name = "the box"
	}
	f.Styled(upperFirst(name), TextStyle{Size: sizeHeading, Bold: true})
	f.Gap(2)
	f.graphs(q, d, 72, 58)
}

// checkGraph shows the level of the box beside that of the best box that could be built.
func checkGraph(r *design.CheckResult, j design.Judged) graph {
	q := &design.Result{Basis: r.Basis}
	own := &design.Design{Sound: design.Sound{Curves: j.Curves}}
	g := levelGraph(q, own)
	if r.Best != nil {
		g.Lines = append(g.Lines, over("the best box for this space", lookDot, r.Best.Curves, func(p design.CurvePoint) float64 { return p.Level }))
	}
	return g
}
