package main

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	mill "cubby/internal/answer"
	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
)

// newEngine is what answers a page.
func newEngine() *mill.Engine {
	return &mill.Engine{
		Version: version(), Report: outputFlags{}.options, Paste: pasted, Also: archives(),
		Other: map[string]mill.Other{"check": askCheck, "measured": askMeasured, "rank": askRank, "pairs": askPairs, "driver": askDriver, "sheets": askSheets},
	}
}

// asJSON is the JSON that a command prints.
func asJSON(write func(io.Writer) error) (json.RawMessage, error) {
	var b bytes.Buffer
	err := write(&b)
	return b.Bytes(), err
}

// askCheck judges the boxes that the job describes, with their curves beside.
func askCheck(ctx context.Context, q mill.Question, open job.Open) (mill.Answer, error) {
	req, err := job.ParseCheck(q.Name, []byte(q.Text), opener(terminal{files: open}, q.Name, false))
	if err != nil {
		return mill.Answer{}, err
	}
	r, err := design.CheckBoxes(ctx, *req)
	if err != nil {
		return mill.Answer{}, err
	}
	said, err := asJSON(func(w io.Writer) error { return export.CheckJSON(w, r, headOf("check", q.Name)) })
	out := mill.Answer{Said: said, Report: func(w io.Writer, o render.Options) error { return render.CheckReport(w, r, o) }, Request: &r.Request}
	for i, b := range r.Boxes {
		out.Curves = append(out.Curves, mill.NewCurves(i+1, b.Curves))
	}
	return out, err
}

// askMeasured compares the finished box with its design by a sweep of its impedance.
func askMeasured(ctx context.Context, q mill.Question, open job.Open) (mill.Answer, error) {
	if len(q.With) != 1 {
		return mill.Answer{}, errors.New("give one sweep of the finished box's impedance")
	}
	req, err := job.ParseMeasured(q.Name, []byte(q.Text), opener(terminal{files: open}, q.Name, false))
	if err != nil {
		return mill.Answer{}, err
	}
	table, err := open(q.With[0])
	if err != nil {
		return mill.Answer{}, err
	}
	sweep, err := job.ParseSweep(q.With[0], table)
	if err != nil {
		return mill.Answer{}, err
	}
	r, err := design.Measure(ctx, *req, sweep, design.MeasureOptions{})
	if err != nil {
		return mill.Answer{}, err
	}
	said, err := asJSON(func(w io.Writer) error { return export.MeasuredJSON(w, r, headOf("measured", q.Name)) })
	out := mill.Answer{Said: said, Report: func(w io.Writer, o render.Options) error { return render.MeasuredReport(w, r, o) }, Request: &r.Request}
	out.Lines = map[string][][2]float64{}
	for i, f := range sweep.Frequency {
		out.Lines["measured"] = append(out.Lines["measured"], [2]float64{f, sweep.Magnitude[i]})
	}
	for _, p := range r.Curves {
		out.Lines["designed"] = append(out.Lines["designed"], [2]float64{p.Frequency, p.Expected})
		out.Lines["fitted"] = append(out.Lines["fitted"], [2]float64{p.Frequency, p.Fitted})
	}
	return out, err
}

// askRank ranks the drivers of files and lists for the job's space.
func askRank(ctx context.Context, q mill.Question, open job.Open) (mill.Answer, error) {
	t := terminal{files: open}
	text := []byte(q.Text)
	if bare, err := job.Apply(text, job.Edit{Kind: job.Delete, Path: "box"}); err == nil {
		text = bare // the drivers are ranked for boxes that are to be built
	}
	req, err := job.ParseRank(q.Name, text, opener(t, q.Name, false))
	if err != nil {
		return mill.Answer{}, err
	}
	drivers, unread, err := entrants(t, q.With)
	if err != nil {
		return mill.Answer{}, err
	}
	r, err := design.Rank(ctx, *req, drivers, rankFlags{top: shortList}.proven(len(drivers)), func(int) {})
	if err != nil {
		return mill.Answer{}, err
	}
	said, err := asJSON(func(w io.Writer) error { return export.RankJSON(w, r, unread, headOf("rank", q.Name)) })
	return mill.Answer{Said: said, Report: func(w io.Writer, o render.Options) error { return render.RankReport(w, r, o) }, Request: &r.Request}, err
}

// entrants are the drivers of files and lists, with what could not be read; one at least.
func entrants(t terminal, names []string) (drivers []design.Entrant, unread []error, err error) {
	for _, name := range names {
		found, errs := readDrivers(t, name)
		drivers, unread = append(drivers, found...), append(unread, errs...)
	}
	if len(drivers) == 0 {
		err = errors.Join(append(unread, errors.New("no driver could be read"))...)
	}
	return drivers, unread, err
}

