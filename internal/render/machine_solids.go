package render

import (
	"archive/zip"
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
)

// mmPerMetre turns metres into the millimetres of the files.
const mmPerMetre = 1000

// standing is a closed surface with a name and where it stands.
type standing struct {
	name  string
	mesh  *mesh
	place panels.Frame
	by    r3.Vec // moved so far from its place
}

// writeSTL writes closed surfaces as one binary STL in millimetres (SLA-CAD format, 3D Systems 1989, layout from memory):
// 80 bytes of head, the count of triangles, then for each its normal, three corners and two bytes of nothing.
func writeSTL(w io.Writer, head string, meshes ...*mesh) error {
	b := bufio.NewWriter(w)
	title := make([]byte, 80)
	copy(title, "binary, mm: "+ascii(head))
	b.Write(title)
	n := 0
	for _, m := range meshes {
		n += len(m.tri)
	}
	binary.Write(b, binary.LittleEndian, uint32(n))
	var buf [50]byte
	for _, m := range meshes {
		for _, t := range m.tri {
			p, q, r := m.at[t[0]], m.at[t[1]], m.at[t[2]]
			normal := r3.Unit(r3.Cross(r3.Sub(q, p), r3.Sub(r, p)))
			for i, v := range []r3.Vec{normal, r3.Scale(mmPerMetre, p), r3.Scale(mmPerMetre, q), r3.Scale(mmPerMetre, r)} {
				for k, x := range [3]float64{v.X, v.Y, v.Z} {
					binary.LittleEndian.PutUint32(buf[12*i+4*k:], math.Float32bits(float32(x)+0))
				}
			}
			b.Write(buf[:])
		}
	}
	return b.Flush()
}

// ascii keeps printable ASCII and puts a question mark for all else.
func ascii(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}

// The fixed parts of a 3MF package (3D Manufacturing Format, Core Specification, 3MF Consortium; Open Packaging Conventions).
const (
	contentTypes3MF = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
`
	relations3MF = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
`
)

// write3MF writes closed surfaces as the objects of one 3MF package, in millimetres, each placed by a transform of its own.
// Two parts of one mesh share its object.
func write3MF(w io.Writer, title string, parts []standing) error {
	z := zip.NewWriter(w)
	add := func(name string, write func(io.Writer) error) error {
		f, err := z.Create(name) // without a date: the same bytes every time
		if err != nil {
			return err
		}
		return write(f)
	}
	text := func(s string) func(io.Writer) error {
		return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
	}
	if err := add("[Content_Types].xml", text(contentTypes3MF)); err != nil {
		return err
	}
	if err := add("_rels/.rels", text(relations3MF)); err != nil {
		return err
	}
	if err := add("3D/3dmodel.model", func(w io.Writer) error { return writeModel(w, title, parts) }); err != nil {
		return err
	}
	return z.Close()
}

func writeModel(w io.Writer, title string, parts []standing) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en-US\" "+
		"xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n"+
		"<metadata name=\"Title\">%s</metadata>\n<metadata name=\"Application\">cubby</metadata>\n<resources>\n", xmlText(title))
	ids := map[*mesh]int{}
	for _, p := range parts {
		if ids[p.mesh] > 0 {
			continue
		}
		ids[p.mesh] = len(ids) + 1
		fmt.Fprintf(b, "<object id=\"%d\" type=\"model\" name=\"%s\"><mesh><vertices>\n", ids[p.mesh], xmlText(p.name))
		for _, v := range p.mesh.at {
			fmt.Fprintf(b, "<vertex x=\"%s\" y=\"%s\" z=\"%s\"/>\n", mmText(v.X), mmText(v.Y), mmText(v.Z))
		}
		b.WriteString("</vertices><triangles>\n")
		for _, t := range p.mesh.tri {
			fmt.Fprintf(b, "<triangle v1=\"%d\" v2=\"%d\" v3=\"%d\"/>\n", t[0], t[1], t[2])
		}
		b.WriteString("</triangles></mesh></object>\n")
	}
	b.WriteString("</resources>\n<build>\n")
	for _, p := range parts {
		fmt.Fprintf(b, "<item objectid=\"%d\" transform=\"%s\"/>\n", ids[p.mesh], transform3MF(p))
	}
	b.WriteString("</build>\n</model>\n")
	return b.Flush()
}

// transform3MF is a part's place as the format writes it: rows for x, y, z and the origin.
func transform3MF(p standing) string {
	f := p.place
	var s []string
	for _, row := range [...]r3.Vec{f.X, f.Y, f.N} {
		s = append(s, decimal(row.X, 12), decimal(row.Y, 12), decimal(row.Z, 12))
	}
	o := r3.Add(f.O, p.by)
	return strings.Join(append(s, mmText(o.X), mmText(o.Y), mmText(o.Z)), " ")
}

// mmText is a length in millimetres to the nanometre.
func mmText(m float64) string { return decimal(m*mmPerMetre, 6) }

// decimal is a number with at most n decimals, and no more than it needs.
func decimal(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return s
}

// figureMM is a length in millimetres for texts: three decimals at most.
func figureMM(m float64) string { return decimal(m*mmPerMetre, 3) }

// xmlText makes a text fit for XML: what XML cannot hold is left out.
func xmlText(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0xFFFE || r == 0xFFFF || r == 0xFFFD {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace(s)
}
