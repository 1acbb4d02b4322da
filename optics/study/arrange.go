package study

import (
	"cmp"
	"context"
	"errors"
	"fmt"
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
	leastGain       = 5e-4 // of worth, and of min/mean: less is not worth drilling for
	sameMean        = 1e-3 // share of the goal's mean that grids of other cells make of the same light at most
)

// ArrangeOptions say what may change beside where the modules sit: the axes that a sweep could take too (height, tilt,
// y or depth), and the rest.
type ArrangeOptions struct {
	SweepOptions
	GapM     float64 // least distance between boards
	RoundM   float64 // places are whole multiples of this from the rail's left end; 0 for 1 mm
	NoMirror bool    // do not ask for mirror symmetry
	KeepOuts []scene.KeepOut
	Optics   []parts.Optic // optics to choose among for all modules; none keeps what there is
	Currents []float64     // A, rising: the lowest one that reaches the goal is taken; none keeps what there is
}

// Arranged is a scene before and after. Figures are those of the grid that Compare takes by itself, whatever the
// search's.
type Arranged struct {
	Scene         *scene.Scene // after
	Before, After result.Candidate
	Chosen        string            // what was chosen beside the places, in words; empty where nothing else might change
	Notes         []finding.Finding // what was not asked for or could not be had
	Verdict       finding.Finding
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
		if variants, err = a.seekAll(ctx, variants, true); err != nil {
			return nil, err
		}
		variants = variants[:min(fullySought, len(variants))]
	}
	if variants, err = a.seekAll(ctx, variants, false); err != nil {
		return nil, err
	}
	best := a.before
	if len(variants) > 0 && (best.scene == nil || worth(variants[0].light) > worth(best.light)) {
		best = variants[0]
	}
	if best.scene == nil {
		return nil, a.refusal()
	}
	return a.conclude(ctx, best)
}

// errTooHot is what a variant gives whose parts cannot bear its heat.
var errTooHot = errors.New("too hot")

// refusal says why there is no place for the modules, and what would serve.
func (a *arranger) refusal() error {
	if errors.Is(a.refused, errTooHot) {
		return fmt.Errorf("%w; use less current, fewer modules or a larger profile", a.refused)
	}
	return fmt.Errorf("the modules do not fit on their rails: %w; use fewer modules, a smaller gap or a longer rail, "+
		"or giving up mirror symmetry where a keep-out lies in the middle", a.refused)
}

type arranger struct {
	scene   *scene.Scene // as it is, with the keep-outs added
	options ArrangeOptions
	light   *optics.Light
	before  variant // the scene as it is, where it can be mounted
	notes   []finding.Finding
	refused error // why the last of the variants that could not be was so

	done, total int // searches, brief or full
}

// variant is one choice of everything but the places, or of everything once it has its light.
type variant struct {
	scene    *scene.Scene
	words    string
	currents []float64 // those of the options that its parts can bear
	light    result.Candidate
}

// worth is what the search makes as high as it can: min/mean, with ten times what is missing of the goal's mean taken
// off.
func worth(c result.Candidate) float64 {
	return c.Light(c.Goal.Shown).MinOverMean - 10*missingMean(c)
}

func missingMean(c result.Candidate) float64 {
	mean, _ := c.Goal.Shortfall()
	return mean
}

func newArranger(sc *scene.Scene, o ArrangeOptions) (*arranger, error) {
	o.RoundM = cmp.Or(o.RoundM, 0.001)
	a := &arranger{options: o}
	var err error
	if a.light, err = o.light(sc, o.StepM); err != nil {
		return nil, err
	}
	a.scene = sc.Copy()
	for i := range a.scene.Rails {
		r := &a.scene.Rails[i]
		r.KeepOuts = append(slices.Clone(r.KeepOuts), o.KeepOuts...)
		r.SortModules()
	}
	a.feed()
	return a, nil
}

