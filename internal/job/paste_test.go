package job

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestPastedSheets reads ten invented sheets, each in a layout that makers print. Beside each stands the driver file that
// comes of it, with what was not understood.
func TestPastedSheets(t *testing.T) {
	names, err := filepath.Glob("testdata/pasted/*.txt")
	if err != nil || len(names) < 10 {
		t.Fatalf("%d sheets (%v), want 10", len(names), err)
	}
	for _, name := range names {
		p, err := ParsePasted(filepath.Base(name), readFile(t, name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got := FormatPasted(p, "")
		golden := strings.TrimSuffix(name, ".txt") + ".yaml"
		if *update {
			if err := os.WriteFile(golden, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if want := readFile(t, golden); !bytes.Equal(got, want) {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
		}
		if _, err := ParseDriver(golden, got); err != nil {
			t.Errorf("%s does not read back: %v", golden, err)
		}
	}
}

func TestPastedNothing(t *testing.T) {
	for _, text := range []string{"", "hello\n", "28.5 Hz\n", "Colour: black\n"} {
		if p, err := ParsePasted("sheet.txt", []byte(text)); err == nil {
			t.Errorf("%q is read as %+v", text, p)
		}
	}
}

// FuzzParsePasted holds that any text gives faults or a driver file that is read back to the same values.
func FuzzParsePasted(f *testing.F) {
	names, _ := filepath.Glob("testdata/pasted/*.txt")
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("Fs: 30 Hz | Fs | 31 Hz\nRe (each) 1,2\nImpedance 2+2\ncoils: 2\nimpedance: dual 4\nbolts: 3"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ParsePasted("sheet.txt", data)
		if err != nil {
			checkFaults(t, err)
			return
		}
		text := FormatPasted(p, "")
		for _, line := range strings.Split(string(text), "\n") {
			for _, c := range line {
				if c < ' ' {
					t.Fatalf("control character in %q", line)
				}
			}
		}
		if d, err := ParseDriver("d.yaml", text); err == nil && d.Spec != p.Driver.Spec {
			t.Fatalf("%+v is written and read back as %+v\n%s", p.Driver.Spec, d.Spec, text)
		}
	})
}

// The frequency at which an inductance was measured is no part of its value.
func TestPastedInductance(t *testing.T) {
	for _, line := range []string{"Le 1.8 mH @ 1kHz", "Le: 1.8 mH @1 kHz", "Voice coil inductance (Le)\t1.8 mH at 1 kHz"} {
		p, err := ParsePasted("sheet.txt", []byte("Fs 28 Hz\n"+line+"\n"))
		if err != nil || p.Driver.Spec.Le != 1.8e-3 {
			t.Errorf("%s: %v", line, err)
		}
	}
}

// The resistance of each coil is read in whatever words it is said to be of one; a name is the first line before the figures.
func TestPastedByWords(t *testing.T) {
	for _, re := range []string{"Re 1.8 ohm per coil", "Re: 1.8 ohms per voice coil", "Re 1.8 Ω / coil", "Re 1.8 ohm, each coil", "Re (per coil) 1.8 ohm", "DC resistance: 1.8 ohm each"} {
		p, err := ParsePasted("sheet.txt", []byte("Specifications\nTALLOW T-10 V2\n10 inch subwoofer\nFs 29.4 Hz\n"+re+"\nImpedance 2 x 2 ohm\n"))
		if err != nil {
			t.Fatalf("%s: %v", re, err)
		}
		if s := p.Driver.Spec; s.Coils.Re != 1.8 || s.Re != 0 || s.Coils.Count != 2 || s.Name != "TALLOW T-10 V2" {
			t.Errorf("%s: %+v, left %v", re, s, p.Left)
		}
	}
	if p, err := ParsePasted("sheet.txt", []byte("Fs 29.4 Hz\nTALLOW T-10\n")); err != nil || p.Driver.Spec.Name != "" {
		t.Errorf("a line after the figures is a name: %+v, %v", p, err)
	}
}
