package optics_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fathomlux/scene/longtest"
)

// trusted says for each effect what it is held against, and by which tests.
var trusted = []struct{ effect, against, folder, test string }{
	{"refraction", "closed form of the landing equation, confirmed by a vector ray trace", "optics/stack", "TestLandingByAngle"},
	{"refraction", "flux of ray tubes, another quadrature, Snell's law by hand", "optics/direct", "TestOffAxisAgainstRayTubes"},
	{"refraction, panes, absorption", "a sum of straight light that knows the emitted text alone", "optics", "TestEmittedSceneGivesTheFloor"},
	{"absorption", "sums of 5 nm steps over the published tables, recomputed", "optics/water", "TestSharesLeft"},
	{"panes", "Duffie & Beckman, Solar Engineering of Thermal Processes, ex. 5.1.1 and 5.2.1; Stokes 1862", "optics/stack", "TestCover"},
	{"images", "rays followed from wall to wall through the tank", "optics/direct", "TestImagesAgainstBruteForce"},
	{"images", "a tank of perfect mirrors keeps its flux", "optics/direct", "TestMirrorTankKeepsItsFlux"},
	{"scatter", "van de Hulst, Multiple Light Scattering, 1980", "optics/trace", "TestSlabs"},
	{"bounce", "closed form of a diffuse cube; Theraja, ex. 49.19", "optics/trace", "TestClosedDiffuseBoxes"},
	{"leaves", "Beer-Lambert law with G = 0.5; exponential integral E3", "optics/trace", "TestLeavesBeerLambert"},
	{"ripple", "quadrature over Gaussian slopes, recomputed", "optics/trace", "TestFacetsSpreadABeam"},
	{"view", "Lambert's law and basic radiance, T/n^2", "optics/view", "TestFloorFromAbove"},
	{"view", "closed form of a pane; apparent depth", "optics/view", "TestThroughThePane"},
	{"view", "the surface from below, as a mirror", "optics/view", "TestUndersideIsAMirror"},
	{"heat", "Incropera et al., Fundamentals of Heat and Mass Transfer, ex. 9.3: a duct in still air", "scene/heat", "TestDuct"},
	{"heat", "the same book, ex. 3.9: long rods", "scene/heat", "TestLongRodsOfTheHandbook"},
	{"heat", "first law: power in is light and heat out", "scene/operating", "TestBalanceClosesForEveryModule"},
	{"both engines", "where photons end against where the direct sum's rays end", "optics/trace", "TestBalanceAgreesWithTheDirectSum"},
	{"flux balance", "what is emitted is found again", "optics/trace", "TestBalanceCloses"},
}

const trustHead = `# What each effect is held against

Drawn by the tests from their full run; no figure here is written by hand. Of each test the comparison is shown that came
nearest to its tolerance. Scenes are those that the test drew at random. To draw this page anew:

~~~text
mkdir trust
FATHOMLUX_LONG=1 FATHOMLUX_TRUST=$PWD/trust go test -run 'TESTS' FOLDERS
FATHOMLUX_TRUST=$PWD/trust go test ./optics -run TestTrustPage -update
~~~

`

// trustPage makes the page of what the tests recorded in a folder.
func trustPage(folder, version string) (string, error) {
	var b strings.Builder
	var tests, folders []string
	for _, one := range trusted {
		tests, folders = append(tests, one.test), append(folders, "./"+one.folder)
	}
	b.WriteString(strings.NewReplacer("TESTS", "^("+strings.Join(tests, "|")+")$", "FOLDERS", strings.Join(unique(folders), " "),
		"~~~", "```").
		Replace(trustHead))
	fmt.Fprintf(&b, "Version %s.\n\n| effect | held against | test | comparisons | scenes | nearest to its tolerance | got | "+
		"expected | deviation | allowed |\n|---|---|---|---|---|---|---|---|---|---|\n", version)
	for _, one := range trusted {
		name := strings.ReplaceAll(one.folder, "/", "-") + "." + one.test + ".json"
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			return "", err
		}
		var of longtest.Trust
		if err := json.Unmarshal(data, &of); err != nil {
			return "", fmt.Errorf("%s: %w", name, err)
		}
		scenes := "-"
		if of.Scenes > 0 {
			scenes = strconv.Itoa(of.Scenes)
		}
		fmt.Fprintf(&b, "| %s | %s | `%s` %s | %d | %s | %s | %.6g | %.6g | %.2g | %.2g |\n", one.effect, one.against, one.folder,
			one.test, of.Comparisons, scenes, of.What, of.Got, of.Want, math.Abs(of.Got-of.Want), of.Tolerance)
	}
	return b.String(), nil
}

func unique(list []string) (all []string) {
	seen := map[string]bool{}
	for _, one := range list {
		if !seen[one] {
			all, seen[one] = append(all, one), true
		}
	}
	return all
}

// TestTrustPage: each test that the page names is there, and the page has a row of each. With -update, and the records of a
// full run in the folder that FATHOMLUX_TRUST names, it draws the page anew.
func TestTrustPage(t *testing.T) {
	if folder := os.Getenv("FATHOMLUX_TRUST"); *update && folder != "" {
		source, err := os.ReadFile("../cmd/fathomlux/version.go")
		if err != nil {
			t.Fatal(err)
		}
		version := regexp.MustCompile(`sourceVersion = "([^"]+)"`).FindSubmatch(source)
		page, err := trustPage(folder, string(version[1]))
		if err == nil {
			err = os.WriteFile("TRUST.md", []byte(page), 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	page, err := os.ReadFile("TRUST.md")
	if err != nil {
		t.Fatal(err)
	}
	if rows := strings.Count(string(page), "\n| ") - 1; rows != len(trusted) {
		t.Errorf("%d rows, and %d tests are named", rows, len(trusted))
	}
	for _, one := range trusted {
		if !strings.Contains(string(page), "`"+one.folder+"` "+one.test+" |") {
			t.Errorf("%s is not on the page", one.test)
		}
		files, err := filepath.Glob(filepath.Join("..", filepath.FromSlash(one.folder), "*_test.go"))
		found := false
		for _, f := range files {
			text, err := os.ReadFile(f)
			found = found || err == nil && strings.Contains(string(text), "\nfunc "+one.test+"(t *testing.T)")
		}
		if err != nil || !found {
			t.Errorf("there is no test %s in %s", one.test, one.folder)
		}
	}
}
