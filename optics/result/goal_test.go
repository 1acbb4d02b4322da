package result

import (
	"testing"
)

func TestHeldFiguresDiffer(t *testing.T) {
	for _, row := range []struct {
		held      Requirement
		is, limit string
	}{
		{Requirement{29.94, 30, 0}, "29.9", "30.0"},
		{Requirement{29.4, 30, 0}, "29", "30"},
		{Requirement{30.01, 30, 0}, "30", "30"},
		{Requirement{0.49996, 0.5, 2}, "0.49996", "0.50000"},
		{Requirement{0.4999999, 0.5, 2}, "just under 0.50", "0.50"},
		{Requirement{12, 0, 1}, "12.0", "0"},
	} {
		if is, limit := row.held.Words(); is != row.is || limit != row.limit {
			t.Errorf("%+v: %q below %q, want %q below %q", row.held, is, limit, row.is, row.limit)
		}
	}
}
