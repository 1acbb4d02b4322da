package scene

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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

// misplaced is a module that cannot be mounted where it is.
type misplaced struct {
	module, other int    // by index on the rail; other is the neighbour on whose board it lies, -1 for none
	where         string // "beyond the end of rail main"; empty where it lies on its neighbour
}

// say says what is wrong in a sentence.
func (p misplaced) say(r Rail) string {
	if p.other >= 0 {
		return fmt.Sprintf("the boards at x = %s and %s of %s lie on each other", say(r.Modules[p.other].XM),
			say(r.Modules[p.module].XM), RailWord(r.Name))
	}
	return fmt.Sprintf("the module at x = %s is %s", say(r.Modules[p.module].XM), p.where)
}

// misplaced lists the modules of a rail whose boards reach beyond its end or into a keep-out, or lie on their
// neighbour, from left to right.
func (r Rail) misplaced() (list []misplaced) {
	order := make([]int, len(r.Modules))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(r.Modules[a].XM, r.Modules[b].XM) })
	for n, i := range order {
		m := r.Modules[i]
		left, right := m.XM-m.Part.BoardLengthM/2, m.XM+m.Part.BoardLengthM/2
		if left < r.LeftM-SlackM || right > r.LeftM+r.LengthM+SlackM {
			list = append(list, misplaced{i, -1, "beyond the end of " + RailWord(r.Name)})
		}
		if n > 0 {
			before := r.Modules[order[n-1]]
			if m.XM-before.XM < (m.Part.BoardLengthM+before.Part.BoardLengthM)/2-SlackM {
				list = append(list, misplaced{i, order[n-1], ""})
			}
		}
		for _, k := range r.KeepOuts {
			if right > k.FromM+SlackM && left < k.ToM-SlackM {
				where := fmt.Sprintf("in the keep-out from x = %s to %s", say(k.FromM), say(k.ToM))
				if k.Why != "" {
					where += " (" + k.Why + ")"
				}
				list = append(list, misplaced{i, -1, where + " of " + RailWord(r.Name)})
			}
		}
	}
	return list
}

// warnModules warns about modules that are misplaced or outside the tank. at holds the place in the file of each; the
// modules of one group share a warning.
func warnModules(at []document.Node, t Tank, rail Rail) {
	list := rail.misplaced()
	for i, m := range rail.Modules {
		if m.XM < 0 || m.XM > t.LengthM || rail.YM < 0 || rail.YM > t.WidthM {
			list = append(list, misplaced{i, -1, "outside the tank"})
		}
	}
	done := map[string]bool{}
	for n, p := range list {
		node := at[max(p.module, p.other)]
		if key := node.Path() + " " + p.where; done[key] {
			continue
		} else {
			done[key] = true
		}
		var places []string
		for _, q := range list[n:] {
			if q.other < 0 && q.where == p.where && at[q.module].Path() == node.Path() {
				places = append(places, say(rail.Modules[q.module].XM))
			}
		}
		if len(places) < 2 {
			node.Warnf("%s", p.say(rail))
			continue
		}
		shown := strings.Join(places[:min(len(places), 4)], ", ")
		if len(places) > 4 {
			shown += " and more"
		}
		node.Warnf("%d modules are %s, at x = %s", len(places), p.where, shown)
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

// PlacementError says why the modules of a rail cannot be mounted where they are, empty where they can.
func (r Rail) PlacementError() string {
	if list := r.misplaced(); len(list) > 0 {
		return list[0].say(r)
	}
	return ""
}

// PlacementError says why the modules of the scene cannot be mounted where they are, empty where they can: that of a
// rail, or bars in one space.
func (s *Scene) PlacementError() string {
	for i, r := range s.Rails {
		if why := r.PlacementError(); why != "" {
			return why
		}
		for _, other := range s.Rails[:i] {
			if inOneSpace(r, other) {
				return fmt.Sprintf("the bars of %s and %s lie in one space", RailWord(other.Name), RailWord(r.Name))
			}
		}
	}
	return ""
}

// HoodWarnings says where the rails do not find room under their hood.
func (s *Scene) HoodWarnings() (list []document.Fault) {
	h := s.Ambient.Hood
	if h == nil {
		return nil
	}
	left, right, front, back, tallest := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1), 0.0
	for _, r := range s.Rails {
		half := r.Profile.WidthM / 2
		left, right = math.Min(left, r.LeftM), math.Max(right, r.LeftM+r.LengthM)
		front, back = math.Min(front, r.YM-half), math.Max(back, r.YM+half)
		tallest = math.Max(tallest, r.Profile.HeightM)
	}
	for _, side := range []struct {
		name         string
		hoodM, needM float64
	}{{"long", h.LengthM, right - left}, {"wide", h.WidthM, back - front}, {"high", h.HeightM, tallest}} {
		if side.needM > side.hoodM+SlackM {
			at := h.At
			at.Message = fmt.Sprintf("the hood is %s %s, less than the %s that the rails take", say(side.hoodM), side.name,
				say(side.needM))
			list = append(list, at)
		}
	}
	return list
}

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
