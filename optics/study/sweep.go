// Package study tries many scenes and chooses among them: it sweeps over ranges of variables, arranges modules on their rails and
// compares scenes, all by the light on the plane of the goal. SI units; light in lx and umol/m2/s.
// Next: package optics for the light of one scene, package optics/search for the choice.
package study

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/search"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/photometry"
	"fathomlux/scene/unit"
)

// Limits of a sweep.
const (
	MaxAxes       = 3
	MaxCandidates = 100_000
)

// SweepOptions say what a sweep does.
type SweepOptions struct {
	Axes     []edit.Range
	StepM    float64 // cells of the grid; 0 for about 5000 cells
	Workers  int
	Units    unit.System           // of lengths in sentences
	Cold     bool                  // light at the temperatures at which the parts' tables hold, not in the balance of heat
	Progress func(done, total int) // called from one goroutine at a time; may be nil
}

// Sweep computes the light on the goal's plane for all combinations of the axes' values. Light is added up from fields of
// single modules, which candidates share. When ctx ends it returns what is done, not Complete, without an error.
func Sweep(ctx context.Context, sc *scene.Scene, o SweepOptions) (*result.Sweep, error) {
	s, err := newSweeper(sc, o)
	if err != nil {
		return nil, err
	}
	classes := s.classes()
	if err := s.check(classes[0]); err != nil {
		return nil, err
	}
	if err := s.own(ctx); err != nil {
		return nil, err
	}
	for _, class := range classes {
		if err := s.class(ctx, class); err != nil && ctx.Err() == nil {
			return nil, err
		}
		if ctx.Err() != nil {
			break
		}
	}
	s.conclude()
	s.out.Bounced, err = s.bounced(context.WithoutCancel(ctx))
	return s.out, err
}

// sweeper is a sweep on its way.
type sweeper struct {
	scene   *scene.Scene
	options SweepOptions
	out     *result.Sweep
	done    int
	report  func(done, total int)
	heat    optics.HeatBalances
}

func newSweeper(sc *scene.Scene, o SweepOptions) (*sweeper, error) {
	if err := CheckAxes(o.Axes); err != nil {
		return nil, err
	}
	var lists [][]float64
	for _, a := range o.Axes {
		lists = append(lists, a.Values)
	}
	plane := optics.JudgedPlane(sc)
	s := &sweeper{scene: sc, options: o, report: o.Progress, heat: optics.HeatBalances{Cold: o.Cold}, out: &result.Sweep{Title: sc.Title, Plane: plane.Name, DepthM: plane.DepthM, Best: -1, Shown: optics.Shown(sc.Goal), GoalLevel: optics.GoalLevel(sc)}}
	if s.report == nil {
		s.report = func(int, int) {}
	}
	if s.options.StepM == 0 {
		s.options.StepM = optics.CoarseStepM(sc.Tank)
	}
	var err error
	if s.out.Grid, err = optics.ChooseGrid(sc.Tank, optics.Options{StepM: s.options.StepM}); err != nil {
		return nil, err
	}
	for _, a := range o.Axes {
		s.out.Axes = append(s.out.Axes, resultAxis(a))
	}
	for _, values := range search.Product(lists) {
		s.out.Candidates = append(s.out.Candidates, result.Candidate{Values: values})
	}
	return s, nil
}

// CheckAxes refuses no axis, more than MaxAxes, an axis without values, and more than MaxCandidates combinations.
func CheckAxes(axes []edit.Range) error {
	if len(axes) == 0 || len(axes) > MaxAxes {
		return fmt.Errorf("a sweep takes one to %d variables, not %d", MaxAxes, len(axes))
	}
	total := 1.0
	for _, a := range axes {
		if len(a.Values) == 0 {
			return fmt.Errorf("%s: the range has no value", a.Name())
		}
		total *= float64(len(a.Values))
	}
	if total > MaxCandidates {
		return fmt.Errorf("the ranges make %s candidates, more than the limit of %s; wider steps serve", unit.Count(total), unit.Count(MaxCandidates))
	}
	return nil
}

