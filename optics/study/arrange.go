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
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

// Limits of an arrangement: combinations of optics and axes' values that are tried, and those that are followed in
// full.
const (
	MaxCombinations = 200
	fullySought     = 3
	mostAgain       = 3     // searches after the first, each for a higher uniformity
	hiddenMargin    = 1.002 // of the uniformity that a search is asked for again
	evenMargin      = 1.01  // of the goal's uniformity, which a search asks for: finer cells find a little less
	leastGain       = 5e-4  // of min/mean, and of what is a share of the goal's mean: less is not worth drilling for
	sameA           = 1e-6  // A, by which equal currents differ at most
	sameMean        = 1e-3  // share of the goal's mean that grids of other cells make of the same light at most

	// histories in a search, traced of each module at least and of all, where there are few: their draws are the same at
	// all places, so that what they miss does not lead astray
	leastSought, allSought = 1 << 11, 1 << 14
)

// ArrangeOptions say what may change beside where the modules sit: the axes that a sweep could take too (height, tilt,
// y or depth), and the rest.
type ArrangeOptions struct {
	SweepOptions
	For      Aim
	KeepY    bool    // leave the rails where they hang across the tank; so does y among the axes
	GapM     float64 // least distance between boards
	RoundM   float64 // places are whole multiples of this from the rail's left end; 0 for 1 mm
	NoMirror bool    // do not ask for mirror symmetry
	KeepOuts []scene.KeepOut
	Optics   []parts.Optic // optics to choose among for all modules; none keeps what there is
	Currents []float64     // A, rising, of which dimmed takes one; none keeps what there is
	Begun    func()        // called when there are places that an interruption would keep; may be called again, may be nil
}

// Arranged is a scene before and after. Figures are those of the grid that Compare takes by itself, whatever the
// search's.
type Arranged struct {
	Scene         *scene.Scene // after
	Before, After result.Candidate
	Chosen        string            // what was chosen beside the places, in words; empty where nothing else might change
	Notes         []finding.Finding // what was not asked for or could not be had
	Verdict       finding.Finding

	// Interrupted is an answer of what was found before the context ended; where the first search was not done, its figures
	// are of the search's own grid.
	Interrupted bool
}

// Arrange looks for the places along each rail, across the tank, and for what else the options allow, that serve the
// aim best on the goal's plane. The goal goes first: what meets it before all else, and what reaches its mean before
// what does not; where no places reach it, no less of it is reached than by the present ones. It is never worse than
// the scene as it is, where that can be mounted: what is no better is the scene as it is. When ctx ends it returns the
// best that was found, without an error, or the context's where there is nothing yet.
func Arrange(ctx context.Context, sc *scene.Scene, o ArrangeOptions) (*Arranged, error) {
	a, err := newArranger(sc, o)
	if err != nil {
		return nil, err
	}
	out, err := a.arrange(ctx)
	if err != nil && ctx.Err() != nil && a.found.scene != nil {
		return a.interrupted(), nil
	}
	factor := 1.0
	for try := 0; err == nil && try < mostAgain && a.hidden > 1; try++ {
		factor *= a.hidden
		o.Progress = nil // all that was promised is done
		if a, err = newArranger(sc, o); err != nil {
			return nil, err
		}
		again, err := a.stricter(ctx, factor)
		if err != nil { // of an interruption, or there are no such places
			out.Interrupted = ctx.Err() != nil
			break
		}
		if a.rank(again.After) > a.rank(out.After) {
			out = again
		}
	}
	return out, err
}

// arrange is Arrange without an interruption.
func (a *arranger) arrange(ctx context.Context) (*Arranged, error) {
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
		if variants, err = a.seekAll(ctx, variants, true); err != nil {
			return nil, err
		}
		variants = variants[:min(fullySought, len(variants))]
	}
	if variants, err = a.seekAll(ctx, variants, false); err != nil {
		return nil, err
	}
	best := a.before
	if len(variants) > 0 && (best.scene == nil || a.rank(variants[0].light) > a.rank(best.light)) {
		best = variants[0]
	}
	if best.scene == nil {
		return nil, a.refusal()
	}
	return a.conclude(ctx, best)
}

// errTooHot is what a variant gives whose parts cannot bear its heat.
var errTooHot = errors.New("too hot")

type arranger struct {
	measure
	scene   *scene.Scene // as it is, with the keep-outs added
	options ArrangeOptions
	light   *optics.Light
	before  variant          // the scene as it is, where it can be mounted
	own     result.Candidate // the light of the scene as it is
	found   variant          // the best so far
	notes   []finding.Finding
	goal    *scene.Goal // the true one where the search is asked for more, else nil
	hidden  float64     // see hides
	refused error       // why the last of the variants that could not be was so

	done, total int // searches, brief or full
}

