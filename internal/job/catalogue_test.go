package job

import (
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func catalogue(t testing.TB, text string) []CatalogueRow {
	t.Helper()
	rows, err := ParseCatalogue("list.csv", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// TestCatalogueIsDriverFiles: a row says what the driver file of the same values says.
func TestCatalogueIsDriverFiles(t *testing.T) {
	names, err := filepath.Glob("../../examples/drivers/*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal("no driver files", err)
	}
	rows := catalogue(t, `name,fs_hz,qms,qes,qts,vas_l,sd_cm2,re_ohm,le_mh,bl_t_m,mms_g,cms_mm_n,xmax_mm,xmech_mm,power_w,impedance_ohm,coils_count,coils_impedance_ohm,coils_re_ohm,coils_data_for,frame_mm,cutout_mm,depth_mm,magnet_mm,displacement_l,bolts_circle_mm,bolts_count,bolts_hole_mm,vent,mass_kg
Harrow 10,31,5.5,0.56,0.508,24,330,1.7,0.8,10.0,170,,14,20,500,2,2,4,3.4,parallel,270,238,96,150,1.4,257,8,5.5,true,6.8
Furrow 10 Flat,36,4.8,0.62,,17,320,3.3,1.3,14.2,167,0.117,10,15,300,4,,,,,264,232,78,132,0.9,250,8,5,false,4.1
`)
	for i, name := range []string{"harrow-10.yaml", "furrow-10-flat.yaml"} {
		data, err := os.ReadFile(filepath.Join("../../examples/drivers", name))
		if err != nil {
			t.Fatal(err)
		}
		want, err := ParseDriver(name, data)
		if err != nil {
			t.Fatal(err)
		}
		if got := rows[i]; len(got.Faults) > 0 || !reflect.DeepEqual(got.Driver, *want) {
			t.Errorf("%s: %v\n got %+v\nwant %+v", name, got.Faults, got.Driver, *want)
		}
	}
}

// TestCatalogueInInches: fractions of an inch and cubic feet, in columns of any order, with a byte order mark and CRLF.
func TestCatalogueInInches(t *testing.T) {
	rows := catalogue(t, "\ufeffvas_cu_ft, Frame_IN ,name,fs_hz,qes,qms,sd_in2,re_ohm\r\n1.5,10 5/8,\"Ten, and a bit\",30,0.5,5,51,3.4\r\n\r\n")
	d := rows[0].Driver
	if len(rows) != 1 || rows[0].Faults != nil || rows[0].Line != 2 || d.Spec.Name != "Ten, and a bit" {
		t.Fatalf("%+v", rows)
	}
	for _, x := range []struct {
		what            string
		got, want, near float64
	}{{"vas", d.Spec.Vas, 1.5 * 0.028316846592, 1e-15}, {"frame", d.Frame.Frame, 10.625 * 0.0254, 1e-15}, {"sd", d.Spec.Sd, 51 * 0.00064516, 1e-15}} {
		if math.Abs(x.got-x.want) > x.near {
			t.Errorf("%s = %v, want %v", x.what, x.got, x.want)
		}
	}
}

// TestCatalogueRowFaults: a bad row is told of by line, column, the column's name and the value as written; the others are read.
func TestCatalogueRowFaults(t *testing.T) {
	const head = "name,fs_hz,qes,qms,vas_l,sd_cm2,re_ohm,xmax_mm,xmech_mm,vent,bolts_count\n"
	const good = "Good,30,0.5,5,30,330,3.4,10,,true,\n"
	for _, x := range []struct{ row, want string }{
		{"Bad,thirty,0.5,5,30,330,3.4", `list.csv:2:5: fs_hz: thirty: want a number alone: its unit, Hz, is in the column's name`},
		{"Bad,30 Hz,0.5,5,30,330,3.4", `list.csv:2:5: fs_hz: 30 Hz: want a number alone: its unit, Hz, is in the column's name`},
		{`Bad,30,0.5,5,"30,5",330,3.4`, `list.csv:2:14: vas_l: 30,5: use a point: 30.5`},
		{"Bad,30,0.5,5,30,330,-3.4", `list.csv:2:21: re_ohm: -3.4: must be `},
		{"Bad,30,0.5,5,30,33000,3.4", `list.csv:2:17: sd_cm2: 33000: must be at most 1 m2 (is the unit right?)`},
		{"Bad,30,0.5,5,30,330,3.4,10,8", `list.csv:2:28: xmech_mm: 8: must be at least xmax; both count one way`},
		{"Bad,30,0.5,5,30,330,3.4,10,,yes", `list.csv:2:29: vent: yes: want true or false`},
		{"Bad,30,0.5,5,30,330,3.4,10,,true,8", `list.csv:2: bolts.circle: missing; want the diameter of the circle through the holes`},
		{"Bad,30,0.5,5,30,330,3.4,10,,true,,x", `list.csv:2:35: x: 12 values in 11 columns`},
		{"Bad,30,0.5,,,330,3.4", `list.csv:2: the driver cannot be completed from fs, qes, sd, re: `},
		{"Bad \"x\",30,0.5,5,30,330,3.4", `list.csv:2:5: cannot be read as CSV from here on: `},
	} {
		rows, err := ParseCatalogue("list.csv", []byte(head+x.row+"\n"+good))
		if err != nil {
			if !strings.HasPrefix(err.Error(), x.want) {
				t.Errorf("%s: %v, want %s", x.row, err, x.want)
			}
			continue
		}
		if len(rows[0].Faults) != 1 || !strings.HasPrefix(rows[0].Faults.Error(), x.want) {
			t.Errorf("%s:\n got %v\nwant %s", x.row, rows[0].Faults, x.want)
		}
		if len(rows) != 2 || rows[1].Faults != nil || rows[1].Driver.Spec.Name != "Good" {
			t.Errorf("%s: the next row is %+v", x.row, rows[1:])
		}
	}
}

// TestCatalogueHeads: a list that cannot be read at all.
func TestCatalogueHeads(t *testing.T) {
	for text, want := range map[string]string{
		"":                         "list.csv:1: the list is empty",
		"name,fs_hz\n":             "list.csv:1: the list is empty",
		"fs_hz,qes\n30,0.5\n":      "list.csv:1: name: the column is missing",
		"name,fs,qes\nA,30,0.5\n":  "list.csv:1:6: fs: the unit is missing: want fs_hz",
		"name,vas\nA,30\n":         "list.csv:1:6: vas: the unit is missing: want vas_cu_ft or vas_l",
		"name,xmaxx_mm\nA,3\n":     "list.csv:1:6: xmaxx_mm: unknown column, did you mean xmax_mm?",
		"name,colour\nA,red\n":     "list.csv:1:6: colour: unknown column; want the keys of a driver file",
		"name,,qes\nA,1,2\n":       "list.csv:1:6: the column has no name",
		"name,vas_l,vas_cu_ft\nA,": "list.csv:1:12: vas_cu_ft: vas stands twice",
		"name\n\xff\n":             "list.csv:2: byte ff is not UTF-8",
	} {
		_, err := ParseCatalogue("list.csv", []byte(text))
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	if _, err := ParseCatalogue("list.csv", make([]byte, MostCatalogueBytes+1)); err == nil {
		t.Error("a list of more than the largest size is read")
	}
	if _, err := ParseCatalogue("list.csv", []byte("name\n"+strings.Repeat("x\n", MostCatalogueRows+1))); err == nil {
		t.Error("a list of more than the most rows is read")
	}
	if rows := catalogue(t, strings.Join(catalogueHeader(), ",")+"\nA\n"); len(rows) != 1 {
		t.Errorf("the full header: %+v", rows)
	}
}

// FuzzParseCatalogue: no input panics; every fault is a message of one line; every driver without faults is whole.
func FuzzParseCatalogue(f *testing.F) {
	f.Add([]byte(catalogueExample + "\nA,30,0.5,5,30,330,3.4,10,300,4,270,238,96\n"))
	f.Add([]byte(strings.Join(catalogueHeader(), ",") + "\nA,30,,,5\n\"B\n"))
	f.Add([]byte("\ufeffname,vas_cu_ft,frame_in\r\n\"A, b\",1 1/2,10-5/8\r\n,,\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, err := ParseCatalogue("list.csv", data)
		if err != nil {
			checkFaults(t, err)
			return
		}
		for _, r := range rows {
			if r.Faults != nil {
				checkFaults(t, r.Faults)
				continue
			}
			checkFinite(t, reflect.ValueOf(r.Driver))
			if _, _, err := r.Driver.Spec.Complete(); err != nil {
				t.Fatalf("line %d is read without a fault and cannot be completed: %v", r.Line, err)
			}
		}
	})
}

func BenchmarkParseCatalogue(b *testing.B) {
	var text strings.Builder
	text.WriteString("name,fs_hz,qes,qms,vas_l,sd_cm2,re_ohm,le_mh,xmax_mm,power_w,impedance_ohm,frame_mm,cutout_mm,depth_mm,magnet_mm,displacement_l,vent,mass_kg\n")
	const rows = 1000
	for i := range rows {
		fmt.Fprintf(&text, "Driver %d,31.%d,0.56,5.5,24,330,3.4,0.8,14,500,4,270,238,96,150,1.4,true,6.8\n", i, i)
	}
	data := []byte(text.String())
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseCatalogue("list.csv", data); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*rows)/b.Elapsed().Seconds(), "rows/s")
}

// catalogueHeader names a column for each key that a catalogue may have, the name first.
func catalogueHeader() []string {
	names, seen := []string{"name"}, map[string]bool{"name": true}
	for _, name := range slices.Sorted(maps.Keys(catalogueFields)) {
		if key := catalogueFields[name].key; !seen[key] {
			names, seen[key] = append(names, name), true
		}
	}
	return names
}
