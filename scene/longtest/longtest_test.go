package longtest

import (
	"testing"

	"pgregory.net/rapid"
)

func TestPick(t *testing.T) {
	for setting, want := range map[string]int{"": 3, "0": 3, "1": 200} {
		t.Setenv("FATHOMLUX_LONG", setting)
		if got := Pick(3, 200); got != want {
			t.Errorf("FATHOMLUX_LONG=%s gives %d, want %d", setting, got, want)
		}
	}
}

func TestCheckIsASample(t *testing.T) {
	var drawn []int
	for range 2 {
		Check(t, func(r *rapid.T) { drawn = append(drawn, rapid.Int().Draw(r, "any")) })
	}
	if n := Pick(5, len(drawn)/2); len(drawn) != 2*n {
		t.Errorf("drew %d examples, want twice %d", len(drawn), n)
	} else if Pick(true, false) && drawn[0] != drawn[n] {
		t.Errorf("the sample is not of one seed: %v", drawn)
	}
}
