package job

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"
	"unicode/utf16"

	"cubby/internal/impedance"
)

// dialects write one sweep as instruments of different makes and countries do. The layouts are invented.
var dialects = map[string]func(s impedance.Sweep) (file string, data []byte){
	"our own": func(s impedance.Sweep) (string, []byte) {
		return "s.csv", rowsOf(s, "frequency_hz,impedance_ohm,impedance_phase_deg\n", "%v,%v,%v\n", magnitudeAndPhase)
	},
	"other words and order": func(s impedance.Sweep) (string, []byte) {
		return "s.csv", rowsOf(s, "Phase(deg),Z(Ohm),Freq(Hz)\r\n", "%[3]v,%[2]v,%[1]v\r\n", magnitudeAndPhase)
	},
	"semicolons and decimal commas": func(s impedance.Sweep) (string, []byte) {
		data := rowsOf(s, "Frequenz [Hz];Impedanz [Ohm];Phase [deg];Kommentar\n", "%v;%v;%v;ok\n", magnitudeAndPhase)
		return "s.txt", []byte(strings.ReplaceAll(string(data), ".", ","))
	},
	"tabs, with a preamble": func(s impedance.Sweep) (string, []byte) {
		return "s.txt", rowsOf(s, "Bench meter 3\nDate: 2026-03-14, 10:20\n\nFREQUENCY (HZ)\tMAGNITUDE (OHM)\tPHASE (DEG)\n", "%v\t%v\t%v\n", magnitudeAndPhase)
	},
	"spaces, names in a comment": func(s impedance.Sweep) (string, []byte) {
		return "s.txt", rowsOf(s, "* made with a sound card\n* Freq(Hz)  Z(\u03a9)  Phase(\u00b0)\n", "  %v   %v  %v\n", magnitudeAndPhase)
	},
	"real and imaginary, in kHz": func(s impedance.Sweep) (string, []byte) {
		return "s.csv", rowsOf(s, "# sweep\nfreq (kHz), Re(Z) (ohm), Im(Z) (ohm)\n", "%v, %v, %v\n", func(f float64, z complex128) [3]float64 {
			return [3]float64{f / 1000, real(z), imag(z)}
		})
	},
	"radians, in UTF-16": func(s impedance.Sweep) (string, []byte) {
		text := rowsOf(s, "frequency;z;phase (rad)\n", "%v;%v;%v\n", func(f float64, z complex128) [3]float64 {
			return [3]float64{f, cmplx.Abs(z), cmplx.Phase(z)}
		})
		data := []byte{0xff, 0xfe}
		for _, u := range utf16.Encode([]rune(string(text))) {
			data = binary.LittleEndian.AppendUint16(data, u)
		}
		return "s.txt", data
	},
	"quoted decimal commas": func(s impedance.Sweep) (string, []byte) {
		var b strings.Builder
		b.WriteString("\"Freq, Hz\",\"Z, Ohm\",\"Phase, deg\"\n")
		for i, f := range s.Frequency {
			z := s.At(i)
			row := fmt.Sprintf("\"%v\";\"%v\";\"%v\"\n", f, cmplx.Abs(z), cmplx.Phase(z)*180/math.Pi)
			b.WriteString(strings.NewReplacer(".", ",", ";", ",").Replace(row))
		}
		return "s.csv", []byte(b.String())
	},
	"Latin-1": func(s impedance.Sweep) (string, []byte) {
		text := rowsOf(s, "Fr\u00e9quence (Hz);Z (ohm);Phase (\u00b0)\n", "%v;%v;%v\n", magnitudeAndPhase)
		var data []byte
		for _, c := range string(text) {
			data = append(data, byte(c))
		}
		return "s.csv", data
	},
	"one port, impedance": func(s impedance.Sweep) (string, []byte) {
		return "s.s1p", rowsOf(s, "! one port\n# Hz Z RI R 1\n", "%v %v %v\n", func(f float64, z complex128) [3]float64 {
			return [3]float64{f, real(z), imag(z)}
		})
	},
	"one port, scattering": func(s impedance.Sweep) (string, []byte) {
		return "s.s1p", rowsOf(s, "# kHz S MA R 50\n", "%v %v %v ! row\n", func(f float64, z complex128) [3]float64 {
			g := (z - 50) / (z + 50)
			return [3]float64{f / 1000, cmplx.Abs(g), cmplx.Phase(g) * 180 / math.Pi}
		})
	},
	"one port, admittance in dB": func(s impedance.Sweep) (string, []byte) {
		return "s.s1p", rowsOf(s, "# HZ Y DB R 50\n", "%v %v %v\n", func(f float64, z complex128) [3]float64 {
			y := 50 / z
			return [3]float64{f, 20 * math.Log10(cmplx.Abs(y)), cmplx.Phase(y) * 180 / math.Pi}
		})
	},
}

