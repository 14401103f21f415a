package job

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// seeds gives every job and driver file in reach.
func seeds(f *testing.F) {
	f.Helper()
	for _, pattern := range []string{"testdata/*.yaml", "testdata/spaces/*.yaml", "testdata/bad/*.yaml", "testdata/badcheck/*.yaml", "testdata/bad/named/*", "../../examples/*.yaml", "../../examples/drivers/*.yaml"} {
		names, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	for _, s := range []string{"", "---\n", "&a [*a]", "a: &a {b: *a}", "? [x]\n: y", "<<: {a: b}", "a: !!binary x", "\xff\xfe", "- - - - - - - - - - - - - - - x", "title: \"\\U0001F600\""} {
		f.Add([]byte(s))
	}
	f.Add(Starter(unit.Metric))
	f.Add(Starter(unit.Inch))
}

// checkFaults holds that an error is Faults, each of one line with a place and a word on what is right.
func checkFaults(t *testing.T, err error) {
	t.Helper()
	var faults Faults
	if !errors.As(err, &faults) || len(faults) == 0 {
		t.Fatalf("error %T %v, want Faults", err, err)
	}
	for _, f := range faults {
		if f.Want == "" || f.File == "" || f.Line < 0 || strings.ContainsAny(f.Error(), "\n\r\x00\x1b") || len(f.Error()) > 2000 {
			t.Fatalf("fault %#v is no message of one line", f)
		}
	}
}

// checkFinite holds that no number inside v is NaN or infinite.
func checkFinite(t *testing.T, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0) {
			t.Fatalf("a number is %v", v.Float())
		}
	case reflect.Struct:
		for i := 0; i < v.NumField(); i++ {
			checkFinite(t, v.Field(i))
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			checkFinite(t, v.Elem())
		}
	case reflect.Slice, reflect.Array:
		for i := 0; i < v.Len(); i++ {
			checkFinite(t, v.Index(i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			checkFinite(t, v.MapIndex(k))
		}
	}
}

// FuzzParse holds that any bytes give either a request that keeps its promises or faults that can be printed.
func FuzzParse(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		open := func(name string) ([]byte, error) {
			if len(name)%2 == 0 {
				return noFiles(name)
			}
			return data, nil // a job that names itself: as its own driver, or as a measured curve
		}
		q, err := Parse("job.yaml", data, open)
		if (q == nil) == (err == nil) {
			t.Fatalf("request %v and error %v: want one of them", q, err)
		}
		if err != nil {
			checkFaults(t, err)
			return
		}
		checkRequest(t, q)
	})
}

func checkRequest(t *testing.T, q *design.Request) {
	t.Helper()
	checkFinite(t, reflect.ValueOf(*q))
	s := q.Space
	if s == nil || s.Space == nil {
		t.Fatal("a job without a space")
	}
	if err := s.Check(); err != nil {
		t.Fatalf("space %+v: %v", s.Space, err)
	}
	if q.Wood.Thickness <= 0 || s.Gap < 0 || q.Driver.Fs < 0 || q.Driver.Le < 0 {
		t.Fatalf("impossible values: %+v", q)
	}
	for _, text := range []string{q.Title, q.Contact, q.Author, q.Revision, q.Driver.Name, q.Wood.Board} {
		if text != "" && unprintable(text, titleLength) != "" {
			t.Fatalf("text %q: %s", text, unprintable(text, titleLength))
		}
	}
}

// FuzzParseCheck holds the same for jobs whose box is to be judged.
func FuzzParseCheck(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		q, err := ParseCheck("job.yaml", data, noFiles)
		if (q == nil) == (err == nil) {
			t.Fatalf("request %v and error %v: want one of them", q, err)
		}
		if err != nil {
			checkFaults(t, err)
			return
		}
		checkFinite(t, reflect.ValueOf(*q))
		if len(q.Boxes) == 0 {
			t.Fatalf("no box to be judged in %q", data)
		}
	})
}

// FuzzParseDriver holds the same for driver files.
func FuzzParseDriver(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := ParseDriver("driver.yaml", data)
		if (d == nil) == (err == nil) {
			t.Fatalf("driver %v and error %v: want one of them", d, err)
		}
		if err != nil {
			checkFaults(t, err)
			return
		}
		checkFinite(t, reflect.ValueOf(*d))
	})
}

// FuzzCabin holds that a cabin's curve is either finite and rising or at fault.
func FuzzCabin(f *testing.F) {
	f.Add([]byte("frequency_hz,gain_db\n20,12\n40,6\n"))
	f.Add([]byte("\ufefffrequency_hz,gain_db\r\n1e1,-3\r\n\"20\",0\r\n"))
	f.Add([]byte("frequency_hz,gain_db\n20,NaN\n10,Inf\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		points, faults := curve("cabin.csv", data)
		if len(faults) > 0 {
			checkFaults(t, faults)
			return
		}
		checkFinite(t, reflect.ValueOf(points))
		for i := 1; i < len(points); i++ {
			if points[i].Frequency <= points[i-1].Frequency {
				t.Fatalf("frequencies do not rise: %v", points)
			}
		}
	})
}
