package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cubby/internal/job"
)

// parts is a driver by its parts.
type parts struct{ re, bl, mms, cms, rms float64 }

// write writes an impedance sweep, Re + Bl^2/(Rms + jw Mms + 1/(jw Cms)), to a file and returns its name.
func (p parts) write(t *testing.T, name string) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("frequency_hz,impedance_ohm,impedance_phase_deg\n")
	for i := range 400 {
		f := 5 * math.Pow(60, float64(i)/399)
		w := 2 * math.Pi * f
		z := complex(p.re, 0) + complex(p.bl*p.bl, 0)/complex(p.rms, w*p.mms-1/(w*p.cms))
		fmt.Fprintf(&b, "%.9g,%.9g,%.9g\n", f, cmplx.Abs(z), cmplx.Phase(z)*180/math.Pi)
	}
	name = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(name, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// TestPublishedMeasurements extracts the drivers of published examples from their impedance, with 20 g on the cone:
// problem sheets of a course in electroacoustics (DTU 34870), drivers D and E, as transcribed in public student notes.
// Tolerances are half the last printed digit. The notes' air (1.2 kg/m3, 344 m/s) is 0.06 % stiffer than reference air.
func TestPublishedMeasurements(t *testing.T) {
	for _, row := range []struct {
		name     string
		p        parts
		diameter string
		values   map[string][2]float64 // SI, tolerance
	}{
		{"D", parts{5.46, 11.6, 0.0882, 0.55e-3, 3.25}, "257.06 mm", map[string][2]float64{
			"re": {5.46, 0.005}, "fs": {22.85, 0.005}, "qms": {3.90, 0.005}, "qes": {0.514, 0.0005}, "qts": {0.454, 0.0005},
			"mms": {0.0882, 0.00005}, "cms": {0.55e-3, 0.005e-3}, "rms": {3.25, 0.005}, "bl": {11.6, 0.05},
		}},
		{"E", parts{6, 5, 0.038, 0.9e-3, 1.5}, "20 cm", map[string][2]float64{
			"re": {6, 0.005}, "fs": {27.2, 0.05}, "qms": {4.33, 0.005}, "qes": {1.56, 0.005}, "qts": {1.15, 0.005},
			"vas": {0.126, 0.0006}, "mms": {0.038, 0.0005}, "cms": {0.9e-3, 0.05e-3}, "rms": {1.5, 0.05}, "bl": {5, 0.05},
		}},
	} {
		loaded := row.p
		loaded.mms += 0.020
		out := filepath.Join(t.TempDir(), "measured.yaml")
		var stdout, stderr bytes.Buffer
		args := []string{"driver", "--impedance", row.p.write(t, "free.csv"), "--second", loaded.write(t, "loaded.csv"),
			"--added-mass", "20 g", "--diameter", row.diameter, "--json", "--out", out}
		if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone {
			t.Fatalf("%s: exit %d\n%s", row.name, code, stderr.String())
		}
		var doc struct {
			Drivers []struct {
				Measured struct {
					Values []struct {
						Name  string
						Value float64
					}
					Second struct {
						Fs float64 `json:"fs_hz"`
					}
				}
			}
		}
		if err := json.Unmarshal(stdout.Bytes(), &doc); err != nil {
			t.Fatal(err)
		}
		m := doc.Drivers[0].Measured
		if row.name == "D" && math.Abs(m.Second.Fs-20.63) > 0.005 {
			t.Errorf("D with 20 g: fs %.4f, published 20.63", m.Second.Fs)
		}
		found := 0
		for _, v := range m.Values {
			if want, ok := row.values[v.Name]; ok {
				found++
				if math.Abs(v.Value-want[0]) > want[1] {
					t.Errorf("%s: %s = %.6g, published %.6g within %.2g", row.name, v.Name, v.Value, want[0], want[1])
				}
			}
		}
		if found != len(row.values) {
			t.Errorf("%s: %d of %d published values in %+v", row.name, found, len(row.values), m.Values)
		}
		// the file that was written is that driver
		data, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		file, err := job.ParseDriver(out, data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		d, findings, err := file.Spec.Complete()
		if err != nil || len(findings) > 0 {
			t.Fatalf("%v %v\n%s", err, findings, data)
		}
		if math.Abs(d.Bl/row.p.bl-1) > 1e-4 || math.Abs(d.Mms/row.p.mms-1) > 1e-4 {
			t.Errorf("%s: bl %.6g and mms %.6g in\n%s", row.name, d.Bl, d.Mms, data)
		}
	}
}

// TestMeasuredKeepsTheFile holds that what the catalogue gives beside the measured values stays in the written file.
func TestMeasuredKeepsTheFile(t *testing.T) {
	p := parts{3.4, 12, 0.12, 0.25e-3, 4}
	q := p
	q.mms += 0.05
	catalogue := filepath.Join("..", "..", "examples", "drivers", "dibble-8.yaml")
	out := filepath.Join(t.TempDir(), "measured.yaml")
	var stdout, stderr bytes.Buffer
	args := []string{"driver", catalogue, "--impedance", p.write(t, "free.csv"), "--second", q.write(t, "loaded.csv"), "--added-mass", "50g", "--out", out}
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("exit %d\n%s", code, stderr.String())
	}
	text := strings.Join(strings.Fields(stdout.String()), " ")
	for _, want := range []string{"coil: none", "The coil's inductance does not show", "mms 120 g", "104.6 g +14.7 %", "measured.yaml written"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, stdout.String())
		}
	}
	for line := range strings.Lines(stdout.String()) {
		if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > lineWidth && !strings.Contains(line, "written") {
			t.Errorf("%d characters: %s", n, line)
		}
	}
	before, after := parseDriverFile(t, catalogue), parseDriverFile(t, out)
	if before.Frame != after.Frame {
		t.Errorf("frame %+v became %+v", before.Frame, after.Frame)
	}
	b, a := before.Spec, after.Spec
	if a.Name != b.Name || a.Xmax != b.Xmax || a.Xmech != b.Xmech || a.Power != b.Power || a.Impedance != b.Impedance || a.Le != b.Le || a.Sd != b.Sd {
		t.Errorf("%+v became %+v", b, a)
	}
	if a.Vas == b.Vas || a.Re == b.Re {
		t.Errorf("the catalogue's values stay: %+v", a)
	}
}