func magnitudeAndPhase(f float64, z complex128) [3]float64 {
	return [3]float64{f, cmplx.Abs(z), cmplx.Phase(z) * 180 / math.Pi}
}

// rowsOf writes a sweep below a head, in a form of three numbers.
func rowsOf(s impedance.Sweep, head, form string, numbers func(f float64, z complex128) [3]float64) []byte {
	var b strings.Builder
	b.WriteString(head)
	for i, f := range s.Frequency {
		v := numbers(f, s.At(i))
		fmt.Fprintf(&b, form, v[0], v[1], v[2])
	}
	return []byte(b.String())
}

// TestDialects holds that a sweep gives the same driver however an instrument wrote it.
func TestDialects(t *testing.T) {
	s, err := ParseSweep("harrow-10-free.csv", readFile(t, "../../examples/sweeps/harrow-10-free.csv"))
	if err != nil {
		t.Fatal(err)
	}
	want, err := impedance.FitFreeAir(s, impedance.FreeAirOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for name, write := range dialects {
		file, data := write(s)
		read, err := ParseSweep(file, data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if read.Len() != s.Len() {
			t.Errorf("%s: %d points, want %d", name, read.Len(), s.Len())
			continue
		}
		for i := range s.Frequency {
			// 1e-12: a few roundings between polar, Cartesian and reflection forms, 1e-9 for the last of these.
			if cmplx.Abs(read.At(i)/s.At(i)-1) > 1e-9 || math.Abs(read.Frequency[i]/s.Frequency[i]-1) > 1e-12 {
				t.Errorf("%s: point %d is %v at %v Hz, want %v at %v Hz", name, i+1, read.At(i), read.Frequency[i], s.At(i), s.Frequency[i])
				break
			}
		}
		got, err := impedance.FitFreeAir(read, impedance.FreeAirOptions{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, q := range [][2]float64{{got.Fs.Value, want.Fs.Value}, {got.Qes.Value, want.Qes.Value}, {got.Qms.Value, want.Qms.Value}, {got.Re.Value, want.Re.Value}} {
			if math.Abs(q[0]/q[1]-1) > 1e-6 { // where the optimiser stops
				t.Errorf("%s: fitted %v, want %v", name, q[0], q[1])
			}
		}
	}
}

// TestCurvesAreSweeps reads the impedance from our own curves.
func TestCurvesAreSweeps(t *testing.T) {
	s, err := ParseSweep("curves.csv", []byte("frequency_hz,level_db,cabin_level_db,phase_deg,excursion_mm,port_speed_m_s,impedance_ohm,impedance_phase_deg,group_delay_ms,max_level_db,limited_by,max_level_warm_db,level_p10_db,level_p90_db\n"+
		"10,70.1,,170,5,,4.2,12,20,90,power,,,\n20,80,,120,4,,30.5,-40,15,100,power,,,\n"))
	if err != nil || s.Len() != 2 || s.Magnitude[1] != 30.5 || s.Phase[0] != 12 {
		t.Errorf("%+v, %v", s, err)
	}
}

// TestCabinDialects reads a cabin's gain as analysers write it.
func TestCabinDialects(t *testing.T) {
	for _, text := range []string{
		"frequency_hz,gain_db\n20,12\n40.5,6.5\n",
		"* in the car less the open\n* Freq(Hz)\tSPL(dB)\tPhase(degrees)\n20\t12\t0\n40,5\t6,5\t10\n",
		"Hz;dB\n20;12\n40,5;6,5\n",
		"dB Frequency\n12 20\n6.5 40.5\n",
	} {
		points, faults := curve("cabin.txt", []byte(text))
		if faults != nil || len(points) != 2 || points[0].Gain != 12 || points[1].Frequency != 40.5 || points[1].Gain != 6.5 {
			t.Errorf("%q: %v, %v", text, points, faults)
		}
	}
	if _, faults := curve("cabin.txt", []byte("Hz;dB SPL\n20;92\n40;88\n60;85\n")); faults == nil || !strings.Contains(faults.Error(), "levels, not gains") {
		t.Errorf("levels: %v", faults)
	}
}
