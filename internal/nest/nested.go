package nest

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Nested is a layout for a router: parts lie by their true outlines, without cuts from edge to edge.
type Nested struct {
	Clearance Um
	Sheets    []NestedSheet
	Unplaced  []Unplaced
	Rows      bool // the parts lie in the rectangles of a saw's layout with the clearance for a kerf: nothing better was found
}

// NestedSheet is one sheet of stock and what is cut from it; Used is how far the parts reach along x, from its left
// edge.
type NestedSheet struct {
	Name          string
	Stock         int // index into the given stock
	Width, Height Um
	Used          Um
	Places        []NestedPlace
}

// NestedPlace is one part as laid: mirrored about the y axis if Flipped, then turned counter-clockwise by quarter
// turns, then moved so that the lower left corner of its extents lies at X, Y. A flipped part has its outer face down.
type NestedPlace struct {
	Panel   string // name or name#k
	X, Y    Um
	Turns   int // 0 to 3
	Flipped bool
	Outline [][2]Um // sheet frame
}

// UsedArea is the board that a layout needs: of every sheet the full width as far as the parts reach along it, in um2.
func (n *Nested) UsedArea() float64 {
	sum := 0.0
	for _, s := range n.Sheets {
		sum += float64(s.Used) * float64(s.Height)
	}
	return sum
}

// UsedArea is the board that a layout for the saw needs, measured as [Nested.UsedArea].
func (l *Layout) UsedArea() float64 {
	sum := 0.0
	for _, s := range l.Sheets {
		far := Um(0)
		for _, p := range s.Placements {
			far = max(far, p.X+p.Width)
		}
		sum += float64(far) * float64(s.Height)
	}
	return sum
}

// Bounds of the search for a nested layout.
const (
	nestedParts = 120        // pieces of a board; more are laid in rows
	nestedWork  = 60_000_000 // comparisons of a place with the side of a part, for each board
	nestedTries = 40         // orders in which the parts are laid
	lastPerturb = 4          // neighbours that a part may pass in a shuffled order
)

// LayNested lays parts on stock for a router: by their outlines (the whole rectangle where there is none), no two
// closer than the clearance, and the stock's trim kept from its edges. Grain is kept; parts that name a partner
// (PairWith) may be turned over face for face. It works within a bound and proves nothing. Its error is an
// [*InputError], or ErrStopped.
func LayNested(parts []Part, stock []Stock, saw Saw, clearance Um, o Options) (n *Nested, err error) {
	if err := validate(parts, stock, saw, o); err != nil {
		return nil, err
	}
	if clearance <= 0 || clearance > MaxSize {
		return nil, &InputError{"saw", "", "clearance", clearance, "must be greater than 0, and smaller than the sheet"}
	}
	defer func() {
		switch p := recover().(type) {
		case nil:
		case stopping:
			n, err = nil, ErrStopped
		default:
			panic(p)
		}
	}()
	n = &Nested{Clearance: clearance}
	rows := false
	for _, g := range groups(parts) {
		b := &router{clearance: clearance, saw: saw, stock: stock, kinds: g.stock(stock), noTurn: o.NoTurn, stop: o.Done,
			work: cmp.Or(o.Budget, nestedWork)}
		best, err := b.inRows(g.parts, o)
		if err != nil {
			return nil, err
		}
		if found := b.search(g.parts); found != nil && found.better(best) {
			best = found
		} else {
			rows = true
		}
		for _, s := range best.sheets {
			s.Name = fmt.Sprintf("sheet %d", len(n.Sheets)+1)
			n.Sheets = append(n.Sheets, s)
		}
		n.Unplaced = append(n.Unplaced, best.unplaced...)
	}
	n.Rows = rows
	return n, nil
}

// router lays the parts of one board.
type router struct {
	clearance Um
	saw       Saw
	stock     []Stock
	kinds     []int // of the stock, first those to be used first
	noTurn    bool
	stop      stopper
	work      int
	sums      map[[2]*shape][]hull
}

// routed is one way to lay the parts of a board.
type routed struct {
	sheets   []NestedSheet
	unplaced []Unplaced
	money    float64
	whole    int // sheets that are no offcuts
	used     float64
}

func (a *routed) better(b *routed) bool {
	return cmp.Or(cmp.Compare(len(a.unplaced), len(b.unplaced)), cmp.Compare(a.money, b.money), cmp.Compare(a.whole, b.whole),
		cmp.Compare(a.used, b.used)) < 0
}

func (b *router) sum(r *routed) *routed {
	for i := range r.sheets {
		s := &r.sheets[i]
		for _, p := range s.Places {
			for _, q := range p.Outline {
				s.Used = max(s.Used, q[0])
			}
		}
		r.money += b.stock[s.Stock].Price
		r.used += float64(s.Used) * float64(s.Height)
		if !b.stock[s.Stock].Offcut {
			r.whole++
		}
	}
	return r
}

