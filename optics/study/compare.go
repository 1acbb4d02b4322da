package study

import (
	"context"
	"fmt"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// MaxCompared is the highest number of scenes in one comparison.
const MaxCompared = 60

// Contender is one scene of a comparison with its name for people.
type Contender struct {
	Name  string
	Scene *scene.Scene
}

// Comparison holds scenes against each other, each on the plane of its own goal.
type Comparison struct {
	result.Study
	Contenders []Contender
	Maps       []*result.Map // each with the goal's plane alone
	Contrasts  []float64     // over time, of the net of light on that plane; 0 under still water, nil where all is still
}

// contrastMoments are those of a moving surface by which its contrast is compared.
const contrastMoments = 8

// Compare computes all contenders on the planes of their goals. With o.StepM 0 each takes the grid of a map.
func Compare(ctx context.Context, list []Contender, o optics.Options) (*Comparison, error) {
	if len(list) == 0 || len(list) > MaxCompared {
		return nil, fmt.Errorf("a comparison takes 1 to %d scenes, not %d", MaxCompared, len(list))
	}
	bytes := int64(0) // all maps are kept
	for _, c := range list {
		one, err := optics.Predict(c.Scene, o)
		if err != nil {
			return nil, err
		}
		bytes += one
	}
	if err := optics.Fits(bytes, "use a larger step or fewer of them"); err != nil {
		return nil, err
	}
	out := &Comparison{Study: result.Study{Shown: optics.Shown(list[0].Scene.Goal)}, Contenders: list}
	for _, c := range list {
		o.Planes = []scene.PlaneRef{optics.JudgedPlane(c.Scene)} // those of further parts of its goal are added
		m, err := optics.Map(ctx, c.Scene, o)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Name, err)
		}
		p := &m.Planes[0]
		out.Maps = append(out.Maps, m)
		out.Junctions = out.Junctions.With(m.Junctions)
		one := result.Candidate{Name: c.Name, Done: true, PowerW: m.PowerW, SpillLm: m.Balance.Spill,
			Junctions: m.Junctions, Goal: m.Goal}
		one.Take(p)
		out.Candidates = append(out.Candidates, one)
	}
	if err := out.sway(ctx, o); err != nil {
		return nil, err
	}
	out.Best = bestOf(out.Candidates)
	out.Verdict = verdict(&out.Study, list[max(out.Best, 0)].Scene.Goal)
	return out, nil
}

// sway fills in the contrasts.
func (c *Comparison) sway(ctx context.Context, o optics.Options) error {
	still := func(one Contender) bool { return one.Scene.Tank.Water.Ripple.Slope == 0 }
	if !slices.ContainsFunc(c.Contenders, func(one Contender) bool { return !still(one) }) {
		return nil
	}
	c.Contrasts = make([]float64, len(c.Contenders))
	for i, one := range c.Contenders {
		if still(one) {
			continue
		}
		s, err := optics.Shimmer(ctx, one.Scene, optics.ShimmerOptions{Plane: optics.JudgedPlane(one.Scene),
			Moments: contrastMoments, ContrastsAlone: true, Workers: o.Workers, Cold: o.Cold})
		if err != nil {
			return err
		}
		c.Contrasts[i] = s.Contrasts[len(s.Contrasts)-1].All
	}
	return nil
}

// WithOptic returns a copy of the scene in which all modules carry the optic.
func WithOptic(sc *scene.Scene, optic parts.Optic) *scene.Scene {
	out := sc.Copy()
	for i := range out.Rails {
		for k := range out.Rails[i].Modules {
			out.Rails[i].Modules[k].Optic = optic
		}
	}
	return out
}
