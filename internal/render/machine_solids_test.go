package render

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	space "cubby/internal/solid"
)

// machineTool gives an outside program of the checks; without it the test is skipped, or fails where everything must be there.
func machineTool(t *testing.T, name string) string {
	t.Helper()
	p, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is required: %v", name, err)
		}
		t.Skipf("%s is not installed", name)
	}
	return p
}

// machineBoxes are boxes that the files are tried on.
func machineBoxes(t *testing.T) map[string]*panels.Box {
	t.Helper()
	step := mmSection(0, 0, 420, 0, 420, 170, 290, 170, 290, 300, 0, 300)
	drv := someDriver(0.182)
	out := map[string]*panels.Box{"wedge": wedgeResult(t).Designs[0].Box}
	build := func(name string, s panels.Spec) {
		b, err := panels.Build(s)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[name] = b
	}
	base := panels.Spec{Outside: prism(step, 0, 0.7), Face: "front", Driver: drv, Count: 1, Hardware: panels.Hardware{Terminal: true}, Shop: panels.Shop{RoundTo: 0.0005},
		Wood: panels.Wood{Board: "MDF", Thickness: 0.018}}
	s := base
	s.Wood.Ends = panels.EndsRabbeted
	s.Mounting.Recess = 0.005
	build("step, ends rabbeted, recess", s)
	s = base
	s.Outside = prism(mmSection(0, 0, 330, 0, 330, 260, 0, 260), 0, 0.7)
	s.Wood.Joints = panels.Rabbet
	build("rabbets wall to wall", s)
	s = base
	s.Outside = prism(wedge(), 0, 0.7)
	s.Wood.Joints = panels.Mitre
	s.Face = "top"
	build("mitred wedge", s)
	return out
}

// pocketBoxes are boxes that are no plain prisms: ends that lean, and blocks that go into them.
func pocketBoxes(t *testing.T) map[string]*panels.Box {
	t.Helper()
	out := map[string]*panels.Box{}
	build := func(name string, outside *space.Solid, err error) {
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		b, err := panels.Build(panels.Spec{Outside: outside, Wood: mdf(0.018)})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[name] = b
	}
	lean := 1 / math.Hypot(1, 0.1)
	s, err := space.Prism(wedge(), space.Across, space.Plane{N: r3.Vec{X: -lean, Z: 0.1 * lean}}, space.Plane{N: r3.Vec{X: lean, Y: 0.1 * lean}, D: 0.9 * lean})
	build("leaning ends", s, err)
	block := prism(mmSection(0, 0, 400, 0, 400, 300, 0, 300), 0, 1)
	for _, p := range []space.Box{
		{Name: "tunnel", Min: r3.Vec{X: 0.4, Y: -1, Z: -1}, Max: r3.Vec{X: 0.6, Y: 1, Z: 0.1}},
		{Name: "rail", Min: r3.Vec{X: -1, Y: 0.3, Z: -1}, Max: r3.Vec{X: 0.3, Y: 1, Z: 0.1}},
		{Name: "post", Min: r3.Vec{X: 0.4, Y: 0.15, Z: -1}, Max: r3.Vec{X: 0.6, Y: 0.25, Z: 0.1}},
	} {
		s, err := block.Pocket(p)
		build(p.Name, s, err)
	}
	return out
}

// openingsVolume is what the openings of a panel take from its wood when they are disjoint or one in the other, m3, by the
// formulas of the circle and the rounded rectangle.
func openingsVolume(p *panels.Panel) float64 {
	area := func(h panels.Hole) float64 {
		if h.Diameter > 0 {
			return math.Pi * h.Diameter * h.Diameter / 4
		}
		return h.Length*h.Width - (4-math.Pi)*h.Radius*h.Radius
	}
	sum := 0.0
	for _, h := range p.Holes {
		d := p.Thickness
		if h.Depth > 0 {
			d = h.Depth
		}
		for _, r := range p.Holes { // what a recess round it has taken already
			if r.Kind == "recess" && h.Kind != "recess" && math.Hypot(h.X-r.X, h.Y-r.Y) < r.Diameter/2 {
				d -= r.Depth
			}
		}
		sum += area(h) * d
	}
	return sum
}

func TestBoardsAreClosedSolidsOfTheirVolume(t *testing.T) {
	for name, b := range machineBoxes(t) {
		for i := range b.Panels {
			p := &b.Panels[i]
			whole := *p
			whole.Holes = nil
			m, left := solidOf(&whole)
			if len(left) > 0 {
				t.Errorf("%s: %s leaves out %v", name, p.Name, left)
			}
			if bad := openEdges(m); bad > 0 {
				t.Errorf("%s: %s has %d open edges", name, p.Name, bad)
			}
			if v := m.volume(); math.Abs(v/p.Volume-1) > 1e-9 {
				t.Errorf("%s: %s: solid of %.12g m3, panel %.12g", name, p.Name, v, p.Volume)
			}
			m, left = solidOf(p)
			if bad := openEdges(m); bad > 0 || len(left) > 0 {
				t.Errorf("%s: %s with openings has %d open edges and leaves out %v", name, p.Name, bad, left)
			}
			if v, want := m.volume(), p.Volume-openingsVolume(p); math.Abs(v/want-1) > 1e-6 {
				t.Errorf("%s: %s with openings: solid of %.12g m3, want %.12g", name, p.Name, v, want)
			}
		}
	}
}