// inRows lays the parts as for a saw that cuts as wide as the clearance.
func (b *router) inRows(parts []Part, o Options) (*routed, error) {
	var usable []Stock
	var kinds []int
	for _, k := range b.kinds {
		s := b.stock[k]
		t := s.trim(b.saw)
		s.Length, s.Width, s.Trim = s.Length-2*t, s.Width-2*t, 0
		if b.clearance < min(s.Length, s.Width) {
			usable, kinds = append(usable, s), append(kinds, k)
		}
	}
	saw := b.saw
	saw.Kerf, saw.Trim = b.clearance, 0
	l, err := Lay(parts, usable, saw, o)
	if err != nil {
		return nil, err
	}
	byName := map[string]*Part{}
	for i := range parts {
		byName[parts[i].Name] = &parts[i]
	}
	outline := func(piece string) [][2]Um {
		name, _ := PartOf(piece)
		return outlineOf(*byName[name])
	}
	r := &routed{unplaced: l.Unplaced}
	for _, s := range l.Sheets {
		k := kinds[s.Stock]
		t := b.stock[k].trim(b.saw)
		n := NestedSheet{Stock: k, Width: b.stock[k].Length, Height: b.stock[k].Width}
		for _, p := range s.Placements {
			if len(p.Parts) == 0 {
				a := attitude{turns: p.Rotation / 90}
				g := a.of(outline(p.Panel))
				n.Places = append(n.Places, placed(p.Panel, a, shiftBy(g, p.X+t, p.Y+t)))
			}
			for _, q := range p.Parts {
				g := shiftBy(q.Outline, t, t)
				a := attitudeOf(outline(q.Panel), g, q.Flipped)
				n.Places = append(n.Places, placed(q.Panel, a, g))
			}
		}
		r.sheets = append(r.sheets, n)
	}
	return b.sum(r), nil
}

func placed(name string, a attitude, g [][2]Um) NestedPlace {
	lo, _ := extents(g)
	return NestedPlace{Panel: name, X: lo[0], Y: lo[1], Turns: a.turns, Flipped: a.flip, Outline: g}
}

// search lays the parts in many orders and keeps the best; nil: there are too many.
func (b *router) search(parts []Part) *routed {
	pieces := expand(parts)
	if len(pieces) > nestedParts || len(b.kinds) == 0 {
		return nil
	}
	b.sums = map[[2]*shape][]hull{}
	shapes := make([][]*shape, len(parts))
	for i, p := range parts {
		shapes[i] = b.shapes(p)
	}
	keys := []func(piece) float64{
		func(p piece) float64 { return float64(p.length) * float64(p.width) },
		func(p piece) float64 { return float64(max(p.length, p.width)) },
		func(p piece) float64 { return float64(min(p.length, p.width)) },
		func(p piece) float64 { return float64(p.length + p.width) },
		func(p piece) float64 { return float64(p.width)*1e6 + float64(p.length)*1e-3 },
	}
	var best *routed
	random := rng(1)
	for try := range nestedTries {
		order := slices.Clone(pieces)
		key := keys[try%len(keys)]
		slices.SortStableFunc(order, func(x, y piece) int { return cmp.Compare(key(y), key(x)) })
		if try >= len(keys) {
			for i := range order {
				j := min(len(order)-1, i+random.below(lastPerturb))
				order[i], order[j] = order[j], order[i]
			}
		}
		r := b.layAll(order, shapes)
		if r == nil {
			break
		}
		if best == nil || r.better(best) {
			best = r
		}
	}
	return best
}

// routerSheet is a sheet while it is filled.
type routerSheet struct {
	kind   int
	trim   Um
	places []spot
	names  []string
	far    Um
}

// layAll lays pieces in the given order; nil: the work is used up.
func (b *router) layAll(order []piece, shapes [][]*shape) *routed {
	var sheets []*routerSheet
	used := map[int]int{}
	r := &routed{}
next:
	for _, p := range order {
		b.stop.ask()
		for _, s := range sheets {
			if b.add(s, p.name, shapes[p.part]) {
				continue next
			}
			if b.work < 0 {
				return nil
			}
		}
		for _, k := range b.kinds {
			if c := b.stock[k].Count; c > 0 && used[k] >= c {
				continue
			}
			s := &routerSheet{kind: k, trim: b.stock[k].trim(b.saw)}
			if b.add(s, p.name, shapes[p.part]) {
				sheets = append(sheets, s)
				used[k]++
				continue next
			}
		}
		r.unplaced = append(r.unplaced, Unplaced{p.name, "no sheet of the stock that is left has room for it"})
	}
	for _, s := range sheets {
		n := NestedSheet{Stock: s.kind, Width: b.stock[s.kind].Length, Height: b.stock[s.kind].Width}
		for i, q := range s.places {
			n.Places = append(n.Places, placed(s.names[i], q.shape.attitude, shiftBy(q.shape.outline, q.x, q.y)))
		}
		r.sheets = append(r.sheets, n)
	}
	return b.sum(r)
}

// add puts a piece on a sheet where it reaches least far along it, then farthest left, then lowest.
func (b *router) add(s *routerSheet, name string, shapes []*shape) bool {
	k := b.stock[s.kind]
	best, bestFar := spot{}, Um(math.MaxInt64)
	for _, sh := range shapes {
		x0, y0 := s.trim, s.trim
		x1, y1 := k.Length-s.trim-sh.w, k.Width-s.trim-sh.h
		if x1 < x0 || y1 < y0 {
			continue
		}
		q, ok := b.lowest(s, sh, [4]Um{x0, y0, x1, y1})
		if !ok {
			continue
		}
		far := max(s.far, q.x+sh.w)
		if far < bestFar || far == bestFar && (q.x+sh.w < best.x+best.shape.w || q.x+sh.w == best.x+best.shape.w && q.y < best.y) {
			best, bestFar = q, far
		}
	}
	if best.shape == nil {
		return false
	}
	s.places, s.names, s.far = append(s.places, best), append(s.names, name), bestFar
	return true
}
