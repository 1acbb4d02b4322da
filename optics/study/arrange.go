package study

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/search"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// Limits of an arrangement: combinations of optics and axes' values that are tried, and those that are followed in
// full.
const (
	MaxCombinations = 200
	fullySought     = 3
	leastGain       = 5e-4 // of worth, and of min/mean: less is not worth drilling for
	sameMean        = 1e-3 // share of the goal's mean that grids of other cells make of the same light at most
)

// ArrangeOptions say what may change beside where the modules sit.
type ArrangeOptions struct {
	GapM     float64 // least distance between boards
	RoundM   float64 // places are whole multiples of this from the rail's left end; 0 for 1 mm
	NoMirror bool    // do not ask for mirror symmetry
	KeepOuts []scene.KeepOut
	Optics   []parts.Optic // optics to choose among for all modules; none keeps what there is
	Axes     []edit.Range  // height, tilt, y, beam or depth to choose among
	Currents []float64     // A, rising: the lowest one that reaches the goal is taken; none keeps what there is
	StepM    float64       // cells of the grid to search on; 0 for about 6000 cells
	Workers  int
	Units    unit.System // of lengths in sentences
	Cold     bool        // light at the temperatures at which the parts' tables hold, not in the balance of heat
	Progress func(done, total int)
}

// Arranged is a scene before and after. Figures are those of the grid that Compare takes by itself, whatever the
// search's.
type Arranged struct {
	Scene         *scene.Scene // after
	Before, After result.Candidate
	Chosen        string          // what was chosen beside the places, in words; empty where nothing else might change
	Shown         result.Quantity // that the goal counts
	Bounced       result.Bounced  // what the scene after leaves out
	Notes         []string        // what was not asked for or could not be had
	Verdict       string
}

// Arrange looks for the places along each rail, and for what else the options allow, that give the highest min/mean on
// the goal's plane while its mean is reached; where no places reach it, while no less of it is reached than by the
// present ones. It is never worse than the scene as it is, where that can be mounted: what is no better is the scene as
// it is.
func Arrange(ctx context.Context, sc *scene.Scene, o ArrangeOptions) (*Arranged, error) {
	a, err := newArranger(sc, o)
	if err != nil {
		return nil, err
	}
	if b, err := a.space(ctx, a.scene, false); err == nil { // what is wrong with it is told in its place
		if err := a.light.Check(b.sets...); err != nil {
			return nil, err
		}
	}
	variants, err := a.variants(ctx)
	if err != nil {
		return nil, err
	}
	a.total = len(variants)
	if len(variants) > fullySought {
		a.total += fullySought
		if variants, err = a.scout(ctx, variants); err != nil {
			return nil, err
		}
	}
	best := a.before
	for _, v := range variants {
		found, err := a.seek(ctx, v, false)
		a.advance()
		if unfit(err) {
			a.refused = err
			continue
		}
		if err != nil {
			return nil, err
		}
		if best.scene == nil || found.score > best.score {
			best = found
		}
	}
	switch {
	case best.scene != nil:
	case errors.Is(a.refused, errTooHot):
		return nil, fmt.Errorf("%w; less current, fewer modules or a larger profile serve", a.refused)
	default:
		serves := "fewer modules, a smaller gap or a longer rail serve"
		if !a.options.NoMirror {
			serves = "fewer modules, a smaller gap, a longer rail or, where a keep-out lies in the middle, giving up mirror " +
				"symmetry serve"
		}
		return nil, fmt.Errorf("the modules do not fit on their rails: %w; %s", a.refused, serves)
	}
	return a.conclude(ctx, best)
}

// errTooHot is what a variant gives whose parts cannot bear its heat.
var errTooHot = errors.New("too hot")

// unfit tells whether an error speaks against one variant alone.
func unfit(err error) bool { return errors.Is(err, search.ErrNoRoom) || errors.Is(err, errTooHot) }

