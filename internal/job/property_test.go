package job

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"cubby/internal/unit"

	"pgregory.net/rapid"
)

// length writes n tenths of a millimetre in one of the ways in which a person may.
func length(t *rapid.T, n int, sys unit.System) string {
	ways := []string{
		fmt.Sprintf("%d.%d mm", n/10, n%10),
		fmt.Sprintf("%d.%02d cm", n/100, n%100),
		fmt.Sprintf("%d.%04dm", n/10000, n%10000),
	}
	if n%127 == 0 { // 12.7 mm: half an inch
		half := n / 127
		ways = append(ways, fmt.Sprintf("%d/2 in", half), fmt.Sprintf("%d.%d inches", half/2, half%2*5))
		if half%2 == 1 && half > 1 {
			ways = append(ways, fmt.Sprintf("%d-1/2 in", half/2), fmt.Sprintf("'%d 1/2\"'", half/2))
		}
		if sys == unit.Inch {
			ways = append(ways, fmt.Sprintf("%d/2", half))
		}
	}
	if sys == unit.Metric {
		ways = append(ways, fmt.Sprintf("%d.%d", n/10, n%10))
	}
	return rapid.SampledFrom(ways).Draw(t, "way")
}

// TestUnitsDoNotMatter holds that a job means the same in whatever units it is written, bare or not.
func TestUnitsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var n [12]int // tenths of a millimetre
		for i := range n {
			n[i] = rapid.IntRange(1, 9).Draw(t, "n") * rapid.SampledFrom([]int{127, 254, 500, 33}).Draw(t, "of") * 3
		}
		write := func(sys unit.System) string {
			l := func(i int) string { return length(t, n[i], sys) }
			var b strings.Builder
			fmt.Fprintf(&b, "units: %v\ntitle: units\n", sys)
			fmt.Fprintf(&b, "driver: {fs: 30 Hz, qes: 0.5, qms: 5, vas: 25 l, sd: 330 cm2, re: 3.4 ohm, xmax: 12 mm, frame: %s}\n", l(0))
			fmt.Fprintf(&b, "cavity:\n  width: %s\n  depth: %s\n  height: %s\n  passage: {width: %s, height: %s}\n", l(1), l(2), l(3), l(4), l(5))
			fmt.Fprintf(&b, "  blocks: [{name: a, from_left: 0, from_front: 0, from_floor: 0, width: %s, depth: %s, height: %s}]\n", l(6), l(7), l(8))
			fmt.Fprintf(&b, "mount: {air_in_front: %s}\nwood: {thickness: 18 mm}\nsaw: {handle: {length: %s}}\n", l(9), l(10))
			return b.String()
		}
		metric, inch := write(unit.Metric), write(unit.Inch)
		a, errA := Parse("a", []byte(metric), nil)
		b, errB := Parse("b", []byte(inch), nil)
		if errA != nil || errB != nil {
			t.Fatalf("%v\n%s\n%v\n%s", errA, metric, errB, inch)
		}
		b.Units = a.Units
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("differ:\n%s\n%s\n%+v\n%+v", metric, inch, a.Space, b.Space)
		}
	})
}

// TestProfileOrderDoesNotMatter holds that a section listed either way round, from any corner, is the same section.
func TestProfileOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.SliceOfN(rapid.IntRange(100, 900), 2, 9).Draw(t, "heights")
		corners := [][2]int{{0, 0}, {100 * (len(h) - 1), 0}} // a floor, and a roof that rises and falls
		for i := len(h) - 1; i >= 0; i-- {
			corners = append(corners, [2]int{100 * i, h[i]})
		}
		turn := rapid.IntRange(0, len(corners)-1).Draw(t, "turn")
		write := func(back bool) string {
			var list []string
			for i := range corners {
				c := corners[(i+turn)%len(corners)]
				if back {
					c = corners[(len(corners)-1-i+turn)%len(corners)]
				}
				list = append(list, fmt.Sprintf("[%d, %d]", c[0], c[1]))
			}
			return "units: mm\ndriver: {fs: 30 Hz, qes: 0.5, qms: 5, vas: 25 l, sd: 330 cm2, re: 3.4 ohm}\nwood: {thickness: 18}\ncavity: {width: 900, profile: [" + strings.Join(list, ", ") + "]}\n"
		}
		for _, back := range []bool{false, true} {
			q, err := Parse("job", []byte(write(back)), nil)
			if err != nil {
				t.Fatalf("%v\n%s", err, write(back))
			}
			for _, s := range q.Space.Stations {
				if len(s.Roof) != len(h) || len(s.Floor) == 0 {
					t.Fatalf("a roof of %v for heights %v", s.Roof, h)
				}
				for i, r := range s.Roof {
					if math.Abs(r.Depth-float64(i)/10) > 1e-9 || math.Abs(r.Height-float64(h[i])/1000) > 1e-9 {
						t.Fatalf("roof %v for heights %v", s.Roof, h)
					}
				}
			}
		}
	})
}

// keyPattern finds each key of a job in block or flow style.
var keyPattern = regexp.MustCompile(`([\s{,])([a-z][a-z_0-9 ]*):\s`)

// TestSlipsAreNamed holds that no key of a job can be misspelt in silence: with two letters exchanged, a fault on that
// line names the right one.
func TestSlipsAreNamed(t *testing.T) {
	data := "\n" + string(readFile(t, "testdata/everything.yaml"))
	for _, at := range keyPattern.FindAllStringSubmatchIndex(data, -1) {
		key := data[at[4]:at[5]]
		if len(key) < 3 || strings.Contains(key, "can say") {
			continue
		}
		slip := key[:1] + key[2:3] + key[1:2] + key[3:]
		if slip == key {
			continue
		}
		bad := data[:at[4]] + slip + data[at[5]:]
		line := 1 + strings.Count(data[:at[4]], "\n")
		_, err := Parse("job", []byte(bad), nil)
		var faults Faults
		if !errors.As(err, &faults) {
			t.Errorf("line %d: %s written %s is accepted", line, key, slip)
			continue
		}
		named := false
		for _, f := range faults {
			named = named || f.Line == line && strings.HasPrefix(f.Want, "unknown key, did you mean ") && strings.HasSuffix(f.Field, slip)
		}
		if !named {
			t.Errorf("line %d: %s written %s: no fault says so: %v", line, key, slip, err)
		}
	}
}

// TestNothingIsOptionalByAccident holds that every value of a job is looked at: an impossible one in its place is a fault.
func TestNothingIsOptionalByAccident(t *testing.T) {
	data := "\n" + string(readFile(t, "testdata/everything.yaml"))
	value := regexp.MustCompile(`([a-z_0-9]): ([^{}\[\],\n#]+)`)
	count := 0
	for _, at := range value.FindAllStringSubmatchIndex(data, -1) {
		if strings.Contains(data[at[4]:at[5]], "\"") || strings.TrimSpace(data[at[4]:at[5]]) == "" {
			continue
		}
		bad := data[:at[4]] + "\"\\a\"" + data[at[5]:]
		if _, err := Parse("job", []byte(bad), nil); err == nil {
			t.Errorf("in place of %q a bell character is accepted", data[at[0]:at[1]])
		}
		count++
	}
	if count < 90 {
		t.Errorf("only %d values were tried", count)
	}
}
