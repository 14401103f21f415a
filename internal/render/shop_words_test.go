package render

import (
	"cmp"
	"math"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cubby/internal/unit"
)

// pageWord is a word on a page, points from the upper left.
type pageWord struct {
	page int
	x, y float64
	text string
	foot float64 // where the foot of its page begins
	tall float64 // of its box: more than the type's size
}

var wordPattern = regexp.MustCompile(`<page width="[\d.]+" height="([\d.]+)"|<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)</word>`)

// wordsOf reads a document.
func wordsOf(t testing.TB, data []byte) []pageWord {
	c := exec.Command("pdftotext", "-bbox", "-", "-")
	c.Stdin = strings.NewReader(string(data))
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []pageWord
	page, foot := 0, 0.0
	unescape := strings.NewReplacer("&amp;", "&", "&lt;", "<", "&gt;", ">", "&quot;", `"`)
	for _, m := range wordPattern.FindAllStringSubmatch(string(out), -1) {
		if m[1] != "" {
			page++
			foot, _ = strconv.ParseFloat(m[1], 64)
			foot -= (footMargin - 2) / pointMM
			continue
		}
		x, _ := strconv.ParseFloat(m[2], 64)
		y, _ := strconv.ParseFloat(m[3], 64)
		low, _ := strconv.ParseFloat(m[4], 64)
		all = append(all, pageWord{page, x, y, unescape.Replace(m[5]), foot, low - y})
	}
	return all
}

// grid is a table as it is found on the pages: rows of cells by the first word of their column's head.
type grid []map[string]string

// again follows the word of a head that stands over two columns.
const again = " again"

// tablesWith finds every table whose head has these words at the left of its columns, in this order. A row begins where its first
// column has a word; a table ends at a gap, and where a word of ends stands in the first column. No table is wider than wide points.
func tablesWith(all []pageWord, wide float64, ends []string, heads ...string) grid {
	var out grid
	for _, w := range all {
		if w.text != heads[0] {
			continue
		}
		xs := []float64{w.x}
		for _, h := range heads[1:] {
			k := -1 // the nearest
			for i, v := range all {
				if v.page == w.page && math.Abs(v.y-w.y) < 2 && v.x > xs[len(xs)-1] && v.x < w.x+wide && v.text == strings.TrimSuffix(h, again) && (k < 0 || v.x < all[k].x) {
					k = i
				}
			}
			if k < 0 {
				break
			}
			xs = append(xs, all[k].x)
		}
		if len(xs) == len(heads) {
			var mine []pageWord
			for _, v := range all {
				if v.page == w.page && v.y > w.y-2 && v.y < w.foot && v.x > xs[0]-12 && v.x < w.x+wide {
					mine = append(mine, v)
				}
			}
			out = append(out, rowsUnder(mine, w, xs, ends, heads)...)
		}
	}
	return out
}

// rowsUnder reads the rows under a head out of the words that stand in its columns.
func rowsUnder(mine []pageWord, h pageWord, xs []float64, ends, heads []string) grid {
	limit := h.foot
	var begins []float64
	for _, w := range mine {
		if w.y > h.y+8 && w.x < xs[1]-2 && slices.Contains(ends, w.text) {
			limit = math.Min(limit, w.y)
		}
	}
	for _, w := range mine {
		if w.y > h.y+8 && w.y < limit && w.x < xs[1]-4 {
			begins = append(begins, w.y)
		}
	}
	slices.Sort(begins)
	begins = slices.CompactFunc(begins, func(a, b float64) bool { return math.Abs(a-b) < 6 })
	var out grid
	low := bottomOf(mine, h.y, limit)
	for r, y := range begins {
		if y > low+8 {
			break
		}
		low = bottomOf(mine, y, limit)
		end := math.Min(limit, low)
		if r+1 < len(begins) {
			end = math.Min(end, begins[r+1])
		}
		row := map[string]string{}
		var words []pageWord
		for _, w := range mine {
			if w.y > y-3 && w.y < end-3 {
				words = append(words, w)
			}
		}
		slices.SortStableFunc(words, func(a, b pageWord) int {
			if math.Abs(a.y-b.y) > 3 {
				return cmp.Compare(a.y, b.y)
			}
			return cmp.Compare(a.x, b.x)
		})
		for _, w := range words {
			col := 0
			for k := range xs {
				if w.x > xs[k]-3 {
					col = k
				}
			}
			row[heads[col]] = strings.TrimSpace(row[heads[col]] + " " + w.text)
		}
		out = append(out, row)
	}
	return out
}

// bottomOf is where the lines that begin at y end: at a gap wider than that between the lines of a cell.
func bottomOf(words []pageWord, y, limit float64) float64 {
	const pitch = 12.6 // points, more than the distance of two lines of a cell
	var ys []float64
	for _, w := range words {
		if w.y > y-3 && w.y < limit {
			ys = append(ys, w.y)
		}
	}
	slices.Sort(ys)
	for _, v := range ys {
		if v > y+pitch {
			break
		}
		y = math.Max(y, v)
	}
	return y + pitch
}

// Widths of tables in points: of the page, and of its columns.
const (
	pageWide   = 1e4
	columnWide = 250.0
)

var lengthPattern = regexp.MustCompile(`(\d+-\d+/\d+|\d+/\d+|\d+\.\d+|\d+)( · (\d*\.\d+))?`)

// lengthsIn reads the lengths in a text, metres: the exact figure where one follows a fraction.
func lengthsIn(s string, u unit.System) []float64 {
	var out []float64
	for _, m := range lengthPattern.FindAllStringSubmatch(s, -1) {
		v := 0.0
		switch {
		case m[3] != "":
			v, _ = strconv.ParseFloat(m[3], 64)
		default:
			whole, frac := "", m[1]
			if i := strings.IndexByte(m[1], '-'); i > 0 {
				whole, frac = m[1][:i], m[1][i+1:]
			}
			if i := strings.IndexByte(frac, '/'); i > 0 {
				n, _ := strconv.ParseFloat(frac[:i], 64)
				d, _ := strconv.ParseFloat(frac[i+1:], 64)
				v = n / d
			} else {
				v, _ = strconv.ParseFloat(frac, 64)
			}
			if w, err := strconv.ParseFloat(whole, 64); err == nil {
				v += w
			}
		}
		if u == unit.Inch {
			out = append(out, v*inch)
		} else {
			out = append(out, v/1000)
		}
	}
	return out
}
