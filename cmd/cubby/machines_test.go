package main

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// python gives a Python that has the modules, the system's own if need be.
func python(t *testing.T, modules string) string {
	t.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import "+modules).Run() == nil {
			return name
		}
	}
	return missing(t, "python3 with "+modules)
}

// outside gives an outside program of the checks.
func outside(t *testing.T, name string) string {
	t.Helper()
	if p, err := exec.LookPath(name); err == nil {
		return p
	}
	return missing(t, name)
}

// missing skips the test, or fails it where everything must be there.
func missing(t *testing.T, what string) string {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is required in CI", what)
	}
	t.Skipf("%s is not installed", what)
	return ""
}

// cubby runs a command that must end with a status, and gives what it prints.
func cubby(t *testing.T, want int, args ...string) (stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	if code := run(context.Background(), args, strings.NewReader(""), &out, &err); code != want {
		t.Fatalf("cubby %s: exit %d, want %d\n%s", strings.Join(args, " "), code, want, err.String())
	}
	return out.String(), err.String()
}

// designJobs are the examples that design boxes.
func designJobs(t *testing.T) []string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join("..", "..", "examples", "*.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var jobs []string
	for _, f := range all {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(data), "\n# verdict: ") && !strings.HasPrefix(string(data), "# verdict: ") {
			jobs = append(jobs, f)
		}
	}
	if len(jobs) < 5 {
		t.Fatalf("only %d examples that design a box", len(jobs))
	}
	return jobs
}

// TestMachineFilesOfExamples writes everything for machines of every example and has it read by ezdxf and shapely, lib3mf, and
// rsvg. The saw's layout and the router's are both drawn.
func TestMachineFilesOfExamples(t *testing.T) {
	t.Parallel()
	for _, job := range designJobs(t) {
		t.Run(strings.TrimSuffix(filepath.Base(job), ".yaml"), func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			at := func(name string) string { return filepath.Join(dir, name) }
			text, _ := cubby(t, exitDone, "design", job, "--out", at("a.pdf"), "--json", "--dxf", at("saw"))
			save(t, at("saw.json"), text)
			text, _ = cubby(t, exitDone, "design", job, "--out", at("b.pdf"), "--json", "--dxf", at("dxf"), "--svg", at("svg"), "--solid", at("solid"),
				"--nested", "8mm", "--bit", "6mm")
			save(t, at("router.json"), text)
			t.Run("ezdxf", func(t *testing.T) {
				py := python(t, "ezdxf, shapely")
				script := filepath.Join("testdata", "machines", "check_dxf.py")
				check(t, py, script, at("saw.json"), at("saw"), "0", "saw")
				check(t, py, script, at("router.json"), at("dxf"), "6", "8")
			})
			t.Run("lib3mf", func(t *testing.T) {
				if all, _ := filepath.Glob("/usr/lib/*/lib3MF.so.1*"); len(all) == 0 {
					missing(t, "lib3mf")
				}
				files, _ := filepath.Glob(at("solid/*.3mf"))
				check(t, python(t, "ctypes"), append([]string{filepath.Join("testdata", "machines", "check_3mf.py")}, files...)...)
			})
			t.Run("rsvg", func(t *testing.T) { checkPictures(t, at("svg"), text) })
		})
	}
}

