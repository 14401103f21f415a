package render

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"cubby/internal/panels"
)

// model3MF is what a 3MF package says, read by its elements.
type model3MF struct {
	Unit    string `xml:"unit,attr"`
	Objects []struct {
		ID       int `xml:"id,attr"`
		Vertices []struct {
			X string `xml:"x,attr"`
			Y string `xml:"y,attr"`
			Z string `xml:"z,attr"`
		} `xml:"mesh>vertices>vertex"`
		Triangles []struct {
			A int `xml:"v1,attr"`
			B int `xml:"v2,attr"`
			C int `xml:"v3,attr"`
		} `xml:"mesh>triangles>triangle"`
	} `xml:"resources>object"`
	Items []struct {
		Object    int    `xml:"objectid,attr"`
		Transform string `xml:"transform,attr"`
	} `xml:"build>item"`
}

func read3MF(t *testing.T, files []File, name string) model3MF {
	t.Helper()
	i := slices.IndexFunc(files, func(f File) bool { return f.Name == name })
	var buf bytes.Buffer
	if err := files[i].Write(&buf); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	if err != nil {
		t.Fatal(err)
	}
	r, err := z.Open("3D/3dmodel.model")
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	var m model3MF
	if err := xml.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// scad writes a part of the model as OpenSCAD reads it, which wants faces clockwise from outside, at a transform of the format.
func (m model3MF) scad(item int, transform string) string {
	var b strings.Builder
	var n [12]float64
	for i, s := range strings.Fields(transform) {
		fmt.Sscan(s, &n[i])
	}
	fmt.Fprintf(&b, "multmatrix([[%.15g,%.15g,%.15g,%.15g],[%.15g,%.15g,%.15g,%.15g],[%.15g,%.15g,%.15g,%.15g]]) polyhedron([",
		n[0], n[3], n[6], n[9], n[1], n[4], n[7], n[10], n[2], n[5], n[8], n[11])
	for _, o := range m.Objects {
		if o.ID != m.Items[item].Object {
			continue
		}
		for _, v := range o.Vertices {
			fmt.Fprintf(&b, "[%s,%s,%s],", v.X, v.Y, v.Z)
		}
		b.WriteString("],[")
		for _, f := range o.Triangles {
			fmt.Fprintf(&b, "[%d,%d,%d],", f.A, f.C, f.B)
		}
	}
	b.WriteString("]);\n")
	return b.String()
}

// TestExplodedPartsPutBackMakeTheBox has OpenSCAD join the parts of the exploded box, each put back to its place, with the air of the
// box: what comes out is the outside volume, so no part is lost, doubled, displaced or turned.
func TestExplodedPartsPutBackMakeTheBox(t *testing.T) {
	openscad := machineTool(t, "openscad")
	machineTool(t, "admesh")
	for name, b := range machineBoxes(t) {
		bare := *b
		bare.Panels = nil
		for _, p := range b.Panels {
			if p.Role == panels.Wall || p.Role == panels.End {
				p.Holes = nil
				bare.Panels = append(bare.Panels, p)
			}
		}
		files, _ := Solids(&bare)
		whole, apart := read3MF(t, files, "box.3mf"), read3MF(t, files, "exploded.3mf")
		if len(apart.Items) != len(bare.Panels) || apart.Unit != "millimeter" {
			t.Fatalf("%s: %d parts of %d, in %s", name, len(apart.Items), len(bare.Panels), apart.Unit)
		}
		var s strings.Builder
		s.WriteString("union() {\n")
		for i := range apart.Items {
			back, now := strings.Fields(whole.Items[i].Transform), strings.Fields(apart.Items[i].Transform)
			if !slices.Equal(back[:9], now[:9]) || slices.Equal(back[9:], now[9:]) {
				t.Errorf("%s: part %d is not moved straight: %v from %v", name, i, now, back)
			}
			s.WriteString(apart.scad(i, strings.Join(append(now[:9], back[9:]...), " ")))
		}
		fmt.Fprintf(&s, "multmatrix([[0,0,1,%.9f],[1,0,0,%.9f],[0,1,0,%.9f]]) linear_extrude(%.9f) polygon([", (b.Width-b.InsideWidth)*500,
			-b.Section.Bounds().Min.X*1000, -b.Section.Bounds().Min.Y*1000, b.InsideWidth*1000)
		for _, p := range b.Inside {
			fmt.Fprintf(&s, "[%.9f,%.9f],", p.X*1000, p.Y*1000)
		}
		s.WriteString("]);\n}\n")
		dir := t.TempDir()
		in, out := filepath.Join(dir, "box.scad"), filepath.Join(dir, "box.stl")
		if err := os.WriteFile(in, []byte(s.String()), 0o666); err != nil {
			t.Fatal(err)
		}
		if text, err := exec.Command(openscad, "-o", out, in).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", name, err, text)
		}
		if v, want := admesh(t, out, 1), b.OuterVolume*1e9; math.Abs(v/want-1) > admeshVolume {
			t.Errorf("%s: the parts and the air make %.9g mm3, the outside is %.9g (%.1e)", name, v, want, v/want-1)
		}
	}
}
