//go:build unix

package answer

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"cubby/internal/job"
)

// examples are the five jobs of the examples that design a box.
var examples = []string{"under-bench-wedge", "cargo-floor-rectangle", "second-row-slot", "side-pocket-mitred", "stepped-load-bay"}

func read(t testing.TB, name string) (text string, open job.Open) {
	t.Helper()
	dir := filepath.Join("..", "..", "examples")
	data, err := os.ReadFile(filepath.Join(dir, name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(data), func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, filepath.FromSlash(name))) }
}

// ask gathers the parts of an answer.
func ask(t testing.TB, q Question, open job.Open) (all []Part) {
	t.Helper()
	if err := new(Engine).Ask(context.Background(), q, open, func(p Part) error { all = append(all, p); return nil }); err != nil {
		t.Fatal(err)
	}
	return all
}

func set(path, value string) Edit {
	v, _ := json.Marshal(value)
	return Edit{"set", path, v}
}

func TestAskParts(t *testing.T) {
	for _, name := range examples {
		text, open := read(t, name)
		all := ask(t, Question{Name: name + ".yaml", Text: text}, open)
		if len(all) != 5 {
			t.Fatalf("%s: %d parts", name, len(all))
		}
		if first := all[1].(DesignPart); !first.More || len(all[2].(CurvesPart).Curves) != 1 {
			t.Errorf("%s: the best design is not told first", name)
		}
		j, d, c := all[0].(JobPart), all[3].(DesignPart), all[4].(CurvesPart)
		if j.Text != text || len(j.Faults) > 0 || j.Driver == nil {
			t.Errorf("%s: the job is not as written: %+v", name, j.Faults)
		}
		var design struct {
			Designs []struct{ Rank int }
		}
		if err := json.Unmarshal(d.Design, &design); err != nil || len(design.Designs) == 0 || d.More || len(c.Curves) != len(design.Designs) {
			t.Errorf("%s: %d designs, %d curves, %v", name, len(design.Designs), len(c.Curves), err)
		}
		for _, x := range c.Curves {
			if n := len(x.Columns["frequency_hz"]); n < 100 || len(x.Limited) != n || len(x.Columns["max_level_db"]) != n {
				t.Errorf("%s: columns of %d", name, n)
			}
		}
	}
}

// TestKept designs with the last right value where one is refused, and only there.
func TestKept(t *testing.T) {
	text, open := read(t, "cargo-floor-rectangle")
	q := Question{Name: "v.yaml", Text: text, Edits: []Edit{set("cavity.width", "-3"), set("aim", "loud")}, Kept: []Edit{set("cavity.width", "880"), set("aim", "compact")}}
	all := ask(t, q, open)
	j := all[0].(JobPart)
	if len(j.Faults) != 1 || j.Faults[0].Field != "cavity.width" || j.Faults[0].Want != "must be greater than 0" || !strings.Contains(j.Text, "width: -3") {
		t.Fatalf("faults %+v", j.Faults)
	}
	d, ok := all[1].(DesignPart)
	var designed struct{ Aim string }
	if !ok || !d.Kept || json.Unmarshal(d.Design, &designed) != nil || designed.Aim != "loud" {
		t.Errorf("designed with what was not at fault taken back, or not at all")
	}
	q.Kept = nil
	if all := ask(t, q, open); len(all) != 1 {
		t.Errorf("%d parts without a right value", len(all))
	}
}

func TestRefusedEdits(t *testing.T) {
	text, open := read(t, "under-bench-wedge")
	for _, e := range []Edit{set("driver.fs", "30 Hz"), {Op: "sing", Path: "aim"}, {Op: "set", Path: "aim"}, set("stock[9]", "x")} {
		j := ask(t, Question{Name: "v.yaml", Text: text, Edits: []Edit{set("aim", "loud"), e}, Brief: true}, open)[0].(JobPart)
		if j.Refused == "" || j.Text != text {
			t.Errorf("%+v was made", e)
		}
	}
}

func TestSizes(t *testing.T) {
	for _, c := range []struct {
		text, units string
		mm          float64
		sys, other  string
	}{
		{"44", "in", 1117.6, "in", "1117.6"}, {"44", "mm", 44, "mm", "1-23/32"}, {"14-3/8 in", "mm", 365.125, "in", "365.1"}, {"365 mm", "in", 365, "mm", "14-3/8"},
		{`1/2"`, "mm", 12.7, "in", "12.7"}, {"2.9 m", "in", 2900, "mm", "114-3/16"}, {"5 ft", "mm", 1524, "in", "1524"}, {"0", "in", 0, "in", "0"},
		{"17.6 l", "in", 0, "mm", "0.62 cu ft"}, {"0.62 cu ft", "mm", 0, "in", "17.6 l"}, {"33 cu cm", "mm", 0, "mm", "0.001 cu ft"}, {"500 W", "mm", 0, "", ""}, {"?", "mm", 0, "", ""},
	} {
		n := newNode(&job.Node{Text: c.text}, c.units)
		mm := 0.0
		if n.MM != nil {
			mm = *n.MM
		}
		if d := mm - c.mm; d > 1e-9 || d < -1e-9 || n.System != c.sys || n.Other != c.other {
			t.Errorf("%s in a job in %s: %v mm, %q, %q; want %v, %q, %q", c.text, c.units, mm, n.System, n.Other, c.mm, c.sys, c.other)
		}
	}
}

