package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var catalogueFile = flag.String("catalogue", "", "write 10,000 invented drivers to this file, to time cubby rank with")

// inventedCatalogue is a list of n invented drivers of ordinary classes, 6-1/2 to 15 inch; the same every time.
func inventedCatalogue(n int) string {
	rng := rand.New(rand.NewPCG(1, 1))
	spread := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	var b strings.Builder
	b.WriteString("name,fs_hz,qms,qes,vas_l,sd_cm2,re_ohm,le_mh,xmax_mm,xmech_mm,power_w,impedance_ohm,frame_mm,cutout_mm,depth_mm,magnet_mm,displacement_l,bolts_circle_mm,bolts_count,vent,mass_kg\n")
	for i := range n {
		cone := spread(0.060, 0.165) // effective radius, m
		sd := math.Pi * cone * cone
		fs, mms := spread(20, 48), spread(1.8, 6.5)*sd
		vas := 141911 * sd * sd / (4 * math.Pi * math.Pi * fs * fs * mms)
		re := []float64{1.7, 3.4, 3.6, 6.4}[rng.IntN(4)]
		frame, xmax := 2000*cone+spread(45, 70), spread(5, 22)
		fmt.Fprintf(&b, "Invented %05d,%.1f,%.2f,%.3f,%.2f,%.1f,%.1f,%.2f,%.1f,%.1f,%.0f,%.0f,%.0f,%.0f,%.0f,%.0f,%.2f,%.0f,8,%t,%.1f\n",
			i+1, fs, spread(3, 10), spread(0.3, 0.9), vas*1000, sd*1e4, re, spread(0.4, 2.5), xmax, xmax*spread(1.2, 1.9), spread(100, 1200),
			math.Round(re*1.2+0.2), frame, frame-30, frame*spread(0.28, 0.65), frame*spread(0.45, 0.62), spread(0.8, 4), frame-13, rng.IntN(2) == 0, spread(2, 14))
	}
	return b.String()
}

// TestWriteCatalogue writes a list to time cubby rank with.
func TestWriteCatalogue(t *testing.T) {
	if *catalogueFile == "" {
		t.Skip("no -catalogue FILE")
	}
	if err := os.WriteFile(*catalogueFile, []byte(inventedCatalogue(10_000)), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestRankInterrupted: an interruption leaves a whole table of what was done, and says so.
func TestRankInterrupted(t *testing.T) {
	const drivers = 3000
	dir := t.TempDir()
	list, table := filepath.Join(dir, "list.csv"), filepath.Join(dir, "table.csv")
	if err := os.WriteFile(list, []byte(inventedCatalogue(drivers)), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{"rank", "../../examples/stepped-load-bay.yaml", list, "--csv", table, "--out", filepath.Join(dir, "x.pdf")}
	for wait := time.Second; wait < time.Minute; wait *= 2 { // until it is long enough to have begun
		ctx, cancel := context.WithTimeout(context.Background(), wait)
		var out, errs strings.Builder
		code := run(ctx, args, nil, &out, &errs)
		cancel()
		if code != exitError {
			t.Fatalf("exit status %d: %s", code, errs.String())
		}
		data, err := os.ReadFile(table)
		if err != nil {
			continue
		}
		rows := strings.Count(string(data), "\n") - 1
		if rows < 1 || rows >= drivers {
			t.Errorf("%d rows", rows)
		}
		if want := fmt.Sprintf("interrupted: the table holds %d of %d drivers", rows, drivers); !strings.Contains(errs.String(), want) {
			t.Errorf("want %q, and it says %q", want, errs.String())
		}
		if !strings.Contains(out.String(), "Interrupted: ") {
			t.Errorf("the summary does not say so: %q", out.String())
		}
		return
	}
	t.Fatal("nothing was done in a minute")
}
