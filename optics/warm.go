package optics

import (
	"context"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
)

// Warmed returns the scene with the light and power that its modules have in the balance of heat, and at which junction
// temperatures. Where there is no balance the scene comes back cold, with the reason in TooHot.
func Warmed(sc *scene.Scene, cold bool) (*scene.Scene, result.Junctions) {
	if cold {
		return sc, result.Junctions{RelativeFlux: 1}
	}
	return newBalanced(sc).apply(sc)
}

// balanced is what the balance of heat makes of one scene, or of many that share it.
type balanced struct {
	draws     [][]parts.Draw // by rail and module; nil where there is none
	junctions result.Junctions
}

func newBalanced(sc *scene.Scene) balanced {
	o, err := operating.Of(sc)
	if err != nil {
		return balanced{junctions: result.Junctions{RelativeFlux: 1,
			TooHot: finding.NoHeatBalance.Of(finding.Text(err.Error()))}}
	}
	j := result.Junctions{Warm: true, RelativeFlux: o.RelativeFlux(), TooHot: o.TooHot()}
	low, high, ok := o.JunctionsC()
	if !ok {
		low, high = o.AirC, o.AirC
	}
	j.LowestC, j.HighestC = low, high
	b := balanced{draws: o.Draws(), junctions: j}
	for i, rail := range operating.DayLm(sc) {
		for k, lm := range rail {
			b.draws[i][k].DayLm = lm
		}
	}
	return b
}

func (b balanced) apply(sc *scene.Scene) (*scene.Scene, result.Junctions) {
	if b.draws == nil {
		return sc, b.junctions
	}
	return sc.Operating(b.draws), b.junctions
}

// Warm is Warmed for many scenes, each different balance of heat once.
func (l *Light) Warm(ctx context.Context, scenes ...*scene.Scene) ([]*scene.Scene, []result.Junctions, error) {
	if len(l.heat) >= keptBalances {
		clear(l.heat)
	}
	keys := make([]string, len(scenes))
	var fresh []int
	for i, sc := range scenes {
		if l.options.Cold {
			break
		}
		keys[i] = operating.Key(sc)
		if _, ok := l.heat[keys[i]]; !ok {
			l.heat[keys[i]] = balanced{}
			fresh = append(fresh, i)
		}
	}
	found := make([]balanced, len(fresh))
	err := parallel.ForEach(ctx, l.options.Workers, len(fresh), func(k int) { found[k] = newBalanced(scenes[fresh[k]]) })
	for k, i := range fresh {
		if l.heat[keys[i]] = found[k]; err != nil {
			delete(l.heat, keys[i])
		}
	}
	if err != nil {
		return nil, nil, err
	}
	warm, junctions := make([]*scene.Scene, len(scenes)), make([]result.Junctions, len(scenes))
	for i, sc := range scenes {
		if l.options.Cold {
			warm[i], junctions[i] = Warmed(sc, true)
		} else {
			warm[i], junctions[i] = l.heat[keys[i]].apply(sc)
		}
	}
	return warm, junctions, nil
}
