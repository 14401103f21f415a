package main

import (
	"archive/zip"
	"bytes"
	"context"
	"path/filepath"
	"time"

	mill "cubby/internal/answer"
	"cubby/internal/design"
	"cubby/internal/job"
	"cubby/internal/render"
)

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