// openEdges counts the edges that are not run once in each direction.
func openEdges(m *mesh) int {
	count := map[[2]int32]int{}
	for _, t := range m.tri {
		for i := range t {
			count[[2]int32{t[i], t[(i+1)%3]}]++
		}
	}
	bad := 0
	for e, n := range count {
		if n != 1 || count[[2]int32{e[1], e[0]}] != 1 {
			bad++
		}
	}
	return bad
}

var admeshFigure = regexp.MustCompile(`(Number of parts|Volume|Degenerate facets|Edges fixed|Facets removed|Facets added|Facets reversed|Backwards edges|Normals fixed)\s*:\s*([-+.\de]+)`)

// admesh checks an STL and gives its volume in mm3.
func admesh(t *testing.T, file string, parts int) float64 {
	t.Helper()
	out, err := exec.Command(machineTool(t, "admesh"), "--exact", "--remove-unconnected", "--normal-directions", "--normal-values", file).CombinedOutput()
	if err != nil {
		t.Fatalf("admesh %s: %v\n%s", file, err, out)
	}
	volume := math.NaN()
	for _, m := range admeshFigure.FindAllSubmatch(out, -1) {
		v, _ := strconv.ParseFloat(string(m[2]), 64)
		switch string(m[1]) {
		case "Volume":
			volume = v
		case "Number of parts":
			if int(v) != parts {
				t.Errorf("%s: %v parts, want %d", file, v, parts)
			}
		default:
			if v != 0 {
				t.Errorf("%s: %s: %v", file, m[1], v)
			}
		}
	}
	if !regexp.MustCompile(`Total disconnected facets\s*:\s*0\s+0`).Match(out) {
		t.Errorf("%s is not closed:\n%s", file, out)
	}
	return volume
}

// admeshVolume is how far admesh's figure may be off: it adds up in single precision. The file itself is held to 1e-6.
const admeshVolume = 5e-6

func checkSTL(t *testing.T, file string, want float64, parts int) {
	t.Helper()
	if v := admesh(t, file, parts); math.Abs(v/want-1) > admeshVolume {
		t.Errorf("%s: admesh finds %.9g mm3, want %.9g (%.1e)", file, v, want, v/want-1)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if v := volumeSTL(data); math.Abs(v/want-1) > 1e-6 {
		t.Errorf("%s: holds %.9g mm3, want %.9g (%.1e)", file, v, want, v/want-1)
	}
}

// volumeSTL adds up what the triangles of a binary STL enclose, in double precision.
func volumeSTL(data []byte) float64 {
	sum := 0.0
	for i := 84; i+50 <= len(data); i += 50 {
		var v [4]r3.Vec
		for k := range v {
			f := func(j int) float64 {
				return float64(math.Float32frombits(binary.LittleEndian.Uint32(data[i+12*k+4*j:])))
			}
			v[k] = r3.Vec{X: f(0), Y: f(1), Z: f(2)}
		}
		sum += r3.Dot(v[1], r3.Cross(v[2], v[3])) / 6
	}
	return sum
}

func TestAdmeshFindsEverySolidClosed(t *testing.T) {
	machineTool(t, "admesh")
	for name, b := range machineBoxes(t) {
		dir := t.TempDir()
		files, notes := Solids(b)
		if len(notes) > 0 {
			t.Errorf("%s: %v", name, notes)
		}
		sizes := map[string]float64{}
		for _, f := range files {
			var buf, again bytes.Buffer
			if err := f.Write(&buf); err != nil {
				t.Fatal(err)
			}
			if err := f.Write(&again); err != nil || !bytes.Equal(buf.Bytes(), again.Bytes()) {
				t.Errorf("%s: %s differs when it is written twice", name, f.Name)
			}
			path := filepath.Join(dir, f.Name)
			if err := os.WriteFile(path, buf.Bytes(), 0o666); err != nil {
				t.Fatal(err)
			}
			sizes[f.Name] = 0
		}
		wood, pieces := 0.0, 0
		for i := range b.Panels {
			p := &b.Panels[i]
			want := (p.Volume - openingsVolume(p)) * 1e9
			wood += want * float64(len(placesOf(p)))
			pieces += len(placesOf(p))
			checkSTL(t, filepath.Join(dir, panelFile(p)+".stl"), want, 1)
		}
		checkSTL(t, filepath.Join(dir, "exploded.stl"), wood, pieces)
	}
}

// volume is what the surface encloses, m3.
func (m *mesh) volume() float64 {
	sum := 0.0
	for _, t := range m.tri {
		sum += r3.Dot(m.at[t[0]], r3.Cross(m.at[t[1]], m.at[t[2]]))
	}
	return sum / 6
}
