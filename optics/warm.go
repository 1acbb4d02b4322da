package optics

import (
	"context"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/operating"
)

// Warmed returns the scene with the light and power that its modules have in the balance of heat, and at which junction
// temperatures. Where there is no balance the scene comes back cold, with the reason in TooHot.
func Warmed(sc *scene.Scene, cold bool) (*scene.Scene, result.Junctions) {
	if cold {
		return sc, result.Junctions{RelativeFlux: 1}
	}
	return newBalanced(sc).Apply(sc)
}

// balanced is what the balance of heat makes of one scene, or of many that share it.
type balanced struct {
	warmth    [][]scene.Warmth // by rail and module; nil where there is none
	junctions result.Junctions
}

func newBalanced(sc *scene.Scene) balanced {
	o, err := operating.Of(sc)
	if err != nil {
		return balanced{junctions: result.Junctions{RelativeFlux: 1, TooHot: "the heat finds no balance: " + err.Error()}}
	}
	j := result.Junctions{Warm: true, RelativeFlux: o.RelativeFlux(), TooHot: o.TooHot()}
	low, high, ok := o.JunctionsC()
	if !ok {
		low, high = o.AirC, o.AirC
	}
	j.LowestC, j.HighestC = low, high
	return balanced{warmth: o.Warmth(), junctions: j}
}

func (b balanced) Apply(sc *scene.Scene) (*scene.Scene, result.Junctions) {
	if b.warmth == nil {
		return sc, b.junctions
	}
	return sc.Warmed(b.warmth), b.junctions
}

// HeatBalances balances the heat of the candidates of a sweep, each different balance once.
type HeatBalances struct {
	Cold  bool
	known map[string]balanced
}

// Learn balances all scenes whose balance is not known yet.
func (w *HeatBalances) Learn(ctx context.Context, workers int, scenes []*scene.Scene) error {
	if w.Cold {
		return nil
	}
	if w.known == nil {
		w.known = map[string]balanced{}
	}
	seen := map[string]bool{}
	var keys []string
	var fresh []*scene.Scene
	for _, sc := range scenes {
		key := operating.Key(sc)
		if _, ok := w.known[key]; !ok && !seen[key] {
			seen[key] = true
			keys, fresh = append(keys, key), append(fresh, sc)
		}
	}
	found := make([]balanced, len(fresh))
	if err := parallel.ForEach(ctx, workers, len(fresh), func(i int) { found[i] = newBalanced(fresh[i]) }); err != nil {
		return err
	}
	for i, key := range keys {
		w.known[key] = found[i]
	}
	return nil
}

// Apply returns a scene that was learnt, warm.
func (w *HeatBalances) Apply(sc *scene.Scene) (*scene.Scene, result.Junctions) {
	if w.Cold {
		return Warmed(sc, true)
	}
	return w.known[operating.Key(sc)].Apply(sc)
}
