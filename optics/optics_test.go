package optics

import (
	"cmp"
	"context"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fathomlux/optics/direct"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
)

// directEngine readies the direct sum for a scene of cold modules.
func directEngine(t *testing.T, sc *scene.Scene) *direct.Engine {
	t.Helper()
	st, err := newModel(sc)
	if err != nil {
		t.Fatal(err)
	}
	e, err := direct.New(context.Background(), st, direct.Options{Workers: 2, Attenuation: water.Direct, Rays: 2000})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func compute(t *testing.T, sc *scene.Scene, o Options) *result.Map {
	t.Helper()
	m, err := Map(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestModulesBecomeDies(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf, "count: 1", "count: 2, spacing: 200 mm", "above_water: 150 mm", "above_water: 150 mm\n    tilt: 30 deg")
	st, err := newModel(sc)
	if err != nil {
		t.Fatal(err)
	}
	if len(st.Sources) != 8 || st.Modules() != 2 || len(st.Beams) != 1 || len(st.Spectra) != 1 {
		t.Fatalf("%d sources, %d modules, %d beams, %d spectra", len(st.Sources), st.Modules(), len(st.Beams), len(st.Spectra))
	}
	var lm, x, y, z float64
	for _, s := range st.Sources[:4] {
		lm += s.EmittedLm
		x, y, z = x+s.Position.X/4, y+s.Position.Y/4, z+s.Position.Z/4
	}
	for what, pair := range map[string][2]float64{"lm": {lm, 4 * sc.Rails[0].Modules[0].Part.FluxLm.AtOrZero(0.35)}, "x": {x, 0.2}, "y": {y, 0.15}, "z": {z, 0.45}} {
		if math.Abs(pair[0]-pair[1]) > 1e-9 {
			t.Errorf("%s of the first module: %g, want %g", what, pair[0], pair[1])
		}
	}
	pitch := sc.Rails[0].Modules[0].Part.PitchAcrossM
	if rise := st.Sources[2].Position.Z - st.Sources[0].Position.Z; math.Abs(rise-pitch*math.Sin(30*math.Pi/180)) > 1e-12 {
		t.Errorf("a tilted board rises by %g m over a pitch of %g m", rise, pitch)
	}
}

func TestFloorUnderABareModule(t *testing.T) {
	// The axis law by hand: I0 = flux/pi for a Lambertian, times the surface (n - 1)^2/(n + 1)^2 at normal incidence, over the
	// apparent height squared, times the water's share over 300 mm; four dies within 3 mm of the axis.
	sc := scenetest.Read(t, scenetest.Shelf)
	m := compute(t, sc, Options{StepM: 0.002, Cold: true})
	s, err := photometry.NewSpectrum(sc.Catalogue.Spectra["white-4000"].Power)
	if err != nil {
		t.Fatal(err)
	}
	w := body(sc.Tank.Water)
	n := w.Index()
	kept := w.Table(s, 1, 1).Luminous(0.3)
	apparent := 0.15 + 0.3/n
	want := 4 * sc.Rails[0].Modules[0].Part.FluxLm.AtOrZero(0.35) / math.Pi * (1 - math.Pow((n-1)/(n+1), 2)) * kept / (apparent * apparent)
	got := m.Planes[2].Illuminance.Max
	if math.Abs(got-want) > 2e-3*want { // the pitch of 6 mm and half a cell take 1e-4 each
		t.Errorf("brightest cell %g lx, by hand %g", got, want)
	}
	if ratio := m.Planes[2].Illuminance.Mean / m.Planes[2].PPFD.Mean; ratio < 65 || ratio > 75 {
		t.Errorf("%g lx per umol/m2/s for a white of 4000 K (LED-B3: 69.77 before the water)", ratio)
	}
	if dli := photometry.DLI(m.Planes[2].PPFD.Mean, 10); m.Planes[2].DLI != dli {
		t.Errorf("DLI %g, want %g", m.Planes[2].DLI, dli)
	}
}

func TestPlanesAndGoal(t *testing.T) {
	m := compute(t, scenetest.Read(t, scenetest.Shelf), Options{})
	var names []string
	for _, p := range m.Planes {
		names = append(names, p.Name)
	}
	if got := strings.Join(names, " "); got != "surface mid floor" {
		t.Errorf("planes %q", got)
	}
	if m.Goal.Met || len(m.Goal.Missing()) != 1 || !strings.Contains(m.Goal.Missing()[0].String(), "uniformity") || !regexp.MustCompile("is below 0.60; it is dark in the (front|back) (left|right) corner, ").MatchString(m.Verdict.String()) {
		t.Errorf("goal %+v, verdict %v", m.Goal, m.Verdict)
	}
	// Asked for one plane alone, the goal's own is still there to be judged.
	sc := scenetest.Read(t, scenetest.Shelf)
	surface, err := sc.Tank.Plane("surface")
	if err != nil {
		t.Fatal(err)
	}
	if m = compute(t, sc, Options{Planes: []scene.PlaneRef{surface}}); len(m.Planes) != 2 || m.Planes[1].Name != "floor" {
		t.Errorf("%d planes", len(m.Planes))
	}
}

func TestVerdicts(t *testing.T) {
	for what, row := range map[string]struct {
		replace []string
		want    string
	}{
		"met":         {[]string{"uniformity: 0.6", "uniformity: 0.05"}, "the goal is met"},
		"too dim":     {[]string{"illuminance: 400 lx, uniformity: 0.6", "illuminance: 9000 lx"}, "the goal is not met: floor mean illuminance of"},
		"both":        {[]string{"illuminance: 400 lx, uniformity: 0.6", "illuminance: 9000 lx, uniformity: 0.7"}, "; floor uniformity U0 of "},
		"no goal":     {[]string{"goal: {plane: floor, illuminance: 400 lx, uniformity: 0.6}", "", "bare-120", "round-15"}, "uneven"},
		"photons":     {[]string{"illuminance: 400 lx, uniformity: 0.6", "ppfd: 8 umol/m2/s, dli: 0.3 mol/m2/day"}, "µmol/m²/s ("},
		"few photons": {[]string{"illuminance: 400 lx, uniformity: 0.6", "ppfd: 800 umol/m2/s"}, "mean PPFD of"},
		"dark corner": {[]string{"bare-120", "round-25"}, "it is dark "},
	} {
		if m := compute(t, scenetest.Read(t, scenetest.Shelf, row.replace...), Options{StepM: 0.01, Engine: Straight}); !strings.Contains(m.Verdict.String(), row.want) {
			t.Errorf("%s: %v does not say %q", what, m.Verdict, row.want)
		}
	}
}

func TestCellLimit(t *testing.T) {
	_, err := Map(context.Background(), scenetest.Read(t, scenetest.Shelf), Options{StepM: 1e-4})
	if err == nil || !strings.Contains(err.Error(), "limit of 4 000 000") {
		t.Errorf("error %v", err)
	}
}

func TestStandardGridIsAnOption(t *testing.T) {
	m := compute(t, scenetest.Read(t, scenetest.Shelf), Options{Standard: true})
	// p = 0.2 * 5^log10(0.3) = 0.0862 m for a plan twice as long as wide (EN 12464-1).
	if g := m.Planes[0].Field.Grid; g.NX != 7 || g.NY != 4 {
		t.Errorf("grid %+v", g)
	}
}

func TestSectionsLieUnderRailAndGap(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "count: 1", "count: 3, spacing: 120 mm", "length: 500 mm", "length: 500 mm\n    y: 100 mm")
	var told [][2]float64
	m := compute(t, sc, Options{StepM: 0.01, Sections: true, Workers: 2, Summing: func(done, total int64) {
		told = append(told, [2]float64{float64(done), float64(total)})
	}})
	rising := slices.IsSortedFunc(told, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	if n := len(told); n < 100 || !rising || math.Abs(told[n-1][0]/told[0][1]-1) > 0.05 { // slices have a few cells more or less
		t.Errorf("%d looks at the sums, rising: %v, from %v to %v", n, rising, told[0], told[n-1])
	}
	if len(m.Sections) != 2 {
		t.Fatalf("%d sections", len(m.Sections))
	}
	long, cross := m.Sections[0], m.Sections[1]
	if long.Axis != result.AlongX || math.Abs(long.AtM-0.1) > 1e-12 || len(long.Rays) != 6 {
		t.Errorf("long section at %g m with %d rays", long.AtM, len(long.Rays))
	}
	if cross.Axis != result.AcrossY || (math.Abs(cross.AtM-0.24) > 1e-9 && math.Abs(cross.AtM-0.36) > 1e-9) {
		t.Errorf("cross section at %g m, not in a gap", cross.AtM)
	}
	for _, r := range long.Rays {
		top, bottom := r.Points[0], r.Points[len(r.Points)-1]
		if top.Z <= bottom.Z || bottom.Z < -1e-12 {
			t.Errorf("a ray from %+v to %+v", top, bottom)
		}
	}
}

func TestBuiltinPartsCanAllBePlayed(t *testing.T) {
	lib := parts.Builtin()
	for _, name := range parts.Names(lib.Optics) {
		if _, err := newBeam(lib.Optics[name], nil); err != nil {
			t.Errorf("optic %s: %v", name, err)
		}
	}
	for _, name := range parts.Names(lib.Spectra) {
		if _, err := photometry.NewSpectrum(lib.Spectra[name].Power); err != nil {
			t.Errorf("spectrum %s: %v", name, err)
		}
	}
	// The radiant power of a module cannot exceed its electrical power: flux over the spectrum's efficacy of radiation.
	for _, name := range parts.Names(lib.Modules) {
		m := lib.Modules[name]
		s, err := photometry.NewSpectrum(lib.Spectra[m.Spectrum].Power)
		if err != nil {
			t.Fatal(err)
		}
		a, _ := m.FluxLm.Points()
		for _, amps := range a {
			lm, _ := m.FluxLm.At(amps)
			v, _ := m.ForwardV.At(amps)
			share := lm / s.EfficacyOfRadiation() / (v * amps)
			if share > 0.7 { // common practice, no published source: 0.3 to 0.5 at full current, more at a tenth of it
				t.Errorf("module %s at %g A turns %g of its power into light", name, amps, share)
			}
			if amps == 0.35 && math.Abs(m.RadiantEfficiency/share-1) > 0.01 { // the current of the test; half a last digit and more
				t.Errorf("module %s: light share %g, by its flux, volts and spectrum %.4f", name, m.RadiantEfficiency, share)
			}
		}
	}
}

func TestKindsOfLightAddUp(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
		"modules: [{part: quad-neutral, optic: round-60, x: 150 mm, current: 350 mA}, {part: quad-blue, optic: round-60, x: 450 mm, current: 350 mA}]")
	m := compute(t, sc, Options{StepM: 0.01})
	if len(m.Kinds) != 2 || m.KindsPlane != "floor" || m.Kinds[0].Modules != 1 {
		t.Fatalf("%d kinds on %q", len(m.Kinds), m.KindsPlane)
	}
	floor := m.Planes[2].Field
	for i := range floor.PPFD {
		if sum := m.Kinds[0].Share[i] + m.Kinds[1].Share[i]; math.Abs(sum-1) > 1e-12 {
			t.Fatalf("cell %d: shares sum to %g", i, sum)
		}
		if sum := m.Kinds[0].Field.Illuminance[i] + m.Kinds[1].Field.Illuminance[i]; math.Abs(sum/floor.Illuminance[i]-1) > 1e-12 {
			t.Fatalf("cell %d: %g lx of kinds, %g in all", i, sum, floor.Illuminance[i])
		}
	}
	blue := m.Kinds[1]
	if left, right := blue.Share[5], blue.Share[floor.Grid.NX-5]; left > 0.2 || right < 0.8 {
		t.Errorf("share of blue %g at the left, %g at the right, under the blue module", left, right)
	}
	if one := compute(t, scenetest.Read(t, scenetest.Shelf), Options{StepM: 0.05}); one.Kinds != nil {
		t.Error("a single kind is told apart from itself")
	}
}

func TestMaintenanceAgesTheVerdictAlone(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "illuminance: 400 lx, uniformity: 0.6", "illuminance: 1 lx")
	o := Options{StepM: 0.02, Engine: Straight}
	sc.Goal.IlluminanceLx = 0.9 * compute(t, sc, o).Planes[2].Illuminance.Mean
	fresh := compute(t, sc, o)
	o.Maintenance = 0.8
	aged := compute(t, sc, o)
	if !fresh.Goal.Met || aged.Goal.Met || fresh.Maintenance != 1 {
		t.Errorf("goal met %v when new, %v when aged", fresh.Goal.Met, aged.Goal.Met)
	}
	if a, b := fresh.Planes[2].Illuminance, aged.Planes[2].Illuminance; a != b {
		t.Errorf("fields changed: %+v and %+v", a, b)
	}
}

// without returns the scene with some modules dead.
func without(t *testing.T, sc *scene.Scene, dead string) *scene.Scene {
	t.Helper()
	rest, err := edit.Without(sc, dead)
	if err != nil {
		t.Fatal(err)
	}
	return rest
}

func TestDeadModulesAreDark(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf, "count: 1", "count: 2, spacing: 200 mm")
	whole := compute(t, sc, Options{StepM: 0.02, PerModule: true, Cold: true}) // warm, the one that is left is cooler alone
	half := compute(t, without(t, sc, "rail 1:2"), Options{StepM: 0.02, Cold: true})
	for i, v := range half.Planes[2].Field.Illuminance {
		if v != whole.Planes[2].Modules[0].Illuminance[i] {
			t.Fatalf("cell %d: %g lx without the second, %g of the first", i, v, whole.Planes[2].Modules[0].Illuminance[i])
		}
	}
}
