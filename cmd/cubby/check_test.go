package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// TestReadyBoxAgainstNgspice judges a ready-made vented box as its user would and compares the level with ngspice, which
// solves the same circuit from a netlist written here with the job's numbers.
func TestReadyBoxAgainstNgspice(t *testing.T) {
	if _, err := exec.LookPath("ngspice"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("ngspice is required in CI")
		}
		t.Skip("ngspice is not installed")
	}
	const volts, tolerance = 2.83, 0.01 // V, dB
	var stdout, stderr bytes.Buffer
	args := []string{"check", filepath.Join("..", "..", "testdata", "check", "port-box.yaml"), "--quiet", "--from", "10", "--to", "100",
		"--points", "11", "--curves", "-", "--out", filepath.Join(t.TempDir(), "out.pdf")}
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone && code != exitNo {
		t.Fatalf("cubby: exit %d\n%s", code, stderr.String())
	}
	rows, err := csv.NewReader(&stdout).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	flows := spiceFlows(t, volts)
	if len(flows) != len(rows)-1 {
		t.Fatalf("%d frequencies from ngspice, %d from cubby", len(flows), len(rows)-1)
	}
	for i, f := range flows {
		got, err := strconv.ParseFloat(rows[i+1][1], 64)
		if err != nil {
			t.Fatal(err)
		}
		want := 20 * math.Log10(airDensity*f[0]*f[1]/20e-6) // p = rho f |U| / r at 1 m, half space
		if math.Abs(got-want) > tolerance {
			t.Errorf("%.1f Hz: level %.4f dB, ngspice %.4f dB", f[0], got, want)
		}
	}
}

// Air at 20 C, 101.325 kPa, 50 % humidity: CIPM-2007 density, Cramer 1993 speed of sound.
const airDensity, airSpeed = 1.19931, 343.987

// spiceFlows gives frequency and outward volume flow (m3/s rms) of the box in testdata/check/port-box.yaml.
func spiceFlows(t *testing.T, volts float64) [][2]float64 {
	t.Helper()
	const (
		volume, leakQ = 0.045, 7.0
		a, length     = 0.035, 0.3
		sd            = 0.0335
	)
	area := math.Pi * a * a
	compliance := volume / (airDensity * airSpeed * airSpeed)
	outer, inner := 0.8217*a, 0.6133*a
	fb := airSpeed / (2 * math.Pi) * math.Sqrt(2*area/(volume*(length+outer+inner)))
	var b strings.Builder
	fmt.Fprintf(&b, "ready-made box\nVs 1 0 AC %g\nRe 1 2 3.4\nLe 2 3 1.4m\nVi 3 4 0\nHb 4 0 Vu 13\n", volts)
	fmt.Fprintf(&b, "Hf 10 0 Vi 13\nLm 10 11 0.13\nRm 11 12 4\nCm 12 13 0.0002\nVu 13 14 0\nEp 14 0 box 0 %.12g\n", sd)
	fmt.Fprintf(&b, "Fc 0 box Vu %.12g\nCab box 0 %.12g\nVl box leak 0\nRl leak 0 %.12g\n", sd, compliance, leakQ/(2*math.Pi*fb*compliance))
	for i := range 2 {
		fmt.Fprintf(&b, "Li%d box a%d %.12g\nT%d a%d 0 b%d 0 Z0=%.12g TD=%.12g\nLo%d b%d c%d %.12g\nVp%d c%d 0 0\n",
			i, i, airDensity*inner/area, i, i, i, airDensity*airSpeed/area, length/airSpeed, i, i, i, airDensity*outer/area, i, i)
	}
	return flowsOf(t, b.String(), fmt.Sprintf("%.12g*i(vu)-i(vp0)-i(vp1)-i(vl)", sd))
}

// flowsOf gives frequency and the size of a flow of a netlist at ten frequencies a decade from 10 to 100 Hz.
func flowsOf(t *testing.T, netlist, flow string) (flows [][2]float64) {
	t.Helper()
	netlist += fmt.Sprintf(".control\nset wr_singlescale\nac dec 10 10 100\nlet u = %s\nwrdata out.txt real(u) imag(u)\nquit\n.endc\n.end\n", flow)
	for line := range strings.Lines(simulate(t, netlist)) {
		var f, re, im float64
		if n, _ := fmt.Sscan(line, &f, &re, &im); n == 3 {
			flows = append(flows, [2]float64{f, math.Hypot(re, im)})
		}
	}
	return flows
}

// simulate runs a netlist through ngspice and gives what it wrote to out.txt.
func simulate(t *testing.T, netlist string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "box.cir"), []byte(netlist), 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("ngspice", "-b", "box.cir")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("ngspice: %v\n%s", err, out)
	}
	data, err := os.ReadFile(filepath.Join(dir, "out.txt"))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
