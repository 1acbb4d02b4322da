package scene_test

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/scenetest"
)

// lensScene is the sound scene with a measured optic, whose file is given, or with two names for it.
func lensScene(t *testing.T, file string) (*scene.Scene, error) {
	t.Helper()
	in := folder(t, map[string]string{
		"foyer.yaml":   scenetest.Edit(t, scenetest.Sound, "optic: round-40", "optic: lens") + "parts: kit/own.yaml\n",
		"kit/own.yaml": ownParts, "lens.ies": file,
	})
	s, err := scene.Read(filepath.Join(in, "foyer.yaml"))
	if err != nil {
		return nil, errText(strings.ReplaceAll(err.Error(), in+string(filepath.Separator), ""))
	}
	for i := range s.Warnings {
		s.Warnings[i].Place.File = filepath.Base(s.Warnings[i].Place.File)
	}
	return s, nil
}

type errText string

func (e errText) Error() string { return string(e) }

// TestMeasuredOpticHasAngles: beam and field angles come from the file, by hand from its two slopes, and the library has
// them too.
func TestMeasuredOpticHasAngles(t *testing.T) {
	s, err := lensScene(t, measuredLens)
	if err != nil {
		t.Fatal(err)
	}
	o := s.Rails[0].Modules[0].Optic
	if d := math.Pi / 180; math.Abs(o.BeamRad-40*d) > 1e-9 || math.Abs(o.BeamAcrossRad-40*d) > 1e-9 || math.Abs(o.FieldRad-2*52*d) > 1e-9 || o.FieldRad != o.FieldAcrossRad {
		t.Errorf("beam %g, %g, field %g", o.BeamRad/d, o.BeamAcrossRad/d, o.FieldRad/d)
	}
	if s.Catalogue.Optics["lens"] != o {
		t.Errorf("the library has %+v", s.Catalogue.Optics["lens"])
	}
}

// TestMeasuredFaultsAreTheScenes: what is wrong in the file stands at its place in the file, all at once.
func TestMeasuredFaultsAreTheScenes(t *testing.T) {
	for want, pair := range map[string][2]string{
		"lens.ies:6:6: the vertical angles do not rise: 60 follows 95":                                                      {"0 20 60", "0 95 60"},
		"lens.ies:5:1: the ballast factor (field 11) is \"0\"; give a factor from 1e-06 to 1e+06, mostly 1\nlens.ies:8:9: ": {"1 1 5\n0 20 60 90\n0\n200 100 0 0", "0 1 5\n0 20 60 90\n0\n200 100 x 0"},
		"foyer.yaml:19:42: rails[0].modules.optic: the distribution of lens, lens.ies, has light above its horizon only":    {"0 20 60 90\n0\n200 100 0 0", "90 120 160 180\n0\n200 100 0 0"},
	} {
		_, err := lensScene(t, strings.Replace(measuredLens, pair[0], pair[1], 1))
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got\n%v\nwant\n%s", err, want)
		}
	}
}

func TestMeasuredWarningsAreTheScenes(t *testing.T) {
	for want, pair := range map[string][2]string{
		"lens.ies:6:9: the vertical angles end at 85°, where there are still 9 cd": {"90\n0\n200 100 0 0", "85\n0\n200 100 0 9"},
		"goes above its horizon and counts as spill":                               {"60 90\n0\n200 100 0 0", "60 180\n0\n200 100 50 0"},
		"the distribution of lens, lens.ies, has no light on its axis":             {"200 100", "0 100"},
	} {
		s, err := lensScene(t, strings.Replace(measuredLens, pair[0], pair[1], 1))
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Warnings) != 1 || !strings.Contains(s.Warnings[0].String(), want) {
			t.Errorf("%v does not say %q", s.Warnings, want)
		}
	}
}