func TestSettle(t *testing.T) {
	j := ask(t, Question{Name: "v.yaml", Text: "units: mm\n", Brief: true}, nil)[0].(JobPart)
	var paths []string
	for _, s := range j.Settle {
		paths = append(paths, s.Path)
	}
	if !slices.Contains(paths, "cavity.passage") || !slices.Contains(paths, "mount.air_in_front") || !slices.Contains(paths, "amplifier.power") {
		t.Errorf("an empty job asks %v", paths)
	}
	text, open := read(t, "under-bench-wedge")
	if j := ask(t, Question{Name: "v.yaml", Text: text, Brief: true}, open)[0].(JobPart); len(j.Settle) > 0 {
		t.Errorf("a whole job still asks %+v", j.Settle)
	}
	for driver, want := range map[string]bool{"driver: {coils: {count: 2}}": true, "driver: two.yaml": true, "driver: {coils: {count: 2}}\nmount: {wiring: series}": false, "driver: {fs: 30 Hz}": false, "driver: {fs: 30 Hz}\nmount: {count: 2}": true} {
		two := func(string) ([]byte, error) { return []byte("fs: 30 Hz\ncoils: {count: 2}\n"), nil }
		all := ask(t, Question{Name: "v.yaml", Text: "units: mm\n" + driver, Brief: true}, two)[0].(JobPart).Settle
		if got := slices.ContainsFunc(all, func(s Settle) bool { return s.Path == "mount.wiring" }); got != want {
			t.Errorf("%s: asks for the wiring: %v", driver, got)
		}
	}
}

func TestFiles(t *testing.T) {
	text, open := read(t, "cargo-floor-rectangle")
	e := &Engine{}
	for _, kind := range e.Kinds() {
		f, err := e.File(t.Context(), Question{Name: "sub/van.yaml", Text: text}, kind, func(name string) ([]byte, error) { return open(strings.TrimPrefix(name, "sub/")) })
		if err != nil || len(f.Data) < 100 || strings.Contains(f.Name, "/") {
			t.Errorf("%s: %q of %d bytes, %v", kind, f.Name, len(f.Data), err)
		}
	}
	if _, err := e.File(t.Context(), Question{Name: "v.yaml", Text: text}, "exe", open); err == nil {
		t.Error("an unknown document was made")
	}
}

// worked is the time of the processor that this process has had, which other work on the machine does not change.
func worked() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}

// BenchmarkChange is a change of one value until the design is told, as the page waits for it, with the 95th percentile of
// the processor's time for it; run it on one core (-cpu 1).
func BenchmarkChange(b *testing.B) {
	changes := map[string]func(i int) Edit{
		"space":     func(i int) Edit { return set("cavity.gap", fmt.Sprintf("%d mm", 6+i)) },
		"amplifier": func(i int) Edit { return set("amplifier.power", fmt.Sprintf("%d W", 200+10*i)) },
	}
	run := func(name, what string) {
		b.Run(name+"/"+what, func(b *testing.B) {
			text, open := read(b, name)
			e := new(Engine)
			var times, whole []time.Duration // until the first answer, and until all of it
			for i := 0; b.Loop(); i++ {
				began := worked()
				q := Question{Name: name + ".yaml", Text: text, Edits: []Edit{changes[what](i)}}
				err := e.Ask(context.Background(), q, open, func(p Part) error {
					if d, ok := p.(DesignPart); ok && d.More {
						times = append(times, worked()-began)
					} else if ok {
						whole = append(whole, worked()-began)
					}
					return nil
				})
				if err != nil {
					b.Fatal(err)
				}
			}
			times, whole = times[1:], whole[1:] // the job as it is opened
			for unit, list := range map[string][]time.Duration{"p95-first-cpu-ms": times, "p95-whole-cpu-ms": whole} {
				if slices.Sort(list); len(list) > 0 {
					b.ReportMetric(float64(list[len(list)*95/100])/1e6, unit)
				}
			}
		})
	}
	for _, name := range examples {
		for what := range changes {
			run(name, what)
		}
	}
}

// TestDoubts holds that a height that does not go with its neighbours is doubted where it stands, until it is sure.
func TestDoubts(t *testing.T) {
	text, open := read(t, "under-bench-wedge")
	first := func(value string) []Doubt {
		q := Question{Name: "v.yaml", Text: text, Edits: []Edit{{"set", "cavity.stations[2].roof[2]", json.RawMessage(value)}}}
		for _, p := range ask(t, q, open) {
			if d, ok := p.(DesignPart); ok {
				return slices.DeleteFunc(d.Doubts, func(d Doubt) bool { return !strings.HasPrefix(d.Path, "cavity") })
			}
		}
		t.Fatal("no design")
		return nil
	}
	if d := first(`["8", "6"]`); len(d) != 1 || d[0].Path != "cavity.stations[2].roof[2]" || !strings.Contains(d[0].Text, "off the lines through its neighbours") {
		t.Errorf("doubted: %+v", d)
	}
	if d := first(`["8", "6", "sure"]`); len(d) != 0 {
		t.Errorf("doubted though sure: %+v", d)
	}
}
