package render

import (
	"fmt"
	"math"
	"sort"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

// boardSlack is how far a measured board may lie from the thickness that the sheet was made for: the mill tolerance of fibreboard
// of 2 to 30 mm (0.2 mm, quoted in mill data to EN 324-1) and a tenth for the caliper.
const (
	boardSlackMetric = "0.3 mm"
	boardSlackInch   = "1/64 in"
)

func (s *shop) summaryPages() {
	f := s.book.flow(partB, "Shop summary", portrait)
	f.Y = paragraph(f, Pt{f.Area.X, f.Y}, f.Area.W, "For the shop", TextStyle{Size: sizeTitle, Bold: true})
	if s.r.Request.Title != "" {
		f.Styled(s.r.Request.Title, TextStyle{Size: sizeHeading})
	}
	f.Gap(2)
	s.standing(f)
	s.sketch(f)
	f.Heading("Before you cut: measure the board")
	s.boardCheck(f)
	f.Heading("Cautions in the shop")
	f.Bullets(shopCautions)
	f.Heading("Tolerances")
	f.Bullets(s.tolerances())
	s.outsideViews(f)
	if n := s.warnings(); len(n) > 0 {
		f.Heading("Watch for this on this box")
		f.Bullets(n)
	}
}

// warnings are those of the box itself: part B does not repeat what concerns the vehicle or the sound.
func (s *shop) warnings() []string { return panels.Texts(s.box.Warnings, s.m.sys) }

// standing is the table of what the box is.
func (s *shop) standing(f *flow) {
	lo, hi := bounds(s.box.Section)
	w, dp, h := s.box.Width, hi.X-lo.X, hi.Y-lo.Y
	req := s.r.Request
	rows := [][]cell{
		keyed("What it is", s.whatItIs()),
		keyed("Outside, bare wood: must not be exceeded", fmt.Sprintf("%s wide × %s deep × %s high\n(%s × %s × %s)",
			s.m.full(w), s.m.full(dp), s.m.full(h), s.m.other(w), s.m.other(dp), s.m.other(h))),
		keyed("Covering", s.coveringText()),
		keyed("Fixing to the vehicle", s.fixingText()),
		keyed("Weight", fmt.Sprintf("about %s of wood; %s with what is listed as fitted", unit.FormatMass(s.box.BoardMass, req.Units), unit.FormatMass(s.d.Mass, req.Units))),
		keyed("Board", s.boardText()),
		keyed("Stock and saw", s.sawText()),
		keyed("Tools assumed", s.toolsText()),
		keyed("Faces", "All outer faces show unless the fitter says otherwise: put the good side of the board out. Nothing is rounded over until every opening is cut."),
	}
	if t := s.finishedText(); t != "" {
		rows[1][1].Text += "\nfinished with " + s.finishWords() + ": " + t
	}
	if req.Contact != "" {
		rows = append(rows, keyed("Questions to", req.Contact))
	}
	rows = append(rows,
		keyed("Made from", s.madeFrom()),
		keyed("In doubt", "Do not scale the drawings. Stop and ask."))
	rows[1][1].Bold = true
	rows[len(rows)-1][1].Bold = true
	f.Table(table{Columns: []column{{Width: 42}, {}}, Rows: rows, Size: 9})
}

func keyed(key, text string) []cell { return []cell{{Text: key, Bold: true}, {Text: text}} }

func (s *shop) whatItIs() string {
	n := len(s.box.Section)
	shape := fmt.Sprintf("a box with a section of %d corners", n)
	if n == 4 && s.bevels() == 0 {
		shape = "a rectangular box"
	}
	bevels := "no bevelled edges"
	if s.bevels() > 0 {
		bevels = plural(s.bevels(), "bevelled edge")
	}
	return fmt.Sprintf("Loudspeaker box: %s, %s; %s, %s. It must be airtight. The driver sits in the %s.",
		shape, plural(s.pieces(), "panel"), bevels, endsText(s.box.Spec.Wood.Ends), place(s.box.Drivers.Panel))
}

func (s *shop) pieces() int {
	n := 0
	for _, p := range s.box.Panels {
		n += max(p.Count, 1)
	}
	return n
}

// bevels counts the edges that are sawn with the blade tilted.
func (s *shop) bevels() int {
	n := 0
	for _, p := range s.box.Panels {
		for _, e := range p.Edges {
			if bevelled(e) {
				n += max(p.Count, 1)
			}
		}
	}
	return n
}

func endsText(e panels.EndStyle) string {
	switch e {
	case panels.EndsInside:
		return "ends set inside the wrap of walls"
	case panels.EndsRabbeted:
		return "ends rabbeted all round and set over the wrap of walls"
	}
	return "ends laid over the wrap of walls"
}

// boards are the distinct boards with their thickness, in order of thickness.
func (s *shop) boards() []panels.Panel {
	var out []panels.Panel
	for _, p := range s.box.Panels {
		if n := float64(p.Layers); n > 1 {
			p.Thickness, p.Nominal, p.Layers = p.Thickness/n, p.Nominal/n, 1
		}
		known := false
		for _, q := range out {
			known = known || q.Board == p.Board && math.Abs(q.Thickness-p.Thickness) < 1e-6
		}
		if !known {
			out = append(out, p)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Thickness < out[j].Thickness })
	return out
}

func (s *shop) boardText() string {
	var names []string
	for _, p := range s.boards() {
		t := s.boardOf(p) + " measured"
		if p.Nominal > 0 && math.Abs(p.Nominal-p.Thickness) > 1e-5 {
			t += ", sold as " + s.m.full(p.Nominal)
		}
		names = append(names, t)
	}
	return listed(names)
}

func (s *shop) sawText() string {
	saw := s.r.Request.Saw
	t := ""
	if s.d.Sheets != nil && len(s.d.Sheets.Sheets) > 0 {
		t = plural(len(s.d.Sheets.Sheets), "sheet") + "; "
	}
	return t + fmt.Sprintf("laid out for a kerf of %s and a trim of %s, kerf included, on each factory edge. If your widest kerf is more, stop and ask.",
		s.m.full(saw.Kerf), s.m.full(saw.Trim))
}

// toolsText names the tools that the cuts ask for.
func (s *shop) toolsText() string {
	t := "track saw on a bed, saw bench with fence and stop block, caliper"
	if s.bevels() > 0 {
		t += ", blade that tilts to " + degrees(s.steepest())
	}
	for _, p := range s.box.Panels {
		if len(p.Holes) > 0 || allRound(p) != nil {
			return t + ", router with a circle arm, drill"
		}
	}
	return t
}

func (s *shop) steepest() float64 {
	a := 0.0
	for _, p := range s.box.Panels {
		for _, e := range p.Edges {
			a = math.Max(a, math.Abs(e.Tilt))
		}
	}
	return a
}

func (s *shop) madeFrom() string {
	t := s.o.Source
	if t == "" {
		t = "a job without a file name"
	}
	if s.o.Hash != "" {
		h := s.o.Hash
		if len(h) > 16 {
			h = h[:16]
		}
		t += ", fingerprint " + h
	}
	if s.r.Request.Revision != "" {
		t += ", revision " + s.r.Request.Revision
	}
	if s.r.Request.Date != "" {
		t += ", " + s.r.Request.Date
	}
	return t
}

// boardCheck is the check box for the measured board.
func (s *shop) boardCheck(f *flow) {
	slack := boardSlackMetric
	if s.m.sys == unit.Inch {
		slack = boardSlackInch
	}
	var rows [][]cell
	for _, p := range s.boards() {
		blank := cell{Height: 8, Draw: func(c Canvas, r Rect) {
			line(c, Pt{r.X + 2, r.Bottom() - 1}, Pt{r.Right() - 2, r.Bottom() - 1}, Stroke{Width: 0.2})
		}}
		tick := cell{Height: 8, Draw: func(c Canvas, r Rect) {
			box(c, Rect{r.Centre().X - 2.25, r.Centre().Y - 2.25, 4.5, 4.5}, Stroke{Width: 0.35})
		}}
		rows = append(rows, []cell{{Text: p.Board}, {Text: s.m.sloped(p.Thickness) + " " + s.m.mark(), Bold: true}, blank, blank, blank, tick})
	}
	f.Table(table{Columns: []column{{Head: "Board"}, {Head: "This sheet is made for", Width: 34}, {Head: "Place 1", Width: 26},
		{Head: "Place 2", Width: 26}, {Head: "Place 3", Width: 26}, {Head: "Good", Width: 14}}, Rows: rows, Size: 9})
	f.Para(fmt.Sprintf("Measure with a caliper at three places, about 50 mm (2 in) in from the edge. If one differs by more than %s, do not cut: send the measured "+
		"thickness back and have this sheet printed again with that thickness. The outside is kept; the inside and the lengths between boards move by the difference.", slack))
}

// shopCautions stand before the cut list, where they are read. Sources: UK Health and Safety Executive, wood dust limits and
// Woodworking Sheet 16; IARC monographs 62 and 100C; NIOSH recommended exposure limit for noise.
var shopCautions = []string{
	"Dust: wood and fibreboard dust harms the lungs and can cause cancer of the nose (IARC group 1). Extract at the saw and the router, wear a fitted mask, vacuum rather than sweep.",
	"Saw: guard and riving knife set for each cut, push stick for the last 300 mm (12 in) and for anything narrower than 150 mm (6 in). With the blade tilted the fence stands on the side that the blade leans away from. Never cross-cut against the fence as a stop.",
	"Router: work clamped, both hands on, feed against the rotation. Large openings: support the slug so that it cannot drop or jam.",
	"Noise: a saw or a router of 100 dBA uses up a day's recommended noise in 15 minutes (NIOSH). Ear and eye protection on.",
	"Glue and sealant: air the room, follow the maker's label. Local rules and the machine makers' instructions come first.",
}

func (s *shop) tolerances() []string {
	length, open := "± 0.5 mm", "– 0 / + 1 mm"
	if s.m.sys == unit.Inch {
		length, open = "± 1/64 in", "– 0 / + 1/32 in"
	}
	t := []string{
		"Lengths and widths " + length + "; blade tilts ± 0.25°, checked by the run with a rule, not by the saw's scale; openings " + open + ".",
		"Square: the two diagonals of anything square equal within 1.5 mm per metre (1/16 in in 40 in).",
		s.diagonals(),
		"All figures are finished sizes. The outside size must not be exceeded; the rest is not critical beyond these limits as long as the joints close.",
	}
	if s.box.WorstJoint > 0 {
		t = append(t, fmt.Sprintf("Cut exactly to the printed figures, no joint gapes or stands proud by more than %s.", s.m.fine(s.box.WorstJoint)))
	}
	return t
}

// diagonals gives the distances to check on each end panel and on the glued wrap.
func (s *shop) diagonals() string {
	g := s.box.Section
	var t []string
	for _, d := range diagonalPairs(len(g)) {
		a, b := g[d[0]], g[d[1]]
		t = append(t, fmt.Sprintf("%s (%d–%d)", s.m.bare(math.Hypot(a.X-b.X, a.Y-b.Y)), d[0]+1, d[1]+1))
	}
	if len(t) == 0 {
		return "The section is a triangle: its three sides are its check."
	}
	return "Outside diagonals of both ends of the glued wrap, corners numbered as on the end panels, " + s.m.mark() + ": " + listed(t) + "."
}

// diagonalPairs are the corners to measure between: both diagonals of a four-cornered section, else from corner 1 to all that are
// not beside it.
func diagonalPairs(n int) [][2]int {
	if n == 4 {
		return [][2]int{{0, 2}, {1, 3}}
	}
	var out [][2]int
	for i := 2; i < n-1; i++ {
		out = append(out, [2]int{0, i})
	}
	return out
}

// sketch draws the box as it stands, faces named.
func (s *shop) sketch(f *flow) {
	r := f.Box(66)
	d := onPaper(f, r)
	d.thisWayUp(Pt{r.X + 10, r.Y + 12}, r.H-24)
	b := boxSolid(s.box)
	var pts []plane.Point
	fcs := b.faces()
	for _, fc := range fcs {
		pts = append(pts, fc.Corners...)
	}
	fit := fitInto(Rect{r.X + 42, r.Y + 9, r.W - 84, r.H - 23}, pts)
	d.paint(b, fit)
	s.driverOnSolid(d, fit)
	s.nameFaces(d, fit)
	d.write("Mark the outer faces with these names in pencil as you cut.", TextStyle{Size: sizeSmall, Italic: true},
		spot{At: Pt{r.X + 2, r.Bottom() - 2}}, spot{At: Pt{r.Right() - 2, r.Bottom() - 2}, Align: AlignRight}, spot{At: Pt{r.Right() - 2, r.Y + 4}, Align: AlignRight})
}

// thisWayUp draws the arrow that goes on the box, from its tip down over a height.
func (d *drawing) thisWayUp(tip Pt, height float64) {
	d.line(Pt{tip.X, tip.Y + height}, Pt{tip.X, tip.Y + 8}, 0.8)
	d.Canvas.Path([]Pt{tip, {tip.X - 4, tip.Y + 9}, {tip.X + 4, tip.Y + 9}}, true, nil, &Fill{Grey: 0})
	st := TextStyle{Size: 9, Bold: true}
	d.text(Pt{tip.X + 6, tip.Y + 4}, "THIS WAY", st)
	d.text(Pt{tip.X + 6, tip.Y + 8.5}, "UP", st)
}

// driverOnSolid draws the openings of the panels that are in view.
func (s *shop) driverOnSolid(d *drawing, f fit) {
	for _, p := range s.box.Panels {
		n := vec(p.Place.X).cross(vec(p.Place.Y))
		if p.Role != panels.Wall && p.Role != panels.End || n.dot(toViewer) < 1e-6 {
			continue
		}
		for _, h := range p.Holes {
			if h.Kind == "bolt" || h.Kind == "fixing" || h.From == "inner" && h.Depth > 0 {
				continue
			}
			var pts []plane.Point
			for _, c := range holeOutline(h, 36) {
				pts = append(pts, iso(onPanel(p.Place, c)))
			}
			d.shape(f.path(pts), &Stroke{Width: thin}, &Fill{Grey: 0.72})
		}
	}
}

// onPanel is a point of a panel's outer face in space.
func onPanel(f panels.Frame, c plane.Point) vec {
	return vec(f.Origin).add(vec(f.X).mul(c.X)).add(vec(f.Y).mul(c.Y))
}

// holeOutline is the edge of an opening on the outer face, round ones as a polygon of n corners.
func holeOutline(h panels.Hole, n int) []plane.Point {
	if h.Diameter > 0 {
		out := make([]plane.Point, n)
		for i := range out {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			out[i] = plane.Point{X: h.X + h.Diameter/2*cos, Y: h.Y + h.Diameter/2*sin}
		}
		return out
	}
	l, w := h.Length/2, h.Width/2
	r := math.Min(h.Radius, math.Min(l, w))
	if r <= 0 {
		return []plane.Point{{X: h.X - l, Y: h.Y - w}, {X: h.X + l, Y: h.Y - w}, {X: h.X + l, Y: h.Y + w}, {X: h.X - l, Y: h.Y + w}}
	}
	var out []plane.Point
	for k, c := range []plane.Point{{X: l - r, Y: w - r}, {X: r - l, Y: w - r}, {X: r - l, Y: r - w}, {X: l - r, Y: r - w}} {
		for i := 0; i <= 6; i++ {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(k) + float64(i)/6))
			out = append(out, plane.Point{X: h.X + c.X + r*cos, Y: h.Y + c.Y + r*sin})
		}
	}
	return out
}

