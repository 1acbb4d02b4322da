package longtest

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// Trust is what one test has held against something outside the project: how often, in how many drawn scenes, and what
// came nearest to its tolerance.
type Trust struct {
	Package, Test        string
	Comparisons, Scenes  int
	What                 string
	Got, Want, Tolerance float64
}

var trust struct {
	sync.Mutex
	of map[string]*Trust // by test
}

// Held records a comparison of a test, and Drawn a scene that it drew, in the folder that FATHOMLUX_TRUST names, a file a test;
// where it names none they do nothing. Package optics makes its page TRUST.md of these.
func Held(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	record(t, func(of *Trust) {
		of.Comparisons++
		if of.Comparisons == 1 || used(got, want, tolerance) > used(of.Got, of.Want, of.Tolerance) {
			of.What, of.Got, of.Want, of.Tolerance = what, got, want, tolerance
		}
	})
}

// Drawn is described at Held.
func Drawn(t testing.TB) {
	t.Helper()
	record(t, func(of *Trust) { of.Scenes++ })
}

// used is which share of its tolerance a comparison takes.
func used(got, want, tolerance float64) float64 {
	if got == want {
		return 0
	}
	return math.Abs(got-want) / tolerance
}

func record(t testing.TB, change func(*Trust)) {
	t.Helper()
	folder := os.Getenv("FATHOMLUX_TRUST")
	if folder == "" {
		return
	}
	name, _, _ := strings.Cut(t.Name(), "/")
	trust.Lock()
	defer trust.Unlock()
	if trust.of == nil {
		trust.of = map[string]*Trust{}
	}
	of := trust.of[name]
	if of == nil {
		of = &Trust{Package: packageHere(), Test: name}
		trust.of[name] = of
		t.Cleanup(func() { of.write(t, folder) })
	}
	change(of)
}

// packageHere is the folder of the package under test below the module.
func packageHere() string {
	here, _ := os.Getwd()
	for top := here; top != filepath.Dir(top); top = filepath.Dir(top) {
		if _, err := os.Stat(filepath.Join(top, "go.mod")); err == nil {
			inside, _ := filepath.Rel(top, here)
			return filepath.ToSlash(inside)
		}
	}
	return here
}

func (of *Trust) write(t testing.TB, folder string) {
	trust.Lock()
	defer trust.Unlock()
	data, err := json.Marshal(of)
	if err == nil {
		err = os.WriteFile(filepath.Join(folder, strings.ReplaceAll(of.Package, "/", "-")+"."+of.Test+".json"), data, 0o644)
	}
	if err != nil {
		t.Error(err)
	}
}
