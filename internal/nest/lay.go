package nest

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Lay lays the parts on the stock. Its error is an [*InputError] for input that no layout can have; parts that cannot
// be cut are named in Unplaced. The same input gives the same layout on every run and machine. Closing o.Done ends it
// with [ErrStopped].
func Lay(parts []Part, stock []Stock, saw Saw, o Options) (l *Layout, err error) {
	defer stopped(&l, &err)
	if err := validate(parts, stock, saw, o); err != nil {
		return nil, err
	}
	saw.HandleLength, saw.HandleWidth = cmp.Or(saw.HandleLength, handleLength), cmp.Or(saw.HandleWidth, handleWidth)
	saw.HandleMass = cmp.Or(saw.HandleMass, handleMass)
	l = &Layout{Proved: true}
	for _, g := range groups(parts) {
		l.layBoard(g, stock, saw, o)
	}
	l.finish(parts, saw, o.AsLaid, o.Done)
	return l, nil
}

// board is one kind of board with the parts that are of it.
type board struct {
	name      string
	thickness Um
	parts     []Part
}

// stock gives the stock of the board, as indices, in the order in which it is used: offcuts first, the smallest first;
// then by price for the area, the largest first.
func (b board) stock(all []Stock) (kinds []int) {
	for i, s := range all {
		if s.Board == b.name && s.Thickness == b.thickness {
			kinds = append(kinds, i)
		}
	}
	area := func(k int) float64 { return float64(all[k].Length) * float64(all[k].Width) }
	slices.SortStableFunc(kinds, func(i, j int) int {
		x, y := all[i], all[j]
		switch {
		case x.Offcut && y.Offcut:
			return cmp.Compare(area(i), area(j))
		case x.Offcut:
			return -1
		case y.Offcut:
			return 1
		}
		return cmp.Or(cmp.Compare(x.Price/area(i), y.Price/area(j)), cmp.Compare(area(j), area(i)))
	})
	return kinds
}

func (b board) String() string {
	if b.thickness == 0 {
		return b.name
	}
	return fmt.Sprintf("%s %s mm", b.name, showMM(b.thickness))
}

func groups(parts []Part) []board {
	var gs []board
	for _, p := range parts {
		k := slices.IndexFunc(gs, func(g board) bool { return g.name == p.Board && g.thickness == p.Thickness })
		if k < 0 {
			k = len(gs)
			gs = append(gs, board{name: p.Board, thickness: p.Thickness})
		}
		gs[k].parts = append(gs[k].parts, p)
	}
	return gs
}

// A piece is one rectangle to lay: a part, or two head to tail.
type piece struct {
	name          string
	length, width Um
	grain         string
	pair          *pair
	names         [2]string // of the two parts of a pair
	part          int       // index of the (first) part
	apart         []piece   // the two of a pair
}

func (l *Layout) layBoard(g board, stock []Stock, saw Saw, o Options) {
	single := expand(g.parts)
	b := newBoardProblem(g, stock, saw, o)
	if len(b.kinds) == 0 {
		for _, p := range single {
			l.Unplaced = append(l.Unplaced, Unplaced{p.name, "there is no stock of " + g.String()})
		}
		l.Proved = false
		return
	}
	single = b.refuse(l, single)
	paired, any := pairUp(single, g.parts, saw.Kerf, b.holds)
	best := b.solve(paired)
	if any && (!best.sol.proved || best.left() > 0) {
		best = b.comparePairs(best, single)
	}
	b.polish(best)
	l.take(b, best)
}

// polish improves what comes after cost in the objective.
func (b *boardProblem) polish(r *boardLayout) {
	if len(r.sol.bins) == 0 {
		return
	}
	p := r.p
	if len(r.sol.out) == 0 { // with parts left over there is no board to spare
		p.growOffcut(r.sol, cmp.Or(b.o.Budget, offcutBudget))
	}
	pl := &planner{p: p, saw: b.saw, sheet: func(t int) Sheet { return b.stock[b.kinds[t]].uncut(b.saw) }}
	p.fewerFences(r.sol, pl, cmp.Or(b.o.Budget, fenceBudget))
}

// comparePairs lays the parts of all pairs apart as well and returns the better layout. With several pairs some could
// be taken apart and others not, which is not looked at.
func (b *boardProblem) comparePairs(paired *boardLayout, single []piece) *boardLayout {
	apart, best := b.solve(single), paired
	if apart.better(paired) {
		best = apart
	}
	best.sol.least = min(paired.sol.least, best.sol.least)
	best.sol.money = min(paired.sol.money, best.sol.money)
	best.sol.done()
	return best
}

