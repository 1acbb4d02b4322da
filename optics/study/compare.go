package study

import (
	"context"
	"fmt"

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
}

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
	out.Best = bestOf(out.Candidates)
	out.Verdict = verdict(&out.Study, list[max(out.Best, 0)].Scene.Goal)
	return out, nil
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
