package finding

import "testing"

func TestHeldFiguresDiffer(t *testing.T) {
	for _, row := range []struct {
		held      Held
		is, limit string
	}{
		{Held{29.94, 30, 0, "lx"}, "29.9 lx", "30.0 lx"},
		{Held{29.4, 30, 0, "lx"}, "29 lx", "30 lx"},
		{Held{30.01, 30, 0, ""}, "30", "30"},
		{Held{0.49996, 0.5, 2, ""}, "0.49996", "0.50000"},
		{Held{0.4999999, 0.5, 2, ""}, "just under 0.50", "0.50"},
		{Held{12, 0, 1, ""}, "12.0", "0"},
	} {
		if is, limit := row.held.Say(0), row.held.Limit(); is != row.is || string(limit) != row.limit {
			t.Errorf("%+v: %q below %q, want %q below %q", row.held, is, limit, row.is, row.limit)
		}
	}
}
