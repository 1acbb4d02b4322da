package study

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/search"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// Limits of a sweep.
const (
	MaxAxes       = 3
	MaxCandidates = 100_000
)

// SweepOptions say what a study varies and how it computes.
type SweepOptions struct {
	Axes     []edit.Range
	StepM    float64 // cells of the grid; 0 for about 6000 cells
	Workers  int
	Units    unit.System           // of lengths in sentences
	Cold     bool                  // light at the temperatures at which the parts' tables hold, not in the balance of heat
	Rough    int                   // see optics.Options
	Progress func(done, total int) // called from one goroutine at a time; may be nil

	// Shares are what SweepShare gave of all shares of this sweep, in their order, in place of computing; nil to compute.
	Shares iter.Seq2[result.Candidate, error]
}

// light readies a Light, which traces so many histories of each module, 0 for the usual number.
func (o SweepOptions) light(sc *scene.Scene, stepM float64, histories int) (*optics.Light, error) {
	return optics.NewLight(sc, optics.LightOptions{StepM: stepM, Workers: o.Workers, Cold: o.Cold, Histories: histories,
		Rough: o.Rough})
}

func (o SweepOptions) told(done, total int) {
	if o.Progress != nil {
		o.Progress(done, total)
	}
}

// Check refuses no axis, more than MaxAxes, an axis without values, and more than MaxCandidates combinations.
func (o SweepOptions) Check() error {
	if len(o.Axes) == 0 || len(o.Axes) > MaxAxes {
		return fmt.Errorf("a sweep takes one to %d variables, not %d", MaxAxes, len(o.Axes))
	}
	total := 1.0
	for _, a := range o.Axes {
		if len(a.Values) == 0 {
			return fmt.Errorf("%s: the range has no value", a.Name())
		}
		total *= float64(len(a.Values))
	}
	if total > MaxCandidates {
		return fmt.Errorf("the ranges make %s candidates, more than the limit of %s; use larger steps", unit.Count(total),
			unit.Count(MaxCandidates))
	}
	return nil
}

// combinations returns all choices of one value of each axis, the last axis running fastest.
func (o SweepOptions) combinations() [][]float64 {
	all := [][]float64{nil}
	for _, a := range o.Axes {
		var longer [][]float64
		for _, head := range all {
			for _, v := range a.Values {
				longer = append(longer, append(slices.Clip(head), v))
			}
		}
		all = longer
	}
	return all
}

// with returns the scene in which the axes have the values, and more is changed besides.
func (o SweepOptions) with(sc *scene.Scene, values []float64, more ...edit.Change) (*scene.Scene, error) {
	for k, a := range o.Axes {
		more = append(more, edit.Change{Rail: a.Rail, Variable: a.Variable, Value: values[k]})
	}
	return edit.With(sc, more...)
}

// named writes values of the axes for people: "spacing 160 mm, beam 40 deg".
func (o SweepOptions) named(values []float64) string {
	var words []string
	for i, a := range o.Axes {
		figure := a.Variable.Say(values[i])
		if a.Variable.Dimension == unit.Length {
			figure = o.Units.Length(values[i])
		}
		words = append(words, a.Name()+" "+figure)
	}
	return strings.Join(words, ", ")
}

// Sweep computes the light on the goal's plane for all combinations of the axes' values. Light is added up from fields
// of single modules, which candidates share. When ctx ends it returns what is done, fewer Reached than there are
// candidates, without an error.
func Sweep(ctx context.Context, sc *scene.Scene, o SweepOptions) (*result.Sweep, error) {
	s, err := newSweeper(sc, o)
	if err != nil {
		return nil, err
	}
	if o.Shares != nil {
		err = s.join(o.Shares)
	} else {
		err = s.computeAll(ctx, parallel.Share{})
	}
	if err != nil && (ctx.Err() == nil || !s.out.Own.Done) {
		return nil, err
	}
	s.conclude()
	return s.out, nil
}

func newSweeper(sc *scene.Scene, o SweepOptions) (s *sweeper, err error) {
	if err := o.Check(); err != nil {
		return nil, err
	}
	s = &sweeper{scene: sc, options: o, out: &result.Sweep{Title: sc.Title, Plane: optics.JudgedPlane(sc).Name,
		Study: result.Study{Shown: optics.Shown(sc.Goal)}}}
	for _, a := range o.Axes {
		s.out.Axes = append(s.out.Axes, result.Axis{Name: a.Name(), Dimension: a.Variable.Dimension, Values: a.Values})
	}
	for _, values := range o.combinations() {
		s.out.Candidates = append(s.out.Candidates, result.Candidate{Name: o.named(values), Values: values})
	}
	s.light, err = o.light(sc, o.StepM, 0)
	return s, err
}