// askPairs judges the drivers of files and lists in the ready-made boxes of the job.
func askPairs(ctx context.Context, q mill.Question, open job.Open) (mill.Answer, error) {
	t := terminal{files: open}
	req, err := job.ParsePairs(q.Name, []byte(q.Text), opener(t, q.Name, false))
	if err != nil {
		return mill.Answer{}, err
	}
	drivers, unread, err := entrants(t, q.With)
	if err != nil {
		return mill.Answer{}, err
	}
	r, err := design.CheckPairs(ctx, *req, drivers)
	if err != nil {
		return mill.Answer{}, err
	}
	said, err := asJSON(func(w io.Writer) error { return export.PairsJSON(w, r, unread, headOf("rank", q.Name)) })
	return mill.Answer{Said: said, Report: func(w io.Writer, o render.Options) error { return render.PairsReport(w, r, o) }, Request: &r.Request}, err
}

// askDriver gives one driver of a ranking, by its source, as the value of the job's key driver.
func askDriver(_ context.Context, q mill.Question, open job.Open) (mill.Answer, error) {
	source := strings.Join(q.With, "")
	name := source
	if i := strings.LastIndexByte(source, ':'); i > 0 {
		name = source[:i]
	}
	drivers, errs := readDrivers(terminal{files: open}, name)
	for _, d := range drivers {
		if d.Source == source {
			value, _, err := new(mill.Engine).Pasted(string(job.FormatDriver(&job.DriverFile{Spec: d.Spec, Frame: d.Frame}, "", nil)))
			return mill.Answer{Said: value}, err
		}
	}
	return mill.Answer{}, errors.Join(append(errs, fmt.Errorf("%s: there is no such driver", source))...)
}

// shortList is how many of a long list of drivers are designed in full for the page.
const shortList = 20

// askSheets lays the panels of several jobs, and parts lists, on shared sheets.
func askSheets(ctx context.Context, q mill.Question, open job.Open) (mill.Answer, error) {
	var refused bytes.Buffer
	f := sheetsFlags{}
	g, s, err := f.lay(ctx, terminal{files: open, err: &refused}, q.With)
	if errors.Is(err, errNo) {
		err = errors.New(strings.TrimSpace(refused.String()))
	}
	if err != nil {
		return mill.Answer{}, err
	}
	said, err := asJSON(func(w io.Writer) error { return export.SheetsJSON(w, s, headOf("sheets", "")) })
	r := g.result(s)
	return mill.Answer{Said: said, Report: func(w io.Writer, o render.Options) error { return render.SheetsReport(w, r, o) }, Request: &g.request}, err
}

// pasted reads a data sheet for the page.
func pasted(text string) ([]byte, []string, error) {
	p, err := job.ParsePasted("pasted", []byte(text))
	if err != nil {
		return nil, nil, err
	}
	var left []string
	for _, l := range p.Left {
		line := l.Text
		if l.Why != "" {
			line += ": " + l.Why
		}
		left = append(left, line)
	}
	return job.FormatPasted(p, ""), left, nil
}

// archives are the files for machines as the page gives them: one archive of each kind.
func archives() map[string]func(r *design.Result, o render.Options) (mill.File, error) {
	pack := func(name string, f machineFlags) func(r *design.Result, o render.Options) (mill.File, error) {
		return func(r *design.Result, _ render.Options) (mill.File, error) {
			w, err := designFlags{machineFlags: f}.machines(context.Background(), r)
			if err != nil {
				return mill.File{}, err
			}
			var buf bytes.Buffer
			z := zip.NewWriter(&buf)
			for _, out := range w.outputs {
				entry, err := z.CreateHeader(&zip.FileHeader{Name: filepath.Base(out.name), Method: zip.Deflate, Modified: zipTime})
				if err != nil {
					return mill.File{}, err
				}
				if err := out.write(entry); err != nil {
					return mill.File{}, err
				}
			}
			if err := z.Close(); err != nil {
				return mill.File{}, err
			}
			return mill.File{Name: name + ".zip", Type: "application/zip", Data: buf.Bytes()}, nil
		}
	}
	return map[string]func(r *design.Result, o render.Options) (mill.File, error){
		"dxf": pack("dxf", machineFlags{dxf: "."}), "svg": pack("svg", machineFlags{svg: "."}), "stl": pack("solids", machineFlags{solid: "."}),
	}
}

// zipTime is the time that the archives' entries carry: the earliest that the format knows, so that equal answers are equal bytes.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)