// nameFaces writes the names of all walls and ends: on the face where it is in view, beside the box with an arrow where not.
func (s *shop) nameFaces(d *drawing, f fit) {
	type hidden struct {
		name    string
		tail, u Pt
	}
	var away []hidden
	out := func(p panels.Panel) vec { return vec(p.Place.X).cross(vec(p.Place.Y)) }
	middle := func(p panels.Panel) vec {
		if p.Role == panels.End && len(p.Outline) > 0 {
			return onPanel(p.Place, p.Outline.Centroid())
		}
		return onPanel(p.Place, plane.Point{X: p.Length / 2, Y: reach(p) / 2})
	}
	all := s.withRole(panels.Wall, panels.End)
	for _, p := range all { // the arrows first: names keep off them
		if n := out(p); n.dot(toViewer) < 1e-6 {
			tail, u := arrowTo(d, boxSolid(s.box), f, middle(p), n)
			away = append(away, hidden{place(p.Name), tail, u})
		}
	}
	for _, h := range away {
		nameArrow(d, h.name, h.tail, h.u)
	}
	for _, p := range all {
		if out(p).dot(toViewer) >= 1e-6 {
			s.nameSeen(d, f, p, f.at(iso(middle(p))))
		}
	}
}

// nameSeen writes the name of a face in view on it where it is clear, else beside it.
func (s *shop) nameSeen(d *drawing, f fit, p panels.Panel, at Pt) {
	st := TextStyle{Size: sizeLabel, Bold: true}
	half := ascentShare * st.Size * pointMM / 2
	spots := []spot{{At: Pt{at.X, at.Y + half}, Align: AlignCentre}}
	for _, k := range []float64{0.5, 0.25, 0.75, 0.12, 0.88} {
		for _, y := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
			q := f.at(iso(onPanel(p.Place, plane.Point{X: p.Length * k, Y: reach(p) * y})))
			if !coveredBefore(s.box, p, q, f) {
				spots = append(spots, spot{At: Pt{q.X, q.Y + half}, Align: AlignCentre})
			}
		}
	}
	if d.writeClear(place(p.Name), st, spots...) {
		return
	}
	for _, sp := range spots {
		if d.noteWhere(Pt{sp.At.X, sp.At.Y - half}, place(p.Name), st, 8, anywhere) {
			return
		}
	}
	d.note(at, place(p.Name), st, 8)
}

