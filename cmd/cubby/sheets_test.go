package main

import "testing"

// The report of several jobs names all of them, without their folders.
func TestSheetsNameAllJobs(t *testing.T) {
	if got, want := baseNames([]string{"jobs/van.yaml", "shelves.csv", "-"}), "van.yaml, shelves.csv, -"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
