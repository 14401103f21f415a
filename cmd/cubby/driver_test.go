package main

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
)

// TestExampleDrivers holds that every example driver is complete and agrees with itself, and that a line of print never
// exceeds the terminal.
func TestExampleDrivers(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "examples", "drivers", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	var stdout, stderr bytes.Buffer
	if code := run(context.Background(), append([]string{"driver", "--json"}, files...), strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("exit %d\n%s", code, stderr.String())
	}
	var out struct {
		Drivers []struct {
			File     string
			Findings []struct{ Severity, Text string }
			Missing  []struct{ What string }
			Sealed   []struct {
				Volume *float64 `json:"net_volume_m3"`
			}
			Vented []struct {
				Volume float64 `json:"net_volume_m3"`
			}
		}
	}
	if err := json.Unmarshal(stdout.Bytes(), &out); err != nil {
		t.Fatal(err)
	}
	if len(out.Drivers) != len(files) {
		t.Fatalf("%d drivers of %d files", len(out.Drivers), len(files))
	}
	for _, d := range out.Drivers {
		for _, f := range d.Findings {
			if f.Severity != "note" {
				t.Errorf("%s: %s: %s", d.File, f.Severity, f.Text)
			}
		}
		if len(d.Missing) > 0 || len(d.Sealed) != 5 || len(d.Vented) == 0 {
			t.Errorf("%s: missing %v, %d sealed and %d vented boxes", d.File, d.Missing, len(d.Sealed), len(d.Vented))
		}
	}
	stdout.Reset()
	if code := run(context.Background(), append([]string{"driver"}, files...), strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("exit %d\n%s", code, stderr.String())
	}
	for line := range strings.Lines(stdout.String()) {
		if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > lineWidth {
			t.Errorf("%d characters: %s", n, line)
		}
	}
}
