package finding

import (
	"encoding/json"
	"testing"

	"fathomlux/scene/unit"
)

// TestKeptFindingsSayTheSame: in both systems, with place and severity, and none stays none.
func TestKeptFindingsSayTheSame(t *testing.T) {
	t.Parallel()
	place := Place{File: "a.yaml", Line: 3, Column: 5, Path: "rails[0]"}
	for _, want := range []Finding{
		{},
		RailBelowRim.Of(Length(0.012)),
		NotComputed.Of(BoardsOverlap.Of(Length(0.1), Length(0.2), Text("{} \"main\""))).At(place),
	} {
		data, err := json.Marshal(struct{ F Finding }{want})
		var got struct{ F Finding }
		if err == nil {
			err = json.Unmarshal(data, &got)
		}
		if err != nil || got.F.Any() != want.Any() {
			t.Fatalf("%s: %v, %v", data, got.F, err)
		}
		for _, u := range []unit.System{unit.Metric, unit.US} {
			if got.F.Line(u) != want.Line(u) {
				t.Errorf("%s came back as %s", want.Line(u), got.F.Line(u))
			}
		}
		if want.Any() && (got.F.Code.Name != want.Code.Name || got.F.Code.Severity != want.Code.Severity) {
			t.Errorf("%+v came back as %+v", want.Code, got.F.Code)
		}
	}
	var odd Finding
	if err := json.Unmarshal([]byte(`{"Code": "x", "Severity": 9, "Words": ["a"]}`), &odd); err != nil || odd.Code.Severity.String() != "note" {
		t.Errorf("%v, %v", odd, err)
	}
	if json.Unmarshal([]byte(`[]`), &odd) == nil {
		t.Error("a list was read as a finding")
	}
}
