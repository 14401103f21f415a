// Package spice has ngspice, a general-purpose circuit simulator, solve what tests compare with. Tests alone import it.
package spice

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Run solves a netlist, with its commands, and gives the file of that name which they write. Without ngspice the test is
// skipped, or fails where CI is true.
func Run(t *testing.T, netlist, answer string) []byte {
	t.Helper()
	program, err := exec.LookPath("ngspice")
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatal("ngspice is required when CI=true: ", err)
	} else if err != nil {
		t.Skip("ngspice is not installed")
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "circuit.cir"), []byte(netlist), 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, "-b", "circuit.cir")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	data, readErr := os.ReadFile(filepath.Join(dir, answer))
	if readErr != nil {
		t.Fatalf("ngspice gave no answer (%v):\n%s", err, out)
	}
	return data
}
