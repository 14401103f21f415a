//go:build unix

package main

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// started runs the program in a folder of its own.
func started(t *testing.T, dir string, args ...string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	name, err := program()
	if err != nil {
		t.Fatal(err)
	}
	var stderr bytes.Buffer
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.Stderr = dir, &stderr
	cmd.Env = append(os.Environ(), "SOURCE_DATE_EPOCH=0")
	return cmd, &stderr
}

// partsFile writes a parts list of n parts into a folder.
func partsFile(t *testing.T, dir string, n int) {
	t.Helper()
	r := rand.New(rand.NewPCG(7, uint64(n)))
	var b strings.Builder
	b.WriteString("name,count,length_mm,width_mm,thickness_mm,grain\n")
	for i := range n {
		b.WriteString("p" + strconv.Itoa(i) + ",1," + strconv.Itoa(50+r.IntN(1400)) + "," + strconv.Itoa(50+r.IntN(800)) + ",18,\n")
	}
	if err := os.WriteFile(filepath.Join(dir, "parts.csv"), []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

func exitOf(err error) int {
	var exit *exec.ExitError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &exit):
		return exit.ExitCode()
	}
	return -2
}

// temporaries lists what a run leaves behind when it is killed outright.
func temporaries(dir string) []string {
	names, _ := filepath.Glob(filepath.Join(dir, ".cubby-*.tmp"))
	return names
}

