package render

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// dxfWriter writes group codes and values of a DXF (Autodesk, DXF Reference, release 2000; layout from memory, checked by
// reading the files with an independent library).
type dxfWriter struct {
	b     *bufio.Writer
	next  int     // the next free handle
	scale float64 // drawing units in a metre
	bad   bool    // a number was none
}

// Handles of what every drawing has.
const (
	dxfBlockTable = 0x01
	dxfModel      = 0x1F // the block record of what is drawn
	dxfPaper      = 0x1E
	dxfFirst      = 0x100
)

func (d *dxfWriter) put(pairs ...any) {
	for i := 0; i+1 < len(pairs); i += 2 {
		switch v := pairs[i+1].(type) {
		case float64:
			d.bad = d.bad || math.IsNaN(v) || math.IsInf(v, 0)
			s := decimal(v, 9)
			if !strings.Contains(s, ".") {
				s += ".0"
			}
			fmt.Fprintf(d.b, "%3d\n%s\n", pairs[i], s)
		case string:
			fmt.Fprintf(d.b, "%3d\n%s\n", pairs[i], v)
		default:
			fmt.Fprintf(d.b, "%3d\n%d\n", pairs[i], v)
		}
	}
}

func hex(h int) string { return fmt.Sprintf("%X", h) }

func (d *dxfWriter) handle() string {
	d.next++
	return hex(d.next - 1)
}

