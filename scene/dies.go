package scene

import (
	"fmt"
)

// CheckDies refuses more than MaxDies: each is a source of its own.
func (s *Scene) CheckDies() error {
	dies := 0
	for _, r := range s.Rails {
		for _, m := range r.Modules {
			dies += m.Part.Dies()
		}
	}
	if dies > MaxDies {
		return fmt.Errorf("%d dies of all modules together are too many; at most %d serve, by a lower count of modules "+
			"or fewer dies in their part", dies, MaxDies)
	}
	return nil
}
