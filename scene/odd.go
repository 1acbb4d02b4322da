package scene

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/space"
)

// SlackM is how far a board may reach over an edge by rounding.
const SlackM = 1e-6

// warnRail warns about a rail that cannot hang where it is, or that does not hang over the tank.
func warnRail(n document.Node, t Tank, rail Rail) {
	left, right := rail.LeftM, rail.LeftM+rail.LengthM
	overX := left < -SlackM || right > t.LengthM+SlackM
	half := rail.Profile.WidthM / 2
	overY := rail.YM-half < -SlackM || rail.YM+half > t.WidthM+SlackM
	switch {
	case overX && rail.AboveWaterM < t.RimAboveWaterM():
		n.Warnf("the rail reaches beyond the tank's ends but hangs %s below the rim",
			say(t.RimAboveWaterM()-rail.AboveWaterM))
	case overX:
		n.Warnf("the rail reaches beyond the tank's ends: it runs from x = %s to %s", say(left), say(right))
	}
	for _, k := range rail.KeepOuts {
		if k.ToM <= left+SlackM || k.FromM >= right-SlackM {
			n.Warnf("the keep-out from x = %s to %s touches no part of the rail, which runs from x = %s to %s", say(k.FromM),
				say(k.ToM), say(left), say(right))
		}
	}
	if overY {
		n.Warnf("the rail reaches beyond the tank's front or back: its middle is at y = %s", say(rail.YM))
	}
}

// inOneSpace tells whether a rail's bar needs the space of another one's.
func inOneSpace(rail, other Rail) bool {
	if rail.LeftM+rail.LengthM <= other.LeftM+SlackM || other.LeftM+other.LengthM <= rail.LeftM+SlackM {
		return false
	}
	for _, r := range []Rail{rail, other} {
		frame := space.Tilted(r.TiltRad)
		for _, axis := range []space.Vector{frame.Across, frame.Aim} {
			low, high := rail.reach(axis)
			if from, to := other.reach(axis); low >= to-SlackM || high <= from+SlackM {
				return false // both stand on their own side of a plane
			}
		}
	}
	return true
}

// reach returns from where to where the bar reaches along a direction across the tank.
func (r Rail) reach(axis space.Vector) (low, high float64) {
	frame := space.Tilted(r.TiltRad)
	low, high = math.Inf(1), math.Inf(-1)
	for _, across := range []float64{-r.Profile.WidthM / 2, r.Profile.WidthM / 2} {
		for _, up := range []float64{0, r.Profile.HeightM} {
			y, z := r.YM+across*frame.Across.Y-up*frame.Aim.Y, r.AboveWaterM+across*frame.Across.Z-up*frame.Aim.Z
			low, high = min(low, y*axis.Y+z*axis.Z), max(high, y*axis.Y+z*axis.Z)
		}
	}
	return low, high
}

// warnModules warns about modules beyond the rail's ends, outside the tank, in a keep-out or on top of each other. at
// holds the place in the file of each; the modules of one group share a warning.
func warnModules(at []document.Node, t Tank, rail Rail) {
	warnEach(at, rail.Modules, "beyond the rail's end", func(m Module) bool {
		half := m.Part.BoardLengthM / 2
		return m.XM-half < rail.LeftM-SlackM || m.XM+half > rail.LeftM+rail.LengthM+SlackM
	})
	warnEach(at, rail.Modules, "outside the tank", func(m Module) bool {
		return m.XM < 0 || m.XM > t.LengthM || rail.YM < 0 || rail.YM > t.WidthM
	})
	for _, k := range rail.KeepOuts {
		where := fmt.Sprintf("in the keep-out from x = %s to %s", say(k.FromM), say(k.ToM))
		if k.Why != "" {
			where += " (" + k.Why + ")"
		}
		warnEach(at, rail.Modules, where, func(m Module) bool {
			half := m.Part.BoardLengthM / 2
			return m.XM+half > k.FromM+SlackM && m.XM-half < k.ToM-SlackM
		})
	}
	warnOverlaps(at, rail.Modules)
}

