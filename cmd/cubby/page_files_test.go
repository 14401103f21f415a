package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"cubby/internal/page"
)

// TestFolder holds what a page may do with files: only those of its folder, whole, and never over what it has not read.
func TestFolder(t *testing.T) {
	above := t.TempDir()
	dir := filepath.Join(above, "jobs")
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(above, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "drivers"), 0o755); err != nil {
		t.Fatal(err)
	}
	write("secret.yaml", "secret")
	write("jobs/van.yaml", "one")
	write("jobs/drivers/d.yaml", "fs: 30 Hz")
	write("jobs/.hidden.yaml", "x")
	write("jobs/note.txt", "x")
	if err := os.Symlink(filepath.Join(above, "secret.yaml"), filepath.Join(dir, "link.yaml")); err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	f := &folder{root: root}

	if names, err := f.List(); err != nil || !slices.Equal(names, []string{"drivers/d.yaml", "van.yaml"}) {
		t.Errorf("lists %q, %v", names, err)
	}
	for _, name := range []string{"../secret.yaml", "link.yaml", "drivers", filepath.Join(above, "secret.yaml")} {
		if data, _, err := f.Read(name); err == nil {
			t.Errorf("%s was read: %q", name, data)
		}
		if _, err := f.Save(name, []byte("mine"), ""); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	_, first, err := f.Read("van.yaml")
	if err != nil {
		t.Fatal(err)
	}
	second, err := f.Save("van.yaml", []byte("two"), first)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Save("van.yaml", []byte("three"), first); !errors.Is(err, page.ErrChanged) {
		t.Errorf("written over what was not read: %v", err)
	}
	write("jobs/van.yaml", "another program")
	if _, err := f.Save("van.yaml", []byte("three"), second); !errors.Is(err, page.ErrChanged) {
		t.Errorf("written over another program's text: %v", err)
	}
	if _, err := f.Save("van.yaml", []byte("three"), ""); !errors.Is(err, page.ErrChanged) {
		t.Errorf("written over a file that was taken for missing: %v", err)
	}
	if _, err := f.Save("new.yaml", []byte("new"), ""); err != nil {
		t.Error(err)
	}
	if _, _, err := f.Read("none.yaml"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing file gives %v", err)
	}
	info, err := os.Stat(filepath.Join(dir, "van.yaml"))
	if data, _ := os.ReadFile(filepath.Join(dir, "van.yaml")); err != nil || info.Mode().Perm() != 0o600 || string(data) != "another program" {
		t.Errorf("van.yaml is %q, %v, %v", data, info.Mode(), err)
	}
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".cubby") {
			t.Errorf("%s is left behind", e.Name())
		}
	}
	if data, _ := os.ReadFile(filepath.Join(above, "secret.yaml")); string(data) != "secret" {
		t.Error("a file outside was changed")
	}
}