// coveredBefore reports whether at this place of the view another face of the box lies before a wall: the view's last face there
// is not the wall's.
func coveredBefore(b *panels.Box, p panels.Panel, at Pt, f fit) bool {
	n := vec(p.Place.X).cross(vec(p.Place.Y))
	covered := false
	for _, fc := range boxSolid(b).faces() {
		if plane.Polygon(fc.Corners).CCW().Contains(f.back(at)) {
			covered = fc.Normal.sub(n).norm() > 1e-6
		}
	}
	return covered
}

// arrowTo draws an arrow outside the silhouette towards a hidden face, on the side that the face looks to. It returns the arrow's tail
// and the way from its tip to there.
func arrowTo(d *drawing, s solid, f fit, centre, to vec) (tail, u Pt) {
	a, b := f.at(iso(centre)), f.at(iso(centre.add(to)))
	u = unitTo(a, b)
	covered := func(p Pt) bool {
		for _, fc := range s.faces() {
			if plane.Polygon(fc.Corners).CCW().Contains(f.back(p)) {
				return true
			}
		}
		return false
	}
	at := a
	for i := 0; i < 400 && covered(at); i++ {
		at = Pt{at.X + u.X, at.Y + u.Y}
	}
	tip := Pt{at.X + 2*u.X, at.Y + 2*u.Y}
	tail = Pt{at.X + 8*u.X, at.Y + 8*u.Y}
	d.line(tip, tail, thin)
	d.arrow(tip, -u.X, -u.Y)
	return tail, u
}

// nameArrow writes the name of a hidden face at the tail of its arrow.
func nameArrow(d *drawing, name string, tail, u Pt) {
	st := TextStyle{Size: 8}
	half := rise(st.Size) / 2
	var spots []spot
	for _, k := range []float64{1.5, 4, 7} {
		q := Pt{tail.X + k*u.X, tail.Y + k*u.Y + half}
		spots = append(spots, spot{At: q, Align: AlignLeft}, spot{At: q, Align: AlignRight}, spot{At: q, Align: AlignCentre})
	}
	if u.X < 0 {
		spots[0], spots[1] = spots[1], spots[0]
	}
	if !d.write(name+" (hidden)", st, spots...) {
		d.note(tail, name+" (hidden)", st, 2)
	}
}
