// Package scenetest holds scenes for the tests of packages that read or change whole scenes, and the ways to vary them.
package scenetest

import (
	_ "embed"
	"strings"
	"testing"

	"fathomlux/scene"
)

// Sound is a scene without a fault and without a warning; the tests change one line of it.
//
//go:embed sound.yaml
var Sound string

// Smallest is a scene in which all that may be left out is.
//
//go:embed smallest.yaml
var Smallest string

// Edit replaces pairs of texts in a scene; each text that goes must be there.
func Edit(t testing.TB, text string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("%q is not in the scene", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// Parse returns the scene in text, which must have no fault.
func Parse(t testing.TB, text string) *scene.Scene {
	t.Helper()
	s, err := scene.Parse("foyer.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
