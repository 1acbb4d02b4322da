package edit

import "fathomlux/scene"

// setLeaves gives all plants and floating leaves a share of their leaf area.
func setLeaves(s *scene.Scene, _ *scene.Rail, v float64) error {
	s.Tank.LeafShare = v
	return nil
}

// leaves is the share of their leaf area that plants and floating leaves have.
func leaves(s *scene.Scene, _ *scene.Rail) float64 { return s.Tank.LeafShare }
