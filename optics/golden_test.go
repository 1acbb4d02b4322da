package optics_test

import (
	"context"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/study"
	"fathomlux/scene"
	"fathomlux/scene/curve"
	"fathomlux/scene/drilling"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/longtest"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// goldenFile holds a figure a line: where it comes from, and its value to nine significant digits.
const goldenFile = "testdata/golden.txt"

var update = flag.Bool("update", false, "rewrite "+goldenFile)

// goldenCells is how many cells of a plane are kept, spread evenly over it.
const goldenCells = 9

// figures collects what is to be the same on every processor, a line each.
type figures struct {
	t       *testing.T
	digits  int
	lines   []string
	strange []string       // of kinds that add does not know
	order   map[string]int // of modules in a group, which stands for all there is of them
}

// Add notes all numbers and truth values that a value holds: its own, or those of a struct's exported fields, of a list, of a
// map in the order of its keys, or of what a pointer leads to. Words are left out: tests of commands hold them, and no
// processor changes them. Any other kind, and a struct that hides all it has, is strange and fails the test.
func (f *figures) add(place string, value any) {
	v := reflect.ValueOf(value)
	switch v.Kind() {
	case reflect.Float64:
		f.lines = append(f.lines, fmt.Sprintf("%s %.*g", place, f.digits, v.Float()))
	case reflect.Int, reflect.Int64, reflect.Bool:
		f.lines = append(f.lines, fmt.Sprintf("%s %v", place, value))
	case reflect.String:
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			f.add(fmt.Sprintf("%s[%d]", place, i), v.Index(i).Interface())
		}
	case reflect.Pointer:
		if v.IsNil() {
			f.lines = append(f.lines, place+" none")
			return
		}
		f.add(place, v.Elem().Interface())
	case reflect.Invalid: // nothing in an interface
		f.lines = append(f.lines, place+" none")
	case reflect.Map:
		f.addMap(place, v)
	case reflect.Struct:
		f.addStruct(place, v)
	default:
		f.strange = append(f.strange, fmt.Sprintf("%s is a %T", place, value))
	}
}

// given are types that hide what they have and are left out: what the library gives is no result.
var given = []reflect.Type{reflect.TypeFor[curve.Curve]()}

// addStruct notes the exported fields of a struct; findings are words.
func (f *figures) addStruct(place string, v reflect.Value) {
	hidden := 0
	if v.Type() == reflect.TypeFor[finding.Finding]() {
		return
	}
	if m, is := v.Interface().(parts.Mounted); is {
		f.lines = append(f.lines, fmt.Sprintf("%s %d", place, f.order[m.Name]))
		return
	}
	for i := range v.NumField() {
		if field := v.Type().Field(i); field.IsExported() {
			f.add(place+"."+field.Name, v.Field(i).Interface())
		} else {
			hidden++
		}
	}
	if hidden > 0 && hidden == v.NumField() && !slices.Contains(given, v.Type()) {
		f.strange = append(f.strange, fmt.Sprintf("%s is a %v, which hides all it has", place, v.Type()))
	}
}

// addMap notes the values of a map by their keys.
func (f *figures) addMap(place string, v reflect.Value) {
	names := map[string]reflect.Value{}
	for _, key := range v.MapKeys() {
		names[fmt.Sprint(key)] = v.MapIndex(key)
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		f.add(fmt.Sprintf("%s[%s]", place, name), names[name].Interface())
	}
}

// scene reads an example.
func (f *figures) scene(name string) *scene.Scene {
	sc, err := scene.Read("../examples/" + name + "/" + name + ".yaml")
	f.check(err)
	return sc
}

func (f *figures) check(err error) {
	f.t.Helper()
	if err != nil {
		f.t.Fatal(err)
	}
}

// plane notes the statistics of a plane and some of its cells.
func (f *figures) plane(place string, p result.Plane) {
	f.add(place+".lx", p.Illuminance)
	f.add(place+".umol", p.PPFD)
	f.add(place+".dli", p.DLI)
	for i := range goldenCells {
		c := i * (p.Field.Grid.Cells() - 1) / (goldenCells - 1)
		f.add(fmt.Sprintf("%s.cell[%d].lx", place, c), p.Field.Illuminance[c])
		f.add(fmt.Sprintf("%s.cell[%d].umol", place, c), p.Field.PPFD[c])
	}
}