func save(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func check(t *testing.T, name string, args ...string) {
	t.Helper()
	if out, err := exec.Command(name, args...).CombinedOutput(); err != nil {
		t.Errorf("%s: %v\n%s", args[0], err, out)
	}
}

// Pictures are rendered at two pixels to the millimetre; the middle of a stroke's grey is known far better than one of them.
const (
	pixelsPerMM = 2
	inchMM      = 25.4
	trueSize    = 0.1 // mm
)

var svgSize = regexp.MustCompile(`width="([\d.]+)mm" height="([\d.]+)mm"`)

// checkPictures renders every SVG and measures its outer outline on the pixels, against the JSON's sizes: a panel's blank, a sheet.
func checkPictures(t *testing.T, dir, doc string) {
	rsvg := outside(t, "rsvg-convert")
	var d struct {
		Designs []struct {
			Panels []struct {
				ID      string
				Blank   [2]float64   `json:"blank_mm"`
				Section [][2]float64 `json:"section_mm"`
				Holes   []struct{ Kind string }
			}
			Sheets []struct {
				Width  float64 `json:"width_mm"`
				Height float64 `json:"height_mm"`
			}
		}
	}
	if err := json.Unmarshal([]byte(doc), &d); err != nil {
		t.Fatal(err)
	}
	want := map[string][2]float64{}
	for _, p := range d.Designs[0].Panels {
		slot := false
		for _, h := range p.Holes {
			slot = slot || h.Kind == "slot" // cut narrower than its blank
		}
		if len(p.Section) > 0 && !slot {
			want["panel-"+p.ID+"-"] = p.Blank
		}
	}
	if len(d.Designs[0].Sheets) > 0 {
		want["sheet-1"] = [2]float64{d.Designs[0].Sheets[0].Width, d.Designs[0].Sheets[0].Height}
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.svg"))
	if err != nil || len(files) < 3 {
		t.Fatalf("%d pictures (%v)", len(files), err)
	}
	measured := 0
	for _, f := range files {
		picture := f + ".png"
		if out, err := exec.Command(rsvg, "--dpi-x", strconv.FormatFloat(pixelsPerMM*inchMM, 'f', -1, 64), "--dpi-y",
			strconv.FormatFloat(pixelsPerMM*inchMM, 'f', -1, 64), "--background-color", "white", "--unlimited", f, "-o", picture).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", f, err, out)
		}
		img := readPNG(t, picture)
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		m := svgSize.FindSubmatch(data)
		if m == nil {
			t.Fatalf("%s states no size", f)
		}
		for i, px := range []int{img.Bounds().Dx(), img.Bounds().Dy()} {
			mm, _ := strconv.ParseFloat(string(m[i+1]), 64)
			if math.Abs(float64(px)/pixelsPerMM-mm) > 1.5/pixelsPerMM {
				t.Errorf("%s: %d pixels for %v mm", f, px, mm)
			}
		}
		for name, size := range want {
			if !strings.HasPrefix(filepath.Base(f), name) {
				continue
			}
			measured++
			w, h := spanOf(img, false), spanOf(img, true)
			if math.Abs(w-size[0]) > trueSize || math.Abs(h-size[1]) > trueSize {
				t.Errorf("%s measures %.3f x %.3f mm on the pixels, want %.3f x %.3f", f, w, h, size[0], size[1])
			}
		}
	}
	if measured < len(want) {
		t.Errorf("%d pictures measured, %d wanted", measured, len(want))
	}
}

func readPNG(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// spanOf is the distance in mm between the first and the last stroke across a picture, from the middle of the grey of each, along
// the row (or column) that crosses the least ink.
func spanOf(img image.Image, down bool) float64 {
	b := img.Bounds()
	n, lines := b.Dx(), b.Dy()
	if down {
		n, lines = lines, n
	}
	ink := func(i, k int) float64 {
		x, y := i, k
		if down {
			x, y = k, i
		}
		r, g, bl, _ := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
		return 1 - float64(r+g+bl)/(3*0xFFFF)
	}
	best, least := 0, math.Inf(1)
	for k := lines / 8; k < lines*7/8; k += max(1, lines/200) {
		sum := 0.0
		for i := range n {
			sum += ink(i, k)
		}
		if sum > 0.5 && sum < least {
			best, least = k, sum
		}
	}
	middle := func(from, step int) float64 {
		sum, at := 0.0, 0.0
		for i := from; i >= 0 && i < n; i += step {
			v := ink(i, best)
			if v < 0.02 {
				if sum > 0.3 {
					break
				}
				continue
			}
			sum, at = sum+v, at+v*float64(i)
		}
		return at / sum
	}
	return (middle(n-1, -1) - middle(0, 1)) / pixelsPerMM
}

// TestSheetsForMachines lays two jobs and a list for a router and has the sheets read.
func TestSheetsForMachines(t *testing.T) {
	dir := t.TempDir()
	list := filepath.Join(dir, "shelves.csv")
	save(t, list, "name,count,length_mm,width_mm,thickness_mm,grain\nshelf,3,600,280,18,length\nrail,4,500,60,18,\n")
	jobs := []string{filepath.Join("..", "..", "examples", "under-bench-wedge.yaml"), filepath.Join("..", "..", "examples", "second-row-slot.yaml")}
	text, _ := cubby(t, exitDone, "sheets", jobs[0], jobs[1], list, "--json", "--out", filepath.Join(dir, "s.pdf"), "--nested", "8mm", "--dxf", filepath.Join(dir, "dxf"))
	var d struct {
		Sheets []struct{ Placements []struct{ Parts []any } }
		Nested struct {
			Clearance float64 `json:"clearance_mm"`
			Sheets    []struct {
				Placements []struct{ Panel string }
			}
			Used    float64 `json:"used_m2"`
			SawUsed float64 `json:"saw_used_m2"`
		}
	}
	if err := json.Unmarshal([]byte(text), &d); err != nil {
		t.Fatal(err)
	}
	if d.Nested.Clearance != 8 || len(d.Nested.Sheets) == 0 || len(d.Nested.Sheets) > len(d.Sheets) || !(d.Nested.Used > 0) || !(d.Nested.SawUsed > 0) {
		t.Errorf("nested: %+v beside %d sheets for the saw", d.Nested, len(d.Sheets))
	}
	saw, router := 0, 0
	for _, s := range d.Sheets {
		for _, p := range s.Placements {
			saw += max(1, len(p.Parts))
		}
	}
	for _, s := range d.Nested.Sheets {
		router += len(s.Placements)
	}
	if saw != router {
		t.Errorf("%d parts for the router, %d for the saw", router, saw)
	}
	py := python(t, "ezdxf, shapely")
	files, _ := filepath.Glob(filepath.Join(dir, "dxf", "*.dxf"))
	audit := "import ezdxf, sys\nfor f in sys.argv[1:]:\n a = ezdxf.readfile(f).audit()\n assert not a.errors and not a.fixes, (f, a.errors, a.fixes)\n"
	check(t, py, append([]string{"-c", audit}, files...)...)
	rails := `import ezdxf, glob, sys
found = []
for f in glob.glob(sys.argv[1] + "/sheet-*.dxf"):
    d = ezdxf.readfile(f)
    u = {4: 1, 1: 25.4}[d.units]
    for e in d.modelspace().query('LWPOLYLINE[layer=="outline"]'):
        x, y = [[p[i] * u for p in e.get_points("xy")] for i in (0, 1)]
        found.append(tuple(sorted((round(max(x) - min(x), 2), round(max(y) - min(y), 2)))))
assert found.count((60, 500)) == 4 and found.count((280, 600)) == 3, found
`
	check(t, py, "-c", rails, filepath.Join(dir, "dxf"))
}

// TestMachinesRefuse tries what cannot be: each is told in one line that says what would be right, and nothing is left behind.
func TestMachinesRefuse(t *testing.T) {
	job := filepath.Join("..", "..", "examples", "stepped-load-bay.yaml")
	for _, c := range []struct {
		name string
		code int
		args []string
		want string
	}{
		{"bit too wide", exitError, []string{"--dxf", "D", "--bit", "150 mm"}, "a bit of 60 mm or less would do"},
		{"bit of nothing", exitUsage, []string{"--dxf", "D", "--bit", "0 mm"}, "must be greater than 0"},
		{"bit for no file", exitUsage, []string{"--bit", "6 mm"}, "--bit is for --dxf and --svg"},
		{"clearance zero", exitUsage, []string{"--nested", "0 mm"}, "must be greater than 0"},
		{"clearance negative", exitUsage, []string{"--nested", "-3 mm"}, "--nested"},
		{"clearance no length", exitUsage, []string{"--nested", "8 kg"}, "--nested"},
		{"standard output", exitUsage, []string{"--svg", "-"}, "need a folder"},
		{"folder is a file", exitError, []string{"--solid", "F"}, "is a file, not a folder"},
		{"folder under a file", exitError, []string{"--dxf", "F/x"}, "F"},
		{"second folder cannot be", exitError, []string{"--dxf", "D/E", "--svg", "F/y"}, "F"},
		{"out cannot be", exitError, []string{"--dxf", "D/E", "--out", "none/x.pdf"}, "none"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "F")
			save(t, file, "kept")
			args := []string{"design", job, "--quiet", "--out", filepath.Join(dir, "o.pdf")}
			for i, a := range c.args {
				if i > 0 && (strings.HasPrefix(a, "D") || strings.HasPrefix(a, "F") || strings.HasPrefix(a, "none")) {
					a = filepath.Join(dir, a)
				}
				args = append(args, a)
			}
			_, text := cubby(t, c.code, args...)
			if !strings.Contains(text, c.want) || strings.Count(text, "\n") != 1 {
				t.Errorf("said: %s", text)
			}
			left, err := os.ReadDir(dir)
			if err != nil || len(left) != 1 || left[0].Name() != "F" {
				t.Errorf("left behind: %v (%v)", left, err)
			}
		})
	}
}