// own computes the scene as it is, which is what must be bettered where it can be mounted.
func (a *arranger) own(ctx context.Context) error {
	c, err := a.exact(ctx, a.scene)
	if err != nil {
		return err
	}
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

func (a *arranger) exact(ctx context.Context, sc *scene.Scene) (result.Candidate, error) {
	lit, err := a.light.Scene(ctx, sc)
	if err != nil {
		return result.Candidate{}, err
	}
	return lit.Candidate(), nil
}

// seekAll finds the places of variants, and returns those that can be had, the one of the highest worth first.
func (a *arranger) seekAll(ctx context.Context, variants []variant, brief bool) (list []variant, err error) {
	for _, v := range variants {
		found, err := a.seek(ctx, v, brief)
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
	slices.SortStableFunc(list, func(x, y variant) int { return cmp.Compare(worth(y.light), worth(x.light)) })
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
	_, missing := found.light.Goal.Shortfall()
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

// places finds the places of one search space for its goal, and their light.
func (a *arranger) places(ctx context.Context, b *searchSpace, v variant, brief bool) (variant, error) {
	places, _, err := search.Arrange(search.Problem{Lines: b.lines, Score: b.score, Brief: brief})
	if err != nil {
		return v, err
	}
	v.scene = b.placed(places)
	if v.light, err = a.exact(ctx, v.scene); err == nil && v.light.Junctions.TooHot.Any() {
		err = fmt.Errorf("%s: %w", v.light.Junctions.TooHot.Words(a.options.Units), errTooHot)
	}
	return v, err
}

// conclude computes before and after on the fine grid that a map and a comparison take, lowers the current where it
// may, and puts the outcome into words.
func (a *arranger) conclude(ctx context.Context, best variant) (*Arranged, error) {
	var err error
	if a.light, err = a.options.light(a.scene, result.FineStepM(a.scene.Tank.LengthM, a.scene.Tank.WidthM)); err != nil {
		return nil, err
	}
	before, err := a.exact(ctx, a.scene)
	if err != nil {
		return nil, err
	}
	if best.light, err = a.exact(ctx, best.scene); err != nil {
		return nil, err
	}
	a.before.light = before
	// better on the coarse grid alone, or not worth a hole
	if a.before.scene != nil && (worth(best.light) < worth(before)+leastGain || !gains(before, best.light)) {
		best = a.before
	}
	if best, err = a.dimmed(ctx, best); err != nil {
		return nil, err
	}
	if a.before.scene != nil && missingMean(best.light) > missingMean(before)+sameMean {
		if len(best.currents) > 0 {
			a.notes = append(a.notes, finding.CurrentsTooLow.Of())
		}
		best = a.before
	}
	out := &Arranged{Scene: best.scene, Before: before, After: best.light, Chosen: best.words, Notes: a.notes}
	out.Verdict = a.verdict(out)
	return out, nil
}

// gains tells whether light is more even, or its mean nearer to the goal's, by what is worth a hole.
func gains(from, to result.Candidate) bool {
	q := to.Goal.Shown
	return to.Light(q).MinOverMean >= from.Light(q).MinOverMean+leastGain || missingMean(to) < missingMean(from)-sameMean
}

// dimmed takes the lowest current that reaches the goal's mean, or the highest where none does.
func (a *arranger) dimmed(ctx context.Context, v variant) (variant, error) {
	for i, amps := range v.currents {
		sc, err := edit.With(v.scene, currentChange(amps))
		if err != nil {
			return v, err
		}
		c, err := a.exact(ctx, sc)
		if err != nil || c.Junctions.TooHot.Any() {
			return v, err
		}
		if missingMean(c) == 0 || i == len(v.currents)-1 {
			v.scene, v.light = sc, c
			v.words = strings.TrimPrefix(v.words+", current "+currentChange(amps).Variable.Say(amps), ", ")
			break
		}
	}
	return v, nil
}