// maps notes the light of an example by some engines, with so few photons that emulated processors have time for them.
func (f *figures) maps(name string, stepM float64, engines ...optics.Engine) {
	sc := f.scene(name)
	for _, engine := range engines {
		o := optics.Options{Engine: engine, StepM: stepM, Workers: 2, Seed: 7}
		if engine == optics.Traced {
			o.Photons = 1 << 16
		}
		m, err := optics.Map(context.Background(), sc, o)
		f.check(err)
		place := name + " map " + string(engine)
		for _, p := range m.Planes {
			f.plane(place+" "+p.Name, p)
		}
		f.add(place+" balance", m.Balance)
		f.add(place+" junctions", m.Junctions)
	}
}

// inFull finds what is noted in full alone: what choices notes, and the light of the dearest example, whose day is computed
// for each map.
var inFull = regexp.MustCompile(`^(foyer (compare|sweep)|shelf arrange|frag map) `)

// choices notes what comparing, sweeping and arranging find, on cells of 20 mm.
func (f *figures) choices() {
	ctx, sc := context.Background(), f.scene("foyer")
	var list []study.Contender
	for _, name := range []string{"round-25", "round-40", "round-60"} {
		list = append(list, study.Contender{Name: name, Scene: study.WithOptic(sc, sc.Catalogue.Optics[name])})
	}
	compared, err := study.Compare(ctx, list, optics.Options{StepM: 0.02, Workers: 2})
	f.check(err)
	f.add("foyer compare best", compared.Best)
	for i, m := range compared.Maps {
		f.plane("foyer compare "+list[i].Name, m.Planes[0])
		f.add("foyer compare "+list[i].Name+" per W", m.Balance.Entered/m.PowerW)
	}
	swept, err := study.Sweep(ctx, sc, study.SweepOptions{StepM: 0.02, Workers: 2, Axes: []edit.Range{
		scenetest.Axis(f.t, "spacing", 0.14, 0.16, 0.18, 0.2), scenetest.Axis(f.t, "height", 0.12, 0.16, 0.2), scenetest.Axis(f.t, "beam", 0.5, 1)}})
	f.check(err)
	f.add("foyer sweep best", swept.Best)
	f.add("foyer sweep frontier", swept.Frontier)
	for i, c := range swept.Candidates {
		f.add(fmt.Sprintf("foyer sweep %d", i), []float64{c.Illuminance.Mean, c.Illuminance.Min, c.PPFD.Mean, c.PowerW, c.Junctions.HighestC})
	}
	arranged, err := study.Arrange(ctx, f.scene("shelf"), study.ArrangeOptions{GapM: 0.01, Optics: []parts.Optic{sc.Catalogue.Optics["round-60"]}, Currents: scenetest.Steps(0.25, 0.05, 5), SweepOptions: study.SweepOptions{StepM: 0.02, Workers: 2, Axes: []edit.Range{scenetest.Axis(f.t, "height", 0.1, 0.14)}}})
	f.check(err)
	f.add("shelf arrange before", arranged.Before)
	f.add("shelf arrange after", arranged.After)
	for i, m := range arranged.Scene.Rails[0].Modules {
		f.add(fmt.Sprintf("shelf arrange module %d", i+1), []float64{m.XM, m.CurrentA})
	}
}

// works notes heat, wiring and drilling of an example.
func (f *figures) works(name string) {
	sc := f.scene(name)
	junctionC, op, err := operating.WorkingJunctions(sc)
	f.check(err)
	for _, r := range op.Rails {
		r.Line, r.EnergyError = heat.Line{}, 0 // many points; a difference of nearly equal sums has no nine digits
		f.add(name+" heat "+r.Name, r.Result)
	}
	groups, err := wiring.Wire(sc, wiring.Request{JunctionC: junctionC, LeadM: 2})
	f.check(err)
	for i, g := range groups {
		place := fmt.Sprintf("%s wire %d", name, i+1)
		f.order = map[string]int{}
		for k, m := range g.Job.Modules {
			f.order[m.Name] = k
		}
		split, fit := *g.Chosen.Split, *g.Chosen.Fit
		split.Fits, fit.Driver = nil, parts.Driver{} // the chosen one stands for all; what the library says of it is no result
		f.add(place+" split", split)
		f.add(place+" fit", fit)
		f.add(place+" open", g.Open)
		f.add(place+" short", g.Short)
		f.add(place+" worst", g.Worst)
		f.add(place+" running", wiring.RunningOf(sc, groups[i:i+1]))
		f.add(place+" card", g.Card)
	}
	for _, r := range sc.Rails {
		plan, err := drilling.Make(r, true)
		f.check(err)
		f.add(name+" drill "+r.Name, plan.Rows())
	}
}

