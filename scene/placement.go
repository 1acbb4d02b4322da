package scene

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// SlackM is how far a board may reach over an edge by rounding.
const SlackM = 1e-6

// corners are those of the bar, seen from above.
func (r *Rail) corners() (list [4]space.Point) {
	across := space.Tilted(0).Turned(r.TurnRad).Across
	for i, side := range [4][2]float64{{0, -0.5}, {1, -0.5}, {1, 0.5}, {0, 0.5}} {
		x, y := r.At(r.LeftM + side[0]*r.LengthM)
		list[i] = space.Point{X: x + side[1]*r.Profile.WidthM*across.X, Y: y + side[1]*r.Profile.WidthM*across.Y}
	}
	return list
}

// beside tells whether all modules of a rail that is not tilted hang so far beside the inside of the tank that the
// light which gets in leaves them at more than 45 degrees.
func (r *Rail) beside(t Tank) bool {
	return r.TiltRad == 0 && len(r.Modules) > 0 && !slices.ContainsFunc(r.Modules, func(m Module) bool {
		x, y := r.At(m.XM)
		return t.Over(x, y) || t.awayM(x, y) <= r.AboveWaterM
	})
}

// awayM is how far a place beside the tank is from its inside.
func (t *Tank) awayM(xM, yM float64) float64 {
	o := t.Outline
	if o.Empty() {
		o.Corners = []form.Corner{{}, {XM: t.LengthM}, {XM: t.LengthM, YM: t.WidthM}, {YM: t.WidthM}}
	}
	return o.EdgeM(form.Corner{XM: xM, YM: yM})
}

// aboutShape says how long and wide a tank is, and whether its outline takes some of that away.
func aboutShape(t Tank) string {
	words := fmt.Sprintf(", whose inside is %s x %s", say(t.LengthM), say(t.WidthM))
	if !t.Outline.Empty() {
		words += " less what its outline leaves out"
	}
	return words
}

// Over tells whether a place is over the inside of the tank.
func (t *Tank) Over(xM, yM float64) bool {
	return xM >= 0 && xM <= t.LengthM && yM >= 0 && yM <= t.WidthM &&
		(t.Outline.Empty() || t.Outline.Holds(space.Point{X: xM, Y: yM}))
}

// warnRail warns about a rail that cannot hang where it is, or that does not hang over the tank.
func warnRail(n document.Node, t Tank, rail Rail) {
	left, right, overX, overY := math.Inf(1), math.Inf(-1), false, false
	for _, c := range rail.corners() {
		left, right = min(left, c.X), max(right, c.X)
		overX = overX || c.X < -SlackM || c.X > t.LengthM+SlackM
		overY = overY || c.Y < -SlackM || c.Y > t.WidthM+SlackM
		overX = overX || !t.Outline.Empty() && !t.Over(c.X, c.Y)
	}
	switch {
	case overX && rail.AboveWaterM < t.RimAboveWaterM():
		n.Warn(finding.RailBelowRim.Of(finding.Length(t.RimAboveWaterM() - rail.AboveWaterM)))
	case overX:
		n.Warn(finding.RailBeyondEnds.Of(finding.Span{FromM: left, ToM: right}))
	}
	left, right = rail.LeftM, rail.LeftM+rail.LengthM
	for _, k := range rail.KeepOuts {
		if k.ToM <= left+SlackM || k.FromM >= right-SlackM {
			n.Warn(finding.KeepOutOffRail.Of(finding.Span{FromM: k.FromM, ToM: k.ToM}, finding.Span{FromM: left, ToM: right}))
		}
	}
	if overY {
		n.Warn(finding.RailBeyondSides.Of(finding.Length(rail.YM)))
	}
}

// inOneSpace tells whether a rail's bar needs the space of another one's.
func inOneSpace(rail, other Rail) bool {
	for _, r := range []Rail{rail, other} {
		frame := r.Frame(&Module{})
		for _, axis := range []space.Vector{frame.Along, frame.Across, frame.Aim} {
			low, high := rail.reach(axis)
			if from, to := other.reach(axis); low >= to-SlackM || high <= from+SlackM {
				return false // both stand on their own side of a plane
			}
		}
	}
	return true
}

// reach returns from where to where the bar reaches along a direction.
func (r Rail) reach(axis space.Vector) (low, high float64) {
	x, y := r.At(r.LeftM + r.LengthM/2)
	frame, face := r.Frame(&Module{}), space.Vector{X: x, Y: y, Z: r.AboveWaterM}.Dot(axis)
	half := r.Profile.WidthM/2*math.Abs(frame.Across.Dot(axis)) + r.LengthM/2*math.Abs(frame.Along.Dot(axis))
	up := -r.Profile.HeightM * frame.Aim.Dot(axis)
	return face - half + min(up, 0), face + half + max(up, 0)
}

// misplaced is a module that cannot be mounted where it is, or gives no light to the tank there.
type misplaced struct {
	module, other int // by index on the rail; other is the neighbour on whose board it lies
	where         int // the index of the keep-out that it lies in, or one of these:
}

const (
	beyondEnd = -1 - iota
	outsideTank
	onNeighbour
)

// say says what is wrong with a module and with others that are wrong alike, all at these x.
func (p misplaced) say(r Rail, xM ...float64) finding.Finding {
	rail := finding.Text(RailWord(r.Name))
	switch p.where {
	case beyondEnd:
		return finding.ModulesBeyondEnd.Of(finding.Modules(xM), rail)
	case outsideTank:
		return finding.ModulesOutsideTank.Of(finding.Modules(xM))
	case onNeighbour:
		return finding.BoardsOverlap.Of(finding.Length(r.Modules[p.other].XM), finding.Length(r.Modules[p.module].XM), rail)
	}
	k := r.KeepOuts[p.where]
	return finding.ModulesInKeepOut.Of(finding.Modules(xM), finding.Span{FromM: k.FromM, ToM: k.ToM},
		finding.Aside(k.Why), rail)
}

