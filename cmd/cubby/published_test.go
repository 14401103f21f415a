package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"
)

// designJSON runs a job as its user would and gives the JSON object.
func designJSON(t *testing.T, job string, args ...string) (out struct {
	Driver  map[string]any
	Designs []struct {
		Kind      string
		NetVolume float64 `json:"net_volume_m3"`
		Alpha     float64
		Fc        float64 `json:"fc_hz"`
		Qtc       float64
		F3        float64 `json:"f3_hz"`
	}
}) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	args = append([]string{"design", job, "--json", "--out", filepath.Join(t.TempDir(), "out.pdf")}, args...)
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("cubby %s: exit %d\n%s", strings.Join(args, " "), code, stderr.String())
	}
	if err := json.Unmarshal(stdout.Bytes(), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestPublishedDrivers designs boxes for the drivers of published worked examples: problem sheets and slides of a course
// in electroacoustics (DTU 34870, after Leach, Introduction to Electroacoustics and Audio Amplifier Design), as
// transcribed in public student notes. The notes round to three figures and use 1.2 kg/m3 and 344 m/s: 0.5 %, and where
// they print two figures half of the last one, bounds every row. Zero: not published.
func TestPublishedDrivers(t *testing.T) {
	for _, row := range []struct {
		job                        string
		litres, alpha, fc, qtc, f3 float64
		alphaTolerance             float64 // relative
	}{
		{"driver-a-20l", 20.2, 4.3, 53.2, 0.7071, 53.2, 0.02}, // alpha is printed with two figures
		{"driver-a-10l", 10, 8.8, 72.2, 0.96, 58.0, 0.01},
		{"driver-b-39l", 38.8, 0, 0, 0, 51.2, 0},
		{"driver-b-40l", 40, 0, 50.7, 0.701, 51.2, 0},
		{"driver-c-100l", 100, 0, 70.1, 0.545, 0, 0},
		{"driver-c-220l", 220, 0, 55.4, 0.431, 0, 0},
	} {
		t.Run(row.job, func(t *testing.T) {
			d := designJSON(t, filepath.Join("..", "..", "testdata", "published", row.job+".yaml")).Designs[0]
			check := func(what string, got, want, relative float64) {
				if want != 0 && math.Abs(got-want) > relative*want {
					t.Errorf("%s = %.5g, published %.5g (tolerance %.2g %%)", what, got, want, 100*relative)
				}
			}
			check("net volume, l", d.NetVolume*1000, row.litres, 0.001)
			check("alpha", d.Alpha, row.alpha, row.alphaTolerance)
			check("fc", d.Fc, row.fc, 0.005)
			check("Qtc", d.Qtc, row.qtc, 0.0055)
			check("f3", d.F3, row.f3, 0.005)
		})
	}
}
