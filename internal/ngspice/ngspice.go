// Package ngspice has the circuit simulator ngspice solve netlists. It is for tests alone.
package ngspice

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Need skips the test where ngspice is not installed, and fails it with CI=true.
func Need(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("ngspice"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("ngspice is required when CI=true: ", err)
		}
		t.Skip("ngspice is not installed")
	}
}

// Solve runs a netlist with its control lines, as Need has it, and gives what it writes into the file called answer.
func Solve(t testing.TB, netlist, answer string) []byte {
	t.Helper()
	Need(t)
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "net.cir"), []byte(netlist), 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("ngspice", "-b", "net.cir")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	data, readErr := os.ReadFile(filepath.Join(dir, answer))
	if readErr != nil {
		t.Fatalf("ngspice gave no answer (%v):\n%s", err, out)
	}
	return data
}
