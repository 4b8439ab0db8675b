package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dawnround/notebook"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"dawnround":          func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
		"dawnround-by-clock": byClock,
	})
}

// TestScripts runs the program as a person would; each script says why.
func TestScripts(t *testing.T) {
	t.Parallel()
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv(notebook.HomeVariable, filepath.Join(e.WorkDir, ".home"))
			e.Setenv("EXAMPLES", filepath.Join(root, "examples"))
			e.Setenv("DEMO", filepath.Join(root, "demo", "protocol.yaml"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"flipbit": flipBit, "takephoto": takePhoto, "damagephoto": damagePhoto, "damageblob": damageBlob,
		},
	})
}

// flipBit damages a file: flipbit FILE TEXT changes one bit of the first byte
// of TEXT where it first occurs.
func flipBit(ts *testscript.TestScript, _ bool, args []string) {
	name := ts.MkAbs(args[0])
	data, err := os.ReadFile(name)
	ts.Check(err)
	at := strings.Index(string(data), args[1])
	if at < 0 {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	data[at] ^= 1
	ts.Check(os.WriteFile(name, data, 0o600))
}