// sameFigure tells whether two lines name the same figure and agree to nine digits: within half a unit of the ninth and a
// hair more, since what lies in the middle of two numbers may be rounded to either.
func sameFigure(got, want string) bool {
	g, w := strings.LastIndexByte(got, ' '), strings.LastIndexByte(want, ' ')
	if g < 0 || w < 0 || got[:g] != want[:w] {
		return false
	}
	a, errA := strconv.ParseFloat(got[g+1:], 64)
	b, errB := strconv.ParseFloat(want[w+1:], 64)
	if errA != nil || errB != nil {
		return got == want
	}
	ninth := math.Pow(10, math.Floor(math.Log10(math.Abs(b)))-8)
	return a == b || math.Abs(a-b) <= 0.501*ninth
}

// TestSameFigureCanFail shows what the comparison takes and what it refuses.
func TestSameFigureCanFail(t *testing.T) {
	for _, c := range []struct {
		got, want string
		same      bool
	}{
		{"a x 4560.917737148", "a x 4560.91774", true},
		{"a x 4560.917746", "a x 4560.91774", false},
		{"a x -0.0033908700503", "a x -0.00339087005", true},
		{"a x 0.0033908700562", "a x 0.00339087005", false},
		{"a y 1", "a x 1", false},
		{"a x 1", "a x 0", false},
		{"a x 0", "a x 0", true},
		{"a x true", "a x false", false},
	} {
		if sameFigure(c.got, c.want) != c.same {
			t.Errorf("sameFigure(%q, %q) is not %v", c.got, c.want, c.same)
		}
	}
}

// TestFiguresMissNothing shows what is noted of a value, and what is told of kinds that are not known.
func TestFiguresMissNothing(t *testing.T) {
	type inner struct{ X float64 }
	type hides struct{ x float64 }
	f := &figures{t: t, digits: 3}
	f.add("v", struct {
		Map     map[string]inner
		Pointer *inner
		None    *inner
		Any     any
		Word    string
		Array   [2]int
		Channel chan int
		Hides   hides
		Nothing any
	}{map[string]inner{"b": {2}, "a": {1}}, &inner{3}, nil, inner{4}, "word", [2]int{5, 6}, nil, hides{7}, nil})
	want := []string{"v.Map[a].X 1", "v.Map[b].X 2", "v.Pointer.X 3", "v.None none", "v.Any.X 4", "v.Array[0] 5", "v.Array[1] 6", "v.Nothing none"}
	if !slices.Equal(f.lines, want) {
		t.Errorf("noted %q", f.lines)
	}
	if want := []string{"v.Channel is a chan int", "v.Hides is a optics_test.hides, which hides all it has"}; !slices.Equal(f.strange, want) {
		t.Errorf("told %q", f.strange)
	}
}

// TestGoldenFigures holds what the examples answer, in full with their choices, against numbers to nine digits. They hold on every processor: some round a
// product and a sum in one go and differ in the last bits, see "The same answer everywhere" in DEVELOPERS.md.
func TestGoldenFigures(t *testing.T) {
	f := &figures{t: t, digits: 15}
	if *update {
		f.digits = 9
	}
	all, each := *update || longtest.Pick(false, true), []optics.Engine{optics.Straight, optics.Full, optics.Traced}
	f.maps("foyer", 0.02, each...)
	f.maps("shelf", 0.01, each...)
	if all {
		f.maps("frag", 0.02, each...)
		f.choices()
	}
	for _, name := range []string{"foyer", "shelf", "frag"} {
		f.works(name)
	}
	for _, what := range f.strange {
		t.Errorf("no figures are noted: %s", what)
	}
	if *update {
		f.check(os.WriteFile(goldenFile, []byte(strings.Join(f.lines, "\n")+"\n"), 0o644))
		return
	}
	kept, err := os.ReadFile(goldenFile)
	f.check(err)
	want := slices.DeleteFunc(strings.Split(strings.TrimSpace(string(kept)), "\n"), func(line string) bool { return !all && inFull.MatchString(line) })
	if len(f.lines) != len(want) {
		t.Errorf("%d figures, where %s holds %d; -update writes them anew", len(f.lines), goldenFile, len(want))
	}
	for i := range min(len(f.lines), len(want)) {
		if !sameFigure(f.lines[i], want[i]) {
			t.Errorf("got  %s\nwant %s", f.lines[i], want[i])
		}
	}
}
