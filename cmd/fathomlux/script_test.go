package main

import (
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets this test binary stand in for the program: in scripts and in documents `fathomlux` is Main.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"fathomlux": func() { os.Exit(Main()) }})
}

// TestScripts runs what a user could type. UPDATE_SCRIPTS=1 renews the outputs that scripts compare with.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
	})
}
