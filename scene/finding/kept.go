package finding

import (
	"encoding/json"

	"fathomlux/scene/unit"
)

// kept is a finding as a file keeps it: with its words made, for readers of either system.
type kept struct {
	Code     string
	Severity Severity
	Place    Place
	Words    spoken
}

// spoken is an argument whose words are made, by unit.System.
type spoken [2]string

// Say returns the words.
func (s spoken) Say(u unit.System) string { return s[u] }

// MarshalJSON writes a finding, null where it is none; what UnmarshalJSON makes of it says the same.
func (f Finding) MarshalJSON() ([]byte, error) {
	if !f.Any() {
		return []byte("null"), nil
	}
	return json.Marshal(kept{f.Code.Name, f.Code.Severity, f.Place, spoken{f.Words(unit.Metric), f.Words(unit.US)}})
}

// UnmarshalJSON reads what MarshalJSON has written. A severity that there is not is taken for Note.
func (f *Finding) UnmarshalJSON(data []byte) error {
	var s *kept
	if err := json.Unmarshal(data, &s); err != nil || s == nil {
		*f = Finding{}
		return err
	}
	if s.Severity < Note || s.Severity > Obstacle {
		s.Severity = Note
	}
	*f = (&Code{s.Code, s.Severity, "{}"}).Of(s.Words).At(s.Place)
	return nil
}
