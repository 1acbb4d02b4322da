package render

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/heatmap"
	"fathomlux/render/section"
	"fathomlux/scene"
)

// railsFromAbove returns the outlines of the rails.
func railsFromAbove(sc *scene.Scene) []heatmap.Rail {
	var list []heatmap.Rail
	for _, r := range sc.Rails {
		list = append(list, heatmap.Rail{LeftM: r.LeftM, RightM: r.LeftM + r.LengthM, YM: r.YM, WidthM: r.Profile.WidthM, Name: r.Name})
	}
	return list
}

// crossedOut is the kind of mark with two diagonals, kept for dead modules.
const crossedOut = 2

// marksFromAbove returns the outlines of the modules, numbered on each rail by itself as commands take them; the rail's name stands
// beside it. Parts take turns with the two other kinds of mark.
func marksFromAbove(sc *scene.Scene) []heatmap.Mark {
	kinds := map[string]int{}
	var list []heatmap.Mark
	for _, r := range sc.Rails {
		for i, m := range r.Modules {
			if _, ok := kinds[m.Part.Name]; !ok {
				kinds[m.Part.Name] = len(kinds)
			}
			mark := heatmap.Mark{Label: strconv.Itoa(i + 1), XM: m.XM, YM: r.YM, LengthM: m.Part.BoardLengthM, WidthM: m.Part.BoardWidthM * math.Cos(r.TiltRad), Kind: kinds[m.Part.Name] % 2}
			if m.Dead {
				mark.Kind = crossedOut
			}
			list = append(list, mark)
		}
	}
	return list
}

// signsFromAbove says which parts are drawn plain and which with a diagonal, where there is more than one kind of mark.
func signsFromAbove(sc *scene.Scene) string {
	var names [crossedOut + 1][]string
	at, marks := 0, marksFromAbove(sc)
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if kind := marks[at].Kind; !slices.Contains(names[kind], m.Part.Name) {
				names[kind] = append(names[kind], m.Part.Name)
			}
			at++
		}
	}
	var words []string
	say := func(how string, list []string) {
		if len(list) > 0 {
			words = append(words, how+" "+strings.Join(list, ", "))
		}
	}
	say("plain", names[0])
	say("with a slash", names[1])
	if len(names[crossedOut]) > 0 {
		words = append(words, "crossed out what is dead")
	}
	if len(names[1])+len(names[crossedOut]) == 0 {
		return ""
	}
	return "Modules: " + strings.Join(words, "; ") + "."
}

func obstaclesFromAbove(sc *scene.Scene) []heatmap.Rect {
	var list []heatmap.Rect
	for _, o := range sc.Tank.Obstacles {
		list = append(list, heatmap.Rect{LeftM: o.Box.Min.X, FrontM: o.Box.Min.Y, RightM: o.Box.Max.X, BackM: o.Box.Max.Y, Name: o.Name})
	}
	return list
}

// railsInSlice returns the rails that a slice meets: those at its y, or all of them in a cross slice.
func railsInSlice(sc *scene.Scene, s *result.Section) []section.Rail {
	var list []section.Rail
	for _, r := range sc.Rails {
		one := section.Rail{FromM: r.LeftM, ToM: r.LeftM + r.LengthM, HeightM: r.AboveWaterM, ThicknessM: r.Profile.HeightM, Name: r.Name}
		switch {
		case s.Axis == result.AcrossY && s.AtM >= r.LeftM && s.AtM <= r.LeftM+r.LengthM:
			one.FromM, one.ToM, one.TiltRad = r.YM-r.Profile.WidthM/2, r.YM+r.Profile.WidthM/2, r.TiltRad
			list = append(list, one)
		case s.Axis == result.AlongX && math.Abs(r.YM-s.AtM) < r.Profile.WidthM/2:
			list = append(list, one)
		}
	}
	return list
}

// marksInSlice returns the modules of the rails that a slice meets; a cross slice shows one module a rail, the nearest.
func marksInSlice(sc *scene.Scene, s *result.Section) []section.Mark {
	var list []section.Mark
	for _, r := range sc.Rails {
		switch {
		case len(r.Modules) == 0:
		case s.Axis == result.AcrossY:
			list = append(list, section.Mark{AtM: r.YM, HeightM: r.AboveWaterM, LengthM: r.Modules[0].Part.BoardWidthM, TiltRad: r.TiltRad})
		case math.Abs(r.YM-s.AtM) < r.Profile.WidthM/2:
			for _, m := range r.Modules {
				list = append(list, section.Mark{AtM: m.XM, HeightM: r.AboveWaterM, LengthM: m.Part.BoardLengthM})
			}
		}
	}
	return list
}

// throughModule tells whether a cross slice goes through a module: it does where all of them stand in one place along the rail.
func throughModule(sc *scene.Scene, s *result.Section) bool {
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if s.Axis == result.AcrossY && math.Abs(m.XM-s.AtM) < m.Part.BoardLengthM/2 {
				return true
			}
		}
	}
	return false
}

// blocksInSlice returns the outlines of the obstacles that a slice cuts.
func blocksInSlice(sc *scene.Scene, s *result.Section) []section.Block {
	var list []section.Block
	for _, o := range sc.Tank.Obstacles {
		low, high := o.Box.Min, o.Box.Max
		switch {
		case s.Axis == result.AlongX && s.AtM >= low.Y && s.AtM <= high.Y:
			list = append(list, section.Block{FromM: low.X, ToM: high.X, BottomM: low.Z, TopM: high.Z})
		case s.Axis == result.AcrossY && s.AtM >= low.X && s.AtM <= high.X:
			list = append(list, section.Block{FromM: low.Y, ToM: high.Y, BottomM: low.Z, TopM: high.Z})
		}
	}
	return list
}
