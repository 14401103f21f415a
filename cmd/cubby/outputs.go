package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"

	"cubby/internal/export"
)

// An output is one file that a run writes: to a name, or to standard output for "-".
type output struct {
	name  string
	write func(io.Writer) error
}

// writeAll writes every output, files beside their places; those are renamed into place once all of them are whole, and
// what goes to standard output or a device follows. Nothing is left behind when one fails or ctx ends; a run that is
// killed outright can leave files named .cubby-*.tmp.
func writeAll(ctx context.Context, t terminal, outputs []output) error {
	data := make([][]byte, len(outputs))
	for i, o := range outputs {
		if err := refuse(t, o.name, outputs[:i]); err != nil {
			return err
		}
		var b bytes.Buffer
		if err := o.write(&b); err != nil {
			return named(o.name, err)
		}
		data[i] = b.Bytes()
	}
	if err := placeFiles(ctx, t, outputs, data); err != nil {
		return err
	}
	for i, o := range outputs {
		if !direct(o.name) {
			continue
		}
		if err := writeDirect(t, o.name, data[i]); err != nil {
			return named(o.name, err)
		}
	}
	return nil
}

// placeFiles writes the outputs that are files. An interruption waits for it: everything is in memory by then.
func placeFiles(ctx context.Context, t terminal, outputs []output, data [][]byte) error {
	t.placing.Lock()
	defer t.placing.Unlock()
	var temporary, places []string
	defer func() {
		for _, name := range temporary {
			os.Remove(name)
		}
	}()
	for i, o := range outputs {
		if direct(o.name) {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		name, err := writeBeside(o.name, data[i])
		if err != nil {
			return fmt.Errorf("%s: cannot be written: %w", o.name, cause(err))
		}
		temporary, places = append(temporary, name), append(places, o.name)
	}
	for i, name := range temporary {
		if err := os.Rename(name, target(places[i])); err != nil {
			return fmt.Errorf("%s: cannot be put in place: %w", places[i], cause(err))
		}
	}
	return nil
}

// named puts an output's name before what went wrong with it.
func named(name string, err error) error {
	if err == nil {
		return nil
	}
	if name == "-" {
		name = "standard output"
	}
	return fmt.Errorf("%s: %w", name, cause(err))
}

// writeDirect writes to standard output or a device.
func writeDirect(t terminal, name string, data []byte) error {
	if name == "-" {
		return writeWhole(t.out, data)
	}
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(writeWhole(f, data), f.Close())
}

func writeWhole(w io.Writer, data []byte) error {
	_, err := w.Write(data)
	return err
}

// direct reports whether an output is written straight to its place: standard output, or a device or pipe, which a rename
// would replace by a file.
func direct(name string) bool {
	if name == "-" {
		return true
	}
	info, err := os.Stat(name)
	return err == nil && !info.IsDir() && !info.Mode().IsRegular()
}

// target is the file that a name leads to: behind a symbolic link its end, so that the link stays.
func target(name string) string {
	if end, err := filepath.EvalSymlinks(name); err == nil {
		return end
	}
	return name
}

// refuse says why a file cannot be an output: a folder, one of the files read, or one of the other outputs.
func refuse(t terminal, name string, others []output) error {
	if name == "-" {
		return nil
	}
	for _, o := range others {
		if o.name != "-" && same(o.name, name) {
			return fmt.Errorf("%s: is named for two outputs; give each a name of its own", name)
		}
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil // it does not exist yet, or writing will say what is wrong
	}
	if info.IsDir() {
		return fmt.Errorf("%s: is a folder, not a file to write", name)
	}
	if slices.ContainsFunc(*t.read, func(in string) bool { return same(in, name) }) {
		return fmt.Errorf("%s: is also an input; it would be overwritten", name)
	}
	return nil
}

// same reports whether two names are of one file.
func same(a, b string) bool {
	if filepath.Clean(a) == filepath.Clean(b) {
		return true
	}
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

// writeBeside writes a file beside the place that it is meant for, with the permissions of what stands there.
func writeBeside(name string, data []byte) (temporary string, err error) {
	place := target(name)
	f, err := createBeside(place)
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	err = writeWhole(f, data)
	if info, old := os.Stat(place); err == nil && old == nil {
		err = f.Chmod(info.Mode().Perm())
	}
	return f.Name(), errors.Join(err, f.Close())
}

// createBeside creates a file of a new name in the folder of another.
func createBeside(place string) (*os.File, error) {
	for {
		name := filepath.Join(filepath.Dir(place), fmt.Sprintf(".cubby-%08x.tmp", rand.Uint32()))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// answer is what goes to standard output once the files are in place: one JSON object, or the text unless it is not wanted.
func answer(asJSON, quiet bool, object func(io.Writer) error, text func() string) []output {
	switch {
	case asJSON:
		return []output{{"-", object}}
	case !quiet:
		return []output{{"-", func(w io.Writer) error { return writeString(w, text()) }}}
	}
	return nil
}

// headOf is what a command's JSON says of itself; job is empty for commands that take no one job.
func headOf(command, job string) export.Head {
	return export.Head{Version: version(), Command: command, Job: job}
}