// expand makes one piece of each part wanted.
func expand(parts []Part) []piece {
	var ps []piece
	for i, p := range parts {
		for k := range p.Count {
			name := p.Name
			if p.Count > 1 {
				name = fmt.Sprintf("%s#%d", p.Name, k+1)
			}
			ps = append(ps, piece{name: name, length: p.Length, width: p.Width, grain: p.Grain, part: i})
		}
	}
	return ps
}

// PartOf parts the name of a piece into its part's and its number among equal pieces, 0: it is the only one.
func PartOf(piece string) (part string, no int) {
	part, number, _ := strings.Cut(piece, "#")
	no, _ = strconv.Atoi(number)
	return part, no
}

// pairUp replaces pieces by head-to-tail pairs where the parts ask for it.
func pairUp(single []piece, parts []Part, kerf Um, holds func(piece) bool) (ps []piece, any bool) {
	byPart := make(map[int][]int) // pieces of each part not yet taken
	for i, p := range single {
		byPart[p.part] = append(byPart[p.part], i)
	}
	gone := make([]bool, len(single))
	partner := make(map[int]piece)
	for i, p := range parts {
		if p.PairWith == "" || len(p.Outline) == 0 {
			continue
		}
		j := slices.IndexFunc(parts, func(q Part) bool { return q.Name == p.PairWith })
		if j < 0 {
			continue
		}
		h, ok := headToTail(p, parts[j], kerf)
		if !ok {
			continue
		}
		for len(byPart[i]) > 0 && len(byPart[j]) > 0 && (i != j || len(byPart[i]) > 1) {
			a := byPart[i][0]
			byPart[i] = byPart[i][1:]
			b := byPart[j][0]
			both := piece{name: single[a].name + " + " + single[b].name, length: h.length, width: h.width, grain: p.Grain,
				pair: &h, names: [2]string{single[a].name, single[b].name}, part: i, apart: []piece{single[a], single[b]}}
			if taken := slices.ContainsFunc(parts, func(q Part) bool { return q.Name == both.name }); taken || !holds(both) {
				break
			}
			byPart[j] = byPart[j][1:]
			gone[b] = true
			partner[a] = both
			any = true
		}
	}
	for i, p := range single {
		if both, ok := partner[i]; ok {
			ps = append(ps, both)
		} else if !gone[i] {
			ps = append(ps, p)
		}
	}
	return ps, any
}

// boardProblem makes problems of one board's pieces.
type boardProblem struct {
	board  board
	kinds  []int // of stock, in the order of the problem's bin types
	stock  []Stock
	saw    Saw
	o      Options
	types  []binType // in micrometres, grown
	priced bool
}

// moneyScale turns a price into a whole number of hundredths of a cent.
const moneyScale = 1e4

func newBoardProblem(g board, stock []Stock, saw Saw, o Options) *boardProblem {
	kinds := g.stock(stock)
	priced := slices.ContainsFunc(kinds, func(k int) bool { return stock[k].Price > 0 })
	money := func(k int) int64 {
		switch {
		case priced:
			return int64(math.Round(stock[k].Price * moneyScale))
		case stock[k].Offcut:
			return 0
		}
		return 1
	}
	b := &boardProblem{board: g, kinds: kinds, stock: stock, saw: saw, o: o, priced: priced}
	for _, k := range kinds {
		s := stock[k]
		t := s.trim(saw)
		b.types = append(b.types, binType{w: s.Length - 2*t + saw.Kerf, h: s.Width - 2*t + saw.Kerf, cost: money(k),
			offcut: s.Offcut, limit: cmp.Or(s.Count, unlimited)})
	}
	return b
}

func (b *boardProblem) item(p piece) item {
	it := item{w: p.length + b.saw.Kerf, h: p.width + b.saw.Kerf, turn: p.grain == "" && !b.o.NoTurn}
	if p.grain == "width" {
		it.w, it.h = it.h, it.w
	}
	return it
}

func (b *boardProblem) holds(p piece) bool {
	it := b.item(p)
	return slices.ContainsFunc(b.types, it.fits)
}

