package unit_test

import (
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/unit"
)

// TestPatternIsWhatParseReads: each unit with each number, and texts that are near to a quantity.
func TestPatternIsWhatParseReads(t *testing.T) {
	near := []string{"", "5", "%s", "five %s", "5,1 %s", "1_000 %s", "0x5 %s", "5 %s5", "5e %s", ".%s", "nan %s", "5x%s"}
	for _, d := range all {
		pattern := regexp.MustCompile(d.Pattern())
		for _, name := range append(d.Units(), "q", "") {
			for _, number := range []string{"5", "5 ", " -5", "+5.", ".5 ", "05e2 ", "5E-3", "5.25 ", "0 "} {
				check(t, d, pattern, number+name)
			}
			for _, text := range near {
				check(t, d, pattern, strings.ReplaceAll(text, "%s", name))
			}
		}
	}
}

func check(t *testing.T, d *unit.Dimension, pattern *regexp.Regexp, text string) {
	t.Helper()
	if _, err := d.Parse(text); pattern.MatchString(text) != (err == nil) {
		t.Errorf("%s %q: the pattern says %v, the reader %v", d.Name, text, pattern.MatchString(text), err)
	}
}

func TestPatternKnowsOtherSpellings(t *testing.T) {
	for text, d := range map[string]*unit.Dimension{
		"80 \u00b5mol/m\u00b2/s": unit.PhotonFluxDensity, "80 \u03bcmol/m^2/s": unit.PhotonFluxDensity, "4 mol / m2 / d": unit.DailyLight,
		"200 W/(m K)": unit.Conductivity, "25 \u00b0C": unit.Temperature, "90\u00b0": unit.Angle, "0.3/m": unit.Attenuation,
		"260 mm\u00b2": unit.Area, "4 in^2": unit.Area, "0.45 \u00b5m": unit.Wavelength,
	} {
		if _, err := d.Parse(text); err != nil || !regexp.MustCompile(d.Pattern()).MatchString(text) {
			t.Errorf("%q is refused (the reader says %v)", text, err)
		}
	}
}

// TestPatternNeverTakesMore: what the pattern takes, Parse takes too, but for numbers too large for a float.
func TestPatternNeverTakesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(all).Draw(t, "dimension")
		text := rapid.StringMatching(d.Pattern()).Draw(t, "text")
		if _, err := d.Parse(text); err != nil && !strings.Contains(err.Error(), "too large") {
			t.Errorf("%q: %v", text, err)
		}
	})
}