// variant is one choice of everything but the places, or of everything once it has its light.
type variant struct {
	scene    *scene.Scene
	words    string
	currents []float64 // those of the options that its parts can bear
	light    result.Candidate
}

func newArranger(sc *scene.Scene, o ArrangeOptions) (*arranger, error) {
	o.RoundM, o.For = cmp.Or(o.RoundM, 0.001), cmp.Or(o.For, forDimmest)
	a := &arranger{options: o, measure: measure{aim: o.For, level: 1, strict: o.For == forPower}}
	var err error
	if o.For == forPower && !asksMean(sc.Goal) {
		return nil, errors.New("the least power is that which meets a goal; give the goal illuminance, ppfd or dli")
	}
	if a.light, err = o.light(sc, o.StepM, max(leastSought, allSought/max(1, len(optics.Modules(sc))))); err != nil {
		return nil, err
	}
	a.scene = sc.Copy()
	for i := range a.scene.Rails {
		r := &a.scene.Rails[i]
		r.KeepOuts = append(slices.Clone(r.KeepOuts), o.KeepOuts...)
		r.SortModules()
	}
	if o.For == forPower && len(o.Currents) == 0 {
		a.options.Currents = fedCurrents(a.scene)
	} else {
		a.feed()
	}
	return a, nil
}

// asItIs computes the scene as it is, which is what must be bettered where it can be mounted.
func (a *arranger) asItIs(ctx context.Context) error {
	c, err := a.exact(ctx, a.scene)
	if err != nil {
		return err
	}
	a.own = c
	a.level = levelOf(c)
	var all []finding.Finding
	for _, r := range a.scene.Rails {
		all = append(all, r.PlacementError())
	}
	placed := !slices.ContainsFunc(all, finding.Finding.Any)
	if stays := a.scene.PlacementError(); placed && stays.Any() {
		a.notes = append(a.notes, finding.PlacementStays.Of(stays))
	}
	all = append(all, a.tight(), c.Junctions.TooHot)
	if i := slices.IndexFunc(all, finding.Finding.Any); i >= 0 {
		a.notes = append(a.notes, finding.AsItIs.Of(all[i]))
		return nil
	}
	a.before = variant{scene: a.scene, currents: a.options.Currents, light: c}
	return nil
}

func (a *arranger) exact(ctx context.Context, sc *scene.Scene) (c result.Candidate, err error) {
	list, err := a.exactAll(ctx, sc)
	if err == nil {
		c = list[0]
	}
	return c, err
}

// seekAll finds the places of variants, and returns those that can be had, the best first.
func (a *arranger) seekAll(ctx context.Context, variants []variant, brief bool) (list []variant, err error) {
	for _, v := range variants {
		found, err := a.settle(ctx, v, brief)
		a.done++
		a.options.told(a.done, a.total)
		switch {
		case errors.Is(err, search.ErrNoRoom), errors.Is(err, errTooHot):
			a.refused = err
		case err != nil:
			return nil, err
		case brief:
			v.light = found.light
			list = append(list, v)
		default:
			list = append(list, found)
		}
	}
	slices.SortStableFunc(list, func(x, y variant) int { return cmp.Compare(a.rank(y.light), a.rank(x.light)) })
	return list, nil
}

// seek finds the places for one variant and scores them exactly. Where no places reach the goal's mean, those are found
// that give none of the mean away that the modules have where they are: a mean that stays too low is no reason to crowd
// them.
func (a *arranger) seek(ctx context.Context, v variant, brief bool) (variant, error) {
	b, err := a.space(ctx, v.scene, brief)
	if err == nil {
		b.lit, err = a.light.Compute(ctx, b.sets...)
	}
	if err != nil {
		return v, err
	}
	found, err := a.places(ctx, b, v, brief)
	means, missing := found.light.Goal.Shortfall()
	if err == nil && means == 0 && missing > 0 && a.aim == forDimmest { // the goal's uniformity may cost some of the aim
		b.strict, b.goal.Uniformity = true, b.goal.Uniformity*evenMargin
		met, err := a.places(ctx, b, v, brief)
		if err != nil || len(met.light.Goal.Misses) == 0 {
			return met, err
		}
		b.strict, b.goal.Uniformity = false, v.scene.Goal.Uniformity
	}
	if err != nil || missing == 0 {
		return found, err
	}
	own, err := a.exact(ctx, v.scene)
	if err != nil || missingMean(own) == 0 {
		return found, err
	}
	b.goal = reached(b.goal, own.Goal)
	even, err := a.places(ctx, b, v, brief)
	if _, left := even.light.Goal.Shortfall(); err == nil && missingMean(found.light) == 0 && missing <= left {
		return found, nil
	}
	q := own.Goal.Shown
	if err == nil && a.before.scene != nil && a.figure(even.light.Light(q)) < a.figure(own.Light(q))+leastGain {
		even.scene, even.light = v.scene, own // a mean that is a little nearer is no gain
	}
	return even, err
}