type sweeper struct {
	scene   *scene.Scene
	options SweepOptions
	out     *result.Sweep
	light   *optics.Light
	total   int // candidates to compute
}

// computeAll computes a share.
func (s *sweeper) computeAll(ctx context.Context, share parallel.Share) error {
	list := s.places(share)
	own := len(list) > 0 && list[0] == ownPlace
	if own {
		list = list[1:]
	}
	groups := s.groups(list)
	s.total = len(list)
	if own {
		if err := s.own(ctx, slices.Concat(groups[:min(1, len(groups))]...)); err != nil {
			return err
		}
	}
	for _, group := range groups {
		if err := s.compute(ctx, group); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// own computes the scene as it is, after the memory of the first group was predicted: the others vary in what leaves
// the number of their fields as it is.
func (s *sweeper) own(ctx context.Context, first []int) error {
	var scenes []*scene.Scene
	for _, i := range first {
		if sc, err := s.options.with(s.scene, s.out.Candidates[i].Values); err == nil { // else told where its turn comes
			scenes = append(scenes, sc)
		}
	}
	if err := s.light.CheckScenes(scenes...); err != nil {
		return err
	}
	lit, err := s.light.Scene(ctx, s.scene)
	if err != nil {
		return err
	}
	s.out.Own = lit.Candidate()
	s.out.Own.Name = "the scene as it is"
	for _, a := range s.options.Axes {
		s.out.Own.Values = append(s.out.Own.Values, edit.Value(s.scene, a.Rail, a.Variable))
	}
	return nil
}

// Bytes of the scenes of a group, at most, and of each of their modules, about.
const (
	scenesBytes = 256 << 20
	moduleBytes = 1024
)

// groups are candidates that differ only in where modules sit along the rail, how many there are and how bright: those
// share fields. Groups and candidates keep their order. A group that is too large to be kept in memory is cut.
func (s *sweeper) groups(list []int) (groups [][]int) {
	most := max(1, scenesBytes/(moduleBytes*max(1, len(optics.Modules(s.scene)))))
	index := map[string]int{}
	for _, i := range list {
		key := ""
		for k, a := range s.options.Axes {
			switch a.Variable.Name {
			case "spacing", "count", "current":
			default:
				key += fmt.Sprintf("%x,", s.out.Candidates[i].Values[k])
			}
		}
		at, ok := index[key]
		if !ok || len(groups[at]) >= most {
			at = len(groups)
			index[key], groups = at, append(groups, nil)
		}
		groups[at] = append(groups[at], i)
	}
	return groups
}

// compute computes the candidates of one group. Those that cannot be, or find no balance of heat, are marked Refused.
func (s *sweeper) compute(ctx context.Context, group []int) error {
	var scenes []*scene.Scene
	var list, lit []*result.Candidate
	for _, i := range group {
		c := &s.out.Candidates[i]
		sc, err := s.options.with(s.scene, c.Values)
		if err != nil {
			c.Refused = finding.NotComputed.Of(finding.Cause(err))
			continue
		}
		scenes, list = append(scenes, sc), append(list, c)
	}
	warm, junctions, err := s.light.Warm(ctx, scenes...)
	if err != nil {
		return err
	}
	scenes = scenes[:0]
	for i, c := range list {
		if c.Junctions = junctions[i]; c.Junctions.TooHot.Any() && !c.Junctions.Warm {
			c.Refused = c.Junctions.TooHot
		} else {
			scenes, lit = append(scenes, warm[i]), append(lit, c)
		}
	}
	lits, err := s.light.Scenes(ctx, scenes...)
	if err != nil {
		return err
	}
	err = parallel.ForEach(ctx, s.options.Workers, len(lits), func(k int) {
		c := lit[k]
		lits[k].Junctions = c.Junctions
		done := lits[k].Candidate()
		done.Name, done.Values = c.Name, c.Values
		*c = done
	})
	for _, i := range group {
		if s.out.Candidates[i].Reached() {
			s.out.Reached++
		}
	}
	s.options.told(s.out.Reached, s.total)
	return err
}

// conclude finds the frontier and the best candidate, and puts the outcome into words.
func (s *sweeper) conclude() {
	out := s.out
	var usable []int
	var mean, even []float64
	for i, c := range out.Candidates {
		if c.Done {
			out.Junctions = out.Junctions.With(c.Junctions)
		}
		if c.Usable() {
			light := c.Light(out.Shown)
			usable, mean, even = append(usable, i), append(mean, light.Mean), append(even, light.MinOverMean)
		}
	}
	for _, i := range search.Frontier(mean, even) {
		out.Frontier = append(out.Frontier, usable[i])
	}
	out.Best = bestOf(out.Candidates)
	out.Verdict = verdict(&out.Study, s.scene.Goal)
}