// resultAxis names an axis in the units that people use for it.
func resultAxis(a edit.Range) result.Axis {
	out := result.Axis{Name: a.Name(), Factor: 1, Values: a.Values}
	switch a.Variable.Name {
	case "beam", "tilt":
		out.Unit, out.Factor = "deg", 180/math.Pi
	case "current":
		out.Unit, out.Factor = "mA", 1000
	case "count":
	default:
		out.Unit, out.Factor = "mm", 1000
	}
	return out
}

// check predicts the memory of a group's fields: of the first one, for the others vary in what leaves their number as it is.
func (s *sweeper) check(group []int) error {
	var u *optics.ModuleFields
	for _, i := range group {
		sc, err := edit.With(s.scene, s.changes(i)...)
		if err != nil {
			continue // told where its turn comes
		}
		if u == nil {
			u = optics.NewModuleFields(sc, optics.JudgedPlane(sc).DepthM, s.out.Grid)
		}
		if _, err := u.Add(sc); err != nil {
			return err
		}
		if err := optics.CheckFields(u.Count(), s.options.Workers, u.Grid); err != nil {
			return err
		}
	}
	return nil
}

// changes are what makes a candidate's scene of the sweep's.
func (s *sweeper) changes(candidate int) []edit.Change {
	var list []edit.Change
	for k, a := range s.options.Axes {
		list = append(list, edit.Change{Rail: a.Rail, Variable: a.Variable, Value: s.out.Candidates[candidate].Values[k]})
	}
	return list
}

// own computes the scene as it is, on the sweep's grid.
func (s *sweeper) own(ctx context.Context) error {
	for _, a := range s.options.Axes {
		s.out.Own.Values = append(s.out.Own.Values, edit.Value(s.scene, a.Rail, a.Variable))
	}
	u := optics.NewModuleFields(s.scene, optics.JudgedPlane(s.scene).DepthM, s.out.Grid)
	sc, junctions := optics.Warmed(s.scene, s.options.Cold)
	list, err := u.Add(sc)
	if err != nil {
		return err
	}
	if err := u.Compute(ctx, s.options.Workers, func() {}); err != nil {
		return err
	}
	s.out.Own.Junctions = junctions
	s.score(u, sc, list, &s.out.Own)
	return nil
}

// classes groups candidates that differ only in where modules sit along the rail, how many there are and how bright: those
// share fields. Groups and candidates keep their order. A group that is too large to be kept in memory is cut.
func (s *sweeper) classes() [][]int {
	most := max(1, scenesBytes/(moduleBytes*max(1, len(optics.Modules(s.scene)))))
	index := map[string]int{}
	var groups [][]int
	for i, c := range s.out.Candidates {
		var key strings.Builder
		for k, a := range s.options.Axes {
			switch a.Variable.Name {
			case "spacing", "count", "current":
			default:
				fmt.Fprintf(&key, "%x,", c.Values[k])
			}
		}
		at, ok := index[key.String()]
		if !ok || len(groups[at]) >= most {
			at = len(groups)
			index[key.String()] = at
			groups = append(groups, nil)
		}
		groups[at] = append(groups[at], i)
	}
	return groups
}

// Bytes of the scenes of a group, at most, and of each of their modules, about.
const (
	scenesBytes = 256 << 20
	moduleBytes = 1024
)

// member is one candidate of a class with its scene.
type member struct {
	candidate *result.Candidate
	scene     *scene.Scene
	modules   []optics.Contribution
}

// class computes the candidates of one group.
func (s *sweeper) class(ctx context.Context, group []int) error {
	members, err := s.members(ctx, group)
	if err != nil || len(members) == 0 {
		return err
	}
	u := optics.NewModuleFields(members[0].scene, optics.JudgedPlane(members[0].scene).DepthM, s.out.Grid)
	for i := range members {
		if members[i].modules, err = u.Add(members[i].scene); err != nil {
			return err
		}
	}
	total := len(s.out.Candidates)
	if err := u.Compute(ctx, s.options.Workers, func() {}); err != nil {
		return err
	}
	err = parallel.ForEach(ctx, s.options.Workers, len(members), func(i int) {
		s.score(u, members[i].scene, members[i].modules, members[i].candidate)
	})
	for i := range members {
		if members[i].candidate.Done {
			s.done++
		}
	}
	s.report(s.done, total)
	return err
}

