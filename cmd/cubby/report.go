package main

import (
	"bytes"
	"context"
	"io"

	"cubby/internal/answer"
	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
)

// A report is what a command found out, in the forms in which it can be given.
type report struct {
	head    export.Head
	name    string // of the file after which the pages are named
	kind    string // what follows that in the name of the pages
	source  string // what the pages say that they come from
	request *design.Request
	pages   func(io.Writer, render.Options) error
	object  func(io.Writer, export.Head) error
	text    func(pages string) string
	files   []output // without a name: not asked for
}

// newReport is what is given of r, which a command found out about a job.
func newReport[R any](command, name, kind string, r R, request *design.Request, pages func(io.Writer, R, render.Options) error,
	object func(io.Writer, R, export.Head) error, text func(R, string) string, files ...output) report {
	return report{
		head: headOf(command, name), name: name, kind: kind, source: name, request: request, files: files,
		pages:  func(w io.Writer, o render.Options) error { return pages(w, r, o) },
		object: func(w io.Writer, h export.Head) error { return object(w, r, h) },
		text:   func(pages string) string { return text(r, pages) },
	}
}

// headOf is what a command's JSON says of itself; job is empty for commands that take no one job.
func headOf(command, job string) export.Head {
	return export.Head{Version: version(), Command: command, Job: job}
}

// parse reads a job in one of the ways of package job.
type parse func(name string, data []byte, open job.Open) (*design.Request, error)

// read reads the job that a command names.
func (o outputFlags) read(t terminal, name string, as parse) ([]byte, *design.Request, error) {
	data, err := readInput(t, name)
	if err != nil {
		return nil, nil, err
	}
	req, err := as(name, data, opener(t, name, o.outside))
	return data, req, err
}

// write writes the pages, the files and those for machines as one set, then says what is in them; data is what was
// read. Its error is errNo when the answer is no.
func (o outputFlags) write(ctx context.Context, t terminal, r report, data []byte, w *machineWork, isYes bool) error {
	pages, options, quiet := o.pdfName(r.name, r.kind), o.options(r.source, data, r.request), o.quietly()
	all := []output{{pages, func(w io.Writer) error { return r.pages(w, options) }}}
	for _, f := range r.files {
		if f.name != "" {
			all, quiet = append(all, f), quiet || f.name == "-"
		}
	}
	r.head.Router = w.router
	all = append(all, printed(o.json, quiet, func(w io.Writer) error { return r.object(w, r.head) },
		func() string { return r.text(pages) + w.text })...)
	if err := w.write(ctx, t, all); err != nil || isYes {
		return err
	}
	return errNo
}

// answer is a report as a page gets it.
func (r report) answer() (answer.Answer, error) {
	var b bytes.Buffer
	err := r.object(&b, r.head)
	return answer.Answer{Said: b.Bytes(), Report: r.pages, Request: r.request}, err
}
