package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// printedBox is what the program prints of a box, as far as a netlist needs it.
type printedBox struct {
	Net      float64 `json:"net_volume_m3"`
	Rear     float64 `json:"rear_volume_m3"`
	QL       float64 `json:"ql"`
	Tuning   float64 `json:"tuning_hz"`
	Port     map[string]float64
	Radiator map[string]any
}

// printedJob is what the program prints of a job.
type printedJob struct {
	Air            map[string]float64
	Driver         map[string]any
	Designs, Boxes []printedBox
}

// TestPassiveAndBandPassAgainstNgspice: the level that design writes for a box with a passive radiator, and check for a
// band-pass, is that of ngspice, a general-purpose circuit simulator, for the parts that they print.
func TestPassiveAndBandPassAgainstNgspice(t *testing.T) {
	if _, err := exec.LookPath("ngspice"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("ngspice is required in CI")
		}
		t.Skip("ngspice is not installed")
	}
	const tolerance = 0.01 // dB
	band := filepath.Join(t.TempDir(), "band.yaml")
	if err := os.WriteFile(band, []byte(`units: mm
driver: {fs: 30 Hz, qes: 0.45, qms: 6, vas: 40 l, sd: 340 cm2, re: 3.4, le: 1.2 mH, xmax: 11 mm}
mount: {face: front}
box: {kind: bandpass, net_volume: 19 l, rear_volume: 21 l, port: {diameter: 100, length: 160}}
`), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"design", filepath.Join("..", "..", "examples", "door-pocket-passive.yaml"), "--no-filters"}, {"check", band}} {
		out, rows := printedOf(t, args)
		netlist, flow := out.netlist()
		flows := flowsOf(t, netlist, flow)
		if len(flows) != len(rows) {
			t.Fatalf("%s: %d frequencies from ngspice, %d from cubby", args[0], len(flows), len(rows))
		}
		for i, f := range flows {
			want := 20 * math.Log10(out.Air["density_kg_m3"]*f[0]*f[1]/20e-6)
			if math.Abs(rows[i]-want) > tolerance {
				t.Errorf("%s: at %.1f Hz level %.4f dB, ngspice %.4f dB", args[0], f[0], rows[i], want)
			}
		}
	}
}

// printedOf runs a job and gives what it prints, and the levels at ten frequencies a decade from 10 to 100 Hz.
func printedOf(t *testing.T, args []string) (out printedJob, levels []float64) {
	t.Helper()
	curves := filepath.Join(t.TempDir(), "curves.csv")
	var stdout, stderr bytes.Buffer
	args = append(args, "--json", "--curves", curves, "--out", filepath.Join(t.TempDir(), "out.pdf"), "--points", "11", "--from", "10", "--to", "100")
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("%v: exit %d\n%s", args, code, stderr.String())
	}
	if err := json.Unmarshal(stdout.Bytes(), &out); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(curves)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		level, err := strconv.ParseFloat(r[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		levels = append(levels, level)
	}
	return out, levels
}

// netlist is the circuit of the first box, and the flow that it draws from outside.
func (out *printedJob) netlist() (netlist, flow string) {
	b := append(out.Designs, out.Boxes...)[0]
	rho, speed := out.Air["density_kg_m3"], out.Air["sound_speed_m_s"]
	stiff := rho * speed * speed
	of := func(key string) float64 { return out.Driver[key].(float64) }
	sd, cms := of("sd_m2"), of("cms_m_n")
	if b.Rear > 0 { // the air behind the cone is one more spring
		cms = 1 / (1/cms + stiff*sd*sd/b.Rear)
	}
	cab := b.Net / stiff
	var n strings.Builder
	fmt.Fprintf(&n, "box\nVs 1 0 AC 2.83\nRe 1 2 %g\nLe 2 3 %g\nVi 3 4 0\nHb 4 0 Vu %g\n", of("re_ohm"), math.Max(of("le_h"), 1e-12), of("bl_t_m"))
	fmt.Fprintf(&n, "Hf 10 0 Vi %g\nLm 10 11 %g\nRm 11 12 %g\nCm 12 13 %g\nVu 13 14 0\nEp 14 0 box 0 %g\n", of("bl_t_m"), of("mms_kg"), of("rms_kg_s"), cms, sd)
	fmt.Fprintf(&n, "Fc 0 box Vu %g\nCab box 0 %g\nVl box leak 0\nRl leak 0 %g\n", sd, cab, b.QL/(2*math.Pi*b.Tuning*cab))
	if r := b.Radiator; r != nil {
		at := func(key string) float64 { return r[key].(float64) }
		k := at("count") * at("sd_m2") * at("sd_m2")
		fmt.Fprintf(&n, "Vp box a 0\nLp a b %g\nRp b c %g\nCp c 0 %g\n", at("mms_kg")/k, at("rms_kg_s")/k, at("cms_m_n")*k)
		return n.String(), fmt.Sprintf("%g*i(vu)-i(vp)-i(vl)", sd)
	}
	p := b.Port
	fmt.Fprintf(&n, "Li box a %g\nTp a 0 b 0 Z0=%g TD=%g\nLo b c %g\nVp c 0 0\n", rho*p["end_inner_m"]/p["area_m2"], rho*speed/p["area_m2"],
		p["length_m"]/speed, rho*p["end_outer_m"]/p["area_m2"])
	return n.String(), "i(vp)+i(vl)"
}
