package study

import (
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
)

// TestVerdictsTellMissesApart: what just misses a goal is told with enough digits, in every sentence that holds it against it.
func TestVerdictsTellMissesApart(t *testing.T) {
	g := scene.Goal{Plane: scene.PlaneRef{Name: "floor"}, PPFD: 30, DLI: 1, Uniformity: 0.5}
	p := result.Plane{Name: "floor", Illuminance: result.Statistics{Mean: 1999.7, MinOverMean: 0.4998}, PPFD: result.Statistics{Mean: 29.97, MinOverMean: 0.4997}, DLI: 0.9996}
	goal := optics.Judge(g, []result.PartLight{{Illuminance: p.Illuminance, PPFD: p.PPFD, DLI: p.DLI}}, 1, finding.Finding{})
	goal.Plane = "floor"
	own := result.Candidate{Done: true, Illuminance: p.Illuminance, PPFD: p.PPFD, DLI: p.DLI, Goal: goal}
	words := optics.Verdict(g, optics.Judge(g, []result.PartLight{{Illuminance: p.Illuminance, PPFD: p.PPFD, DLI: p.DLI}}, 1, finding.Finding{}), &p).String() + verdict(&result.Study{Shown: result.PPFD, Candidates: []result.Candidate{own}}, g).String()
	for _, want := range []string{"gets 29.97 µmol/m²/s (2000 lx, 0.9996 mol/m²/day) on average, uniformity U0 (min/mean) 0.4997, but the goal is not met: ", "PPFD of 29.97 µmol/m²/s is below 30.00 µmol", "DLI of 0.9996 mol/m²/day is below 1.0000",
		"(mean 29.97 µmol/m²/s, U0 0.4997)", ": floor mean PPFD of 29.97 µmol/m²/s is below 30.00 µmol/m²/s; floor DLI of 0.9996 mol/m²/day is below 1.0000 mol/m²/day; floor uniformity U0 of 0.4997 is below 0.5000; it comes closest"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is not in %q", want, words)
		}
	}
	g = scene.Goal{Plane: g.Plane, IlluminanceLx: 2000}
	words = optics.Verdict(g, optics.Judge(g, []result.PartLight{{Illuminance: p.Illuminance, PPFD: p.PPFD, DLI: p.DLI}}, 1, finding.Finding{}), &p).String()
	for _, want := range []string{"gets 1999.7 lx on average", "illuminance of 1999.7 lx is below 2000.0 lx"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is not in %q", want, words)
		}
	}
}