// barsOverlap says that the bars of two rails need the same space.
func barsOverlap(a, b Rail) finding.Finding {
	return finding.BarsOverlap.Of(finding.Text(RailWord(a.Name)), finding.Text(RailWord(b.Name)))
}

// misplaced lists modules whose boards reach beyond the rail or into a keep-out, or lie on others, from left to right.
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
			list = append(list, misplaced{i, i, beyondEnd})
		}
		if n > 0 {
			before := r.Modules[order[n-1]]
			if m.XM-before.XM < (m.Part.BoardLengthM+before.Part.BoardLengthM)/2-SlackM {
				list = append(list, misplaced{i, order[n-1], onNeighbour})
			}
		}
		for at, k := range r.KeepOuts {
			if right > k.FromM+SlackM && left < k.ToM-SlackM {
				list = append(list, misplaced{i, i, at})
			}
		}
	}
	return list
}

// warnModules warns about modules that are misplaced or outside the tank, once for those that share a place in at.
func warnModules(at []document.Node, t Tank, rail Rail) {
	list := rail.misplaced()
	for i, m := range rail.Modules {
		if !t.Over(rail.At(m.XM)) {
			list = append(list, misplaced{i, i, outsideTank})
		}
	}
	type group struct {
		at    document.Node
		where int
	}
	alike := map[group][]float64{}
	of := func(p misplaced) group { return group{at[max(p.module, p.other)], p.where} }
	for _, p := range list {
		alike[of(p)] = append(alike[of(p)], rail.Modules[p.module].XM)
	}
	for _, p := range list {
		if xM := alike[of(p)]; xM != nil {
			of(p).at.Warn(p.say(rail, xM...))
			delete(alike, of(p))
		}
	}
}

// CheckAbove refuses a rail whose emitting face is not above the cover, or whose turned boards reach down to it or to
// the water. It returns the key of the rail that says so.
func (s *Scene) CheckAbove(r *Rail) (key string, err error) {
	below, topM := "the water", 0.0
	if c := s.Tank.Cover; c != nil {
		below, topM = "the cover's top", c.AboveWaterM+c.ThicknessM
	}
	if s.Tank.Cover != nil && r.AboveWaterM <= topM {
		return "above_water", fmt.Errorf("%s is not above the cover, whose top is at %s", say(r.AboveWaterM), say(topM))
	}
	for _, m := range r.Modules {
		frame := r.Frame(&m)
		reachM := float64(m.Part.DiesAcross-1)/2*m.Part.PitchAcrossM*math.Abs(frame.Across.Z) +
			float64(m.Part.DiesAlong-1)/2*m.Part.PitchAlongM*math.Abs(frame.Along.Z)
		if m.Part.Dies() > 1 && r.AboveWaterM-reachM <= topM {
			return "tilt", fmt.Errorf("the lowest dies of %s would stand at %s, not above %s; lift the rail or tilt it less",
				m.Part.Name, say(r.AboveWaterM-reachM), below)
		}
	}
	return "", nil
}

// PlacementError says why the modules of a rail cannot be mounted where they are, if they cannot.
func (r Rail) PlacementError() (why finding.Finding) {
	if list := r.misplaced(); len(list) > 0 {
		why = list[0].say(r, r.Modules[list[0].module].XM)
	}
	return why
}

// PlacementError is the first PlacementError of a rail, or says that bars lie in one space.
func (s *Scene) PlacementError() (why finding.Finding) {
	for i, r := range s.Rails {
		if why = r.PlacementError(); why.Any() {
			return why
		}
		for _, other := range s.Rails[:i] {
			if inOneSpace(r, other) {
				return barsOverlap(other, r)
			}
		}
	}
	return why
}

// HoodEdgeM returns the height of the lower edge of the hood above the water.
func (s *Scene) HoodEdgeM() float64 {
	if h := s.Ambient.Hood; h.AboveWaterM > 0 {
		return h.AboveWaterM
	}
	return s.Tank.topM()
}

// topM is the height above the water of the rim, or of a cover that is higher.
func (t *Tank) topM() float64 {
	top := t.RimAboveWaterM()
	if t.Cover != nil {
		top = math.Max(top, t.Cover.AboveWaterM+t.Cover.ThicknessM)
	}
	return top
}

// HoodWarnings says where the rails do not find room under their hood.
func (s *Scene) HoodWarnings() (list []finding.Finding) {
	h := s.Ambient.Hood
	if h == nil {
		return nil
	}
	left, right, front, back, tallest := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1), 0.0
	for _, r := range s.Rails {
		for _, c := range r.corners() {
			left, right, front, back = min(left, c.X), max(right, c.X), min(front, c.Y), max(back, c.Y)
		}
		tallest = math.Max(tallest, r.Profile.HeightM)
	}
	for _, side := range []struct {
		name         string
		hoodM, needM float64
	}{{"long", h.LengthM, right - left}, {"wide", h.WidthM, back - front}, {"high", h.HeightM, tallest}} {
		if side.needM > side.hoodM+SlackM {
			list = append(list, finding.HoodTooSmall.Of(finding.Length(side.hoodM), finding.Text(side.name),
				finding.Length(side.needM)).At(h.At))
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
		return fmt.Errorf("%d dies of all modules together are too many; at most %d are allowed; use fewer modules "+
			"or fewer dies in their part", dies, MaxDies)
	}
	return nil
}
