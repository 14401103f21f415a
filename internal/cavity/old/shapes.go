package cavity

import (
	"math"
	"slices"

	"cubby/internal/plane"
)

// gain is how much larger, relatively, a shape with more work in it must be to be offered.
const gain = 0.005

// tie is how much larger, relatively, a section must be to be the better one: less is rounding, and the first found stays.
const tie = 1e-9

// A find is the best shape of its kind so far.
type find struct {
	section plane.Polygon
	changes []change
	room    room
	volume  float64
}

// Shapes gives the shapes in order of workshop effort, each more than half a per cent bigger than the one before it; at
// least one, or an error in the user's terms (*NoRoomError) that says what leaves no room.
func (s Space) Shapes() ([]Shape, error) {
	s, err := s.normal()
	if err != nil {
		return nil, err
	}
	if w := s.Width - s.InsetLeft - s.InsetRight; w < s.LeastWall*(1-plane.Slack) {
		return nil, s.noWidth()
	}
	pieces, err := s.Section.Inset(s.Insets)
	if err != nil {
		return nil, err
	}
	pieces = straightenAll(pieces)
	best := s.search(s.rooms(pieces), pieces)
	if best[Rectangle].section == nil && best[OneSlope].section == nil && best[FullSection].section == nil {
		return nil, s.noSection(len(s.inWay(pieces)) > 0)
	}
	bare := best
	if len(s.inWay(pieces)) > 0 {
		bare = s.search([]room{{left: s.InsetLeft, right: s.Width - s.InsetRight}}, pieces)
	}
	var shapes []Shape
	largest := 0.0
	for k := Rectangle; k <= FullSection; k++ {
		f := best[k]
		if f.section == nil || f.volume <= largest*(1+gain) {
			continue
		}
		largest = f.volume
		shapes = append(shapes, s.shape(k, f, bare[k].volume-f.volume))
	}
	return shapes, nil
}

func (s Space) shape(k ShapeKind, f find, cost float64) Shape {
	sh := Shape{
		Kind: k, Section: fromLowerFront(f.section), Left: f.room.left, Width: f.room.width(),
		Bevels: bevels(f.section), Volume: f.volume,
	}
	sh.Notes = s.blockNotes(f.room, f.section, cost)
	sh.WidthNote = len(sh.Notes) > 0 && len(f.room.around) == 0
	for _, c := range f.changes {
		sh.Notes = append(sh.Notes, c.note(f.room.width(), s.Units))
	}
	return sh
}

// search finds the best section of each kind over all rooms.
func (s Space) search(rooms []room, pieces []plane.Polygon) [FullSection + 1]find {
	var best [FullSection + 1]find
	keep := func(r room, g plane.Polygon, changes []change) {
		v := g.Area() * r.width()
		for k := kindOf(g); k <= FullSection; k++ {
			if v > best[k].volume*(1+tie) {
				best[k] = find{g, changes, r, v}
			}
		}
	}
	m := mender{units: s.Units, least: s.LeastWall, nose: s.LeastWall + s.Board, keepToes: s.KeepToes}
	fits := func(side float64) bool { return side >= s.LeastWall*(1-plane.Slack) }
	for _, t := range s.trials(rooms, pieces) {
		r, g := t.room, t.section
		if g.Area()*r.width() <= best[Rectangle].volume {
			break // and so are all after it
		}
		sl := newSloper(g, m)
		if q := g.LargestRect(); fits(q.Width()) && fits(q.Height()) {
			keep(r, q.Polygon(), nil)
		} else if h := sl.rectangle(); h != nil {
			keep(r, h, nil)
		}
		wanted := func(k ShapeKind) float64 { return best[k].volume / r.width() }
		if wanted(OneSlope)*(1+gain) < g.Area() {
			for k := OneSlope; k <= TwoSlopes; k++ {
				m.most = k
				for _, h := range sl.sections(k, wanted(k)) {
					if h, changes, ok := m.mend(h, wanted(k)); ok {
						keep(r, h, changes)
					}
				}
			}
		}
		m.most = FullSection
		if h, changes, ok := m.mend(g, wanted(FullSection)); ok {
			keep(r, h, changes)
		}
	}
	return best
}

// A roomy section is what the blocks of a room leave of the space.
type roomy struct {
	room    room
	section plane.Polygon
	volume  float64
}

// trials lists the sections of all rooms, those of most volume first: what they give rules the others out.
func (s Space) trials(rooms []room, pieces []plane.Polygon) []roomy {
	var list []roomy
	for _, r := range rooms {
		for _, g := range s.sections(r, pieces) {
			list = append(list, roomy{r, g, g.Area() * r.width()})
		}
	}
	slices.SortStableFunc(list, func(a, b roomy) int { return cmp(b.volume, a.volume) })
	return list
}

// square is how far a wall or a corner may be from level, upright or square and still count as such, in rad: a saw is
// set to a twentieth of a degree at best.
const square = 0.05 * math.Pi / 180

// sloping reports whether the wall from a to b is neither level nor upright.
func sloping(a, b plane.Point) bool {
	d := b.Sub(a)
	return math.Min(math.Abs(d.X), math.Abs(d.Y)) > square*d.Norm()
}

// kindOf tells the simplest kind that a section belongs to.
func kindOf(g plane.Polygon) ShapeKind {
	if !g.IsConvex() {
		return FullSection
	}
	slopes := 0
	for i := range g {
		if a, b := g.Edge(i); sloping(a, b) {
			slopes++
		}
	}
	return min(ShapeKind(slopes), FullSection)
}

// bevels counts the corners that are not square.
func bevels(g plane.Polygon) int {
	n := 0
	for i := range g {
		if a := math.Mod(g.InteriorAngle(i), math.Pi); math.Abs(a-math.Pi/2) > square {
			n++
		}
	}
	return n
}

// fromLowerFront begins the list of corners at the lower front one.
func fromLowerFront(g plane.Polygon) plane.Polygon {
	k := 0
	place := func(p plane.Point) float64 { return p.X + 2*p.Y } // low counts more than far to the front
	for i := range g {
		if place(g[i]) < place(g[k])-plane.Slack {
			k = i
		}
	}
	return append(slices.Clone(g[k:]), g[:k]...)
}
