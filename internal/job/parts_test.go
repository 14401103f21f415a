package job

import (
	"errors"
	"strings"
	"testing"

	"cubby/internal/nest"
	"cubby/internal/unit"
)

const goodHeader = "name,count,length_mm,width_mm,thickness_mm,grain\n"

func TestParseParts(t *testing.T) {
	list, err := ParseParts("p.csv", []byte("\ufeffname,count,length_in,width_in,thickness_in,grain\r\nshelf, 2,14 3/8,12,3/4,length\r\n\"end, left\",1,500 mm,0.5,0.75,\r\n"))
	if err != nil {
		t.Fatal(err)
	}
	if list.Units != unit.Inch || len(list.Parts) != 2 {
		t.Fatalf("%+v", list)
	}
	a, b := list.Parts[0], list.Parts[1]
	if a.Name != "shelf" || a.Count != 2 || a.Length != 365125 || a.Width != 304800 || a.Thickness != 19050 || a.Grain != "length" {
		t.Errorf("first part: %+v", a)
	}
	if b.Name != "end, left" || b.Length != 500000 || b.Width != 12700 || b.Grain != "" {
		t.Errorf("second part: %+v", b)
	}
	// Columns come in any order; grain may be left out.
	list, err = ParseParts("p.csv", []byte("thickness_mm,width_mm,length_mm,count,name\n18,200,300.5,1,a\n"))
	if err != nil || list.Parts[0].Length != 300500 || list.Parts[0].Thickness != 18000 {
		t.Errorf("%+v %v", list, err)
	}
}

func TestParsePartsRefuses(t *testing.T) {
	rows := []struct{ text, want string }{
		{"", "p.csv:1: the list is empty"},
		{goodHeader, "p.csv:1: there are no parts"},
		{"name,count,length,width_mm,thickness_mm\na,1,2,3,4\n", "p.csv:1: length: the unit is missing: want length_mm or length_in"},
		{"name,count,lenght_mm,width_mm,thickness_mm\na,1,2,3,4\n", "p.csv:1: lenght_mm: unknown column, did you mean length_mm?"},
		{"name,count,length_mm,width_mm\na,1,2,3\n", "p.csv:1: thickness: the column is missing"},
		{"name,count,length_mm,length_in,width_mm,thickness_mm\n", "p.csv:1: length_in: the column stands twice"},
		{goodHeader + "a,1,100,-5,18,\n", "p.csv:2: width_mm: -5: must be greater than 0"},
		{goodHeader + "a,1,100,0,18,\n", "p.csv:2: width_mm: 0: must be greater than 0"},
		{goodHeader + "a,1,NaN,5,18,\n", "p.csv:2: length_mm: NaN:"},
		{goodHeader + "a,1,Inf,5,18,\n", "p.csv:2: length_mm: Inf:"},
		{goodHeader + "a,1,1e300,5,18,\n", "p.csv:2: length_mm: 1e300:"},
		{goodHeader + "a,1,40000,5,18,\n", "p.csv:2: length_mm: 40000: must be at most 30 m"},
		{goodHeader + "a,1,1e-5,5,18,\n", "p.csv:2: length_mm: 1e-5: must be greater than 0"},
		{goodHeader + "a,1,,5,18,\n", "p.csv:2: length_mm: nothing is written here"},
		{goodHeader + "a,1000000,100,5,18,\n", "p.csv:2: count: 1000000: at most 5000 pieces"},
		{goodHeader + "a,99999999999999999999,100,5,18,\n", "p.csv:2: count: 99999999999999999999: at most 5000 pieces"},
		{goodHeader + "a,3000,100,5,18,\nb,3000,100,5,18,\n", "p.csv:3: count: 6000 pieces up to here: at most 5000"},
		{goodHeader + "a,0,100,5,18,\n", "p.csv:2: count: 0: must be 1 or more"},
		{goodHeader + "a,1.5,100,5,18,\n", "p.csv:2: count: 1.5: want a whole number"},
		{goodHeader + "a,1,100,5,18,up\n", "p.csv:2: grain: up: must be length, width or empty"},
		{goodHeader + ",1,100,5,18,\n", "p.csv:2: name: must be given"},
		{goodHeader + "a#1,1,100,5,18,\n", "p.csv:2: name: a#1: must not contain #"},
		{goodHeader + "waste,1,100,5,18,\n", "p.csv:2: name: waste: is a name that the cut sequence uses"},
		{goodHeader + "a,1,100,5,18,\na,1,100,5,18,\n", "p.csv:3: name: a: is already the name of the part in line 2"},
		{goodHeader + "\"a\nb\",1,100,5,18,\n", "p.csv:2: name: a\\nb: must be one line of plain text"},
		{goodHeader + "a,1,100,5,18,,,\n", "p.csv:2: 8 values in 6 columns"},
		{goodHeader + "\"a,1,100,5,18,\n", "p.csv:2:16: cannot be read as CSV from here on: "},
		{"\xff\xfe", "p.csv:1: byte ff is not UTF-8 text"},
		{strings.Repeat("a", 1<<20+1), "p.csv: larger than 1 MiB"},
	}
	for _, r := range rows {
		list, err := ParseParts("p.csv", []byte(r.text))
		if list != nil || err == nil || !strings.HasPrefix(err.Error(), r.want) {
			t.Errorf("%.60q: got %v, want %s", r.text, err, r.want)
		}
	}
	_, err := ParseParts("p.csv", []byte(goodHeader+"a,x,0,-5,18,\nb,1,1,1,1,no\n"))
	var faults Faults
	if !errors.As(err, &faults) || len(faults) != 4 {
		t.Errorf("not all faults at once: %v", err)
	}
}

func FuzzParts(f *testing.F) {
	f.Add([]byte(goodHeader + "a,1,100,5,18,length\nb,2,3/4 in,5,18,\n"))
	f.Add([]byte("name,count,length_in,width_in,thickness_in\n\"x, y\",12,14 3/8,1,0.75\n"))
	f.Add([]byte("\ufeffname;count\n"))
	f.Add([]byte(goodHeader + "\"a"))
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := ParseParts("parts.csv", data)
		if err != nil {
			checkFaults(t, err)
			return
		}
		total, names := 0, map[string]bool{}
		for _, p := range list.Parts {
			if err := p.Validate(); err != nil {
				t.Fatal(err)
			}
			if p.Thickness <= 0 || names[p.Name] {
				t.Fatalf("%+v", p)
			}
			names[p.Name] = true
			total += p.Count
		}
		if total < 1 || total > nest.MaxParts {
			t.Fatalf("%d pieces", total)
		}
	})
}
