package render

import (
	"slices"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/section"
	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
)

// TestSignsOfModules: the plan says what a diagonal means where there is one, and nothing else.
func TestSignsOfModules(t *testing.T) {
	module := func(name string, dead bool) scene.Module {
		return scene.Module{Part: parts.Module{Name: name}, Dead: dead}
	}
	for _, c := range []struct {
		modules []scene.Module
		want    string
	}{
		{[]scene.Module{module("cool", false), module("cool", false)}, ""},
		{[]scene.Module{module("cool", false), module("blue", false), module("warm", false), module("blue", false)}, "Modules: plain cool, warm; with a slash blue."},
		{[]scene.Module{module("cool", false), module("cool", true)}, "Modules: plain cool; crossed out what is dead."},
	} {
		if got := signsFromAbove(&scene.Scene{Rails: []scene.Rail{{Modules: c.modules}}}); got != c.want {
			t.Errorf("got %q; want %q", got, c.want)
		}
	}
}

// TestNumbersRestartOnEachRail: the plan numbers modules as commands do, main:1 and back:1.
func TestNumbersRestartOnEachRail(t *testing.T) {
	t.Parallel()
	three := make([]scene.Module, 3)
	var got string
	for _, m := range marksFromAbove(&scene.Scene{Rails: []scene.Rail{{Name: "main", Modules: three}, {Name: "back", Modules: three[:2]}}}) {
		got += m.Label + " "
	}
	if got != "1 2 3 1 2 " {
		t.Errorf("numbers %s, want 1 2 3 1 2", got)
	}
}

// TestSliceThroughAModule: a cross slice of modules in one place goes through them; tilts go into cross slices alone.
func TestSliceThroughAModule(t *testing.T) {
	at := func(xs ...float64) *scene.Scene {
		r := scene.Rail{LengthM: 1, TiltRad: 0.3}
		for _, x := range xs {
			r.Modules = append(r.Modules, scene.Module{XM: x, Part: parts.Module{BoardLengthM: 0.03}})
		}
		return &scene.Scene{Rails: []scene.Rail{r}}
	}
	cross, long := &result.Section{Axis: result.AcrossY, AtM: 0.5}, &result.Section{Axis: result.AlongX}
	if !throughModule(at(0.5), cross) || throughModule(at(0.4, 0.6), cross) || throughModule(at(0.5), long) {
		t.Error("wrong about which slice goes through a module")
	}
	if m, r := marksInSlice(at(0.5), cross), railsInSlice(at(0.5), cross); m[0].TiltRad != 0.3 || r[0].TiltRad != 0.3 {
		t.Errorf("the cross slice has modules %+v on rails %+v; want them tilted", m, r)
	}
	if m := marksInSlice(at(0.5), &result.Section{Axis: result.AlongX, AtM: -1}); len(m) != 0 {
		t.Errorf("modules %+v off the slice", m)
	}
}

// TestBlocksInSlice: a slice shows the obstacles that it cuts, along its own axis, and no others.
func TestBlocksInSlice(t *testing.T) {
	sc := &scene.Scene{Tank: scene.Tank{Obstacles: []scene.Obstacle{
		{Box: space.Box{Min: space.Point{X: 0.5, Y: 0, Z: 0.47}, Max: space.Point{X: 0.6, Y: 0.4, Z: 0.48}}},
		{Box: space.Box{Min: space.Point{X: 0.1, Y: 0.3, Z: 0}, Max: space.Point{X: 0.2, Y: 0.4, Z: 0.1}}},
	}}}
	for _, row := range []struct {
		axis result.SectionAxis
		at   float64
		want []section.Block
	}{
		{result.AlongX, 0.2, []section.Block{{FromM: 0.5, ToM: 0.6, BottomM: 0.47, TopM: 0.48}}},
		{result.AlongX, 0.35, []section.Block{{FromM: 0.5, ToM: 0.6, BottomM: 0.47, TopM: 0.48}, {FromM: 0.1, ToM: 0.2, BottomM: 0, TopM: 0.1}}},
		{result.AcrossY, 0.15, []section.Block{{FromM: 0.3, ToM: 0.4, BottomM: 0, TopM: 0.1}}},
		{result.AcrossY, 0.3, nil},
	} {
		if got := blocksInSlice(sc, &result.Section{Axis: row.axis, AtM: row.at}); !slices.Equal(got, row.want) {
			t.Errorf("axis %d at %g m: %+v, want %+v", row.axis, row.at, got, row.want)
		}
	}
}
