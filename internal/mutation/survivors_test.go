package mutation

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

var (
	minutes = flag.Float64("minutes", 0, "make faults for so many minutes, in an order by -seed; less than 0: make all of them")
	seed    = flag.String("seed", "", "any text, such as the commit: it decides which faults come first")
	only    = flag.String("only", "", "make the faults of files whose name holds this")
	record  = flag.String("record", "", "a file to which noticed faults are written; those that stand in it are not made again")
)

// patience is how long the tests of one fault may take: a fault that keeps them busy is noticed too.
const patience = 4 * time.Minute

// A verdict is what the tests made of a fault.
type verdict string

const (
	noticed  verdict = "noticed"
	survived verdict = "SURVIVED"
	broken   verdict = "BROKEN" // it does not compile, or no test ran: the list is wrong
)

// TestSurvivors makes the faults and runs the tests that should notice them. It takes minutes, and is for -minutes alone:
//
//	go test ./internal/mutation -run Survivors -timeout 0 -args -minutes -1
func TestSurvivors(t *testing.T) {
	if *minutes == 0 {
		t.Skip("it takes minutes: .ci/plant runs it")
	}
	all := slices.DeleteFunc(faults(t), func(f fault) bool { return !strings.Contains(f.file, *only) })
	h := fnv.New64a()
	h.Write([]byte(*seed))
	r := rand.New(rand.NewPCG(h.Sum64(), 1))
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	before, _ := os.ReadFile(*record) // none: nothing is recorded yet
	begin, done, dir := time.Now(), 0, t.TempDir()
	for _, f := range all {
		line := fmt.Sprintf("%s %s %s: %s => %s\n", f.file, f.pkg, f.test, f.old, f.wrong)
		if strings.Contains(string(before), line) {
			continue
		}
		if *minutes > 0 && time.Since(begin).Minutes() > *minutes {
			break
		}
		done++
		if v, said := f.try(dir); v != noticed {
			t.Errorf("%s faults.txt:%d: %s%s", v, f.line, line, said)
		} else if err := note(*record, line); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d of %d faults made in %v", done, len(all), time.Since(begin).Round(time.Second))
}

// note adds a line to the record, if there is to be one.
func note(record, line string) error {
	if record == "" {
		return nil
	}
	f, err := os.OpenFile(record, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(line)
	return errors.Join(err, f.Close())
}

// try runs the fault's tests on a tree in which the one file is replaced; nothing is written into the tree.
func (f fault) try(dir string) (v verdict, said string) {
	text, places, err := f.changed()
	if err != nil || places != 1 {
		return broken, fmt.Sprintf("the place stands %d times in the file (%v)", places, err)
	}
	top, err := filepath.Abs(root)
	if err != nil {
		return broken, err.Error()
	}
	wrong, overlay := filepath.Join(dir, "wrong.go"), filepath.Join(dir, "overlay.json")
	list, err := json.Marshal(map[string]map[string]string{"Replace": {filepath.Join(top, f.file): wrong}})
	if err := errors.Join(err, os.WriteFile(wrong, text, 0o600), os.WriteFile(overlay, list, 0o600)); err != nil {
		return broken, err.Error()
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, "go", "test", "-vet=off", "-failfast", "-overlay", overlay, "-run", pattern(f.test), "./"+f.pkg)
	cmd.Dir, cmd.WaitDelay = top, 10*time.Second
	out, err := cmd.CombinedOutput()
	switch said := string(out); {
	case strings.Contains(said, "[build failed]") || strings.Contains(said, "[setup failed]") || strings.Contains(said, "no tests to run"):
		return broken, said
	case err == nil:
		return survived, ""
	}
	return noticed, ""
}

// pattern is the -run pattern of tests joined by |: each name as a whole, level by level.
func pattern(tests string) string {
	var levels [2][]string
	for test := range strings.SplitSeq(tests, "|") {
		name, sub, _ := strings.Cut(test, "/")
		levels[0] = append(levels[0], regexp.QuoteMeta(name))
		if sub != "" {
			levels[1] = append(levels[1], regexp.QuoteMeta(sub))
		}
	}
	p := "^(" + strings.Join(levels[0], "|") + ")$"
	if len(levels[1]) > 0 {
		p += "/^(" + strings.Join(levels[1], "|") + ")$"
	}
	return p
}
