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
	"strconv"
	"strings"
	"unicode"
)

// An output is one file that a run writes: to a name, or to standard output for "-".
type output struct {
	name  string
	write func(io.Writer) error
}

// writeAll writes every output as one set: the files beside their places and onto the disk, then all renamed into
// place, and what goes to standard output or a device after them. When one fails or ctx ends, what stood there before
// stands there still, all of it, and nothing is left beside it; a run that is killed outright can leave files named
// .cubby-*.tmp.
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
	var set fileSet
	defer set.clear()
	for i, o := range outputs {
		if direct(o.name) {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := set.add(o.name, data[i]); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", o.name, cause(err))
		}
	}
	if err := set.place(); err != nil {
		return err
	}
	if len(set.files) > 0 {
		t.placed.Store(true)
	}
	return nil
}

// A fileSet is files that are put in place together.
type fileSet struct{ files []placedFile }

// A placedFile is one of a set: its name as asked for, the file that it leads to, and the files beside that.
type placedFile struct {
	name, place, next string
	before            string // another name of what stood there; empty when nothing did
	done              bool   // next has taken the place
}

// add writes a file beside its place.
func (s *fileSet) add(name string, data []byte) error {
	place := target(name)
	next, err := writeBeside(name, data)
	if err == nil {
		s.files = append(s.files, placedFile{name: name, place: place, next: next})
	}
	return err
}

// place renames all files into place; when one cannot be, what stood at the places before is put back.
func (s *fileSet) place() error {
	for i := range s.files {
		f := &s.files[i]
		err := f.keep()
		if err == nil {
			err = os.Rename(f.next, f.place)
		}
		if err != nil {
			return errors.Join(fmt.Errorf("%s: cannot be put in place: %w", f.name, cause(err)), s.restore())
		}
		f.done = true
	}
	folders := map[string]bool{}
	for _, f := range s.files {
		if dir := filepath.Dir(f.place); !folders[dir] {
			folders[dir] = true
			syncFolder(dir)
		}
	}
	return nil
}

// keep gives what stands at the place a second name.
func (f *placedFile) keep() error {
	info, err := os.Lstat(f.place)
	switch {
	case err != nil:
		return nil // nothing stands there
	case !info.Mode().IsRegular():
		return errors.New("a thing that is no file stands there")
	}
	for {
		name := besideName(f.place)
		err := os.Link(f.place, name)
		switch {
		case err == nil:
			f.before = name
			return nil
		case errors.Is(err, fs.ErrExist):
			continue
		}
		if err = os.Rename(f.place, name); err == nil { // on a disk that knows no links
			f.before = name
		}
		return err
	}
}

// restore puts back what stood at the places.
func (s *fileSet) restore() error {
	var errs []error
	for _, f := range s.files {
		var err error
		switch {
		case f.before != "":
			err = os.Rename(f.before, f.place)
		case f.done:
			err = os.Remove(f.place)
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("%s: what stood there before is now named %s", f.name, f.before))
		}
	}
	return errors.Join(errs...)
}

// clear removes what stands beside the places.
func (s *fileSet) clear() {
	for _, f := range s.files {
		if !f.done {
			os.Remove(f.next)
		}
		if _, err := os.Lstat(f.place); err == nil && f.before != "" {
			os.Remove(f.before)
		}
	}
}

// syncFolder asks for the names in a folder to reach the disk; where that is not known it is left out.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		d.Sync()
		d.Close()
	}
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

// direct reports whether an output is written straight to its place: standard output, or a device or pipe, which a
// rename would replace by a file.
func direct(name string) bool {
	if name == "-" {
		return true
	}
	info, err := os.Stat(name)
	return err == nil && !info.IsDir() && !info.Mode().IsRegular()
}

// mostLinks is how many symbolic links may follow on each other.
const mostLinks = 40

// target is the file that a name leads to: behind a symbolic link its end, which need not exist yet, so that the link
// stays.
func target(name string) string {
	if end, err := filepath.EvalSymlinks(name); err == nil {
		return end
	}
	for range mostLinks {
		to, err := os.Readlink(name)
		if err != nil {
			return name
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(name), to)
		}
		name = to
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
	if err == nil {
		err = f.Sync()
	}
	return f.Name(), errors.Join(err, f.Close())
}

// createBeside creates a file of a new name in the folder of another.
func createBeside(place string) (*os.File, error) {
	for {
		name := besideName(place)
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// besideName is a name for a file beside another, most likely a new one.
func besideName(place string) string {
	return filepath.Join(filepath.Dir(place), fmt.Sprintf(".cubby-%08x.tmp", rand.Uint32()))
}

// printed is what goes to standard output once the files are in place: one JSON object, or the text unless it is not
// wanted.
func printed(asJSON, quiet bool, object func(io.Writer) error, text func() string) []output {
	switch {
	case asJSON:
		return []output{{"-", object}}
	case !quiet:
		return []output{{"-", func(w io.Writer) error { return writeString(w, printable(text())) }}}
	}
	return nil
}

// printable is a text for the terminal: what is no character of print, as a file's name can hold, is written as an
// escape.
func printable(s string) string {
	if !strings.ContainsFunc(s, unfit) {
		return s
	}
	var b strings.Builder
	for _, c := range s {
		if unfit(c) {
			q := strconv.QuoteRuneToASCII(c)
			b.WriteString(q[1 : len(q)-1])
			continue
		}
		b.WriteRune(c)
	}
	return b.String()
}

// unfit reports whether a character would do something to a terminal, or hide on it.
func unfit(c rune) bool {
	return c != '\n' && (!unicode.IsPrint(c) && !unicode.Is(unicode.Zs, c) || c == unicode.ReplacementChar)
}
