package edit

import (
	"strings"
	"testing"

	"fathomlux/scene"
)

func TestWithout(t *testing.T) {
	sc := parseVaried(t)
	out, err := Without(sc, "front:2,4", "back:1-2")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		m    scene.Module
		dead bool
	}{{out.Rails[0].Modules[0], false}, {out.Rails[0].Modules[1], true}, {out.Rails[0].Modules[2], false}, {out.Rails[0].Modules[3], true},
		{out.Rails[1].Modules[0], true}, {out.Rails[1].Modules[1], true}, {sc.Rails[0].Modules[1], false}} {
		if row.m.Dead != row.dead || (row.m.FluxLm() == 0) != row.dead || (row.m.PowerW() == 0) != row.dead {
			t.Errorf("module at %g: dead %v with %g lm", row.m.XM, row.m.Dead, row.m.FluxLm())
		}
	}
}

func TestWithoutRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"front":     "names no module",
		"frond:1":   `did you mean "front"`,
		"side:1":    "known: front, back",
		"front:5":   "has modules 1 to 4, not 5",
		"front:0":   "has modules 1 to 4",
		"front:3-2": "has modules 1 to 4, not 3-2",
		"front:a":   "is not a number",
		"front:":    "is not a number",
	} {
		if _, err := Without(parseVaried(t), text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want %q", text, err, want)
		}
	}
	one := parseVaried(t)
	one.Rails = one.Rails[:1]
	if _, err := one.Rail("zzzzzz"); err == nil || !strings.HasSuffix(err.Error(), "; known: front") {
		t.Errorf("of one rail: %v", err)
	}
}
