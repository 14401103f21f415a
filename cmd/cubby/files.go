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
	return readUpTo(t, name, maxFile)
}

// readUpTo is readInput for a file of another largest size, in bytes.
func readUpTo(t terminal, name string, most int) ([]byte, error) {
	if name == "-" {
		return readLimited(t.in, "standard input", most)
	}
	if t.files != nil {
		return t.files(name)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s: is a folder, not a file", name)
	}
	t.reads(name)
	return readLimited(f, name, most)
}

func readLimited(r io.Reader, name string, most int) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, int64(most)+1))
	if err != nil {
		return nil, plain(err)
	}
	if len(data) > most {
		return nil, fmt.Errorf("%s: larger than %d MiB, which is more than any job needs", name, most>>20)
	}
	return data, nil
}

// opener reads the files that a job names: relative to the job's folder and, unless outside is allowed, inside it, so
// that a stranger's job cannot make the program read other files. Only plain files are read: a pipe could block for
// ever.
func opener(t terminal, jobFile string, outside bool) job.Open {
	dir := "."
	if jobFile != "-" {
		dir = filepath.Dir(jobFile)
	}
	return func(name string) ([]byte, error) {
		path := filepath.FromSlash(name)
		full := path
		if !filepath.IsAbs(path) {
			full = filepath.Join(dir, path)
		}
		if t.files != nil {
			return t.files(filepath.ToSlash(full))
		}
		if outside {
			t.reads(full)
			return readPlain(name, full, os.Stat, os.Open)
		}
		if !filepath.IsLocal(path) {
			return nil, errors.New("lies outside the job's folder; --allow-outside permits it")
		}
		root, err := os.OpenRoot(dir)
		if err != nil {
			return nil, plain(err)
		}
		defer root.Close()
		t.reads(full)
		data, err := readPlain(name, path, root.Stat, root.Open)
		if err != nil && leads(dir, full) {
			return nil, errors.New("leads outside the job's folder; --allow-outside permits it")
		}
		return data, err
	}
}

// leads reports whether a path inside a folder ends outside it, by way of a symbolic link.
func leads(dir, path string) bool {
	ends := [2]string{dir, path}
	for i, name := range ends {
		end, err := filepath.EvalSymlinks(name)
		if err == nil {
			ends[i], err = filepath.Abs(end)
		}
		if err != nil {
			return false
		}
	}
	way, err := filepath.Rel(ends[0], ends[1])
	return err != nil || !filepath.IsLocal(way)
}

// readPlain reads a plain file; name is what errors call it.
func readPlain(name, path string, stat func(string) (fs.FileInfo, error), open func(string) (*os.File, error)) ([]byte, error) {
	info, err := stat(path)
	if err != nil {
		return nil, plain(err)
	}
	switch {
	case info.IsDir():
		return nil, errors.New("is a folder, not a file")
	case !info.Mode().IsRegular():
		return nil, errors.New("is not a plain file")
	}
	f, err := open(path)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	return readLimited(f, name, maxFile)
}

// plain drops the system call's name from a file error: "job.yaml: no such file or directory".
func plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", p.Path, p.Err)
	}
	return err
}

// cause is the system's own word on a file error, without the system call and the names.
func cause(err error) error {
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.As(err, &p):
		return p.Err
	case errors.As(err, &l):
		return l.Err
	}
	return err
}
