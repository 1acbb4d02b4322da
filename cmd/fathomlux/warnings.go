package main

import (
	"fmt"
	"slices"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/wiring"
)

// warningsOf are the warnings about a scene: what reading it found, wiring and hood, and names that no picture can
// show.
func warningsOf(sc *scene.Scene) []finding.Finding {
	return slices.Concat(sc.Warnings, wiring.Warnings(sc), sc.HoodWarnings(), unshown(sc))
}

// unshown warns about names with letters that the embedded fonts lack. The place is the key: where it stands in the
// file a scene does not keep.
func unshown(sc *scene.Scene) (list []finding.Finding) {
	say := func(path, name string) {
		if lacking := style.Unshown(name); lacking != "" {
			f := finding.LettersUnshown.Of(finding.Quote(lacking), finding.Quote(name))
			list = append(list, f.At(finding.Place{File: sc.File, Path: path}))
		}
	}
	say("title", sc.Title)
	for i, o := range sc.Tank.Obstacles {
		say(fmt.Sprintf("tank.obstacles[%d].name", i), o.Name)
	}
	for i, r := range sc.Rails {
		say(fmt.Sprintf("rails[%d].name", i), r.Name)
	}
	return list
}
