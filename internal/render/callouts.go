package render

import (
	"math"
	"sort"
)

// callout is a name in the margin of a drawing and what it points to.
type callout struct {
	text   string
	target Pt
	right  bool
}

// callouts sets names in columns left and right of a drawing that fills the middle of r, each led by a straight line to what it
// names. Names of a column stand in the order of their targets, so that leaders do not cross. It returns how many found no room.
func callouts(c Canvas, r Rect, width float64, names []callout) (left int) {
	t := TextStyle{Size: sizeSmall}
	shareSides(names, r.Centre().X)
	for _, right := range []bool{false, true} {
		var column []callout
		for _, n := range names {
			if n.right == right {
				column = append(column, n)
			}
		}
		for len(column) > 0 && columnHeight(column, t, width) > r.H {
			column = column[:len(column)-1]
			left++
		}
		sort.SliceStable(column, func(i, j int) bool { return column[i].target.Y < column[j].target.Y })
		calloutColumn(c, r, width, t, column, right)
	}
	return left
}

// calloutGap is the space between two names of a column, mm.
const calloutGap = 1.5

// columnHeight is the height that the names of a column take.
func columnHeight(column []callout, t TextStyle, width float64) float64 {
	h := -calloutGap
	for _, n := range column {
		h += paragraphHeight(width-4, n.text, t) + calloutGap
	}
	return h
}

func calloutColumn(c Canvas, r Rect, width float64, t TextStyle, column []callout, right bool) {
	lines := make([][]string, len(column))
	total := 0.0
	for i, n := range column {
		lines[i] = wrap(n.text, t, width-4)
		total += float64(len(lines[i]))*lineHeight(t.Size) + calloutGap
	}
	y := r.Y
	for i, n := range column {
		h := float64(len(lines[i])) * lineHeight(t.Size)
		rest := total // of this and those below
		total -= h + calloutGap
		top := math.Max(y, math.Min(n.target.Y-h/2, r.Bottom()-rest))
		y = top + h + calloutGap
		x, edge := r.X, r.X+textWidth(lines[i][0], t)+1.2
		t.Align = AlignLeft
		if right {
			x, edge = r.Right(), r.Right()-textWidth(lines[i][0], t)-1.2
			t.Align = AlignRight
		}
		for k, l := range lines[i] {
			c.Text(Pt{x, top + rise(t.Size) + float64(k)*lineHeight(t.Size)}, l, t)
		}
		line(c, Pt{edge, top + rise(t.Size)/2}, n.target, Stroke{Width: 0.15})
		c.Circle(n.target, 0.5, nil, &Fill{0})
	}
}

// shareSides gives each name the margin that is nearer to what it points to; a margin with many more names than the other gives up
// those that point nearest to the middle.
func shareSides(names []callout, middle float64) {
	const uneven = 2
	count := [2]int{}
	side := func(right bool) int {
		if right {
			return 1
		}
		return 0
	}
	for i := range names {
		names[i].right = names[i].target.X > middle
		count[side(names[i].right)]++
	}
	for count[0]-count[1] > uneven || count[1]-count[0] > uneven {
		crowded, best := count[1] > count[0], -1
		for i, n := range names {
			if n.right == crowded && (best < 0 || math.Abs(n.target.X-middle) < math.Abs(names[best].target.X-middle)) {
				best = i
			}
		}
		names[best].right = !crowded
		count[side(crowded)]--
		count[side(!crowded)]++
	}
}
