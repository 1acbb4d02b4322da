package finding

import "testing"

func TestHeldFiguresDiffer(t *testing.T) {
	for _, row := range []struct {
		held      Held
		is, limit string
	}{
		{Held{29.94, 30, 0, "lx", false}, "29.9 lx", "30.0 lx"},
		{Held{29.4, 30, 0, "lx", false}, "29 lx", "30 lx"},
		{Held{30.01, 30, 0, "", false}, "30", "30"},
		{Held{0.49996, 0.5, 2, "", false}, "0.49996", "0.50000"},
		{Held{0.4999999, 0.5, 2, "", false}, "just under 0.50", "0.50"},
		{Held{12, 0, 1, "", false}, "12.0", "0"},
		{Held{30.04, 30, 0, "lx", true}, "30.04 lx", "30.00 lx"},
		{Held{350.0000001, 350, 0, "", true}, "just over 350", "350"},
		{Held{7.64, 5, 0, "steps", true}, "7.6 steps", "5 steps"},
		{Held{5.04, 5, 0, "steps", true}, "5.04 steps", "5.00 steps"},
		{Held{7, 5.5, 0, "steps", true}, "7.0 steps", "5.5 steps"},
		{Held{340, 350, 0, "", true}, "340", "350"},
	} {
		if is, limit := row.held.Say(0), row.held.Limit(); is != row.is || string(limit) != row.limit {
			t.Errorf("%+v: %q below %q, want %q below %q", row.held, is, limit, row.is, row.limit)
		}
	}
}