// TestKilledWhileWriting kills the program 200 times, half of them at any moment and half while it writes: each output is
// the old file whole or the new file whole, and nothing else lies there but temporaries by their documented name.
func TestKilledWhileWriting(t *testing.T) {
	kills := 20
	if *long {
		kills = 200
	}
	dir := t.TempDir()
	partsFile(t, dir, 1)
	args := []string{"sheets", "parts.csv", "--out", "out.pdf", "--parts", "all.csv", "--quiet"}
	files := []string{"out.pdf", "all.csv"}
	whole := map[string][]byte{}
	cmd, stderr := started(t, dir, args...)
	begun := time.Now()
	if err := cmd.Run(); err != nil {
		t.Fatal(err, stderr)
	}
	full := min(time.Since(begun), 300*time.Millisecond)
	for _, f := range files {
		whole[f] = read(t, filepath.Join(dir, f))
	}
	r := rand.New(rand.NewPCG(1, 2))
	old, replaced, left := []byte("the old file\n"), 0, 0
	for i := range kills {
		for _, f := range files {
			if err := os.WriteFile(filepath.Join(dir, f), old, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		cmd, _ := started(t, dir, args...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if i%2 == 0 {
			time.Sleep(time.Duration(r.Int64N(int64(full))))
		} else {
			for deadline := time.Now().Add(time.Minute); len(temporaries(dir)) == 0 && cmd.ProcessState == nil && time.Now().Before(deadline); {
				if p := read(t, filepath.Join(dir, files[0])); !bytes.Equal(p, old) {
					break // all over already
				}
				time.Sleep(50 * time.Microsecond)
			}
			time.Sleep(time.Duration(r.Int64N(int64(500 * time.Microsecond))))
		}
		cmd.Process.Kill()
		cmd.Wait()
		for _, f := range files {
			got := read(t, filepath.Join(dir, f))
			switch {
			case bytes.Equal(got, whole[f]):
				replaced++
			case !bytes.Equal(got, old):
				t.Fatalf("kill %d: %s is neither old nor new: %d bytes, old %d, new %d", i+1, f, len(got), len(old), len(whole[f]))
			}
		}
		for _, name := range temporaries(dir) {
			left++
			os.Remove(name)
		}
		if all, _ := os.ReadDir(dir); len(all) != len(files)+1 {
			t.Fatalf("kill %d: %v lies in the folder", i+1, all)
		}
	}
	t.Logf("%d kills: %d of %d files were new, %d temporaries were left", kills, replaced, kills*len(files), left)
}

// hangTime is when an interrupted program counts as hanging. It ends within 100 ms on an idle machine; the test logs what
// it took here.
const hangTime = 30 * time.Second

// TestInterrupt stops the program by signal while it searches, lays sheets, draws, waits for its input or for a reader of
// its output: it ends with one line, and leaves nothing.
func TestInterrupt(t *testing.T) {
	example, err := filepath.Abs(filepath.Join("..", "..", "examples", "stepped-load-bay.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var slowest time.Duration
	for i, test := range []struct {
		name  string
		args  []string
		after time.Duration
	}{
		{"design, at once", []string{"design", example}, 20 * time.Millisecond},
		{"design, later", []string{"design", example}, 60 * time.Millisecond},
		{"many sheets", []string{"sheets", "parts.csv"}, 100 * time.Millisecond},
		{"many sheets, later", []string{"sheets", "parts.csv"}, 1500 * time.Millisecond},
		{"standard input", []string{"design", "-"}, 50 * time.Millisecond},
		{"standard output", []string{"design", example, "--out", "-"}, 1500 * time.Millisecond},
	} {
		dir := t.TempDir()
		partsFile(t, dir, 1500)
		cmd, stderr := started(t, dir, test.args...)
		in, err := cmd.StdinPipe() // stays open: the program waits
		if err != nil {
			t.Fatal(err)
		}
		out, err := cmd.StdoutPipe() // nobody reads
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(test.after)
		sig := []os.Signal{syscall.SIGINT, syscall.SIGTERM}[i%2]
		begun := time.Now()
		cmd.Process.Signal(sig)
		state, err := cmd.Process.Wait()
		took := time.Since(begun)
		slowest = max(slowest, took)
		if err != nil {
			t.Fatal(err)
		}
		in.Close()
		out.Close()
		cmd.Wait() // collects standard error
		if status := state.Sys().(syscall.WaitStatus); status.Signaled() {
			t.Logf("%s: the signal came before the program listened", test.name)
			continue
		} else if state.ExitCode() == exitDone {
			t.Logf("%s: done before the signal", test.name)
			continue
		}
		if took > hangTime || state.ExitCode() != exitError || stderr.String() != "cubby: interrupted; no file has been written or changed\n" {
			t.Errorf("%s: %v, exit %d, %q", test.name, took, state.ExitCode(), stderr)
		}
		if all, _ := os.ReadDir(dir); len(all) != 1 {
			t.Errorf("%s: %v lies in the folder", test.name, all)
		}
	}
	t.Logf("slowest end after a signal: %v", slowest)
}

// TestFullDiskAndClosedPipe holds that output which cannot be written gives one line and status 1, and leaves nothing.
func TestFullDiskAndClosedPipe(t *testing.T) {
	full := func(t *testing.T) io.WriteCloser {
		f, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		if err != nil {
			t.Skip("no /dev/full")
		}
		return f
	}
	closed := func(t *testing.T) io.WriteCloser {
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		r.Close()
		return w
	}
	const noSpace, noReader = "no space left on device", "broken pipe"
	for _, test := range []struct {
		name   string
		args   []string
		stdout func(*testing.T) io.WriteCloser
		want   string
	}{
		{"summary to a full disk", []string{"sheets", "parts.csv", "--out", "/dev/null"}, full, "standard output: " + noSpace},
		{"summary to nobody", []string{"sheets", "parts.csv", "--out", "/dev/null"}, closed, "standard output: " + noReader},
		{"JSON to nobody", []string{"sheets", "parts.csv", "--json", "--out", "/dev/null"}, closed, "standard output: " + noReader},
		{"PDF to nobody", []string{"sheets", "parts.csv", "--out", "-"}, closed, "standard output: " + noReader},
		{"PDF to a full disk", []string{"sheets", "parts.csv", "--out", "-"}, full, "standard output: " + noSpace},
		{"PDF to a full device", []string{"sheets", "parts.csv", "--out", "/dev/full", "--quiet"}, full, "/dev/full: " + noSpace},
		{"help to nobody", []string{"--help"}, closed, "standard output: " + noReader},
		{"version to a full disk", []string{"--version"}, full, "standard output: " + noSpace},
		{"starter job to a full disk", []string{"new", "-"}, full, "standard output: " + noSpace},
		{"word of a starter job to nobody", []string{"new", "x.yaml"}, closed, "standard output: " + noReader},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := t.TempDir()
			partsFile(t, dir, 3)
			cmd, stderr := started(t, dir, test.args...)
			w := test.stdout(t)
			cmd.Stdout = w
			err := cmd.Run()
			w.Close()
			if got := exitOf(err); got != exitError || stderr.String() != "cubby: "+test.want+"\n" {
				t.Errorf("exit %d, %q; want %d, %q", got, stderr, exitError, test.want)
			}
			if left := temporaries(dir); left != nil {
				t.Errorf("%v are left", left)
			}
		})
	}
}

// TestFullDisk fills a small disk of its own: the old file stays whole. Mounting one takes a superuser.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be mounted here: %s", out)
	}
	defer func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil {
			t.Errorf("umount: %s", out)
		}
	}()
	partsFile(t, dir, 200)
	old := []byte("the old file\n")
	name := filepath.Join(dir, "out.pdf")
	if err := os.WriteFile(name, old, 0o644); err != nil {
		t.Fatal(err)
	}
	cmd, stderr := started(t, dir, "sheets", "parts.csv", "--out", "out.pdf")
	if got := exitOf(cmd.Run()); got != exitError || stderr.String() != "cubby: out.pdf: cannot be written: no space left on device\n" {
		t.Errorf("exit %d, %q", got, stderr)
	}
	if got := read(t, name); !bytes.Equal(got, old) || temporaries(dir) != nil {
		t.Errorf("out.pdf holds %d bytes; left: %v", len(got), temporaries(dir))
	}
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
