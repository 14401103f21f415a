package main

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"cubby/internal/answer"
	"cubby/internal/design"
	"cubby/internal/job"
	"cubby/internal/render"
)

// newEngine is what answers a page.
func newEngine() *answer.Engine {
	return &answer.Engine{
		Version: version(), Report: outputFlags{}.options, Paste: pasted, Also: archives(),
		Other: map[string]answer.Other{"check": askCheck, "measured": askMeasured, "rank": askRank, "pairs": askPairs, "driver": askDriver, "sheets": askSheets},
	}
}

// asked reads the job of a question.
func asked(q answer.Question, open job.Open, as parse) (*design.Request, error) {
	return as(q.Name, []byte(q.Text), opener(terminal{files: open}, q.Name, false))
}

// askCheck judges the boxes that the job describes, with their curves beside.
func askCheck(ctx context.Context, q answer.Question, open job.Open) (answer.Answer, error) {
	req, err := asked(q, open, job.ParseCheck)
	if err != nil {
		return answer.Answer{}, err
	}
	r, err := design.CheckBoxes(ctx, *req)
	if err != nil {
		return answer.Answer{}, err
	}
	out, err := checkReport(q.Name, r, "").answer()
	for i, b := range r.Boxes {
		out.Curves = append(out.Curves, answer.NewCurves(i+1, b.Curves))
	}
	return out, err
}

// askMeasured compares the finished box with its design by a sweep of its impedance.
func askMeasured(ctx context.Context, q answer.Question, open job.Open) (answer.Answer, error) {
	if len(q.With) != 1 {
		return answer.Answer{}, errors.New("give one sweep of the finished box's impedance")
	}
	req, err := asked(q, open, job.ParseMeasured)
	if err != nil {
		return answer.Answer{}, err
	}
	table, err := open(q.With[0])
	if err != nil {
		return answer.Answer{}, err
	}
	sweep, err := job.ParseSweep(q.With[0], table)
	if err != nil {
		return answer.Answer{}, err
	}
	r, err := design.Measure(ctx, *req, sweep, design.MeasureOptions{})
	if err != nil {
		return answer.Answer{}, err
	}
	out, err := measuredReport(q.Name, r).answer()
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
func askRank(ctx context.Context, q answer.Question, open job.Open) (answer.Answer, error) {
	if bare, err := job.Apply([]byte(q.Text), job.Edit{Kind: job.Delete, Path: "box"}); err == nil {
		q.Text = string(bare) // the drivers are ranked for boxes that are to be built
	}
	req, err := asked(q, open, job.ParseRank)
	if err != nil {
		return answer.Answer{}, err
	}
	drivers, unread, err := entrants(open, q.With)
	if err != nil {
		return answer.Answer{}, err
	}
	f := rankFlags{top: shortList}
	r, err := design.Rank(ctx, *req, drivers, f.proven(len(drivers)), func(int) {})
	if err != nil {
		return answer.Answer{}, err
	}
	return f.report(q.Name, r, unread).answer()
}

// entrants are the drivers of files and lists, with what could not be read; one at least.
func entrants(open job.Open, names []string) (drivers []design.Entrant, unread []error, err error) {
	for _, name := range names {
		found, errs := readDrivers(terminal{files: open}, name)
		drivers, unread = append(drivers, found...), append(unread, errs...)
	}
	if len(drivers) == 0 {
		err = errors.Join(append(unread, errors.New("no driver could be read"))...)
	}
	return drivers, unread, err
}

// askPairs judges the drivers of files and lists in the ready-made boxes of the job.
func askPairs(ctx context.Context, q answer.Question, open job.Open) (answer.Answer, error) {
	req, err := asked(q, open, job.ParsePairs)
	if err != nil {
		return answer.Answer{}, err
	}
	drivers, unread, err := entrants(open, q.With)
	if err != nil {
		return answer.Answer{}, err
	}
	r, err := design.CheckPairs(ctx, *req, drivers)
	if err != nil {
		return answer.Answer{}, err
	}
	return pairsReport("rank", q.Name, "", r, unread, "").answer()
}

// askDriver gives one driver of a ranking, by its source, as the value of the job's key driver.
func askDriver(_ context.Context, q answer.Question, open job.Open) (answer.Answer, error) {
	source := strings.Join(q.With, "")
	name := source
	if i := strings.LastIndexByte(source, ':'); i > 0 {
		name = source[:i]
	}
	drivers, errs := readDrivers(terminal{files: open}, name)
	for _, d := range drivers {
		if d.Source == source {
			value, _, err := new(answer.Engine).Pasted(string(job.FormatDriver(&job.DriverFile{Spec: d.Spec, Frame: d.Frame}, "", nil)))
			return answer.Answer{Said: value}, err
		}
	}
	return answer.Answer{}, errors.Join(append(errs, fmt.Errorf("%s: there is no such driver", source))...)
}

// shortList is how many of a long list of drivers are designed in full for the page.
const shortList = 20

// askSheets lays the panels of several jobs, and parts lists, on shared sheets.
func askSheets(ctx context.Context, q answer.Question, open job.Open) (answer.Answer, error) {
	var refused bytes.Buffer
	f := sheetsFlags{}
	g, s, err := f.lay(ctx, terminal{files: open, err: &refused}, q.With)
	if errors.Is(err, errNo) {
		err = errors.New(strings.TrimSpace(refused.String()))
	}
	if err != nil {
		return answer.Answer{}, err
	}
	return f.report(g, s).answer()
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
func archives() map[string]func(r *design.Result, o render.Options) (answer.File, error) {
	pack := func(name string, f machineFlags) func(r *design.Result, o render.Options) (answer.File, error) {
		return func(r *design.Result, _ render.Options) (answer.File, error) {
			w, err := designFlags{machineFlags: f}.machines(context.Background(), r)
			if err != nil {
				return answer.File{}, err
			}
			var buf bytes.Buffer
			z := zip.NewWriter(&buf)
			for _, out := range w.outputs {
				entry, err := z.CreateHeader(&zip.FileHeader{Name: filepath.Base(out.name), Method: zip.Deflate, Modified: zipTime})
				if err != nil {
					return answer.File{}, err
				}
				if err := out.write(entry); err != nil {
					return answer.File{}, err
				}
			}
			if err := z.Close(); err != nil {
				return answer.File{}, err
			}
			return answer.File{Name: name + ".zip", Type: "application/zip", Data: buf.Bytes()}, nil
		}
	}
	return map[string]func(r *design.Result, o render.Options) (answer.File, error){
		"dxf": pack("dxf", machineFlags{dxf: "."}), "svg": pack("svg", machineFlags{svg: "."}), "stl": pack("solids", machineFlags{solid: "."}),
	}
}

// zipTime is the time that the archives' entries carry: the earliest that the format knows, so that equal answers are
// equal bytes.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)
