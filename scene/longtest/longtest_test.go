package longtest

import "testing"

func TestPick(t *testing.T) {
	for setting, want := range map[string]int{"": 3, "0": 3, "1": 200} {
		t.Setenv("FATHOMLUX_LONG", setting)
		if got := Pick(3, 200); got != want {
			t.Errorf("FATHOMLUX_LONG=%s gives %d, want %d", setting, got, want)
		}
	}
}
