// Package study tries many scenes and chooses among them: it sweeps over ranges of variables, arranges modules on their
// rails and compares scenes, all by the light on the plane of the goal. SI units; light in lx and umol/m2/s. Next:
// package optics for the light of one scene, package optics/search for the choice.
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
	StepM    float64 // cells of the grid; 0 for about 6000 cells
	Workers  int
	Units    unit.System           // of lengths in sentences
	Cold     bool                  // light at the temperatures at which the parts' tables hold, not in the balance of heat
	Progress func(done, total int) // called from one goroutine at a time; may be nil
}

// Sweep computes the light on the goal's plane for all combinations of the axes' values. Light is added up from fields
// of single modules, which candidates share. When ctx ends it returns what is done, not Complete, without an error.
func Sweep(ctx context.Context, sc *scene.Scene, o SweepOptions) (*result.Sweep, error) {
	s, err := newSweeper(sc, o)
	if err != nil {
		return nil, err
	}
	classes := s.classes()
	if err := s.own(ctx, classes[0]); err != nil {
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
	light   *optics.Light
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
	s := &sweeper{scene: sc, options: o, report: o.Progress, out: &result.Sweep{Title: sc.Title, Plane: plane.Name,
		DepthM: plane.DepthM, Best: -1, Shown: optics.Shown(sc.Goal), GoalLevel: optics.GoalLevel(sc)}}
	if s.report == nil {
		s.report = func(int, int) {}
	}
	var err error
	if s.light, err = optics.NewLight(sc, optics.LightOptions{StepM: o.StepM, Workers: o.Workers,
		Cold: o.Cold}); err != nil {
		return nil, err
	}
	s.out.Grid = s.light.Grid()
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
		return fmt.Errorf("the ranges make %s candidates, more than the limit of %s; wider steps serve", unit.Count(total),
			unit.Count(MaxCandidates))
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

// changes are what makes a candidate's scene of the sweep's.
func (s *sweeper) changes(candidate int) []edit.Change {
	var list []edit.Change
	for k, a := range s.options.Axes {
		list = append(list, edit.Change{Rail: a.Rail, Variable: a.Variable, Value: s.out.Candidates[candidate].Values[k]})
	}
	return list
}

// own computes the scene as it is, after the memory of the first group was predicted: the others vary in what leaves
// the number of their fields as it is.
func (s *sweeper) own(ctx context.Context, first []int) error {
	var sets []optics.Set
	for _, i := range first {
		if sc, err := edit.With(s.scene, s.changes(i)...); err == nil { // else told where its turn comes
			sets = append(sets, optics.SetOf(sc))
		}
	}
	if err := s.light.Check(sets...); err != nil {
		return err
	}
	lit, err := s.light.Scene(ctx, s.scene)
	if err != nil {
		return err
	}
	s.out.Own = lit.Candidate()
	for _, a := range s.options.Axes {
		s.out.Own.Values = append(s.out.Own.Values, edit.Value(s.scene, a.Rail, a.Variable))
	}
	return nil
}

// classes groups candidates that differ only in where modules sit along the rail, how many there are and how bright:
// those share fields. Groups and candidates keep their order. A group that is too large to be kept in memory is cut.
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

// class computes the candidates of one group. Those that cannot be, or find no balance of heat, are marked Refused.
func (s *sweeper) class(ctx context.Context, group []int) error {
	var scenes []*scene.Scene
	var list []*result.Candidate
	for _, i := range group {
		c := &s.out.Candidates[i]
		sc, err := edit.With(s.scene, s.changes(i)...)
		if err != nil {
			c.Refused = err.Error()
			continue
		}
		scenes, list = append(scenes, sc), append(list, c)
	}
	warm, junctions, err := s.light.Warm(ctx, scenes...)
	if err != nil {
		return err
	}
	var sets []optics.Set
	var kept []int
	for i, sc := range warm {
		list[i].Junctions = junctions[i]
		if junctions[i].TooHot != "" && !junctions[i].Warm {
			list[i].Refused = junctions[i].TooHot
			continue
		}
		sets, kept = append(sets, optics.SetOf(sc)), append(kept, i)
	}
	lits, err := s.light.Compute(ctx, sets...)
	if err != nil {
		return err
	}
	err = parallel.ForEach(ctx, s.options.Workers, len(lits), func(k int) {
		i := kept[k]
		lits[k].Junctions = junctions[i]
		values := list[i].Values
		*list[i] = lits[k].Candidate()
		list[i].Values = values
	})
	for _, i := range group {
		if c := &s.out.Candidates[i]; c.Done || c.Refused != "" {
			s.done++
		}
	}
	s.report(s.done, len(s.out.Candidates))
	return err
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

// bounced is what the best candidate leaves out, or the scene as it is where there is none.
func (s *sweeper) bounced(ctx context.Context) (result.Bounced, error) {
	sc := s.scene
	if s.out.Best >= 0 {
		var err error
		if sc, err = edit.With(s.scene, s.changes(s.out.Best)...); err != nil {
			return 0, err
		}
	}
	lit, err := s.light.Scene(ctx, sc)
	if err != nil {
		return 0, err
	}
	return lit.Bounced, nil
}
