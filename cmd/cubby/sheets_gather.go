package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// A source is one job or parts list.
type source struct {
	label  string // short, for names that clash
	title  string
	parts  []nest.Part
	panels []panels.Panel // as many as parts, by the same names
}

// gathered is everything that is laid together.
type gathered struct {
	sources     []source
	request     design.Request // units, saw, date and names of the first job
	stock       []nest.Stock   // that the jobs list
	data        []byte         // of all files
	assumptions []string
	jobs        int
}

func (g *gathered) assume(format string, args ...any) {
	g.assumptions = append(g.assumptions, fmt.Sprintf(format, args...))
}

func (g *gathered) show(u nest.Um) string {
	return unit.FormatLength(float64(u)*micrometre, g.request.Units)
}

// gather reads every file, designs the boxes of the jobs and makes all names unique.
func gather(ctx context.Context, t terminal, args []string, f sheetsFlags) (*gathered, error) {
	g := &gathered{}
	units := unit.Metric
	for i, name := range args {
		data, err := readInput(t, name)
		if err != nil {
			return nil, err
		}
		g.data = append(g.data, data...)
		if ext := strings.ToLower(filepath.Ext(name)); ext == ".yaml" || ext == ".yml" {
			if err := g.addJob(ctx, t, name, data, f.outside); err != nil {
				return nil, err
			}
			continue
		}
		list, err := job.ParseParts(name, data)
		if err != nil {
			return nil, err
		}
		if i == 0 {
			units = list.Units
		}
		g.sources = append(g.sources, source{label: label(name), title: label(name), parts: list.Parts})
	}
	if g.jobs == 0 {
		g.request.Units = units
	}
	g.boards()
	g.unique()
	return g, nil
}

// addJob designs a job's box and takes its panels.
func (g *gathered) addJob(ctx context.Context, t terminal, name string, data []byte, outside bool) error {
	req, err := job.Parse(name, data, opener(t, name, outside))
	if err != nil {
		return err
	}
	r, err := design.Run(ctx, *req)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if len(r.Designs) == 0 {
		if err := writeString(t.err, refusal(name, r)); err != nil {
			return err
		}
		return errNo
	}
	best := r.Designs[0]
	s := source{label: label(name), title: req.Title, parts: design.Parts(best.Box), panels: append([]panels.Panel(nil), best.Box.Panels...)}
	if s.title == "" {
		s.title = s.label
	}
	if best.Verdict == design.DoesNotSuit {
		g.assume("%s: %s", name, best.VerdictText)
	}
	if g.jobs == 0 {
		q := r.Request
		g.request = design.Request{Date: q.Date, Contact: q.Contact, Author: q.Author, Revision: q.Revision, Units: q.Units, Saw: q.Saw, Wood: q.Wood}
	}
	g.jobs++
	g.takeStock(best.SheetStock[:min(len(req.Stock), len(best.SheetStock))])
	g.sources = append(g.sources, s)
	return nil
}

// takeStock adds a job's listed stock, of boards that no job before has listed.
func (g *gathered) takeStock(listed []nest.Stock) {
	have := map[boardKey]bool{}
	for _, s := range g.stock {
		have[boardKey{s.Board, s.Thickness}] = true
	}
	for _, s := range listed {
		if !have[boardKey{s.Board, s.Thickness}] {
			g.stock = append(g.stock, s)
		}
	}
}

// boards gives the parts of lists, which name no board, that of the first job, and describes them as panels.
func (g *gathered) boards() {
	board := "board"
	for _, s := range g.sources {
		if len(s.panels) > 0 {
			board = s.panels[0].Board
			break
		}
	}
	stated := false
	for i := range g.sources {
		s := &g.sources[i]
		if s.panels != nil {
			continue
		}
		if g.jobs > 0 && !stated {
			g.assume("parts lists name no board: taken as %s", board)
			stated = true
		}
		for k := range s.parts {
			p := &s.parts[k]
			p.Board = board
			m := func(u nest.Um) float64 { return float64(u) * micrometre }
			s.panels = append(s.panels, panels.Panel{
				Label: panels.Label{Name: p.Name, Count: p.Count},
				Stock: panels.Stock{Layers: 1, Board: board, Thickness: m(p.Thickness), Grain: p.Grain},
				Size:  panels.Size{Length: m(p.Length), Width: m(p.Width), Blank: [2]float64{m(p.Length), m(p.Width)}},
			})
		}
	}
}

// unique puts the label of its file before every name of a source that shares a name with another.
func (g *gathered) unique() {
	owner := map[string]int{}
	clash := make([]bool, len(g.sources))
	for i, s := range g.sources {
		for _, p := range s.parts {
			if k, ok := owner[p.Name]; ok {
				clash[i], clash[k] = true, true
				continue
			}
			owner[p.Name] = i
		}
	}
	taken := map[string]bool{}
	for i := range g.sources {
		if !clash[i] {
			continue
		}
		s := &g.sources[i]
		own := s.label
		for n := 2; taken[own]; n++ {
			own = fmt.Sprintf("%s %d", s.label, n)
		}
		taken[own] = true
		for k := range s.parts {
			s.parts[k].Name = own + ": " + s.parts[k].Name
			if s.parts[k].PairWith != "" {
				s.parts[k].PairWith = own + ": " + s.parts[k].PairWith
			}
		}
		for k := range s.panels {
			s.panels[k].Name = own + ": " + s.panels[k].Name
		}
	}
}

// longestLabel is the most characters of a file's name before a part's.
const longestLabel = 16

// label is a file's name without folder and extension, cut short.
func label(name string) string {
	if name == "-" {
		return "list"
	}
	s := strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	s = strings.TrimSpace(strings.ReplaceAll(s, "#", ""))
	if runes := []rune(s); len(runes) > longestLabel {
		s = string(runes[:longestLabel])
		if i := strings.LastIndexAny(s, " -_"); i >= longestLabel/3 {
			s = s[:i]
		}
	}
	if s == "" {
		return "list"
	}
	return s
}

func (g *gathered) parts() []nest.Part {
	var all []nest.Part
	for _, s := range g.sources {
		all = append(all, s.parts...)
	}
	return all
}

func (g *gathered) title() string {
	var names []string
	for _, s := range g.sources {
		names = append(names, s.title)
	}
	return "Shared sheets: " + strings.Join(names, ", ")
}

// result is the shared layout as the one design of a report.
func (g *gathered) result(s export.Sheets) *design.Result {
	box := &panels.Box{}
	for _, from := range g.sources {
		for _, p := range from.panels {
			p.Mark = word.Letters(len(box.Panels))
			box.Panels = append(box.Panels, p)
		}
	}
	r := &design.Result{Basis: design.Basis{Request: g.request, Assumptions: s.Assumptions}}
	r.Request.Title = s.Title
	r.Designs = []design.Design{{Offer: design.Offer{Rank: 1}, Carcass: design.Carcass{Box: box, Sheets: s.Layout, SheetStock: s.Stock}}}
	return r
}
