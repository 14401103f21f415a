package export

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"cubby/internal/design"
	"cubby/internal/job"
)

// example designs an example and gives the result with its JSON.
func example(t *testing.T, name string) (*design.Result, map[string]any) {
	t.Helper()
	dir := filepath.Join("..", "..", "examples")
	data, err := os.ReadFile(filepath.Join(dir, name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	req, err := job.Parse(name, data, func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, name)) })
	if err != nil {
		t.Fatal(err)
	}
	r, err := design.Run(context.Background(), *req)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := JSON(&b, r, Head{Version: "1", Command: "design", Job: name}); err != nil {
		t.Fatal(err)
	}
	got := map[string]any{}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	return r, got
}

// keys reports those of a JSON object that are missing.
func keys(t *testing.T, where string, object any, want ...string) map[string]any {
	t.Helper()
	m, _ := object.(map[string]any)
	for _, k := range want {
		if _, ok := m[k]; !ok {
			t.Errorf("%s has no %s", where, k)
		}
	}
	return m
}

func entries(v any) []any { l, _ := v.([]any); return l }

func vector(v any) (p [3]float64) {
	for i, x := range entries(v) {
		p[i] = x.(float64)
	}
	return p
}

// enclosed is the volume within faces that are counter-clockwise from outside, mm3: one sixth of the sum of the triple products
// of their triangles (the divergence theorem).
func enclosed(faces []any) float64 {
	sum := 0.0
	for _, f := range faces {
		loop := entries(f)
		a := vector(loop[0])
		for i := 1; i+1 < len(loop); i++ {
			b, c := vector(loop[i]), vector(loop[i+1])
			sum += a[0]*(b[1]*c[2]-b[2]*c[1]) + a[1]*(b[2]*c[0]-b[0]*c[2]) + a[2]*(b[0]*c[1]-b[1]*c[0])
		}
	}
	return sum / 6
}

// Every key that other programs are promised is there and agrees with the others: boxes across and along the depth, round a
// block, sealed and vented.
func TestEveryKey(t *testing.T) {
	for _, name := range []string{"cargo-floor-rectangle", "stepped-load-bay", "under-bench-wedge"} {
		t.Run(name, func(t *testing.T) {
			r, d := example(t, name)
			keys(t, "the document", d, "version", "command", "job", "air", "driver", "designs", "panels", "sheets", "sheets_lower_bound", "size_tradeoff",
				"spread", "stick_tests", "work", "space", "checks", "verdict")
			keys(t, "work", d["work"], "bill", "setups", "cuts", "steps", "fill_m3", "screws", "checks")
			if s := keys(t, "space", d["space"], "stations_mm", "blocks", "open"); len(entries(s["stations_mm"])) != len(r.Request.Space.Stations) ||
				len(entries(s["blocks"])) != len(r.Request.Space.Blocks) || len(entries(s["open"])) == 0 {
				t.Errorf("space is not as measured: %v", s)
			}
			for i, one := range entries(d["designs"]) {
				checkDesign(t, r, i, one)
			}
			first := entries(d["designs"])[0].(map[string]any)
			if d["verdict"] != first["verdict"] || first["because"] != "best" || len(entries(d["stick_tests"])) != len(entries(first["stick_tests"])) {
				t.Error("the document does not speak of its first design")
			}
			checkSizes(t, d)
			spread := keys(t, "spread", d["spread"], "f3_hz", "mean_level_db")
			for name, m := range spread {
				if l := entries(m); name != "grades_that_change" && (len(l) != 2 || l[0].(float64) > l[1].(float64)) {
					t.Errorf("spread of %s: %v", name, m)
				}
			}
			checkCurves(t, r)
		})
	}
}

