package main

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"
)

// TestLicencesNameEveryModule holds that the file of licences has every module that the program is built from.
func TestLicencesNameEveryModule(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}{{end}}{{end}}", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	for module := range strings.FieldsSeq(string(out)) {
		if !bytes.Contains(licences, []byte("\n"+module+"\n")) {
			t.Errorf("%s is not in THIRD-PARTY-LICENCES: run .ci/licences", module)
		}
	}
	if got := stdoutOf(t, "--licences"); got != string(licences) {
		t.Error("--licences prints something else than the file")
	}
}
