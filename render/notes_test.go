package render

import (
	"strings"
	"testing"

	"fathomlux/scene/finding"
)

// TestNotesAreOfTheirPlane: what is said of one plane stands on the picture of no other, and not on slices.
func TestNotesAreOfTheirPlane(t *testing.T) {
	list := []finding.Finding{finding.ObstaclesFill.Of(finding.Percent(0.01), finding.Plane("mid")),
		finding.ObstaclesFill.Of(finding.Percent(0.02), finding.Plane("floor"))}
	for plane, want := range map[string]string{"mid": "fill 1 % of the mid-water plane", "floor": "fill 2 % of the floor", "surface": "", "": ""} {
		if got := firstNote(list, Look{}, plane); !strings.Contains(got, want) || want == "" && got != "" {
			t.Errorf("on %q: %q", plane, got)
		}
	}
	all := append(list, finding.RoomLight.Of(finding.Count{N: 1}, finding.Count{N: 2}))
	if got := firstNote(all, Look{}, ""); !strings.Contains(got, "room light") || len(all) != 3 || all[0].Code != finding.ObstaclesFill {
		t.Errorf("of all: %q, %v", got, all)
	}
}
