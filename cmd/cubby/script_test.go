package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output inside the scripts")

func TestMain(m *testing.M) {
	testscript.Main(closing{m}, map[string]func(){
		"cubby": main,
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script", UpdateScripts: *update, RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			examples, err := filepath.Abs(filepath.Join("..", "..", "examples"))
			e.Setenv("EXAMPLES", examples)
			return err
		},
	})
}

// program builds the program once, as its users have it: without the test's own flags and without the race detector.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "cubby-test")
	if err != nil {
		return "", err
	}
	name := filepath.Join(dir, "cubby")
	if out, err := exec.Command("go", "build", "-o", name, ".").CombinedOutput(); err != nil {
		return "", errors.New(string(out))
	}
	return name, nil
})
