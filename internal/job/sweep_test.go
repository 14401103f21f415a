package job

import (
	"strings"
	"testing"
)

func TestParseSweep(t *testing.T) {
	for name, text := range map[string]string{
		"plain":          "frequency_hz,impedance_ohm,impedance_phase_deg\n10,3.9,20.5\n20,5.2,-3\n",
		"mark and CRLF":  "\ufefffrequency_hz,impedance_ohm,impedance_phase_deg\r\n10,3.9,20.5\r\n20,5.2,-3\r\n",
		"spaces":         "frequency_hz, impedance_ohm, impedance_phase_deg\n 10, 3.9, 20.5\n20 ,5.2, -3",
		"an empty line":  "frequency_hz,impedance_ohm,impedance_phase_deg\n\n10,3.9,20.5\n\n20,5.2,-3\n",
		"power notation": "frequency_hz,impedance_ohm,impedance_phase_deg\n1e1,3.9e0,2.05e1\n2e1,5.2,-3\n",
	} {
		s, err := ParseSweep("s.csv", []byte(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if s.Len() != 2 || s.Frequency[1] != 20 || s.Magnitude[0] != 3.9 || s.Phase[0] != 20.5 || s.Phase[1] != -3 {
			t.Errorf("%s: read as %+v", name, s)
		}
	}
	s, err := ParseSweep("s.csv", []byte("frequency_hz,impedance_ohm\n10,3.9\n20,5.2\n"))
	if err != nil || s.Phase != nil || s.Len() != 2 {
		t.Errorf("without phase: %+v, %v", s, err)
	}
}

func TestParseSweepFaults(t *testing.T) {
	const head = "frequency_hz,impedance_ohm,impedance_phase_deg\n"
	for text, want := range map[string]string{
		"":                                    "s.csv:1: a curve needs the header frequency_hz,impedance_ohm or frequency_hz,impedance_ohm,impedance_phase_deg and at least two rows",
		"10,3\n20,4\n":                        "s.csv:1: 10,3: the first line must be frequency_hz,impedance_ohm or frequency_hz,impedance_ohm,impedance_phase_deg",
		"frequency_hz\n10\n":                  "s.csv:1: frequency_hz: the first line must be",
		head + "10,3,0\n":                     "s.csv:1: a curve needs the header",
		head + "10,3\n20,3,0\n":               "s.csv:2:1: 10,3: want three numbers: frequency_hz,impedance_ohm,impedance_phase_deg",
		head + "10,3,0\n20,3;5,0\n":           "s.csv:3:4: impedance_ohm: 3;5: must be a number from 0.001 to 1000000, in ohm, without a unit",
		head + "10,3,0\n20,-3,0\n":            "s.csv:3:4: impedance_ohm: -3: must be",
		head + "10,3,0\n20,3,200\n":           "s.csv:3:6: impedance_phase_deg: 200: must be a number from -180 to 180",
		head + "10,3,0\n10,3,0\n":             "s.csv:3:1: frequency_hz: 10: frequencies must rise from row to row",
		head + "10,3,0\n20 Hz,3,0\n":          "s.csv:3:1: frequency_hz: 20 Hz: must be a number from 1 to 100000, in Hz, without a unit",
		head + "10,\"3,0\n20,3,0\n":           "s.csv:3:8: cannot be read as CSV",
		head + "10,NaN,0\n20,3,0\n":           "s.csv:2:4: impedance_ohm: NaN: must be",
		"frequency_hz,impedance_ohm\n1,2,3\n": "s.csv:2:1: 1,2,3: want two numbers: frequency_hz,impedance_ohm",
	} {
		_, err := ParseSweep("s.csv", []byte(text))
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q gives %v, want %s", text, err, want)
		}
	}
}

// FuzzParseSweep holds that any bytes give either a sweep that keeps its promises or faults that can be printed.
func FuzzParseSweep(f *testing.F) {
	f.Add([]byte("frequency_hz,impedance_ohm,impedance_phase_deg\n10,3.9,20.5\n20,5.2,-3\n"))
	f.Add([]byte("\ufefffrequency_hz,impedance_ohm\r\n10,3.9\r\n20,5.2\r\n"))
	f.Add([]byte("frequency_hz,impedance_ohm\n10,\"3.9\n20,5.2\n"))
	f.Add([]byte("frequency_hz,impedance_ohm,\n\n,,"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ParseSweep("s.csv", data)
		if err != nil {
			checkFaults(t, err)
			return
		}
		if s.Len() < 2 {
			t.Fatalf("a sweep of %d points", s.Len())
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
	})
}
