package job

import (
	"slices"
	"strings"
	"testing"

	"cubby/internal/unit"
)

// TestBlankAsks holds that a blank job is at fault only for what is to be filled in, for each by name, and is the whole
// starter again once that has been done.
func TestBlankAsks(t *testing.T) {
	for _, u := range []unit.System{unit.Inch, unit.Metric} {
		text := string(Blank(u))
		_, err := Parse("job.yaml", []byte(text), nil)
		faults, ok := err.(Faults)
		if !ok {
			t.Fatalf("%v: %v", u, err)
		}
		for _, f := range faults {
			if f.Value != toFill || !strings.HasPrefix(f.Want, "still to be filled in: ") || f.Field == "" {
				t.Errorf("%v: %v", u, f)
			}
		}
		if n := strings.Count(text, ": ?"); n != len(faults) || n < 15 {
			t.Errorf("%v: %d values to fill in, %d asked for", u, n, len(faults))
		}
		for key, value := range map[string]string{"name": "Own 10", "fs": "29", "qms": "5", "qes": "0.5", "vas": "25 l", "sd": "330 cm2", "re": "3.4", "xmax": "11 mm",
			"power": "300", "impedance": "4", "frame": "266 mm", "cutout": "235 mm", "depth": "98 mm", "into": "4", "cabin_length": "2.5 m",
			"from_left": "1 m", "roof": "[[0, 300 mm], [400 mm, 320 mm]]", "air_in_front": "40 mm", "thickness": "18 mm"} {
			text = strings.ReplaceAll(text, key+": ?", key+": "+value)
		}
		q, err := Parse("job.yaml", []byte(text), nil)
		if err != nil {
			t.Fatalf("%v, filled in: %v", u, err)
		}
		if len(q.Sample) > 0 {
			t.Errorf("%v, filled in: still the sample's: %v", u, q.Sample)
		}
	}
}

// TestSampleIsNamed holds that what is left of the starter is named.
func TestSampleIsNamed(t *testing.T) {
	for _, u := range []unit.System{unit.Inch, unit.Metric} {
		q, err := Parse("job.yaml", Starter(u), nil)
		if err != nil || !slices.Contains(q.Sample, "driver") || !slices.Contains(q.Sample, "stations") {
			t.Errorf("%v: %v, %v", u, q.Sample, err)
		}
		own := strings.Replace(string(Starter(u)), "fs: 30 Hz", "fs: 31 Hz", 1)
		if q, err = Parse("job.yaml", []byte(own), nil); err != nil || slices.Contains(q.Sample, "driver") || !slices.Contains(q.Sample, "stations") {
			t.Errorf("%v, another driver: %v, %v", u, q.Sample, err)
		}
	}
}

// TestQuestionMarksInText holds that a question mark which stands for no value stays as it is.
func TestQuestionMarksInText(t *testing.T) {
	for _, line := range []string{"title: Where to, ?", `title: "a: ?"`, "title: why?", "# what: ?", "a: [b, c?]", "a: ?#"} {
		if got := string(maskToFill([]byte(line + "\n"))); got != line+"\n" {
			t.Errorf("%q becomes %q", line, got)
		}
	}
	for line, want := range map[string]string{"a: ?": "a: _", "a: {b: ?, c: ? } # ?": "a: {b: _, c: _ } # ?", "a: [?, ?]": "a: [_, _]"} {
		want = strings.ReplaceAll(want, "_", standIn)
		if got := string(maskToFill([]byte(line))); got != want {
			t.Errorf("%q becomes %q, want %q", line, got, want)
		}
	}
}
