//go:build !js

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"

	"cubby/internal/page"
)

// A folder is the job's folder as a page sees it: names are relative to it, and none leads out of it, links included.
type folder struct {
	root *os.Root
	mu   sync.Mutex // one save at a time
}

var _ page.Files = (*folder)(nil)

// Bounds of what a page lists: files, and folders within folders.
const (
	mostOffered    = 2000
	deepestOffered = 3
)

// List names the files that a page offers, without those that are hidden.
func (f *folder) List() ([]string, error) {
	names := []string{}
	err := fs.WalkDir(f.root.FS(), ".", func(name string, d fs.DirEntry, err error) error {
		hidden := name != "." && strings.HasPrefix(path.Base(name), ".")
		switch {
		case err != nil && name == ".":
			return err
		case err != nil, d.IsDir() && (hidden || strings.Count(name, "/") >= deepestOffered):
			return fs.SkipDir
		case len(names) >= mostOffered:
			return fs.SkipAll
		case d.Type().IsRegular() && !hidden && offered(name):
			names = append(names, name)
		}
		return nil
	})
	return names, err
}

// contentMark tells two contents of a file apart.
func contentMark(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Read gives a plain file of the folder.
func (f *folder) Read(name string) ([]byte, string, error) {
	local := filepath.FromSlash(name)
	if !filepath.IsLocal(local) {
		return nil, "", errors.New("lies outside the job's folder")
	}
	data, err := readPlain(name, local, f.root.Stat, f.root.Open)
	if err != nil {
		return nil, "", err
	}
	return data, contentMark(data), nil
}

// Save puts a file in place whole: written beside, then renamed.
func (f *folder) Save(name string, data []byte, old string) (string, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	local := filepath.FromSlash(name)
	_, now, err := f.Read(name)
	missing := errors.Is(err, fs.ErrNotExist)
	switch {
	case err != nil && !missing:
		return "", err
	case now != old:
		return "", page.ErrChanged
	}
	mode := fs.FileMode(0o666)
	if info, err := f.root.Stat(local); err == nil {
		mode = info.Mode().Perm()
	}
	beside := filepath.Join(filepath.Dir(local), fmt.Sprintf(".cubby-%08x.tmp", rand.Uint32()))
	if err := f.write(beside, data, mode); err != nil {
		return "", errors.Join(fmt.Errorf("%s: cannot be written: %w", name, cause(err)), f.drop(beside))
	}
	if err := f.root.Rename(beside, local); err != nil {
		return "", errors.Join(fmt.Errorf("%s: cannot be put in place: %w", name, cause(err)), f.drop(beside))
	}
	return contentMark(data), nil
}

// drop takes a file that was written beside away again.
func (f *folder) drop(name string) error {
	if err := f.root.Remove(name); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

func (f *folder) write(name string, data []byte, mode fs.FileMode) error {
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	return errors.Join(writeWhole(file, data), file.Sync(), file.Close())
}
