package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A measuredAnswer is what these tests read of the command's JSON.
type measuredAnswer struct {
	Verdict  string
	Measured struct {
		Tuning   float64 `json:"tuning_hz"`
		Fc       float64 `json:"fc_hz"`
		Qtc      float64 `json:"qtc"`
		Volume   float64 `json:"net_volume_m3"`
		QL       float64 `json:"ql"`
		FitError float64 `json:"fit_error_pct"`
	}
	Changes []struct{ What, Text string }
}

// measure runs the command on a job and a sweep.
func measure(t *testing.T, want int, args ...string) measuredAnswer {
	t.Helper()
	var stdout, stderr bytes.Buffer
	args = append([]string{"measured", "--json", "--out", filepath.Join(t.TempDir(), "out.pdf")}, args...)
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != want {
		t.Fatalf("cubby %s: exit %d, want %d\n%s", strings.Join(args, " "), code, want, stderr.String())
	}
	var a measuredAnswer
	if err := json.Unmarshal(stdout.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

func within(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got/want-1) <= share) {
		t.Errorf("%s %.5g, built %.5g: not within %.2g", what, got, want, share)
	}
}

// TestMeasuredAgainstNgspice measures boxes that were built otherwise than the job says; ngspice plays them from a netlist
// written here, read with a meter's noise (0.5 % of the magnitude, 0.3 degrees).
func TestMeasuredAgainstNgspice(t *testing.T) {
	if _, err := exec.LookPath("ngspice"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("ngspice is required in CI")
		}
		t.Skip("ngspice is not installed")
	}
	const volumeWithin, tuningWithin = 0.02, 0.005
	vented := filepath.Join("..", "..", "testdata", "check", "port-box.yaml") // 45 l, two ports of 300 mm
	a := measure(t, exitDone, vented, spiceSweep(t, 0.0432, 0.280, 7))
	within(t, "vented volume", a.Measured.Volume, 0.0432, volumeWithin)
	within(t, "tuning", a.Measured.Tuning, tubeTuning(0.0432, 0.280), tuningWithin)

	a = measure(t, exitNo, vented, spiceSweep(t, 0.045, 0.300, 3))
	within(t, "leaky volume", a.Measured.Volume, 0.045, volumeWithin)
	within(t, "leaky tuning", a.Measured.Tuning, tubeTuning(0.045, 0.300), tuningWithin)
	if len(a.Changes) == 0 || a.Changes[0].What != "leak" {
		t.Errorf("a QL of 3 gives the changes %+v", a.Changes)
	}

	data, err := os.ReadFile(vented)
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(data), "box:")
	sealed := filepath.Join(t.TempDir(), "sealed.yaml")
	if err := os.WriteFile(sealed, []byte(head+"box: {kind: sealed, net_volume: 30 l}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	a = measure(t, exitNo, sealed, spiceSweep(t, 0.025, 0, 0))
	within(t, "sealed volume", a.Measured.Volume, 0.025, volumeWithin)
}

// tubeTuning is that of the two ports of the job in volume m3 with another length, m.
func tubeTuning(volume, length float64) float64 {
	const a = 0.035
	return airSpeed / (2 * math.Pi) * math.Sqrt(2*math.Pi*a*a/(volume*(length+(0.8217+0.6133)*a)))
}

// spiceSweep has ngspice sweep the driver of testdata/check/port-box.yaml in a box of its own, with its two ports of
// another length (0: none), and writes it as a meter would.
func spiceSweep(t *testing.T, volume, length, leakQ float64) string {
	t.Helper()
	const a, sd = 0.035, 0.0335
	var b strings.Builder
	compliance := volume / (airDensity * airSpeed * airSpeed)
	fmt.Fprintf(&b, "built\nI1 0 1 AC 1\nVi 1 2 0\nRe 2 3 3.4\nLe 3 4 1.4m\nHb 4 0 Vu 13\n")
	fmt.Fprintf(&b, "Hf 10 0 Vi 13\nLm 10 11 0.13\nRm 11 12 4\nCm 12 13 0.0002\nVu 13 14 0\nEp 14 0 0 box %.12g\n", sd)
	fmt.Fprintf(&b, "Fc box 0 Vu %.12g\nCab box 0 %.12g\nRdc box 0 1e16\n", sd, compliance)
	if length > 0 {
		area := math.Pi * a * a
		for i := range 2 {
			fmt.Fprintf(&b, "Li%d box a%d %.12g\nT%d a%d 0 b%d 0 Z0=%.12g TD=%.12g\nLo%d b%d 0 %.12g\n", i, i, airDensity*0.6133*a/area,
				i, i, i, airDensity*airSpeed/area, length/airSpeed, i, i, airDensity*0.8217*a/area)
		}
	}
	if leakQ > 0 {
		fmt.Fprintf(&b, "Rl box 0 %.12g\n", leakQ/(2*math.Pi*tubeTuning(volume, length)*compliance))
	}
	b.WriteString(".control\nset wr_singlescale\nset numdgt=12\nac dec 50 5 400\nwrdata out.txt v(1)\nquit\n.endc\n.end\n")
	rng := rand.New(rand.NewPCG(5, 3))
	var table strings.Builder
	table.WriteString("frequency_hz,impedance_ohm,impedance_phase_deg\n")
	for line := range strings.Lines(simulate(t, b.String())) {
		var f, re, im float64
		if n, _ := fmt.Sscan(line, &f, &re, &im); n == 3 {
			fmt.Fprintf(&table, "%.6g,%.5g,%.3f\n", f, math.Hypot(re, im)*(1+0.005*rng.NormFloat64()), math.Atan2(im, re)*180/math.Pi+0.3*rng.NormFloat64())
		}
	}
	name := filepath.Join(t.TempDir(), "sweep.csv")
	if err := os.WriteFile(name, []byte(table.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// TestMeasuredExample measures the box of the examples, which is 1.8 l smaller than its job says and whose port is 34 mm
// shorter.
func TestMeasuredExample(t *testing.T) {
	a := measure(t, exitDone, filepath.Join("..", "..", "examples", "check-built-tube.yaml"), filepath.Join("..", "..", "examples", "check-built-tube.csv"))
	within(t, "volume", a.Measured.Volume, 0.0342, 0.02)
	within(t, "QL", a.Measured.QL, 6, 0.02)
	if len(a.Changes) != 2 || !strings.Contains(a.Changes[1].Text, "34.0 mm shorter") {
		t.Errorf("changes %+v", a.Changes)
	}
}
