package answer

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
)

// An Engine answers questions about jobs. It is ready as it stands; its fields say what the program around it knows.
type Engine struct {
	Version string                                                             // of the program
	Report  func(name string, data []byte, req *design.Request) render.Options // how a report on a job is dressed; nil: bare
	Paste   func(text string) (driver []byte, remarks []string, err error)     // reads a data sheet; nil: only the program's own driver files
	Also    map[string]func(r *design.Result, o render.Options) (File, error)  // further documents by kind, such as dxf
}

// A Question is a job's text, edits to be made in it, and how much is asked.
type Question struct {
	Name  string `json:"name"` // of the job's file; faults call it so
	Text  string `json:"text"`
	Edits []Edit `json:"edits,omitempty"` // made in the text, in order; none is made when one of them cannot be
	Kept  []Edit `json:"kept,omitempty"`  // made only in what is designed while the text has faults: the last values that were right
	Brief bool   `json:"brief,omitempty"` // the text, its tree and its faults are enough; no design
}

// An Edit is one change of the text: op is set, insert or delete; value is JSON, a text standing as written.
type Edit struct {
	Op    string          `json:"op"`
	Path  string          `json:"path"`
	Value json.RawMessage `json:"value,omitempty"`
}

// A Part is one piece of an answer, ready to be written as JSON.
type Part interface{ part() }

// A JobPart is the job as its text says it.
type JobPart struct {
	Part     string   `json:"part"` // "job"
	Text     string   `json:"text"`
	Refused  string   `json:"refused,omitempty"` // why the edits were not made; the text is as it was
	Units    string   `json:"units"`             // of bare lengths: mm or in
	Tree     *Node    `json:"tree"`
	Driver   *Node    `json:"driver,omitempty"` // of the driver's own file
	Faults   []Fault  `json:"faults"`
	Settle   []Settle `json:"settle"`
	Stations bool     `json:"stations"` // spaces may be written by stations
}

// A DesignPart is the design: the document that cubby design --json prints.
type DesignPart struct {
	Part   string          `json:"part"` // "design"
	Kept   bool            `json:"kept"` // last right values stood in for faults
	Design json.RawMessage `json:"design"`
}

// A FailedPart says why there is no design although the text has no faults.
type FailedPart struct {
	Part   string  `json:"part"` // "failed"
	Text   string  `json:"text"`
	Faults []Fault `json:"faults"`
}

func (JobPart) part()    {}
func (DesignPart) part() {}
func (FailedPart) part() {}
func (CurvesPart) part() {}

// A Fault is one thing that is wrong, in the words of the command.
type Fault struct {
	File  string `json:"file"`
	Line  int    `json:"line"`
	Field string `json:"field"`
	Value string `json:"value"`
	Want  string `json:"want"`
}

// Ask answers a question, part by part: first the job, then the design, then its curves. open reads the files that the job
// names. It ends with ctx's error when ctx is done, and with what tell returns.
func (e *Engine) Ask(ctx context.Context, q Question, open job.Open, tell func(Part) error) error {
	text, refused := []byte(q.Text), ""
	if edits, err := plain(q.Edits); err != nil {
		refused = err.Error()
	} else if next, err := job.Apply(text, edits...); err != nil {
		refused = err.Error()
	} else {
		text = next
	}
	req, err := job.Parse(q.Name, text, open)
	if err := tell(describe(q.Name, text, refused, err, open)); err != nil || q.Brief {
		return err
	}
	kept := false
	if err != nil {
		if req, kept = e.keep(q, text, err, open); !kept {
			return ctx.Err()
		}
	}
	return e.design(ctx, q.Name, req, kept, tell)
}

// keep reads the text with the last right values in the place of those that the faults are about.
func (e *Engine) keep(q Question, text []byte, faults error, open job.Open) (*design.Request, bool) {
	edits, err := plain(q.Kept)
	if err != nil || len(edits) == 0 {
		return nil, false
	}
	for _, edit := range edits {
		if !about(faults, edit.Path) {
			continue
		}
		// A place that is gone needs no value.
		if next, err := job.Apply(text, edit); err == nil {
			text = next
		}
	}
	req, err := job.Parse(q.Name, text, open)
	return req, err == nil
}