// arranger is an arrangement on its way.
type arranger struct {
	scene   *scene.Scene // as it is, with the keep-outs added
	options ArrangeOptions
	light   *optics.Light
	before  variant
	notes   []string
	refused error // why the last of the variants that could not be was so

	done, total int // searches, brief or full
}

// advance counts one more search as done.
func (a *arranger) advance() {
	a.done++
	if a.options.Progress != nil {
		a.options.Progress(a.done, a.total)
	}
}

// variant is one choice of everything but the places, or of everything once score is set.
type variant struct {
	scene    *scene.Scene
	words    string
	score    float64
	currents []float64 // those of the options that its parts can bear
}

func newArranger(sc *scene.Scene, o ArrangeOptions) (*arranger, error) {
	if o.RoundM == 0 {
		o.RoundM = 0.001
	}
	a := &arranger{options: o}
	var err error
	if a.light, err = optics.NewLight(sc, a.lightOptions(o.StepM)); err != nil {
		return nil, err
	}
	a.scene = sc.Copy()
	for i := range a.scene.Rails {
		r := &a.scene.Rails[i]
		r.KeepOuts = append(slices.Clone(r.KeepOuts), o.KeepOuts...)
		slices.SortStableFunc(r.Modules, func(x, y scene.Module) int { return int(math.Copysign(1, x.XM-y.XM)) })
	}
	a.feed()
	return a, nil
}

// own scores the scene as it is, which is what must be bettered where it can be mounted.
func (a *arranger) own(ctx context.Context) error {
	why := ""
	for _, r := range a.scene.Rails {
		why = cmp.Or(why, r.PlacementError().Words(a.options.Units))
	}
	if stays := a.scene.PlacementError().Words(a.options.Units); why == "" && stays != "" {
		a.notes = append(a.notes, stays+", which no place on them cures")
	}
	if why == "" {
		why = a.tight()
	}
	if why == "" {
		why = a.tooHot(ctx, a.scene)
	}
	if why != "" {
		a.notes = append(a.notes, "as it is, "+why)
		return nil
	}
	c, err := a.exact(ctx, a.scene)
	if err != nil {
		return err
	}
	a.before = variant{scene: a.scene, score: worth(a.scene.Goal, c), currents: a.options.Currents}
	return nil
}

// tooHot says why the parts of a scene cannot bear its heat, empty where they can or where the light is cold.
func (a *arranger) tooHot(ctx context.Context, sc *scene.Scene) string {
	_, junctions, err := a.light.Warm(ctx, sc)
	if err != nil {
		return "" // ctx has ended, which the next sum tells
	}
	return junctions[0].TooHot
}

func (a *arranger) lightOptions(stepM float64) optics.LightOptions {
	return optics.LightOptions{StepM: stepM, Workers: a.options.Workers, Cold: a.options.Cold}
}

// refine goes over to the fine grid that a map and a comparison take, for the figures that are told.
func (a *arranger) refine() (err error) {
	a.light, err = optics.NewLight(a.scene, a.lightOptions(result.FineStepM(a.scene.Tank.LengthM, a.scene.Tank.WidthM)))
	return err
}

// exact computes one scene on the grid.
func (a *arranger) exact(ctx context.Context, sc *scene.Scene) (result.Candidate, error) {
	lit, err := a.light.Scene(ctx, sc)
	if err != nil {
		return result.Candidate{}, err
	}
	return lit.Candidate(), nil
}

// scout looks briefly at all variants and returns the few most promising.
func (a *arranger) scout(ctx context.Context, variants []variant) ([]variant, error) {
	var list []variant
	for _, v := range variants {
		found, err := a.seek(ctx, v, true)
		a.advance()
		if err != nil && !unfit(err) {
			return nil, err
		}
		if err == nil {
			v.score = found.score
			list = append(list, v)
		} else {
			a.refused = err
		}
	}
	slices.SortStableFunc(list, func(x, y variant) int {
		switch {
		case x.score > y.score:
			return -1
		case x.score < y.score:
			return 1
		}
		return 0
	})
	return list[:min(fullySought, len(list))], nil
}