// members makes the scenes of a group, warm. Candidates that cannot be, or find no balance of heat, are marked Refused.
func (s *sweeper) members(ctx context.Context, group []int) ([]member, error) {
	var scenes []*scene.Scene
	var indices []int
	for _, i := range group {
		c := &s.out.Candidates[i]
		sc, err := edit.With(s.scene, s.changes(i)...)
		if err != nil {
			c.Refused = err.Error()
			s.done++
			continue
		}
		scenes, indices = append(scenes, sc), append(indices, i)
	}
	if err := s.heat.Learn(ctx, s.options.Workers, scenes); err != nil {
		return nil, err
	}
	var list []member
	for k, sc := range scenes {
		c := &s.out.Candidates[indices[k]]
		sc, c.Junctions = s.heat.Apply(sc)
		if c.Junctions.TooHot != "" && !c.Junctions.Warm {
			c.Refused = c.Junctions.TooHot
			s.done++
			continue
		}
		list = append(list, member{candidate: c, scene: sc})
	}
	return list, nil
}

// score adds up one candidate's light and measures it.
func (s *sweeper) score(u *optics.ModuleFields, sc *scene.Scene, modules []optics.Contribution, c *result.Candidate) {
	lux, ppfd := make([]float64, u.Grid.Cells()), make([]float64, u.Grid.Cells())
	u.Sum(modules, lux, ppfd)
	c.Illuminance, c.PPFD = result.Extremes(u.Solid.Open(lux)), result.Extremes(u.Solid.Open(ppfd))
	c.DLI = photometry.DLI(c.PPFD.Mean, sc.Wiring.HoursPerDay)
	c.PowerW, c.Misfit, c.Done = sc.PowerW(), optics.Hurdle(sc, c.Junctions), true
	for _, m := range modules {
		c.LumensLm += m.Lumens
	}
	plane := result.Plane{Name: s.out.Plane, Illuminance: c.Illuminance, PPFD: c.PPFD, DLI: c.DLI}
	c.Met = optics.Judge(sc.Goal, &plane, c.Misfit).Met
}

// conclude finds the frontier and the best candidate and puts the outcome into words.
func (s *sweeper) conclude() {
	out := s.out
	var usable []int
	var mean, even []float64
	out.Complete = true
	for i, c := range out.Candidates {
		if !c.Done && c.Refused == "" {
			out.Complete = false
		}
		if c.Done {
			out.Junctions = out.Junctions.With(c.Junctions)
		}
		if c.Usable() {
			usable = append(usable, i)
			v := c.Light(s.out.Shown)
			mean, even = append(mean, v.Mean), append(even, v.MinOverMean)
		}
	}
	for _, i := range search.Frontier(mean, even) {
		out.Frontier = append(out.Frontier, usable[i])
	}
	list := make([]ranked, len(usable))
	for k, i := range usable {
		list[k] = ranked{goal: s.scene.Goal, candidate: out.Candidates[i]}
	}
	if best := bestOf(list); best >= 0 {
		out.Best = usable[best]
	}
	out.Verdict = sweepVerdict(s.scene, out, s.options.Units)
}

// BouncedOf is what the best candidate leaves out, or the scene as it is where there is none.
func (s *sweeper) bounced(ctx context.Context) (result.Bounced, error) {
	sc := s.scene
	if s.out.Best >= 0 {
		var err error
		if sc, err = edit.With(s.scene, s.changes(s.out.Best)...); err != nil {
			return 0, err
		}
	}
	warm, _ := optics.Warmed(sc, s.options.Cold)
	return optics.BouncedOf(ctx, warm, s.options.Workers)
}
