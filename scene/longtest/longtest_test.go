package longtest

import (
	"flag"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestPick(t *testing.T) {
	type picked struct {
		Up, Down int
		Photons  int64
		Seeds    uint64
		StepM    float64
		Name     string
		Full     bool
	}
	sample, full := picked{3, 12, 1 << 18, 1, 0.06, "one", false}, picked{200, 4, 1 << 20, 18, 0.02, "all", true}
	for setting, want := range map[string]picked{
		"": sample, "0": sample, "1": full,
		"0.5":   {102, 8, 5 << 17, 10, 0.04, "all", true},
		"0.001": {3, 12, 1<<18 + 786, 1, 0.05996, "all", true},
	} {
		t.Setenv("FATHOMLUX_LONG", setting)
		got := picked{Pick(sample.Up, full.Up), Pick(sample.Down, full.Down), Pick(sample.Photons, full.Photons),
			Pick(sample.Seeds, full.Seeds), Pick(sample.StepM, full.StepM), Pick(sample.Name, full.Name), Pick(sample.Full, full.Full)}
		if math.Abs(got.StepM-want.StepM) < 1e-15 {
			got.StepM = want.StepM
		}
		if got != want {
			t.Errorf("FATHOMLUX_LONG=%s gives %+v, want %+v", setting, got, want)
		}
	}
}

// TestPickRefuses: what is no share would otherwise be taken for the sample, and nobody would see that little ran.
func TestPickRefuses(t *testing.T) {
	for _, setting := range []string{"yes", "2", "-0.1", "NaN"} {
		t.Setenv("FATHOMLUX_LONG", setting)
		func() {
			defer func() {
				if said := fmt.Sprint(recover()); !strings.Contains(said, setting) {
					t.Errorf("FATHOMLUX_LONG=%s: %s", setting, said)
				}
			}()
			Pick(1, 2)
		}()
	}
}

func TestCheckIsASample(t *testing.T) {
	asked, _ := strconv.Atoi(flag.Lookup("rapid.checks").Value.String())
	var drawn []int
	for range 2 {
		Check(t, func(r *rapid.T) { drawn = append(drawn, rapid.Int().Draw(r, "any")) })
	}
	if n := Pick(5, asked); len(drawn) != 2*n {
		t.Errorf("drew %d examples, want twice %d", len(drawn), n)
	} else if Pick(true, false) && drawn[0] != drawn[n] {
		t.Errorf("the sample is not of one seed: %v", drawn)
	}
}