// refuse names the pieces that are larger than every sheet.
func (b *boardProblem) refuse(l *Layout, ps []piece) []piece {
	var kept []piece
	for _, p := range ps {
		if b.holds(p) {
			kept = append(kept, p)
			continue
		}
		how := ""
		if p.grain != "" {
			how = ", with its grain along the sheet's"
		} else if b.o.NoTurn {
			how = ", without turning it"
		}
		big := b.types[0]
		for _, t := range b.types {
			if t.w*t.h > big.w*big.h {
				big = t
			}
		}
		l.Unplaced = append(l.Unplaced, Unplaced{p.name, fmt.Sprintf(
			"%s x %s mm does not fit on any sheet of %s%s (the largest has %s x %s mm inside its trim)", showMM(p.length),
			showMM(p.width), b.board, how, showMM(big.w-b.saw.Kerf), showMM(big.h-b.saw.Kerf))})
	}
	return kept
}

// boardLayout is a solved problem with its pieces.
type boardLayout struct {
	saw     Saw
	pieces  []piece
	p       *problem
	sol     *solution
	dropped []piece // no stock is left for them
}

// solve lays the pieces; those that no stock is left for are dropped, and the others laid again at least cost.
func (b *boardProblem) solve(ps []piece) *boardLayout {
	r := b.solveAll(ps)
	if len(r.sol.out) == 0 {
		return r
	}
	var kept, dropped []piece
	for i, x := range ps {
		if slices.Contains(r.sol.out, int32(i)) {
			dropped = append(dropped, x)
		} else {
			kept = append(kept, x)
		}
	}
	if again := b.solveAll(kept); len(again.sol.out) == 0 && !r.sol.cost.less(again.sol.cost) {
		again.dropped = dropped
		return again
	}
	return r
}

func (b *boardProblem) solveAll(ps []piece) *boardLayout {
	p := &problem{types: slices.Clone(b.types), kerf: b.saw.Kerf, stop: b.o.Done}
	unit := int64(0)
	for _, t := range b.types {
		unit = gcd(gcd(unit, t.w), t.h)
	}
	for _, x := range ps {
		it := b.item(x)
		if x.pair != nil {
			it.apart = &[2]item{b.item(x.apart[0]), b.item(x.apart[1])}
		}
		p.items = append(p.items, it)
		unit = gcd(gcd(unit, it.w), it.h)
		if a := it.apart; a != nil {
			unit = gcd(gcd(gcd(gcd(unit, a[0].w), a[0].h), a[1].w), a[1].h)
		}
	}
	p.unit = unit
	for i := range p.types {
		p.types[i].w /= unit
		p.types[i].h /= unit
	}
	for i := range p.items {
		it := &p.items[i]
		it.scale(unit)
		if it.apart != nil {
			it.apart[0].scale(unit)
			it.apart[1].scale(unit)
		}
	}
	work := cmp.Or(b.o.Budget, DefaultBudget*max(20, min(len(ps), 100)))
	return &boardLayout{saw: b.saw, pieces: ps, p: p, sol: p.solve(work)}
}

func (it *item) scale(unit int64) {
	it.w /= unit
	it.h /= unit
	it.area = it.w * it.h
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// better reports whether a lays more, or as much at less cost.
func (a *boardLayout) better(b *boardLayout) bool {
	if x, y := a.left(), b.left(); x != y {
		return x < y
	}
	return a.sol.cost.less(b.sol.cost)
}

// left is the area of the parts that are not laid.
func (a *boardLayout) left() int64 {
	sum := int64(0)
	for _, k := range a.sol.out {
		it := a.p.items[k]
		sum += it.area * a.p.unit * a.p.unit
	}
	for _, x := range a.dropped {
		sum += (x.length + a.p.kerf) * (x.width + a.p.kerf)
	}
	return sum
}

// take adds the sheets of one board to the layout.
func (l *Layout) take(b *boardProblem, r *boardLayout) {
	missing := r.dropped
	for _, k := range r.sol.out {
		missing = append(missing, r.pieces[k])
	}
	for _, p := range missing {
		names := []string{p.name}
		if p.pair != nil {
			names = p.names[:]
		}
		for _, n := range names {
			l.Unplaced = append(l.Unplaced, Unplaced{n, "the stock of " + b.board.String() + " is used up"})
		}
	}
	l.LowerBound += r.sol.least
	if b.priced {
		l.LowerCost += float64(r.sol.money) / moneyScale
	}
	l.Proved = l.Proved && r.sol.proved && len(missing) == 0
	for _, x := range r.sol.bins {
		s := b.stock[b.kinds[x.typ]]
		l.Cost += s.Price
		sh := s.uncut(b.saw)
		sh.Name, sh.Stock = fmt.Sprintf("sheet %d", len(l.Sheets)+1), b.kinds[x.typ]
		r.draw(&sh, x)
		l.Sheets = append(l.Sheets, sh)
	}
}