// seek finds the places for one variant and scores them exactly. Where no places reach the goal's mean, those are found
// that give none of the mean away that the modules have where they are: a mean that stays too low is no reason to crowd
// them.
func (a *arranger) seek(ctx context.Context, v variant, brief bool) (variant, error) {
	b, err := a.lit(ctx, v.scene, brief)
	if err != nil {
		return variant{}, err
	}
	g := a.scene.Goal
	found, light, err := a.places(ctx, b, v, brief)
	if err != nil || optics.Shortfall(g, light) == 0 {
		return found, err
	}
	own, ok := b.present()
	if !ok {
		if own, err = a.exact(ctx, v.scene); err != nil {
			return variant{}, err
		}
	}
	if optics.Shortfall(meanOnly(g), own) == 0 {
		return found, nil
	}
	b.goal = noMoreThan(g, own)
	even, evenLight, err := a.places(ctx, b, v, brief)
	if err == nil && optics.Shortfall(meanOnly(g), light) == 0 && optics.Shortfall(g, light) <= optics.Shortfall(g,
		evenLight) {
		return found, nil
	}
	return even, err
}

// places finds the places of one board for its goal.
func (a *arranger) places(ctx context.Context, b *searchSpace, v variant, brief bool) (variant, result.Candidate,
	error) {
	places, _, err := search.Arrange(search.Problem{Lines: b.lines, Score: b.score, Brief: brief})
	if err != nil {
		return variant{}, result.Candidate{}, err
	}
	if ctx.Err() != nil {
		return variant{}, result.Candidate{}, ctx.Err()
	}
	found := variant{scene: b.placed(places), words: v.words, currents: v.currents}
	if why := a.tooHot(ctx, found.scene); why != "" {
		return variant{}, result.Candidate{}, fmt.Errorf("%s: %w", why, errTooHot)
	}
	c, err := a.exact(ctx, found.scene)
	found.score = worth(a.scene.Goal, c)
	return found, c, err
}

// conclude lowers the current where it may, and puts the outcome into words.
func (a *arranger) conclude(ctx context.Context, best variant) (*Arranged, error) {
	out := &Arranged{Scene: best.scene, Chosen: best.words, Notes: a.notes, Shown: optics.Shown(a.scene.Goal)}
	var err error
	if err = a.refine(); err != nil {
		return nil, err
	}
	if out.Before, err = a.exact(ctx, a.scene); err != nil {
		return nil, err
	}
	if out.After, err = a.exact(ctx, out.Scene); err != nil {
		return nil, err
	}
	g := a.scene.Goal
	// better on the coarse grid alone, or not worth a hole
	if a.before.scene != nil && worth(g, out.After) < worth(g, out.Before)+leastGain {
		best, out.Scene, out.After, out.Chosen = a.before, a.scene, out.Before, ""
	}
	for _, amps := range best.currents {
		sc, err := edit.With(best.scene, currentChange(amps))
		if err != nil {
			return nil, err
		}
		c, err := a.exact(ctx, sc)
		if err != nil {
			return nil, err
		}
		if c.Junctions.TooHot != "" {
			break
		}
		if optics.Shortfall(meanOnly(g), c) == 0 || amps == best.currents[len(best.currents)-1] {
			out.Scene, out.After = sc, c
			out.Chosen = strings.TrimPrefix(out.Chosen+", current "+currentChange(amps).Variable.Say(amps), ", ")
			break
		}
	}
	if a.before.scene != nil && optics.Shortfall(meanOnly(g), out.After) > optics.Shortfall(meanOnly(g),
		out.Before)+sameMean {
		if len(best.currents) > 0 {
			a.notes = append(a.notes, "none of the currents to choose among gives as much of the goal's mean as the scene's "+
				"own, which is kept")
		}
		out.Scene, out.After, out.Chosen, out.Notes = a.scene, out.Before, "", a.notes
	}
	out.Verdict = a.verdict(out)
	lit, err := a.light.Scene(ctx, out.Scene)
	if err != nil {
		return nil, err
	}
	out.Bounced = lit.Bounced
	return out, nil
}
