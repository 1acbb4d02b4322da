package drill

import (
	"fmt"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/drilling"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// quad is a board of 30 mm with two screws on its diagonal.
func quad() parts.Module {
	return parts.Module{Name: "quad", BoardLengthM: 0.030, BoardWidthM: 0.030,
		Holes: []parts.Hole{{AlongM: -0.012, AcrossM: -0.012, DiameterM: 0.0032}, {AlongM: 0.012, AcrossM: 0.012, DiameterM: 0.0032}}}
}

// bar is a rail 40 mm wide with a slot and modules at one distance from each other, in its middle.
func bar(lengthM float64, count int, spacingM float64) scene.Rail {
	in := scene.Rail{Name: "main", LengthM: lengthM,
		Profile: parts.Profile{Name: "bar-40x20", WidthM: 0.040, Slots: []parts.Slot{{WidthM: 0.008}}}}
	for i := range count {
		in.Modules = append(in.Modules, scene.Module{Part: quad(), XM: lengthM/2 + (float64(i)-float64(count-1)/2)*spacingM})
	}
	return in
}

func planOf(t testing.TB, in scene.Rail) Template {
	t.Helper()
	p, err := drilling.Make(in, true)
	if err != nil {
		t.Fatal(err)
	}
	return Template{Rail: p, Title: "A tank", Call: "fathomlux drill tank.yaml", Version: "1.0",
		Warnings: finding.Lines(p.Warnings, finding.Warning, unit.Metric)}
}

// plans are the templates that the tests look at, from plain to absurd.
func plans(t testing.TB) map[string]Template {
	list := map[string]Template{}
	for count, in := range map[int]scene.Rail{1: bar(0.220, 1, 0), 6: bar(1.1, 6, 0.180), 14: bar(1.4, 14, 0.095), 40: bar(1.4, 40, 0.034)} {
		list[fmt.Sprintf("%d modules", count)] = planOf(t, in)
	}
	crowd := bar(0.3, 60, 0.0043)
	for i := range crowd.Modules { // 60 boards on each other, with holes all over the place
		crowd.Modules[i].Part.Holes = append(crowd.Modules[i].Part.Holes, parts.Hole{AlongM: 0.0017, DiameterM: 0.0021}, parts.Hole{AlongM: -0.14, DiameterM: 0.05})
	}
	list["crowd"] = planOf(t, crowd)
	kept := bar(0.7, 8, 0.082)
	kept.Name = "<script>alert(1)</script> \"quoted\" 'x' & \x00\x1b[31m \u202e \u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 \u6c34\u69fd"
	for i, why := range []string{"", "brace", "a bracket with a rather long reason that does not fit in here at all, not even a bit of it, or does it, who knows", "x"} {
		kept.KeepOuts = append(kept.KeepOuts, scene.KeepOut{FromM: 0.1 * float64(i), ToM: 0.1*float64(i) + 0.02, Why: why})
	}
	list["keep-outs"] = planOf(t, kept)
	plate := bar(0.500, 3, 0.140)
	plate.Profile = parts.Profile{Name: "plate", WidthM: 0.350}
	list["plate"] = planOf(t, plate)
	plank := bar(0.160, 1, 0.140)
	plank.Profile = parts.Profile{Name: "plank", WidthM: 0.110}
	plank.Name = "plank of a name so long that no line can hold it, and yet it goes on and on until somebody comes and cuts it off, which is now"
	list["plank"] = planOf(t, plank)
	narrow := bar(0.010, 1, 0)
	narrow.Profile.WidthM, narrow.Profile.Slots = 0.006, nil
	list["narrow"] = planOf(t, narrow)
	return list
}
