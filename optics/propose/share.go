package propose

import (
	"context"
	"errors"

	"fathomlux/optics/parallel"
	"fathomlux/scene"
)

// Look is what the first look at all shapes with one optic has found, as numbers alone.
type Look struct {
	Shapes [][4]int     // where they hang, their form, count and spread
	Sums   [][3]float64 // by shape and part of the goal: mean, dimmest and brightest
}

// RunShare takes the first look of one share of the optics of Run; what follows is for Run with all Shares. When ctx
// ends it returns the error of ctx alone.
func RunShare(ctx context.Context, sc *scene.Scene, o Options, share parallel.Share) ([]Look, error) {
	s, err := newSearch(sc, o)
	if err != nil {
		return nil, err
	}
	c, err := newScreen(s)
	if err != nil {
		return nil, err
	}
	var looks []Look
	from, to := share.Range(int64(len(s.optics)))
	for i := from; i < to; i++ {
		shapes, sums, err := c.optic(ctx, int(i))
		if err != nil {
			return nil, err
		}
		var l Look
		for _, one := range shapes {
			l.Shapes = append(l.Shapes, [4]int{one.hung, one.form, one.count, one.spread})
		}
		for _, t := range sums {
			l.Sums = append(l.Sums, [3]float64{t.mean, t.low, t.high})
		}
		looks = append(looks, l)
		s.step()
	}
	return looks, ctx.Err()
}

// shares returns the looks at all optics that others have taken, nil where there are none.
func (c *screen) shares() (looks []Look, err error) {
	if c.options.Shares == nil {
		return nil, nil
	}
	looks = []Look{}
	for l, err := range c.options.Shares {
		if err != nil {
			return nil, err
		}
		if !c.fits(l) {
			return nil, errors.New("a share is not one of this search")
		}
		looks = append(looks, l)
	}
	if len(looks) != len(c.optics) {
		return nil, errors.New("the shares do not make the whole of the search")
	}
	return looks, nil
}

// fits tells whether a look names only what there is.
func (c *screen) fits(l Look) bool {
	for _, s := range l.Shapes {
		if s[0] < 0 || s[0] >= len(c.hangs) || s[1] < 0 || s[1] >= len(c.forms) || s[2] < 1 ||
			s[2] > c.options.MaxModules || s[3] < 0 || s[3] >= len(spreads) {
			return false
		}
	}
	return len(l.Sums) == len(l.Shapes)*len(c.goal)
}

// take adds the look of a share at one optic.
func (c *screen) take(optic int, l Look) {
	shapes, sums := make([]shape, len(l.Shapes)), make([]tally, len(l.Sums))
	for i, s := range l.Shapes {
		shapes[i] = shape{optic: optic, hung: s[0], form: s[1], count: s[2], spread: s[3], tally: i * len(c.goal)}
	}
	for i, t := range l.Sums {
		sums[i] = tally{t[0], t[1], t[2]}
	}
	c.found, c.sums = joined(c.found, c.sums, shapes, sums)
}

// look takes the first look at one optic.
func (c *screen) look(ctx context.Context, optic int) error {
	shapes, sums, err := c.optic(ctx, optic)
	if err == nil {
		c.found, c.sums = joined(c.found, c.sums, shapes, sums)
	}
	return err
}
