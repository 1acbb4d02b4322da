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

// TestWithoutARailOrAKind: a rail's name stands for all its modules, and kind:NAME for a part, a spectrum or a word of either.
func TestWithoutARailOrAKind(t *testing.T) {
	for text, want := range map[string]string{"front": "front:1-4", "back": "back:1-2", "kind:quad-blue": "back:2", "kind:blue": "back:2", "kind:royal-blue": "back:2",
		"kind:neutral": "front:1-4 and back:1", "kind:quad": "front:1-4 and back:1-2"} {
		out, err := Without(parseVaried(t), text)
		if err != nil {
			t.Fatal(err)
		}
		var dead []scene.Seat
		for _, at := range out.Seats() {
			if out.Rails[at.Rail].Modules[at.Module].Dead {
				dead = append(dead, at)
			}
		}
		if got := out.Runs(dead); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

func TestWithoutRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"2":         "names no module; write a rail and a number such as front:1",
		"kind:pink": `there is no kind of module "pink"; known: `,
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
