package render

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strings"

	"cubby/internal/design"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// rankRows is how many rows of a ranking are printed: some four pages.
const rankRows = 200

// RankReport writes a ranking as a PDF: the table, and the curves of the best drivers. Errors as those of Document.
func RankReport(w io.Writer, r *design.Ranking, o Options) error {
	b, err := layOutRank(r, o)
	return b.write(w, err)
}

func layOutRank(r *design.Ranking, o Options) (*book, error) {
	if r == nil || len(r.Placings) == 0 {
		return nil, errors.New("document: no driver was ranked")
	}
	return bound(&design.Result{Basis: design.Basis{Request: r.Request}}, o, func(b *book) {
		rankPages(b, r)
	})
}

func rankPages(b *book, r *design.Ranking) {
	f := b.flow(partA, "Drivers for this space", portrait)
	f.Heading("Drivers for this space, best first")
	f.Para(rankNote(r))
	f.Gap(2)
	f.Table(rankTable(r))
	if n := len(r.Placings) - rankRows; n > 0 {
		f.Gap(1)
		f.Styled(fmt.Sprintf("%s more not printed.", word.Count(n, "driver")), TextStyle{Size: sizeSmall})
	}
	f.Gap(2)
	f.Styled(causesNote+estimateNote(r), TextStyle{Size: sizeSmall})
	if len(r.Best) == 0 {
		return
	}
	f.Page()
	f.Heading("The best of them")
	f.Styled("Calculated at small signals for one loudspeaker in half space (2π), microphone at 1 m, pressure in dB re 20 µPa. Power compression and "+
		"turbulence in the port are not modelled."+cabinWords(r), TextStyle{Size: sizeSmall})
	f.Gap(2.5)
	half := (f.Left()-6)/2 - 0.1
	rankGraph(r, "Maximum level within every limit", true).draw(f, f.Box(half))
	f.Gap(6)
	rankGraph(r, fmt.Sprintf("Level at %s V", trim(r.DriveVolts)), false).draw(f, f.Box(half))
}

// cabinWords says that the graphs are in free field beside a table in the vehicle.
func cabinWords(r *design.Ranking) string {
	if r.Request.Vehicle == nil {
		return ""
	}
	return " The graphs are in free field: the cabin adds the same to each."
}

// causesNote explains the letters of the table.
const causesNote = "After a level, what limits it: v the amplifier's voltage, p the driver's rated power, x its excursion, a the port's air speed. " +
	"A driver's own spread of 15 % in Qts moves these figures by more than their last digit."

// estimateNote explains the mark of an estimate, when there is one.
func estimateNote(r *design.Ranking) string {
	for i := range r.Placings {
		if r.Placings[i].Estimated {
			return " A row with ~ is an estimate: what the air of the space would give if the driver and its port found their place; it is not below what can be built."
		}
	}
	return ""
}

// rankNote says what the table is.
func rankNote(r *design.Ranking) string {
	suit := 0
	for i := range r.Placings {
		if r.Placings[i].Rank > 0 {
			suit++
		}
	}
	text := fmt.Sprintf("The same space designed for each of %s; %d suit. Aim %s: %s. ", word.Count(len(r.Placings), "driver"), suit, r.Request.Aim, r.Request.Aim.Describe())
	if a := r.Request.Amplifier; a != nil && a.Power > 0 {
		text += fmt.Sprintf("Amplifier: %s into %s Ω. ", watts(a.Power), trim(a.Into))
	}
	if r.Stopped {
		text = fmt.Sprintf("Stopped early: %d of %d drivers were designed. ", len(r.Placings)+len(r.Refused), r.Total) + text
	}
	if r.Request.Vehicle == nil {
		return text + "Maximum levels are in free field, at 1 m in half space: the job gives no vehicle."
	}
	return text + "Maximum levels are in the vehicle: free field at 1 m in half space plus the cabin's gain, good to ±6 dB at best, the same for each driver."
}

func rankTable(r *design.Ranking) table {
	volume := "net, l"
	if r.Request.Units == unit.Inch {
		volume = "cu ft"
	}
	t := table{Size: sizeSmall, Columns: []column{
		{Head: "", Width: 9, Align: AlignRight}, {Head: "driver", Width: 34}, {Head: "box", Width: 14.5}, {Head: volume, Width: 14, Align: AlignRight},
		{Head: "f3, Hz", Width: 11, Align: AlignRight},
	}}
	for _, f := range design.RankedAt {
		t.Columns = append(t.Columns, column{Head: fmt.Sprintf("%.0f Hz", f), Width: 14, Align: AlignRight})
	}
	t.Columns = append(t.Columns, column{Head: "with care for, or why not"})
	for i := range r.Placings[:min(rankRows, len(r.Placings))] {
		t.Rows = append(t.Rows, rankRow(r, &r.Placings[i]))
	}
	return t
}

func rankRow(r *design.Ranking, p *design.Placing) []cell {
	rank, note := "–", p.Reason
	if p.Rank > 0 {
		rank, note = fmt.Sprint(p.Rank), strings.Join(p.Cautions, ", ")
	}
	if p.Estimated {
		rank = "~" + rank
	}
	name, box := r.Row(p)
	if box == nil {
		return cells(rank, name, "none", "–", "–", "–", "–", "–", note)
	}
	return cells(append(append([]string{rank, name}, box...), note)...)
}

// rankGraph is the level, or the maximum level, of the best drivers.
func rankGraph(r *design.Ranking, title string, most bool) graph {
	looks := []look{lookSolid, lookDash, lookDot}
	g := graph{Title: title, YLabel: "dB re 20 µPa, 1 m", From: 10, To: 200, Floor: 50}
	for i := range r.Best {
		best := &r.Best[i]
		name := fmt.Sprintf("%d  %s, %s", best.Rank, cmp.Or(best.Spec.Name, best.Source), best.Kind)
		g.Lines = append(g.Lines, over(name, looks[i%len(looks)], best.Design.Curves, func(c design.CurvePoint) float64 {
			if most {
				return c.MaxLevel
			}
			return c.Level
		}))
	}
	if len(r.Best) > 0 {
		g.From, g.To = band(&r.Best[0].Design)
	}
	return g
}