func checkDesign(t *testing.T, r *design.Result, i int, one any) {
	t.Helper()
	d := &r.Designs[i]
	o := keys(t, "a design", one, "rank", "kind", "net_volume_m3", "gross_volume_m3", "ql", "f3_hz", "f10_hz", "peak_db", "because", "score", "settings",
		"minutes", "standing", "outside", "inside", "deductions", "panels", "sheets", "checks", "warnings", "verdict", "stick_tests")
	if !slices.Contains([]any{"best", "other kind", "quiet port", "smallest", "lowest"}, o["because"]) {
		t.Errorf("because: %v", o["because"])
	}
	if o["kind"] == "sealed" {
		keys(t, "a sealed design", one, "fc_hz", "qtc")
	} else {
		keys(t, "a ported design", one, "tuning_hz", "port")
		p := keys(t, "its port", o["port"], "area_m2", "length_m", "end_inner_m", "end_outer_m", "count")
		for key, want := range map[string]float64{"end_inner_m": d.Port.EndInner, "end_outer_m": d.Port.EndOuter, "length_per_hz_m": d.Port.MillimetrePerHertz} {
			if got, _ := p[key].(float64); math.Abs(got-want) > 1e-6*math.Abs(want) || want == 0 {
				t.Errorf("%s: %v, not %v", key, got, want)
			}
		}
		if d.Port.EndInner == d.Port.EndOuter {
			t.Error("equal ends cannot show that they are swapped")
		}
	}
	for _, s := range entries(o["settings"]) {
		keys(t, "a setting", s, "what", "value", "unit", "text")
	}
	if o["minutes"].(float64) <= 0 {
		t.Error("no minutes")
	}
	stand := keys(t, "standing", o["standing"], "on", "height_mm", "text")
	out := keys(t, "outside", o["outside"], "axis", "from_mm", "to_mm", "faces_mm", "section_mm")
	axis := slices.Index([]string{"across", "depth", "up"}, out["axis"].(string))
	if axis == 0 {
		keys(t, "outside of a prism across", out, "width_mm", "left_mm")
		keys(t, "inside of a prism across", o["inside"], "width_mm", "section_mm")
	}
	low, high := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, f := range entries(out["faces_mm"]) {
		for _, p := range entries(f) {
			v := vector(p)
			for k := range v {
				low[k], high[k] = math.Min(low[k], v[k]), math.Max(high[k], v[k])
			}
		}
	}
	near := func(a, b any) bool { return math.Abs(a.(float64)-b.(float64)) < 1e-3 }
	if !near(low[axis], out["from_mm"]) || !near(high[axis], out["to_mm"]) {
		t.Errorf("along its axis the box goes from %g to %g, not %v to %v", low[axis], high[axis], out["from_mm"], out["to_mm"])
	}
	if !near(low[2], stand["height_mm"]) {
		t.Errorf("the base is %g high, standing says %v", low[2], stand["height_mm"])
	}
	if v := enclosed(entries(out["faces_mm"])) * 1e-9; math.Abs(v/d.Box.OuterVolume-1) > 1e-6 {
		t.Errorf("the outer faces hold %g m3, the box %g", v, d.Box.OuterVolume)
	}
	in := keys(t, "inside", o["inside"], "faces_mm")
	if v := enclosed(entries(in["faces_mm"])) * 1e-9; math.Abs(v/d.Box.InsideVolume-1) > 1e-6 {
		t.Errorf("the inner faces hold %g m3, the box %g", v, d.Box.InsideVolume)
	}
	air := d.Box.InsideVolume
	for _, x := range entries(o["deductions"]) {
		air -= x.(map[string]any)["volume_m3"].(float64)
	}
	if math.Abs(air-o["net_volume_m3"].(float64)) > 1e-9 {
		t.Errorf("what is left inside is %g m3, net_volume_m3 says %v", air, o["net_volume_m3"])
	}
	for _, p := range entries(o["panels"]) {
		keys(t, "a panel", p, "role", "place", "outer_mm", "inner_mm", "edges", "holes")
	}
}

// checkSizes looks at the trade-off of size: by rising air, each with an outside that could hold it.
func checkSizes(t *testing.T, d map[string]any) {
	t.Helper()
	any := false
	for kind, list := range keys(t, "size_tradeoff", d["size_tradeoff"], "sealed", "vented", "passive") {
		last := 0.0
		for _, p := range entries(list) {
			any = true
			o := keys(t, "a size", p, "net_volume_m3", "f3_hz", "f10_hz", "mean_level_db", "port_speed_m_s", "outside_mm")
			size := vector(o["outside_mm"])
			net := o["net_volume_m3"].(float64)
			if net <= last || size[0]*size[1]*size[2]*1e-9 <= net {
				t.Errorf("%s: %g m3 after %g in %v", kind, net, last, size)
			}
			last = net
		}
	}
	if !any {
		t.Error("no trade-off of size")
	}
}

// checkCurves looks at the columns beside the ones that every program had: a warm coil plays less loud, the marks are about the
// level, and each is empty only where it may be.
func checkCurves(t *testing.T, r *design.Result) {
	t.Helper()
	var b bytes.Buffer
	best := &r.Designs[0]
	if err := Curves(&b, best.Curves); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"frequency_hz", "level_db", "cabin_level_db", "phase_deg", "excursion_mm", "port_speed_m_s", "impedance_ohm", "impedance_phase_deg",
		"group_delay_ms", "max_level_db", "limited_by", "max_level_warm_db", "level_p10_db", "level_p90_db"}
	if !slices.Equal(rows[0], want) {
		t.Errorf("header: %v", rows[0])
	}
	for i, p := range best.Curves {
		if (rows[i+1][9] == "") != (rows[i+1][11] == "") {
			t.Fatalf("at %s Hz one of the maximum levels is missing", rows[i+1][0])
		}
		if p.MaxWarm > p.MaxLevel+0.5 { // an excursion limit lets a warm coil play as loud, and the box's own damping may give it a little
			t.Errorf("at %.1f Hz a warm coil plays %.2f dB, a cold one %.2f", p.Frequency, p.MaxWarm, p.MaxLevel)
		}
		if within := p.Frequency >= 10 && p.Frequency <= 200; within == (rows[i+1][12] == "") {
			t.Fatalf("at %s Hz: 10 %% mark %q", rows[i+1][0], rows[i+1][12])
		}
		const outside = 1.0 // dB by which the level itself may lie beyond the marks: it is one of the draws, not their middle
		if p.Frequency <= 200 && !(p.LevelLow <= p.Level+outside && p.Level-outside <= p.LevelHigh) {
			t.Errorf("at %.1f Hz the level is %.2f dB, its marks %.2f and %.2f", p.Frequency, p.Level, p.LevelLow, p.LevelHigh)
		}
	}
}
