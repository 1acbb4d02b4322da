package main

import (
	"fmt"
	"slices"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/wiring"
)

// warningsOf are the warnings about a scene: what reading it found, wiring and hood, and names that no picture can
// show.
func warningsOf(sc *scene.Scene) []document.Fault {
	return slices.Concat(sc.Warnings, wiring.Warnings(sc), sc.HoodWarnings(), unshown(sc))
}

// unshown warns about names with letters that the embedded fonts lack. The place is the key: where it stands in the
// file a scene does not keep.
func unshown(sc *scene.Scene) []document.Fault {
	var faults []document.Fault
	say := func(path, name string) {
		if words := unshownWords(name); words != "" {
			faults = append(faults, document.Fault{File: sc.File, Path: path, Message: words})
		}
	}
	say("title", sc.Title)
	for i, o := range sc.Tank.Obstacles {
		say(fmt.Sprintf("tank.obstacles[%d].name", i), o.Name)
	}
	for i, r := range sc.Rails {
		say(fmt.Sprintf("rails[%d].name", i), r.Name)
	}
	return faults
}

// unshownWords says which letters of a name pictures and templates cannot show; empty where they show all.
func unshownWords(name string) string {
	lacking := style.Unshown(name)
	if lacking == "" {
		return ""
	}
	return fmt.Sprintf("pictures and templates show ? for %.120s of %.60q; a name in Latin, Greek, Cyrillic or Hebrew "+
		"letters serves", lacking, name)
}