// dxfText escapes what the format's code page has not, and takes what would break a line out.
func dxfText(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r < ' ' || r == 0x7F:
		case r > '~' && r <= 0xFFFF:
			fmt.Fprintf(&b, `\U+%04X`, r)
		case r > 0xFFFF:
			b.WriteByte('?')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// dxfLook is the colour number and the line type of a layer.
func dxfLook(l layer) (colour int, line string) {
	colours := [...]int{opSheet: 8, opCut: 7, opThrough: 5, opPocket: 3, opDrill: 6, opStep: 30, opBevel: 1, opMark: 9, opWaste: 252}
	if l.inside {
		return colours[l.op], "DASHED"
	}
	return colours[l.op], "CONTINUOUS"
}

// WriteDXF writes a flat as a DXF of release 2000, text form, in millimetres or inches. The same flat gives the same bytes.
func (f *Flat) WriteDXF(w io.Writer, sys unit.System) error {
	d := &dxfWriter{b: bufio.NewWriter(w), next: dxfFirst, scale: mmPerMetre}
	units, metric := 4, 1
	if sys == unit.Inch {
		d.scale, units, metric = 1/metresPerInch, 1, 0
	}
	var body strings.Builder // handles are counted before the head can say how many there are
	out := d.b
	d.b = bufio.NewWriter(&body)
	d.classesAndTables(f, sys)
	d.blocks()
	d.entities(f, sys)
	d.objects()
	d.b.Flush()
	d.b = out
	d.put(0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1015", 9, "$DWGCODEPAGE", 3, "ANSI_1252",
		9, "$INSUNITS", 70, units, 9, "$MEASUREMENT", 70, metric, 9, "$LUNITS", 70, 2,
		9, "$EXTMIN", 10, 0.0, 20, 0.0, 30, 0.0, 9, "$EXTMAX", 10, f.size.X*d.scale, 20, f.size.Y*d.scale, 30, 0.0,
		9, "$HANDSEED", 5, hex(d.next), 0, "ENDSEC")
	out.WriteString(body.String())
	d.put(0, "EOF")
	if d.bad {
		return fmt.Errorf("%s: a place on the drawing is not a number", f.Title)
	}
	return out.Flush()
}

// table writes a symbol table of entries that the caller writes.
func (d *dxfWriter) table(name string, handle, count int, entries func(owner string)) {
	d.put(0, "TABLE", 2, name, 5, hex(handle), 330, "0", 100, "AcDbSymbolTable", 70, count)
	if name == "DIMSTYLE" {
		d.put(100, "AcDbDimStyleTable", 71, 0)
	}
	entries(hex(handle))
	d.put(0, "ENDTAB")
}

func (d *dxfWriter) entry(kind, owner, class string, pairs ...any) {
	d.record(kind, d.handle(), owner, class, pairs...)
}

func (d *dxfWriter) record(kind, handle, owner, class string, pairs ...any) {
	code := 5
	if kind == "DIMSTYLE" {
		code = 105
	}
	d.put(0, kind, code, handle, 330, owner, 100, "AcDbSymbolTableRecord", 100, class)
	d.put(pairs...)
}

func (d *dxfWriter) classesAndTables(f *Flat, sys unit.System) {
	d.put(0, "SECTION", 2, "CLASSES", 0, "ENDSEC", 0, "SECTION", 2, "TABLES")
	mid := f.size.Mul(d.scale / 2)
	d.table("VPORT", 0x08, 1, func(o string) {
		d.entry("VPORT", o, "AcDbViewportTableRecord", 2, "*ACTIVE", 70, 0, 10, 0.0, 20, 0.0, 11, 1.0, 21, 1.0,
			12, mid.X, 22, mid.Y, 13, 0.0, 23, 0.0, 14, 1.0, 24, 1.0, 15, 1.0, 25, 1.0, 16, 0.0, 26, 0.0, 36, 1.0,
			17, 0.0, 27, 0.0, 37, 0.0, 40, math.Max(f.size.X, f.size.Y)*d.scale*1.1, 41, 1.5, 42, 50.0, 43, 0.0, 44, 0.0,
			50, 0.0, 51, 0.0, 71, 0, 72, 100, 73, 1, 74, 3, 75, 0, 76, 0, 77, 0, 78, 0)
	})
	d.table("LTYPE", 0x05, 4, func(o string) {
		for _, name := range []string{"BYBLOCK", "BYLAYER", "CONTINUOUS"} {
			d.entry("LTYPE", o, "AcDbLinetypeTableRecord", 2, name, 70, 0, 3, "", 72, 65, 73, 0, 40, 0.0)
		}
		dash := 0.006 * d.scale
		d.entry("LTYPE", o, "AcDbLinetypeTableRecord", 2, "DASHED", 70, 0, 3, "dashes", 72, 65, 73, 2, 40, 1.5*dash, 49, dash, 74, 0, 49, -dash/2, 74, 0)
	})
	layers := f.layers()
	d.table("LAYER", 0x02, len(layers)+1, func(o string) {
		d.entry("LAYER", o, "AcDbLayerTableRecord", 2, "0", 70, 0, 62, 7, 6, "CONTINUOUS")
		for _, l := range layers {
			colour, line := dxfLook(l)
			d.entry("LAYER", o, "AcDbLayerTableRecord", 2, dxfText(l.words(sys)), 70, 0, 62, colour, 6, line)
		}
	})
	d.table("STYLE", 0x03, 1, func(o string) {
		d.entry("STYLE", o, "AcDbTextStyleTableRecord", 2, "STANDARD", 70, 0, 40, 0.0, 41, 1.0, 50, 0.0, 71, 0, 42, 0.005*d.scale, 3, "arial.ttf", 4, "")
	})
	d.table("VIEW", 0x06, 0, func(string) {})
	d.table("UCS", 0x07, 0, func(string) {})
	d.table("APPID", 0x09, 1, func(o string) { d.entry("APPID", o, "AcDbRegAppTableRecord", 2, "ACAD", 70, 0) })
	d.table("DIMSTYLE", 0x0A, 1, func(o string) { d.entry("DIMSTYLE", o, "AcDbDimStyleTableRecord", 2, "STANDARD", 70, 0) })
	d.table("BLOCK_RECORD", dxfBlockTable, 2, func(o string) {
		d.record("BLOCK_RECORD", hex(dxfModel), o, "AcDbBlockTableRecord", 2, "*MODEL_SPACE", 340, hex(dxfModelLayout))
		d.record("BLOCK_RECORD", hex(dxfPaper), o, "AcDbBlockTableRecord", 2, "*PAPER_SPACE", 340, hex(dxfPaperLayout))
	})
	d.put(0, "ENDSEC")
}

func (d *dxfWriter) blocks() {
	d.put(0, "SECTION", 2, "BLOCKS")
	for _, b := range []struct {
		name   string
		record int
		paper  []any
	}{{"*MODEL_SPACE", dxfModel, nil}, {"*PAPER_SPACE", dxfPaper, []any{67, 1}}} {
		d.put(0, "BLOCK", 5, d.handle(), 330, hex(b.record), 100, "AcDbEntity")
		d.put(b.paper...)
		d.put(8, "0", 100, "AcDbBlockBegin", 2, b.name, 70, 0, 10, 0.0, 20, 0.0, 30, 0.0, 3, b.name, 1, "",
			0, "ENDBLK", 5, d.handle(), 330, hex(b.record), 100, "AcDbEntity")
		d.put(b.paper...)
		d.put(8, "0", 100, "AcDbBlockEnd")
	}
	d.put(0, "ENDSEC")
}

func (d *dxfWriter) entity(kind string, l layer, sys unit.System) {
	d.put(0, kind, 5, d.handle(), 330, hex(dxfModel), 100, "AcDbEntity", 8, dxfText(l.words(sys)))
}

func (d *dxfWriter) entities(f *Flat, sys unit.System) {
	d.put(0, "SECTION", 2, "ENTITIES")
	at := func(p plane.Point) (x, y float64) { return p.X * d.scale, p.Y * d.scale }
	for _, t := range f.tracks {
		d.entity("LWPOLYLINE", t.layer, sys)
		d.put(100, "AcDbPolyline", 90, len(t.bends), 70, 1, 43, 0.0)
		for _, b := range t.bends {
			x, y := at(b.Point)
			d.put(10, x, 20, y)
			if b.bulge != 0 {
				d.put(42, b.bulge)
			}
		}
	}
	for _, h := range f.drills {
		d.entity("CIRCLE", h.layer, sys)
		x, y := at(h.at)
		d.put(100, "AcDbCircle", 10, x, 20, y, 30, 0.0, 40, h.r*d.scale)
	}
	for _, t := range f.texts {
		d.entity("TEXT", t.layer, sys)
		x, y := at(t.baseline())
		wide := 0.6 * t.high * float64(len([]rune(t.text))) * d.scale // the left end, for readers that heed no anchor
		d.put(100, "AcDbText", 10, x-wide/2*math.Cos(t.angle), 20, y-wide/2*math.Sin(t.angle), 30, 0.0, 40, t.high*d.scale,
			1, dxfText(t.text), 50, t.angle*180/math.Pi, 7, "STANDARD", 72, 1, 11, x, 21, y, 31, 0.0, 100, "AcDbText")
	}
	d.put(0, "ENDSEC")
}

// Handles of the objects.
const (
	dxfRoot        = 0x0C
	dxfGroups      = 0x0D
	dxfLayouts     = 0x1A
	dxfModelLayout = 0x22
	dxfPaperLayout = 0x23
)

func (d *dxfWriter) objects() {
	d.put(0, "SECTION", 2, "OBJECTS",
		0, "DICTIONARY", 5, hex(dxfRoot), 330, "0", 100, "AcDbDictionary", 281, 1,
		3, "ACAD_GROUP", 350, hex(dxfGroups), 3, "ACAD_LAYOUT", 350, hex(dxfLayouts),
		0, "DICTIONARY", 5, hex(dxfGroups), 330, hex(dxfRoot), 100, "AcDbDictionary", 281, 1,
		0, "DICTIONARY", 5, hex(dxfLayouts), 330, hex(dxfRoot), 100, "AcDbDictionary", 281, 1,
		3, "Model", 350, hex(dxfModelLayout), 3, "Layout1", 350, hex(dxfPaperLayout))
	for i, l := range []struct {
		name           string
		handle, record int
		flags          int
	}{{"Model", dxfModelLayout, dxfModel, 1024}, {"Layout1", dxfPaperLayout, dxfPaper, 0}} {
		d.put(0, "LAYOUT", 5, hex(l.handle), 330, hex(dxfLayouts), 100, "AcDbPlotSettings", 1, "", 2, "", 4, "", 6, "",
			40, 0.0, 41, 0.0, 42, 0.0, 43, 0.0, 44, 0.0, 45, 0.0, 46, 0.0, 47, 0.0, 48, 0.0, 49, 0.0, 140, 0.0, 141, 0.0, 142, 1.0, 143, 1.0,
			70, l.flags, 72, 1, 73, 0, 74, 5, 7, "", 75, 16, 147, 1.0, 148, 0.0, 149, 0.0,
			100, "AcDbLayout", 1, l.name, 70, 1, 71, i, 10, 0.0, 20, 0.0, 11, 420.0, 21, 297.0, 12, 0.0, 22, 0.0, 32, 0.0,
			14, 0.0, 24, 0.0, 34, 0.0, 15, 0.0, 25, 0.0, 35, 0.0, 146, 0.0, 13, 0.0, 23, 0.0, 33, 0.0, 16, 1.0, 26, 0.0, 36, 0.0,
			17, 0.0, 27, 1.0, 37, 0.0, 76, 0, 330, hex(l.record))
	}
	d.put(0, "ENDSEC")
}
