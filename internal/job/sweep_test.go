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
		"":                                                 "s.csv:1: no line names the columns; want a first line such as frequency_hz,impedance_ohm,impedance_phase_deg",
		"10,3\n20,4\n":                                     "s.csv:1: no line names the columns",
		"frequency_hz\n10\n":                               "s.csv:1: no line names the columns",
		head + "10,3,0\n":                                  "s.csv:1: a curve needs at least two rows",
		head + "10,3\n20,3,0\n":                            "s.csv:2: 10,3: want 3 values, as named in line 1",
		head + "10,3,0\n20,3;5,0\n":                        "s.csv:3: impedance_ohm: 3;5: must be a number from 0.001 to 1000000, in ohm, without a unit",
		head + "10,3,0\n20,-3,0\n":                         "s.csv:3: impedance_ohm: -3: must be",
		head + "10,3,0\n20,3,200\n":                        "s.csv:3: impedance_phase_deg: 200: must be a number from -180 to 180",
		head + "10,3,0\n10,3,0\n":                          "s.csv:3: frequency_hz: 10: frequencies must rise from row to row",
		head + "10,3,0\n20 Hz,3,0\n":                       "s.csv:3: frequency_hz: 20 Hz: must be a number from 1 to 100000, in Hz, without a unit",
		head + "10,\"3,0\n20,3,0\n":                        `s.csv:2: 10,"3,0: a quotation mark is not closed`,
		head + "10,NaN,0\n20,3,0\n":                        "s.csv:2: impedance_ohm: NaN: must be",
		"frequency_hz,impedance_ohm\n1,2,3\n":              "s.csv:2: 1,2,3: want 2 values, as named in line 1: commas separate here",
		"frequency_hz,impedance_ohm\n20,5,3,9\n":           "s.csv:2: 20,5,3,9: want 2 values, as named in line 1: commas separate here, write decimal points, or separate by semicolons",
		"Freq,SPL (dB)\n20,90\n30,91\n":                    "s.csv:1: Freq,SPL (dB): no column is an impedance in ohm",
		"Freq;Z (ohm);Impedance\n20;4;4\n":                 "s.csv:1: Freq;Z (ohm);Impedance: both Z (ohm) and Impedance could be the column impedance_ohm",
		"f,Real\n20,4\n":                                   "s.csv:1: f,Real: a real part and an imaginary part belong together",
		"# Hz Z RI R 1\n20 4 1\n30 4\n":                    "s.csv:3: 30 4: want a frequency and two numbers, for one port; 2 are written",
		"# Hz Z RI R 1\n20 4,1 1\n30 4 1\n":                "s.csv:2: 20 4,1 1: want three plain numbers with decimal points",
		"# Hz Z RI R 1\n30 4 1\n20 4 1\n":                  "s.csv:3: 20 4 1: frequencies must rise",
		"! nothing but a remark\n# GHz S MA R 50\n1 0 0\n": "s.csv:3: 1 0 0: 1e+09 Hz: must be from 1 Hz to 100000 Hz",
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
	f.Add([]byte("* Freq(kHz)\tReal (Ohm)\tImag (Ohm)\n0,02\t5,2\t-3\n0,03\t6\t1\n"))
	f.Add([]byte("! one port\n# kHz S DB R 50\n0.02 -1.5 170\n0.03 -1.4 169 ! last\n"))
	f.Add([]byte("[Version] 2.0\n# Hz Y MA R 50\n[Reference] 1\n20 0.2 -10\n30 0.2 -5\n[End]\n"))
	f.Add([]byte("\xff\xfef\x00;\x00z\x00\n\x002\x00;\x003\x00\n\x003\x00;\x003\x00"))
	f.Add([]byte("Fr\xe9quence (Hz);Z (\xd8);Phase (\xb0)\n20;4;1\n30;4;1\n"))
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