// warnEach adds one warning for each group that has modules for which odd holds.
func warnEach(at []document.Node, modules []Module, where string, odd func(Module) bool) {
	for start := 0; start < len(modules); {
		end, places := start, []string(nil)
		for ; end < len(modules) && at[end].Path() == at[start].Path(); end++ {
			if odd(modules[end]) {
				places = append(places, say(modules[end].XM))
			}
		}
		if len(places) == 1 {
			at[start].Warnf("the module at x = %s is %s", places[0], where)
		} else if len(places) > 1 {
			at[start].Warnf("%d modules are %s, at x = %s", len(places), where, few(places))
		}
		start = end
	}
}

// few joins words and leaves out those after the fourth.
func few(words []string) string {
	if len(words) > 4 {
		return strings.Join(words[:4], ", ") + " and more"
	}
	return strings.Join(words, ", ")
}

// warnOverlaps adds one warning for each group of which a board lies on another board of the same rail.
func warnOverlaps(at []document.Node, modules []Module) {
	order := make([]int, len(modules))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return modules[order[a]].XM < modules[order[b]].XM })
	warned := map[string]bool{}
	for k := 1; k < len(order); k++ {
		left, right := order[k-1], order[k]
		a, b := modules[left], modules[right]
		if b.XM-a.XM >= (a.Part.BoardLengthM+b.Part.BoardLengthM)/2-SlackM {
			continue
		}
		later := at[max(left, right)]
		if warned[later.Path()] {
			continue
		}
		warned[later.Path()] = true
		later.Warnf("the boards at x = %s and %s lie on each other", say(a.XM), say(b.XM))
	}
}

// CheckHeight refuses a height above the water that is not above the cover.
func (s *Scene) CheckHeight(heightM float64) error {
	if c := s.Tank.Cover; c != nil && heightM <= c.topM() {
		return fmt.Errorf("%s is not above the cover, whose top is at %s", say(heightM), say(c.topM()))
	}
	return nil
}

func (c *Cover) topM() float64 { return c.AboveWaterM + c.ThicknessM }

// CheckDiesAbove refuses a rail whose turned boards reach down to the water or the cover.
func (s *Scene) CheckDiesAbove(r *Rail) error {
	below, topM := "the water", 0.0
	if c := s.Tank.Cover; c != nil {
		below, topM = "the cover's top", c.topM()
	}
	for _, m := range r.Modules {
		reachM := float64(m.Part.DiesAcross-1) / 2 * m.Part.PitchAcrossM * math.Abs(math.Sin(r.TiltRad))
		if m.Part.DiesAcross > 1 && r.AboveWaterM-reachM <= topM {
			return fmt.Errorf("the lowest dies of %s would stand at %s, not above %s; lift the rail or tilt it less",
				m.Part.Name, say(r.AboveWaterM-reachM), below)
		}
	}
	return nil
}

// Misfit says why the modules of a rail cannot be mounted where they are, empty where they can: a board reaches beyond
// the rail's end or into a keep-out, or lies on its neighbour.
func (r Rail) Misfit() string {
	r.Modules = slices.Clone(r.Modules)
	r.SortModules()
	for i, m := range r.Modules {
		left, right := m.XM-m.Part.BoardLengthM/2, m.XM+m.Part.BoardLengthM/2
		if left < r.LeftM-SlackM || right > r.LeftM+r.LengthM+SlackM {
			return fmt.Sprintf("the module at x = %s is beyond the end of %s", say(m.XM), RailWord(r.Name))
		}
		if i > 0 && m.XM-r.Modules[i-1].XM < (m.Part.BoardLengthM+r.Modules[i-1].Part.BoardLengthM)/2-SlackM {
			return fmt.Sprintf("the boards at x = %s and %s of %s lie on each other", say(r.Modules[i-1].XM), say(m.XM),
				RailWord(r.Name))
		}
		for _, k := range r.KeepOuts {
			if right > k.FromM+SlackM && left < k.ToM-SlackM {
				return fmt.Sprintf("the module at x = %s is in the keep-out from x = %s to %s of %s", say(m.XM), say(k.FromM),
					say(k.ToM), RailWord(r.Name))
			}
		}
	}
	return ""
}

// Misfit says why the modules of the scene cannot be mounted where they are, empty where they can: that of a rail, or bars in
// one space.
func (s *Scene) Misfit() string {
	for i, r := range s.Rails {
		if why := r.Misfit(); why != "" {
			return why
		}
		for _, other := range s.Rails[:i] {
			if inOneSpace(r, other) {
				return fmt.Sprintf("the bars of the rails %s and %s lie in one space", other.Name, r.Name)
			}
		}
	}
	return ""
}
