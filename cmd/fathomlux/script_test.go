package main

import (
	"net/http"
	"os"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"fathomlux/scene/longtest"
)

// tests are the tests of the package, with the browser that they share.
type tests struct{ *testing.M }

// Run runs them and ends the browser. No answer of a page is waited for without end.
func (m tests) Run() int {
	http.DefaultClient.Timeout = browserPatience
	defer func() { endBrowser() }()
	return m.M.Run()
}

// TestMain lets this test binary stand in for the program: in scripts and in documents `fathomlux` is Main.
func TestMain(m *testing.M) {
	testscript.Main(tests{m}, map[string]func(){"fathomlux": func() { os.Exit(Main()) }})
}

// TestScripts runs what a user could type; scripts stop at [!long] but in full. UPDATE_SCRIPTS=1 renews the outputs that scripts compare with.
func TestScripts(t *testing.T) {
	full := longtest.Pick(false, true)
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Deadline:            time.Now().Add(9 * time.Minute), // for all of them, on a loaded machine
		Condition:           func(name string) (bool, error) { return name == "long" && full, nil },
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
	})
}