// reached returns a goal with its means no higher than what there is.
func reached(g scene.Goal, is result.Goal) scene.Goal {
	parts := g.Parts()
	for i := range is.Parts {
		p, l := &parts[i], is.Parts[i].Light
		p.IlluminanceLx, p.PPFD = min(p.IlluminanceLx, l.Illuminance.Mean), min(p.PPFD, l.PPFD.Mean)
		p.DLI = min(p.DLI, l.DLI)
	}
	g = parts[0]
	g.Others = parts[1:]
	return g
}

// places finds the places of one search space for its goal, and their light. Where ctx ends meanwhile, those that were
// found are noted, and the error is that of ctx.
func (a *arranger) places(ctx context.Context, b *searchSpace, v variant, brief bool) (variant, error) {
	if a.options.Begun != nil {
		a.options.Begun()
	}
	places, _, err := search.Arrange(search.Problem{Lines: b.lines, Score: b.score, Brief: brief,
		Stop: func() bool { return ctx.Err() != nil }})
	if err != nil {
		return v, err
	}
	v.scene = b.placed(places)
	if v.light, err = a.exact(context.WithoutCancel(ctx), v.scene); err == nil && v.light.Junctions.TooHot.Any() {
		err = fmt.Errorf("%s: %w", v.light.Junctions.TooHot.Words(a.options.Units), errTooHot)
	}
	if err != nil {
		return v, err
	}
	if !b.free && (a.found.scene == nil || a.rank(v.light) > a.rank(a.found.light)) {
		a.found = v
	}
	return v, ctx.Err()
}

// conclude computes before and after on the fine grid that a map and a comparison take, lowers the current where it
// may, and puts the outcome into words.
func (a *arranger) conclude(ctx context.Context, best variant) (*Arranged, error) {
	coarse, err := a.light, error(nil)
	if a.light, err = a.options.light(a.scene, result.FineStepM(a.scene.Tank.LengthM, a.scene.Tank.WidthM), 0); err != nil {
		return nil, err
	}
	if a.goal != nil {
		a.scene.Goal, best.scene.Goal = *a.goal, *a.goal
	}
	before, err := a.exact(ctx, a.scene)
	if err != nil {
		return nil, err
	}
	sought := best.light
	if best.light, err = a.exact(ctx, best.scene); err != nil {
		return nil, err
	}
	a.hidden = hides(sought, best.light)
	a.before.light, a.level = before, levelOf(before)
	if best, err = a.dimmed(ctx, best); err == nil && a.before.scene != nil {
		best, err = a.keep(ctx, best)
	}
	if err != nil {
		return nil, err
	}
	out := &Arranged{Scene: best.scene, Before: before, After: best.light, Chosen: a.chosen(best), Notes: a.notes}
	var more finding.Finding
	if samePlaces(a.scene, out.Scene) {
		if more, err = a.moreEven(ctx, coarse, out.After); err != nil {
			return nil, err
		}
	}
	out.Verdict = a.verdict(out, more)
	return out, nil
}

// chosen is what was chosen beside the places along the rails, in words.
func (a *arranger) chosen(v variant) string {
	words := []string{v.words}
	for i, r := range v.scene.Rails {
		if y := a.scene.Rails[i].YM; a.mayCross() && !sameM(r.YM, y) {
			name := "y "
			if len(v.scene.Rails) > 1 {
				name = r.Name + ".y "
			}
			words = append(words, name+a.options.Units.Length(r.YM))
		}
	}
	return strings.TrimPrefix(strings.Join(words, ", "), ", ")
}

// dimmed takes the lowest current that reaches the goal's mean, or, where it asks for none and the dimmest place
// counts, that leaves this as bright as it is; the highest where none does.
func (a *arranger) dimmed(ctx context.Context, v variant) (variant, error) {
	leastLx := 0.0
	if a.aim == forDimmest && !asksMean(a.scene.Goal) && a.before.scene != nil {
		leastLx = lowest(&a.before.light) * (1 - sameMean)
	}
	for i, amps := range v.currents {
		same := func(of *scene.Scene) bool {
			return math.Abs(edit.Value(of, "", currentChange(amps).Variable)-amps) < sameA
		}
		sc, err := v.scene, error(nil)
		if !same(sc) {
			sc, err = edit.With(sc, currentChange(amps))
		}
		if err != nil {
			return v, err
		}
		c, err := a.exact(ctx, sc)
		if err != nil || c.Junctions.TooHot.Any() {
			return v, err
		}
		if missingMean(c) == 0 && lowest(&c) >= leastLx || i == len(v.currents)-1 {
			if v.scene, v.light = sc, c; !same(a.scene) {
				v.words = strings.TrimPrefix(v.words+", current "+currentChange(amps).Variable.Say(amps), ", ")
			}
			break
		}
	}
	return v, nil
}
