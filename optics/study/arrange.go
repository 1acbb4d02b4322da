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

// Limits of an arrangement: combinations of optics and axes' values that are tried, and those that are followed in full.
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

// Arranged is a scene before and after. Figures are those of the grid that Compare takes by itself, whatever the search's.
type Arranged struct {
	Scene         *scene.Scene // after
	Before, After result.Candidate
	Chosen        string          // what was chosen beside the places, in words; empty where nothing else might change
	Shown         result.Quantity // that the goal counts
	Bounced       result.Bounced  // what the scene after leaves out
	Notes         []string        // what was not asked for or could not be had
	Verdict       string
}

// Arrange looks for the places along each rail, and for what else the options allow, that give the highest min/mean on the
// goal's plane while its mean is reached; where no places reach it, while no less of it is reached than by the present ones.
// It is never worse than the scene as it is, where that can be mounted: what is no better is the scene as it is.
func Arrange(ctx context.Context, sc *scene.Scene, o ArrangeOptions) (*Arranged, error) {
	a, err := newArranger(sc, o)
	if err != nil {
		return nil, err
	}
	if err := a.check(); err != nil {
		return nil, err
	}
	variants, err := a.variants()
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
			serves = "fewer modules, a smaller gap, a longer rail or, where a keep-out lies in the middle, giving up mirror symmetry serve"
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
	grid    result.Grid
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
	if o.StepM == 0 {
		o.StepM = optics.CoarseStepM(sc.Tank)
	}
	a := &arranger{options: o}
	var err error
	if a.grid, err = optics.ChooseGrid(sc.Tank, optics.Options{StepM: o.StepM}); err != nil {
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

// variants lists the combinations of optics and values that may be chosen. Values that the scene refuses are left out.
func (a *arranger) variants() ([]variant, error) {
	optics := []parts.Optic{{}}
	if len(a.options.Optics) > 0 {
		optics = a.options.Optics
	}
	lists := make([][]float64, len(a.options.Axes))
	total := len(optics)
	for i, axis := range a.options.Axes {
		lists[i] = axis.Values
		total *= len(axis.Values)
	}
	if total > MaxCombinations {
		return nil, fmt.Errorf("%d combinations of optics and values are more than the limit of %d; wider steps serve", total, MaxCombinations)
	}
	var list []variant
	var refused error
	for _, optic := range optics {
		for _, values := range search.Product(lists) {
			v, err := a.variant(optic, values)
			if err != nil {
				refused = err
				continue
			}
			list = append(list, v)
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("no combination can be built: %w", refused)
	}
	return list, a.own()
}

// variant makes one combination, at the highest current that may be chosen and does not make it too hot; at the lowest where
// all do.
func (a *arranger) variant(optic parts.Optic, values []float64) (variant, error) {
	var changes []edit.Change
	var words []string
	if optic.Name != "" {
		words = append(words, "optic "+optic.Name)
	}
	for i, axis := range a.options.Axes {
		changes = append(changes, edit.Change{Rail: axis.Rail, Variable: axis.Variable, Value: values[i]})
		words = append(words, CandidateName([]result.Axis{resultAxis(axis)}, result.Candidate{Values: values[i : i+1]}, a.options.Units))
	}
	base := a.scene
	if optic.Name != "" {
		base = WithOptic(base, optic)
	}
	v := variant{words: strings.Join(words, ", "), currents: a.options.Currents}
	var err error
	for {
		all := changes
		if n := len(v.currents); n > 0 {
			all = append(slices.Clone(changes), currentChange(v.currents[n-1]))
		}
		if v.scene, err = edit.With(base, all...); err != nil || len(v.currents) < 2 || a.tooHot(v.scene) == "" {
			return v, err
		}
		v.currents = v.currents[:len(v.currents)-1]
	}
}

func currentChange(amps float64) edit.Change {
	v, _ := edit.VariableNamed("current") // exists
	return edit.Change{Variable: v, Value: amps}
}

// own scores the scene as it is, which is what must be bettered where it can be mounted.
func (a *arranger) own() error {
	why := ""
	for _, r := range a.scene.Rails {
		why = cmp.Or(why, r.Misfit())
	}
	if stays := a.scene.Misfit(); why == "" && stays != "" {
		a.notes = append(a.notes, stays+", which no place on them cures")
	}
	if why == "" {
		why = a.tight()
	}
	if why == "" {
		why = a.tooHot(a.scene)
	}
	if why != "" {
		a.notes = append(a.notes, "as it is, "+why)
		return nil
	}
	c, err := a.exact(context.Background(), a.scene)
	if err != nil {
		return err
	}
	a.before = variant{scene: a.scene, score: worth(a.scene.Goal, c), currents: a.options.Currents}
	return nil
}

// tooHot says why the parts of a scene cannot bear its heat, empty where they can or where the light is cold.
func (a *arranger) tooHot(sc *scene.Scene) string {
	_, junctions := optics.Warmed(sc, a.options.Cold)
	return junctions.TooHot
}

// refine goes over to the fine grid that a map and a comparison take, for the figures that are told.
func (a *arranger) refine() {
	if g, err := optics.ChooseGrid(a.scene.Tank, optics.Options{}); err == nil {
		a.grid = g
	}
}

// exact computes one scene on the grid.
func (a *arranger) exact(ctx context.Context, sc *scene.Scene) (result.Candidate, error) {
	s := sweeper{scene: sc, options: SweepOptions{Workers: a.options.Workers, Cold: a.options.Cold}, out: &result.Sweep{Plane: optics.JudgedPlane(sc).Name, Grid: a.grid}}
	err := s.own(ctx)
	return s.out.Own, err
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

// seek finds the places for one variant and scores them exactly. Where no places reach the goal's mean, those are found that
// give none of the mean away that the modules have where they are: a mean that stays too low is no reason to crowd them.
func (a *arranger) seek(ctx context.Context, v variant, brief bool) (variant, error) {
	b, err := a.board(ctx, v.scene, brief)
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
	if err == nil && optics.Shortfall(meanOnly(g), light) == 0 && optics.Shortfall(g, light) <= optics.Shortfall(g, evenLight) {
		return found, nil
	}
	return even, err
}

// places finds the places of one board for its goal.
func (a *arranger) places(ctx context.Context, b *board, v variant, brief bool) (variant, result.Candidate, error) {
	places, _, err := search.Arrange(search.Problem{Lines: b.lines, Score: b.score, Brief: brief})
	if err != nil {
		return variant{}, result.Candidate{}, err
	}
	if ctx.Err() != nil {
		return variant{}, result.Candidate{}, ctx.Err()
	}
	found := variant{scene: b.placed(places), words: v.words, currents: v.currents}
	if why := a.tooHot(found.scene); why != "" {
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
	a.refine()
	if out.Before, err = a.exact(ctx, a.scene); err != nil {
		return nil, err
	}
	if out.After, err = a.exact(ctx, out.Scene); err != nil {
		return nil, err
	}
	g := a.scene.Goal
	if a.before.scene != nil && worth(g, out.After) < worth(g, out.Before)+leastGain { // better on the coarse grid alone, or not worth a hole
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
	if a.before.scene != nil && optics.Shortfall(meanOnly(g), out.After) > optics.Shortfall(meanOnly(g), out.Before)+sameMean {
		if len(best.currents) > 0 {
			a.notes = append(a.notes, "none of the currents to choose among gives as much of the goal's mean as the scene's own, which is kept")
		}
		out.Scene, out.After, out.Chosen, out.Notes = a.scene, out.Before, "", a.notes
	}
	out.Verdict = a.verdict(out)
	warm, _ := optics.Warmed(out.Scene, a.options.Cold)
	out.Bounced, err = optics.BouncedOf(ctx, warm, a.options.Workers)
	return out, err
}
