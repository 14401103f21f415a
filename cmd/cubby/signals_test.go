//go:build unix

package main

import (
	"bytes"
	"errors"
	"flag"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "run the tests that repeat hundreds of times")

// TestSignalsKeepTheSet ends runs over existing outputs by hang-up, interrupt and termination at random moments: the files
// are the old set or the new set, never some of each, nothing lies beside them, and the message says which it is.
func TestSignalsKeepTheSet(t *testing.T) {
	ends := 15
	if *long {
		ends = 300
	}
	dir := t.TempDir()
	for name, qes := range map[string]string{"a.yaml": "0.54", "b.yaml": "0.50"} {
		text := string(read(t, filepath.Join("..", "..", "internal", "job", "starter-mm.yaml")))
		if err := os.WriteFile(filepath.Join(dir, name), []byte(strings.Replace(text, "  qes: 0.54", "  qes: "+qes, 1)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	files := []string{"out.pdf", "curves.csv", "parts.csv"}
	args := func(job string) []string {
		return []string{"design", job, "--out", files[0], "--curves", files[1], "--parts", files[2], "--quiet"}
	}
	sets := map[string][][]byte{}
	var full time.Duration
	for _, job := range []string{"b.yaml", "a.yaml"} {
		cmd, stderr := started(t, dir, args(job)...)
		begun := time.Now()
		if err := cmd.Run(); err != nil {
			t.Fatal(err, stderr)
		}
		full = time.Since(begun)
		for _, f := range files {
			sets[job] = append(sets[job], read(t, filepath.Join(dir, f)))
		}
	}
	r := rand.New(rand.NewPCG(3, 4))
	replaced := 0
	for i := range ends {
		for k, f := range files {
			if err := os.WriteFile(filepath.Join(dir, f), sets["a.yaml"][k], 0o644); err != nil {
				t.Fatal(err)
			}
		}
		cmd, stderr := started(t, dir, args("b.yaml")...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		sig := []os.Signal{syscall.SIGHUP, syscall.SIGINT, syscall.SIGTERM}[i%3]
		if i%2 == 0 {
			time.Sleep(20*time.Millisecond + time.Duration(r.Int64N(int64(full))))
		} else {
			for deadline := time.Now().Add(2 * full); len(temporaries(dir)) == 0 && time.Now().Before(deadline); {
				time.Sleep(50 * time.Microsecond)
			}
		}
		cmd.Process.Signal(sig)
		err := cmd.Wait()
		if exit := (*exec.ExitError)(nil); errors.As(err, &exit) && exit.Sys().(syscall.WaitStatus).Signaled() {
			err = nil // before the program listened
		}
		isNew := checkSet(t, dir, files, sets)
		if isNew {
			replaced++
		}
		if err != nil {
			want := "cubby: interrupted; no file has been written or changed\n"
			if isNew {
				want = "cubby: interrupted; the files are written, whole\n"
			}
			if stderr.String() != want {
				t.Errorf("%v: %q, want %q", sig, stderr, want)
			}
		}
		if all, _ := os.ReadDir(dir); len(all) != len(files)+2 {
			t.Fatalf("%v: %v lies in the folder", sig, all)
		}
	}
	t.Logf("%d signals: %d runs had replaced the set", ends, replaced)
}

// checkSet reports whether the files are the new set; they must be it or the old one.
func checkSet(t *testing.T, dir string, files []string, sets map[string][][]byte) bool {
	t.Helper()
	old, fresh := 0, 0
	for k, f := range files {
		got := read(t, filepath.Join(dir, f))
		if bytes.Equal(got, sets["a.yaml"][k]) {
			old++
		}
		if bytes.Equal(got, sets["b.yaml"][k]) {
			fresh++
		}
	}
	if old != len(files) && fresh != len(files) {
		t.Fatalf("a mixed set: %d files are old, %d new, of %d", old, fresh, len(files))
	}
	return fresh == len(files)
}

// TestSetIsRestored holds that files which were replaced come back when a later one cannot be put in place.
func TestSetIsRestored(t *testing.T) {
	dir := t.TempDir()
	one, two, gone := filepath.Join(dir, "one"), filepath.Join(dir, "two"), filepath.Join(dir, "gone")
	if err := os.WriteFile(one, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	var set fileSet
	for _, name := range []string{one, gone, two} {
		if err := set.add(name, []byte("new")); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.MkdirAll(filepath.Join(two, "a folder in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	err := set.place()
	set.clear()
	if err == nil || !strings.Contains(err.Error(), "two: cannot be put in place") {
		t.Errorf("placed over a folder: %v", err)
	}
	if got := read(t, one); string(got) != "old" {
		t.Errorf("one is %q, want what it was", got)
	}
	if _, err := os.Stat(gone); err == nil {
		t.Error("a file that was not there before is there")
	}
	if left := temporaries(dir); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
