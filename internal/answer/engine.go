package answer

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"path/filepath"
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
	Other   map[string]Other                                                   // answers to other questions, by what is asked

	known design.Known // of the jobs that were designed last
}

// An Other answers another question about a job than what to build. open reads the files of q.With and q.Given as well.
type Other func(ctx context.Context, q Question, open job.Open) (Answer, error)

// An Answer is what another question comes to.
type Answer struct {
	Said    json.RawMessage                       `json:"said"`             // what the command prints with --json
	Curves  []Curves                              `json:"curves,omitempty"` // of ready-made boxes
	Lines   map[string][][2]float64               `json:"lines,omitempty"`  // impedance of a finished box, Hz and ohm: measured, designed, fitted
	Report  func(io.Writer, render.Options) error `json:"-"`
	Request *design.Request                       `json:"-"` // by which the report is dressed
}

// A Question is a job's text, edits to be made in it, and how much is asked.
type Question struct {
	Name  string `json:"name"` // of the job's file; faults call it so
	Text  string `json:"text"`
	Edits []Edit `json:"edits,omitempty"` // made in the text, in order; none is made when one of them cannot be
	Kept  []Edit `json:"kept,omitempty"`  // made only in what is designed while the text has faults: the last values that were right
	Brief bool   `json:"brief,omitempty"` // the text, its tree and its faults are enough; no design

	What  string            `json:"what,omitempty"`  // another question, a key of Engine.Other; empty: what to build
	With  []string          `json:"with,omitempty"`  // the files that it is about, by their names in the folder
	Given map[string]string `json:"given,omitempty"` // files that stand in no folder, by name
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
	Driver   *Node    `json:"driver,omitempty"`   // of the driver's own file
	Radiator *Node    `json:"radiator,omitempty"` // of the passive radiator's
	Faults   []Fault  `json:"faults"`
	Settle   []Settle `json:"settle"`
}

// A DesignPart is the design: the document that cubby design --json prints.
type DesignPart struct {
	Part   string          `json:"part"` // "design"
	Kept   bool            `json:"kept"` // last right values stood in for faults
	More   bool            `json:"more"` // only the best design: all of them, trade-off and spread follow
	Design json.RawMessage `json:"design"`
	Doubts []Doubt         `json:"doubts"`
}

// A FailedPart says why there is no design although the text has no faults.
type FailedPart struct {
	Part   string  `json:"part"` // "failed"
	Text   string  `json:"text"`
	Faults []Fault `json:"faults"`
}

// An OtherPart is the answer to another question: what its command prints with --json, and what the page draws of it.
type OtherPart struct {
	Part string `json:"part"` // "other"
	What string `json:"what"`
	Answer
}

func (JobPart) part()    {}
func (OtherPart) part()  {}
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

// Ask answers a question, part by part: first the job, then the best design and its curves, then all designs and theirs;
// another question in one part. open
// reads the files of the folder that the job's name is in. It ends with ctx's error when ctx is done, and with what tell
// returns.
func (e *Engine) Ask(ctx context.Context, q Question, open job.Open, tell func(Part) error) error {
	if q.What != "" {
		return e.other(ctx, q, open, tell)
	}
	open = beside(q.Name, open)
	text, refused := []byte(q.Text), ""
	if edits, err := plain(q.Edits); err != nil {
		refused = err.Error()
	} else if next, err := job.Apply(text, edits...); err != nil {
		refused = err.Error()
	} else {
		text = next
	}
	told := text
	if bare, err := job.Apply(text, job.Edit{Kind: job.Delete, Path: "box"}); err == nil {
		text = bare // a ready-made box is another question; what could be built in its place is this one
	}
	req, err := job.Parse(q.Name, text, open)
	if err := tell(describe(q.Name, told, refused, err, open)); err != nil || q.Brief {
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

// beside reads the files that a job names: those beside it and in the folders below.
func beside(name string, open job.Open) job.Open {
	return func(file string) ([]byte, error) {
		if !filepath.IsLocal(filepath.FromSlash(file)) {
			return nil, errors.New("lies outside the job's folder")
		}
		return open(path.Join(path.Dir(name), file))
	}
}

// other answers another question.
func (e *Engine) other(ctx context.Context, q Question, open job.Open, tell func(Part) error) error {
	r, err := e.Other[q.What].ask(ctx, q, open)
	if ctx.Err() != nil {
		return ctx.Err()
	} else if err != nil {
		return tell(FailedPart{"failed", err.Error(), newFaults(err)})
	}
	return tell(OtherPart{"other", q.What, r})
}

func (do Other) ask(ctx context.Context, q Question, open job.Open) (Answer, error) {
	if do == nil {
		return Answer{}, fmt.Errorf("%.20q: no such question", q.What)
	}
	return do(ctx, q, func(name string) ([]byte, error) {
		if text, ok := q.Given[name]; ok {
			return []byte(text), nil
		} else if name == q.Name {
			return []byte(q.Text), nil
		}
		return open(name)
	})
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
	say := func(r *design.Result, more bool) error {
		var b bytes.Buffer
		if err := export.JSON(&b, r, e.head(name)); err != nil {
			return err
		}
		if err := tell(DesignPart{"design", kept, more, b.Bytes(), doubts(r)}); err != nil {
			return err
		}
		return tell(newCurves(r))
	}
	req.Space.Known = &e.known
	var gone error // of who is told
	r, err := design.RunTelling(ctx, *req, func(r *design.Result) error { gone = say(r, true); return gone })
	switch {
	case gone != nil:
		return gone
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return tell(FailedPart{"failed", err.Error(), configFaults(name, err)})
	}
	return say(r, false)
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
	p := JobPart{Part: "job", Text: string(text), Refused: refused, Units: "mm", Faults: newFaults(err)}
	tree, _ := job.Tree(name, text)
	if tree == nil {
		tree = &job.Node{Kind: job.KeysNode}
	}
	if u, ok := tree.Units(); ok {
		p.Units = u
	}
	p.Tree = newNode(tree, p.Units)
	driver, radiator := fileAt(tree, "driver", open), fileAt(tree, "passive", open)
	p.Driver, p.Radiator = ofFile(driver), ofFile(radiator)
	p.Settle = settle(tree, driver)
	return p
}

// fileAt is what stands in the file that a key names, by itself or under file; nil when it cannot be read.
func fileAt(tree *job.Node, key string, open job.Open) *job.Node {
	n := tree.At(key)
	if n != nil && n.Kind == job.KeysNode {
		n = tree.At(key + ".file")
	}
	if n == nil || n.Text == "" {
		return nil
	}
	data, err := open(n.Text)
	if err != nil {
		return nil
	}
	if tree, err = job.Tree(n.Text, data); err != nil {
		return nil
	}
	return tree
}

// ofFile is a file's tree as a page reads it.
func ofFile(tree *job.Node) *Node {
	if tree == nil {
		return nil
	}
	u, _ := tree.Units()
	return newNode(tree, u)
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
