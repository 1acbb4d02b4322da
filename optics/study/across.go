package study

import (
	"cmp"
	"context"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// Places across the tank: whole multiples of acrossM, nearer than which nobody hangs a bar; first looks at evenly
// spread ones, each share of the width in acrossParts.
const (
	acrossM     = 0.005
	acrossParts = 8
	leastAcross = 1e-4 // of worth: less is not worth moving a bar for
)

// settle is seek, and moves the rails across the tank too where it may: once with the modules at the places found, once
// before these are looked for. Where rails moved, places along them are found anew.
func (a *arranger) settle(ctx context.Context, v variant, brief bool) (variant, error) {
	found, err := a.seek(ctx, v, brief)
	if err != nil || brief || !a.mayCross() {
		return found, err
	}
	if v.light, err = a.exact(ctx, v.scene); err != nil {
		return found, err
	}
	best := found
	for _, from := range []variant{found, v} {
		moved, err := a.across(ctx, from)
		if err != nil {
			return found, err
		}
		if sameAcross(from.scene, moved.scene) {
			continue
		}
		again, err := a.seek(ctx, moved, true)
		if err == nil {
			again, err = a.across(ctx, again)
		}
		if err != nil {
			return found, err
		}
		for _, one := range []variant{moved, again} {
			if a.prefers(best.light, one.light) {
				best = one
			}
		}
	}
	return best, nil
}

// mayCross tells whether rails may be moved across the tank beside the axes.
func (a *arranger) mayCross() bool {
	return !a.options.KeepY && !slices.ContainsFunc(a.options.Axes, func(r edit.Range) bool {
		return r.Variable.Name == "y"
	})
}

// across moves the rails of a variant across the tank as long as the light gets better by it: first over the whole
// width, then by steps that shrink. Where modules sit along their rails stays.
func (a *arranger) across(ctx context.Context, v variant) (variant, error) {
	best, err := a.bestAcross(ctx, v, spreadsAcross(v.scene))
	for step := across(v.scene.Tank.WidthM / acrossParts); step >= acrossM-1e-9 && err == nil; step = across(step / 2) {
		for {
			next, err := a.bestAcross(ctx, best, movesAcross(best.scene, step))
			if err != nil {
				return best, err
			}
			if sameAcross(next.scene, best.scene) {
				break
			}
			best = next
		}
		if step < 2*acrossM-1e-9 {
			break
		}
	}
	return best, err
}

func across(m float64) float64 { return math.Max(math.Round(m/acrossM)*acrossM, acrossM) }

// bestAcross returns the variant with its rails at the best of several rows of places, one a rail, or as it is.
func (a *arranger) bestAcross(ctx context.Context, v variant, rows [][]float64) (variant, error) {
	var scenes []*scene.Scene
	for _, row := range rows {
		sc := v.scene.Copy()
		for i := range sc.Rails {
			sc.Rails[i].YM = math.Round(row[i]/acrossM) * acrossM
		}
		if hangs(v.scene, sc) && !sameAcross(v.scene, sc) {
			scenes = append(scenes, sc)
		}
	}
	lights, err := a.exactAll(ctx, scenes...)
	if err != nil {
		return v, err
	}
	best := v
	for i, c := range lights {
		if a.prefers(best.light, c) {
			best.scene, best.light = scenes[i], c
		}
	}
	return best, nil
}

// prefers tells whether one light is worth moving a bar for. Of two that do not reach the goal's mean the higher one is
// not, but that which serves the aim and gives none of the mean away.
func (a *arranger) prefers(from, to result.Candidate) bool {
	q := to.Goal.Shown
	if !a.strict && missingMean(from) > 0 && missingMean(to) > 0 {
		return missingMean(to) <= missingMean(from) && a.figure(to.Light(q)) > a.figure(from.Light(q))+leastAcross
	}
	return a.rank(to) > a.rank(from)+leastAcross
}

// hangs tells whether rails can hang where a scene has them: over the tank, or no farther out than before, each in a
// space of its own and under the hood.
func hangs(was, sc *scene.Scene) bool {
	for i, r := range sc.Rails {
		half, y := r.Profile.WidthM/2, was.Rails[i].YM
		if r.YM < math.Min(half, y) || r.YM > math.Max(sc.Tank.WidthM-half, y) {
			return false
		}
	}
	return !sc.PlacementError().Any() && len(sc.HoodWarnings()) <= len(was.HoodWarnings())
}

// orderAcross returns the indices of the rails from the front to the back.
func orderAcross(sc *scene.Scene) []int {
	order := make([]int, len(sc.Rails))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(sc.Rails[i].YM, sc.Rails[j].YM) })
	return order
}

// spreadsAcross are places for one rail all over the width, and for several ones evenly spread over more and less of
// it about its middle.
func spreadsAcross(sc *scene.Scene) (rows [][]float64) {
	n := len(sc.Rails)
	for k := 1; k < acrossParts; k++ {
		share, row := float64(k)/acrossParts, make([]float64, n)
		for at, i := range orderAcross(sc) {
			if row[i] = share * sc.Tank.WidthM; n > 1 {
				row[i] = (0.5 + share*(float64(at)/float64(n-1)-0.5)) * sc.Tank.WidthM
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// movesAcross are the places of all rails moved by a step, of the front ones and the back ones moved apart and towards
// each other, and of each rail moved alone.
func movesAcross(sc *scene.Scene, step float64) (rows [][]float64) {
	n := len(sc.Rails)
	add := func(by func(at int) float64) {
		for _, sign := range []float64{1, -1} {
			row := make([]float64, n)
			for at, i := range orderAcross(sc) {
				row[i] = sc.Rails[i].YM + sign*step*by(at)
			}
			rows = append(rows, row)
		}
	}
	if n > 1 {
		add(func(at int) float64 { return 2*float64(at)/float64(n-1) - 1 })
	}
	add(func(int) float64 { return 1 })
	for only := range n {
		if n > 1 {
			add(func(at int) float64 { return max(0, 1-math.Abs(float64(at-only))) })
		}
	}
	return rows
}

// sameAcross tells whether the rails of two scenes hang at the same y.
func sameAcross(a, b *scene.Scene) bool {
	return slices.EqualFunc(a.Rails, b.Rails, func(r, s scene.Rail) bool { return sameM(r.YM, s.YM) })
}

// exactAll computes the light of scenes, each in its balance of heat.
func (a *arranger) exactAll(ctx context.Context, scenes ...*scene.Scene) (list []result.Candidate, err error) {
	warm, junctions, err := a.light.Warm(ctx, scenes...)
	if err != nil {
		return nil, err
	}
	lits, err := a.light.Scenes(ctx, warm...)
	if err != nil {
		return nil, err
	}
	for i, lit := range lits {
		lit.Junctions = junctions[i]
		list = append(list, lit.Candidate())
	}
	return list, nil
}
