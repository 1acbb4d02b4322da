package direct

import (
	"math"

	"fathomlux/scene/space"
)

// levelsM is about how far apart the level planes are between which straight light on a ground is interpolated, of which
// there are mostLevels at most: it bends so little with depth that this is right to a part in 10000.
const (
	levelsM    = 0.005
	mostLevels = 33
)

// rise readies the levels of a plane: of that on a ground, from the lowest place to the highest.
func (s *sight) rise(fine fineness) {
	m := s.engine.model
	s.levels = []*sum{s.sum}
	if !m.OnGround(s.depthM) {
		return
	}
	high := m.Ground.HighestM()
	n := int(min(math.Ceil(high/levelsM), mostLevels-1))
	s.levelM = high / float64(n)
	for k := range n {
		s.levels = append(s.levels, s.engine.empty(max(s.depthM-float64(k+1)*s.levelM, 0), fine))
	}
}

// level is the level at or below a place, and how far above it the place is, in parts of the way to the next.
func (s *sight) level(at space.Point) (level int, above float64) {
	if s.levelM == 0 {
		return 0, 0
	}
	v := at.Z / s.levelM
	level = int(min(max(v, 0), float64(len(s.levels)-2)))
	return level, min(max(v-float64(level), 0), 1)
}

// facing turns the illuminance of a level plane into that of a ground that is not level: the cosine of the angle of
// incidence on it over that on the level, for a ray that comes x and y away from its source.
func (s *sight) facing(at space.Point, x, y float64, p place, level int) float64 {
	if s.levelM == 0 {
		return 1
	}
	n, depth := s.engine.model.Ground.Normal(at.X, at.Y), s.levels[level].depthM
	if depth == 0 {
		return n.Z
	}
	way := (1 - p.water()) / depth // of the ray in the water, sideways for each metre down
	return max(0, n.Z-(n.X*x+n.Y*y)*way)
}