// about reports whether one of the faults is about the value at a path, or about something in it.
func about(err error, path string) bool {
	var faults job.Faults
	if !errors.As(err, &faults) {
		return false
	}
	for _, f := range faults {
		if rest, ok := strings.CutPrefix(f.Field, path); ok && (rest == "" || rest[0] == '.' || rest[0] == '[') {
			return true
		}
	}
	return false
}

func (e *Engine) design(ctx context.Context, name string, req *design.Request, kept bool, tell func(Part) error) error {
	r, err := design.Run(ctx, *req)
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return tell(FailedPart{"failed", err.Error(), configFaults(name, err)})
	}
	var b bytes.Buffer
	if err := export.JSON(&b, r, e.head(name)); err != nil {
		return err
	}
	if err := tell(DesignPart{"design", kept, b.Bytes()}); err != nil {
		return err
	}
	return tell(newCurves(r))
}

func (e *Engine) head(name string) export.Head {
	return export.Head{Version: e.Version, Command: "design", Job: name}
}

// configFaults are faults of the job as a whole, with their fields.
func configFaults(name string, err error) []Fault {
	all := []Fault{}
	var c *design.ConfigError
	if errors.As(err, &c) {
		all = append(all, Fault{File: name, Field: c.Field, Want: c.Want})
	}
	return all
}

// plain turns edits into those of the job.
func plain(edits []Edit) ([]job.Edit, error) {
	kinds := map[string]job.EditKind{"set": job.Set, "insert": job.Insert, "delete": job.Delete}
	all := make([]job.Edit, 0, len(edits))
	for _, e := range edits {
		kind, ok := kinds[e.Op]
		if !ok {
			return nil, fmt.Errorf("%.40q: an edit is set, insert or delete", e.Op)
		}
		all = append(all, job.Edit{Kind: kind, Path: e.Path, Value: string(e.Value)})
	}
	return all, nil
}

// describe says what the text says.
func describe(name string, text []byte, refused string, err error, open job.Open) JobPart {
	p := JobPart{Part: "job", Text: string(text), Refused: refused, Units: "mm", Faults: newFaults(err), Stations: stations}
	tree, _ := job.Tree(name, text)
	if tree == nil {
		tree = &job.Node{Kind: job.KeysNode}
	}
	if u, ok := tree.Units(); ok {
		p.Units = u
	}
	p.Tree = newNode(tree, p.Units)
	if d := tree.At("driver"); d != nil && d.Text != "" && open != nil {
		if data, err := open(d.Text); err == nil {
			if t, err := job.Tree(d.Text, data); err == nil {
				u, _ := t.Units()
				p.Driver = newNode(t, u)
			}
		}
	}
	p.Settle = settle(tree)
	return p
}

// newFaults are the faults of a file, in the words of the command.
func newFaults(err error) []Fault {
	all := []Fault{}
	var faults job.Faults
	if errors.As(err, &faults) {
		for _, f := range faults {
			all = append(all, Fault{f.File, f.Line, f.Field, f.Value, f.Want})
		}
	} else if err != nil {
		all = append(all, Fault{Want: err.Error()})
	}
	return all
}

// stations tells whether the reader of jobs takes a space by stations: it then asks for more than a known key.
var stations = takesStations()

func takesStations() bool {
	with := []byte("units: mm\ncavity: {stations: [{from_left: 0, roof: [[0, 9], [9, 9]]}, {from_left: 9, like: 1}]}\n")
	_, err := job.Parse("", with, nil)
	var faults job.Faults
	if !errors.As(err, &faults) {
		return true
	}
	for _, f := range faults {
		if f.Field == "cavity.stations" {
			return false
		}
	}
	return true
}