func parseDriverFile(t *testing.T, name string) *job.DriverFile {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	d, err := job.ParseDriver(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestExampleSweeps measures the example driver from the example sweeps. They were computed from parts (re 1.75 ohm, bl
// 10.1 T m, mms 171 g, cms 0.175 mm/N, rms 6.2 kg/s, le 0.5 mH with 0.6 mH beside 2 ohm) and read with a meter's noise of
// 0.5 % and 0.3 degrees, which a fit of a hundred points brings below 1 %.
func TestExampleSweeps(t *testing.T) {
	examples := filepath.Join("..", "..", "examples")
	var stdout, stderr bytes.Buffer
	args := []string{"driver", filepath.Join(examples, "drivers", "harrow-10.yaml"), "--json", "--impedance", filepath.Join(examples, "sweeps", "harrow-10-free.csv"),
		"--second", filepath.Join(examples, "sweeps", "harrow-10-60g.csv"), "--added-mass", "60 g"}
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("exit %d\n%s", code, stderr.String())
	}
	var doc struct {
		Drivers []struct {
			Driver map[string]any
		}
	}
	if err := json.Unmarshal(stdout.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]float64{"re_ohm": 1.75, "bl_t_m": 10.1, "mms_kg": 0.171, "cms_m_n": 0.175e-3, "rms_kg_s": 6.2, "xmax_m": 0.014} {
		if got, ok := doc.Drivers[0].Driver[name].(float64); !ok || math.Abs(got/want-1) > 0.01 {
			t.Errorf("%s = %v, want %v within 1 %%", name, doc.Drivers[0].Driver[name], want)
		}
	}
}
