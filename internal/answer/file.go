package answer

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"path"
	"strings"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
)

// A File is a document to take away.
type File struct {
	Name, Type string // a file name without folder, a media type
	Data       []byte
}

// Kinds are the documents that File makes.
func (e *Engine) Kinds() []string {
	all := []string{"pdf", "shop", "json", "curves", "parts"}
	for _, k := range []string{"dxf", "svg", "stl", "3mf"} {
		if e.Also[k] != nil {
			all = append(all, k)
		}
	}
	return all
}

// File makes one document of a job: of another question its report, else of the design pdf, shop (the part for the workshop alone), json, curves or parts, or
// one of e.Also. Errors are job.Faults, or those of the design.
func (e *Engine) File(ctx context.Context, q Question, kind string, open job.Open) (File, error) {
	stem := strings.TrimSuffix(path.Base(q.Name), path.Ext(q.Name))
	if q.What != "" {
		a, err := e.Other[q.What].ask(ctx, q, open)
		if err != nil {
			return File{}, err
		}
		return made(stem+"-"+q.What+".pdf", "application/pdf", func(w io.Writer) error { return a.Report(w, e.dress(q, a.Request)) })
	}
	req, err := job.Parse(q.Name, []byte(q.Text), beside(q.Name, open))
	if err != nil {
		return File{}, err
	}
	r, err := design.Run(ctx, *req)
	if err != nil {
		return File{}, err
	}
	options := e.dress(q, &r.Request)
	if also := e.Also[kind]; also != nil {
		return also(r, options)
	}
	if len(r.Designs) == 0 && (kind == "curves" || kind == "parts" || kind == "shop") {
		return File{}, fmt.Errorf("there is no design to take %s from", kind)
	}
	switch kind {
	case "pdf":
		return made(stem+".pdf", "application/pdf", func(w io.Writer) error { return render.Document(w, r, options) })
	case "shop":
		options.ShopOnly = true
		return made(stem+"-shop.pdf", "application/pdf", func(w io.Writer) error { return render.Document(w, r, options) })
	case "json":
		return made(stem+".json", "application/json", func(w io.Writer) error { return export.JSON(w, r, e.head(q.Name)) })
	case "curves":
		best := &r.Designs[0]
		return made(stem+"-curves.csv", "text/csv", func(w io.Writer) error { return export.Curves(w, best.Curves) })
	case "parts":
		return made(stem+"-parts.csv", "text/csv", func(w io.Writer) error { return export.Parts(w, &r.Designs[0]) })
	}
	return File{}, fmt.Errorf("%.20q: no such document; there are %s", kind, strings.Join(e.Kinds(), ", "))
}

// dress is how a report on a job is dressed.
func (e *Engine) dress(q Question, req *design.Request) render.Options {
	if e.Report != nil {
		return e.Report(q.Name, []byte(q.Text), req)
	}
	return render.Options{Source: path.Base(q.Name), Version: e.Version}
}

func made(name, media string, write func(io.Writer) error) (File, error) {
	var b bytes.Buffer
	err := write(&b)
	return File{name, media, b.Bytes()}, err
}

// Pasted reads a driver's data as someone pasted it, and gives it as the value of the job's key driver, with remarks for
// the person.
func (e *Engine) Pasted(text string) (value json.RawMessage, remarks []string, err error) {
	data := []byte(text)
	if e.Paste != nil {
		if data, remarks, err = e.Paste(text); err != nil {
			return nil, nil, err
		}
	}
	if _, err := job.ParseDriver("pasted", data); err != nil {
		return nil, nil, err
	}
	tree, err := job.Tree("pasted", data)
	if err != nil {
		return nil, nil, err
	}
	var b bytes.Buffer
	writeJSON(&b, tree)
	return b.Bytes(), remarks, nil
}

// writeJSON writes a tree as JSON with its keys in their order; every value is a text.
func writeJSON(b *bytes.Buffer, n *job.Node) {
	text := func(s string) {
		data, _ := json.Marshal(s) // a string: cannot fail
		b.Write(data)
	}
	marks := map[job.NodeKind]string{job.KeysNode: "{}", job.ListNode: "[]"}[n.Kind]
	if marks == "" {
		text(n.Text)
		return
	}
	b.WriteByte(marks[0])
	for i, c := range n.Nodes {
		if i > 0 {
			b.WriteByte(',')
		}
		if n.Kind == job.KeysNode {
			text(n.Keys[i])
			b.WriteByte(':')
		}
		writeJSON(b, c)
	}
	b.WriteByte(marks[1])
}
