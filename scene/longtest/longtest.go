// Package longtest tells tests how far their long laws run: random tanks by the hundred, kills, readings. It is for
// tests alone. Its calls stand in the test function itself, by which .ci/run finds the tests that have more to try.
package longtest

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// Pick returns sample, what a law is tried on each time, or full, where FATHOMLUX_LONG=1 asks for all of it. Where
// that is a share between 0 and 1, a number goes so much of the way from sample to full; what is no number is full at
// any share.
func Pick[T any](sample, full T) T {
	part := share()
	if part == 0 {
		return sample
	}
	if part == 1 {
		return full
	}
	switch from := any(sample).(type) {
	case int:
		return any(from + steps(part, any(full).(int)-from)).(T)
	case int64:
		return any(from + int64(steps(part, int(any(full).(int64)-from)))).(T)
	case uint64:
		return any(from + uint64(steps(part, int(any(full).(uint64)-from)))).(T)
	case float64:
		return any(from + part*(any(full).(float64)-from)).(T)
	}
	return full
}

// steps is the share of a way of whole steps.
func steps(part float64, way int) int { return int(math.Round(part * float64(way))) }

// share is what FATHOMLUX_LONG says: 0 where it is not set, 1 for all.
func share() float64 {
	text := os.Getenv("FATHOMLUX_LONG")
	if text == "" {
		return 0
	}
	part, err := strconv.ParseFloat(text, 64)
	if err != nil || !(part >= 0 && part <= 1) {
		panic(fmt.Sprintf("FATHOMLUX_LONG is %q; it takes a share from 0 to 1", text))
	}
	return part
}

// Check is rapid.Check for laws whose examples take long: five examples of one seed, and in full as many as rapid is
// asked for, of any seed; at a share, a number between. A package that calls it calls rapid.Check nowhere, since what
// it sets holds for both.
func Check(t *testing.T, law func(*rapid.T)) {
	t.Helper()
	sample()
	rapid.Check(t, law)
}

// sample sets rapid's flags once, before any law runs.
var sample = sync.OnceFunc(func() {
	asked, err := strconv.Atoi(flag.Lookup("rapid.checks").Value.String())
	if err == nil {
		err = flag.Set("rapid.checks", strconv.Itoa(Pick(5, asked)))
	}
	if err == nil && Pick(true, false) {
		err = flag.Set("rapid.seed", "1")
	}
	if err != nil {
		panic(err) // rapid has no such flags any more
	}
})

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

// Held records a comparison of a test, and Drawn a scene that it drew, in the folder that FATHOMLUX_TRUST names, a file
// a test; where it names none they do nothing. Package optics makes its page TRUST.md of these.
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
