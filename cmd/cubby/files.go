package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"cubby/internal/job"
)

// maxFile is the most that is read of a file that a user or a job names.
const maxFile = 1 << 20 // bytes

// readInput reads a file, or standard input for "-".
func readInput(t terminal, name string) ([]byte, error) {
	if name == "-" {
		return readLimited(t.in, "standard input")
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	return readLimited(f, name)
}

func readLimited(r io.Reader, name string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return nil, plain(err)
	}
	if len(data) > maxFile {
		return nil, fmt.Errorf("%s: larger than 1 MiB, which is more than any job needs", name)
	}
	return data, nil
}

// opener reads the files that a job names: relative to the job's folder and, unless outside is allowed, inside it, so
// that a stranger's job cannot make the program read other files.
func opener(jobFile string, outside bool) job.Open {
	dir := "."
	if jobFile != "-" {
		dir = filepath.Dir(jobFile)
	}
	return func(name string) ([]byte, error) {
		path := filepath.FromSlash(name)
		if outside {
			if !filepath.IsAbs(path) {
				path = filepath.Join(dir, path)
			}
			f, err := os.Open(path)
			if err != nil {
				return nil, plain(err)
			}
			defer f.Close()
			return readLimited(f, name)
		}
		root, err := os.OpenRoot(dir)
		if err != nil {
			return nil, plain(err)
		}
		defer root.Close()
		f, err := root.Open(path)
		if err != nil {
			if !filepath.IsLocal(path) {
				return nil, errors.New("lies outside the job's folder; --allow-outside permits it")
			}
			return nil, plain(err)
		}
		defer f.Close()
		return readLimited(f, name)
	}
}

// plain drops the system call's name from a file error: "job.yaml: no such file or directory".
func plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", p.Path, p.Err)
	}
	return err
}

// An output is one file that a run writes: to a name, or to standard output for "-".
type output struct {
	name  string
	write func(io.Writer) error
}

// writeAll writes every output beside its place and renames them into it once all of them are whole. Nothing is left
// behind when one fails.
func writeAll(t terminal, inputs []string, outputs []output) (err error) {
	var temporary []string
	defer func() {
		for _, name := range temporary {
			os.Remove(name)
		}
	}()
	for _, o := range outputs {
		if o.name == "-" {
			continue
		}
		if err := refuse(o.name, inputs); err != nil {
			return err
		}
		name, err := writeBeside(o)
		if name != "" {
			temporary = append(temporary, name)
		}
		if err != nil {
			return err
		}
	}
	i := 0
	for _, o := range outputs {
		if o.name == "-" {
			if err := o.write(t.out); err != nil {
				return err
			}
			continue
		}
		if err := os.Rename(temporary[i], o.name); err != nil {
			return fmt.Errorf("%s: cannot be put in place: %w", o.name, errors.Unwrap(err))
		}
		i++
	}
	return nil
}

// refuse says why a file cannot be an output: a folder, or one of the inputs.
func refuse(name string, inputs []string) error {
	info, err := os.Stat(name)
	if err != nil {
		return nil // it does not exist yet, or writing will say what is wrong
	}
	if info.IsDir() {
		return fmt.Errorf("%s: is a folder, not a file to write", name)
	}
	for _, in := range inputs {
		if other, err := os.Stat(in); err == nil && os.SameFile(info, other) {
			return fmt.Errorf("%s: is also an input; it would be overwritten", name)
		}
	}
	return nil
}

func writeBeside(o output) (name string, err error) {
	f, err := os.CreateTemp(filepath.Dir(o.name), "."+filepath.Base(o.name)+".*")
	if err != nil {
		return "", fmt.Errorf("%s: cannot be written: %w", o.name, errors.Unwrap(err))
	}
	name = f.Name()
	if err := o.write(f); err != nil {
		f.Close()
		return name, fmt.Errorf("%s: %w", o.name, err)
	}
	if err := f.Chmod(0o644); err != nil {
		f.Close()
		return name, fmt.Errorf("%s: %w", o.name, err)
	}
	if err := f.Close(); err != nil {
		return name, fmt.Errorf("%s: %w", o.name, err)
	}
	return name, nil
}
