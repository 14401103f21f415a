package design

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
	"cubby/internal/work"
)

const micrometre = 1e-6 // m

// micrometres rounds a length up to whole micrometres: a blank is never smaller than its panel. Sizes within a
// thousandth of a micrometre of a whole one are that one.
func micrometres(m float64) nest.Um { return nest.Um(math.Ceil(m/micrometre - 1e-3)) }

func defaultStep(u unit.System) float64 {
	if u == unit.Inch {
		return inch / 32
	}
	return 0.0005
}

// DefaultTrim is what comes off a factory edge, kerf included, when nobody says: 5 mm or 1/4 in, and always enough to
// bury the blade in wood (common practice). Lengths are in metres.
func DefaultTrim(kerf float64, u unit.System) float64 {
	const buried = 0.001
	if u == unit.Inch {
		return max(inch/4, kerf+buried)
	}
	return max(0.005, kerf+buried)
}

// hastyBudget is the work that the layout of a design may cost that is told before others, or not built: the count of sheets
// matters there, not the last offcut or setting of the saw.
const hastyBudget = 10_000

// lay puts a design's panels on the stock, in haste or in full.
func (h *rig) lay(ctx context.Context, d *Design, hasty bool) error {
	d.SheetStock = h.stock(d.Box)
	o := nest.Options{Done: ctx.Done(), AsLaid: hasty}
	if hasty {
		o.Budget = hastyBudget
	}
	layout, err := nest.Lay(Parts(d.Box), d.SheetStock, h.nestSaw(), o)
	if errors.Is(err, nest.ErrStopped) {
		return ctx.Err()
	}
	if err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	d.Sheets = layout
	if d.Rank <= 1 {
		d.Work = work.Make(d.Box, layout)
	}
	h.checkStock(d)
	return nil
}

// checkStock grades whether the listed stock is enough, and sums the verdict up again when it is not.
func (h *rig) checkStock(d *Design) {
	missing := d.Sheets.Unplaced
	if len(missing) == 0 {
		return
	}
	var why []string
	for _, u := range missing {
		why = append(why, fmt.Sprintf("%s: %s", u.Part, u.Why))
	}
	c := row("board at hand", panels.Marginal, float64(len(missing)), 0, "", "not every panel can be cut from the stock listed; "+strings.Join(why, "; "))
	c.Setting = "get the board for these panels before cutting begins"
	d.Checks = append(d.Checks, c)
	h.sumUp(d)
}

func (h *rig) nestSaw() nest.Saw {
	s := h.req.Saw
	return nest.Saw{
		Kerf: micrometres(s.Kerf), Trim: micrometres(s.Trim), Step: micrometres(s.RoundTo),
		HandleLength: micrometres(s.HandleLength), HandleWidth: micrometres(s.HandleWidth), HandleMass: s.HandleMass,
	}
}

// stock is the job's stock, or as many common sheets as it takes when the job states none.
func (h *rig) stock(b *panels.Box) []nest.Stock {
	stock := append([]nest.Stock(nil), h.req.Stock...)
	have := map[string]bool{}
	for i := range stock {
		if stock[i].Board == "" {
			stock[i].Board = h.req.Wood.Board
		}
		if stock[i].Thickness == 0 {
			stock[i].Thickness = micrometres(h.req.Wood.Thickness)
		}
		have[sheetKey(stock[i].Board, stock[i].Thickness)] = true
	}
	for _, p := range b.Panels {
		key := sheetKey(p.Board, boardOf(p))
		if have[key] || len(p.Blank) == 0 {
			continue
		}
		have[key] = true
		s := nest.Stock{Name: "common sheet", Board: p.Board, Thickness: boardOf(p), Length: 2440000, Width: 1220000, Trim: -1}
		if h.req.Units == unit.Inch {
			s.Length, s.Width = micrometres(97*inch), micrometres(49*inch)
		}
		stock = append(stock, s)
		h.assume("no stock of %s %s is listed: laid on common sheets of %s x %s", h.length(float64(boardOf(p))*micrometre), p.Board,
			h.length(float64(s.Length)*micrometre), h.length(float64(s.Width)*micrometre))
	}
	for i := range stock {
		stock[i].AreaMass = h.req.Wood.AreaMass(stock[i].Board, float64(stock[i].Thickness)*micrometre)
	}
	return stock
}

func sheetKey(board string, t nest.Um) string { return fmt.Sprintf("%s/%d", board, t) }

// Parts gives the panels of a box as rectangles to be cut from sheets.
func Parts(b *panels.Box) []nest.Part {
	var parts []nest.Part
	for _, p := range b.Panels {
		part := nest.Part{
			Name: p.Name, Count: max(1, p.Count) * max(1, p.Layers), Board: p.Board, Thickness: boardOf(p),
			Length: micrometres(p.Blank[0]), Width: micrometres(p.Blank[1]), Grain: p.Grain,
		}
		if p.Role == panels.End {
			part.Outline = outline(p.CutOutline())
		}
		parts = append(parts, part)
	}
	pairEnds(b, parts)
	return parts
}

// boardOf is the thickness of the board that a panel is cut from: a panel of several full-size layers is cut as often.
func boardOf(p panels.Panel) nest.Um { return micrometres(p.Thickness / float64(max(1, p.Layers))) }

// outline gives a panel's outline in micrometres from its lower left corner.
func outline(g plane.Polygon) [][2]nest.Um {
	low := g.Bounds().Min
	out := make([][2]nest.Um, len(g))
	for i, v := range g {
		out[i] = [2]nest.Um{nest.Um(math.Round((v.X - low.X) / micrometre)), nest.Um(math.Round((v.Y - low.Y) / micrometre))}
	}
	return out
}

// pairEnds lets the two ends share a rectangle head to tail when they are plain: then one is turned over face for face.
func pairEnds(b *panels.Box, parts []nest.Part) {
	var ends []int
	for i, p := range b.Panels {
		if p.Role == panels.End && len(p.Rabbets) == 0 && p.Grain == "" && p.Layers <= 1 {
			ends = append(ends, i)
		}
	}
	if len(ends) != 2 || parts[ends[0]].Thickness != parts[ends[1]].Thickness || parts[ends[0]].Board != parts[ends[1]].Board {
		return
	}
	parts[ends[0]].PairWith, parts[ends[1]].PairWith = parts[ends[1]].Name, parts[ends[0]].Name
}
