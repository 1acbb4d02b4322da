package study

import (
	"context"
	"fmt"
	"slices"
	"strings"

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

// Compared is the answer for one contender: its map with the goal's plane first, and what a table shows beside it.
type Compared struct {
	Name        string
	Scene       *scene.Scene
	Map         *result.Map
	Plane       *result.Plane // the one that the goal speaks of
	PowerW      float64       // electrical, of the modules
	EnteredLm   float64       // lumens that pass the surface
	EnteredPerW float64       // lm/W
	Unbuildable string        // why it cannot be mounted or its parts are too hot, empty where neither is so
}

// Comparison holds scenes against each other.
type Comparison struct {
	List    []Compared
	Best    int             // the one that serves best
	Shown   result.Quantity // that the goal of the first one counts
	Verdict string
	Bounced result.Bounced // what the best one's engine leaves out

	Junctions result.Junctions // of all of them
}

// Compare computes all contenders on the planes of their goals. With o.StepM 0 all take the grid of the first one.
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
	if err := optics.Fits(bytes, "a wider step or fewer of them serve"); err != nil {
		return nil, err
	}
	out := &Comparison{Shown: optics.Shown(list[0].Scene.Goal)}
	for _, c := range list {
		one, err := compared(ctx, c, o)
		if err != nil {
			return nil, err
		}
		out.List = append(out.List, one)
		out.Junctions = out.Junctions.With(one.Map.Junctions)
	}
	ranks := make([]ranked, len(out.List))
	for i := range out.List {
		ranks[i] = ranked{goal: out.List[i].Scene.Goal, candidate: out.List[i].candidate()}
	}
	out.Best = bestOf(ranks)
	out.Bounced = out.List[out.Best].Map.Balance.Bounced()
	out.Verdict = compareVerdict(out)
	return out, nil
}

func compared(ctx context.Context, c Contender, o optics.Options) (Compared, error) {
	o.Planes = []scene.PlaneRef{optics.JudgedPlane(c.Scene)}
	m, err := optics.Map(ctx, c.Scene, o)
	if err != nil {
		return Compared{}, fmt.Errorf("%s: %w", c.Name, err)
	}
	one := Compared{Name: c.Name, Scene: c.Scene, Map: m, Plane: &m.Planes[0], PowerW: m.PowerW,
		EnteredLm: m.Balance.Entered, Unbuildable: m.Goal.Unbuildable}
	if one.PowerW > 0 {
		one.EnteredPerW = one.EnteredLm / one.PowerW
	}
	return one, nil
}

// candidate is a contender as the measures of a sweep see it.
func (c *Compared) candidate() result.Candidate {
	return result.Candidate{Done: true, Illuminance: c.Plane.Illuminance, PPFD: c.Plane.PPFD, DLI: c.Plane.DLI,
		PowerW:      c.PowerW,
		Unbuildable: c.Unbuildable, Met: c.Map.Goal.Met}
}

// compareVerdict says in one sentence which one meets the goal and why the others do not.
func compareVerdict(c *Comparison) string {
	best := &c.List[c.Best]
	g := best.Scene.Goal
	light := "mean " + optics.LightWords(best.Plane.Shown, g, best.Plane.Light(best.Plane.Shown))
	even := optics.EvenName(g) + " " + optics.EvenWords(g, best.Plane.Light(best.Plane.Shown))
	var misses []string
	for i := range c.List {
		if one := &c.List[i]; i != c.Best {
			if why := one.why(); why != "" {
				misses = append(misses, one.Name+": "+why)
			}
		}
	}
	lowest := optics.LightFigure(best.Plane.Shown, best.Plane.Light(best.Plane.Shown).Min)
	lead := fmt.Sprintf("%s meets the goal best, by least power, %.1f W, and then the highest minimum, %s (%s, %s)",
		best.Name, best.PowerW, lowest, light, even)
	switch {
	case !g.Set():
		return fmt.Sprintf("%s has the highest minimum for a watt, %s with %.1f W (%s, %s); no goal is set.", best.Name,
			lowest, best.PowerW, light, even)
	case !best.candidate().Met:
		return fmt.Sprintf("None meets the goal; nearest is %s (%s, %s), which fails by: %s.", best.Name, light, even,
			best.why())
	case len(misses) == 0 && len(c.List) > 1:
		return lead + "; the others meet it too."
	case len(misses) == 0:
		return lead + "."
	}
	return lead + "; " + strings.Join(shortened(misses, 4), "; ") + "."
}

// why says in short why a contender does not serve, empty where it does.
func (c *Compared) why() string {
	if c.Unbuildable != "" {
		return c.Unbuildable
	}
	if !c.Map.Goal.Asked {
		return "its scene sets no goal"
	}
	return strings.Join(c.Map.Goal.Missing(), " and ")
}

// shortened keeps the first n and says how many more there are.
func shortened(words []string, n int) []string {
	if len(words) <= n+1 {
		return words
	}
	return append(slices.Clone(words[:n]), fmt.Sprintf("%d more fail too", len(words)-n))
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
