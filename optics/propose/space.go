package propose

import (
	"context"
	"errors"
	"math"
	"slices"

	"fathomlux/optics/parallel"
	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// hung is the bars of a light, rails without modules: a row of the tank each.
type hung []scene.Rail

// form is how the light of a module is shaped without its optic, and how much of the bar its board takes.
type form struct {
	along  int
	pitchM float64
	boardM float64
}

// leastBoardM is the length that smaller boards are taken to have: so they share their places.
const leastBoardM = 0.03

func formOf(m parts.Module) form {
	f := form{1, 0, max(m.BoardLengthM, leastBoardM)}
	if float64(m.DiesAlong-1)*m.PitchAlongM >= nearDiesM {
		f.along, f.pitchM = m.DiesAlong, m.PitchAlongM
	}
	return f
}

// nearDiesM is how far apart the outer dies of a module are at most that count as one at a first look.
const nearDiesM = 0.02

// spread is how modules stand along a bar, about its middle: how much of it they take, and by which power they crowd
// towards their ends, 1 for even distances.
type spread struct{ share, power float64 }

// The spreads, and the least gap between boards: room for a soldering iron.
var spreads = func() (list []spread) {
	for share := 0.4; share < 1.01; share += 0.06 {
		for _, power := range []float64{1, 0.8} {
			list = append(list, spread{share, power})
		}
	}
	return list
}()

const (
	gapM       = 0.010
	roundM     = 0.001 // of places along a bar
	endM       = 0.010 // from a bar's end to the tank's inside
	crowdsFrom = 4     // modules on a bar from which the power matters
)

// places are the middles of n modules on a bar; nil where they find no room.
func (s spread) places(b scene.Rail, f form, n int) []float64 {
	if n == 1 && s != spreads[0] || n < crowdsFrom && s.power != 1 {
		return nil // the same as others
	}
	half := s.share * (b.LengthM - f.boardM) / 2
	x := make([]float64, n)
	for i := range x {
		t := 0.0
		if n > 1 {
			t = 2*float64(i)/float64(n-1) - 1
		}
		off := half * math.Copysign(math.Pow(math.Abs(t), s.power), t)
		x[i] = b.LeftM + math.Round((b.LengthM/2+off)/roundM)*roundM
		if i > 0 && x[i]-x[i-1] < f.boardM+gapM {
			return nil
		}
		for _, k := range b.KeepOuts {
			if x[i]+f.boardM/2 > k.FromM && x[i]-f.boardM/2 < k.ToM {
				return nil
			}
		}
	}
	return x
}

// on are the places of n modules on each of some bars; nil where one has no room.
func (s spread) on(h hung, f form, n int) [][]float64 {
	list := make([][]float64, len(h))
	for i, b := range h {
		if list[i] = s.places(b, f, n); list[i] == nil {
			return nil
		}
	}
	return list
}

// hangs lists where bars may hang: the scene's own where they are kept, else one or several rows at even heights, as
// long as the tank or, where none of the profiles is sold so long, as the longest of them.
func hangs(sc *scene.Scene, o Options) (list []hung) {
	if o.KeepRails {
		h := slices.Clone(sc.Rails)
		for i := range h {
			h[i].Modules = nil
		}
		return []hung{h}
	}
	var keepOuts []scene.KeepOut
	for _, r := range sc.Rails {
		keepOuts = append(keepOuts, r.KeepOuts...)
	}
	t := sc.Tank
	lengthM := math.Floor((min(t.LengthM-2*endM, longest(o.Parts)))/0.01+1e-9) * 0.01
	for _, rows := range o.Rows {
		for _, shares := range rowShares(rows, t.Walls.Front == t.Walls.Back && len(t.Obstacles) == 0) {
			for _, aboveM := range o.HeightsM {
				var h hung
				for i, share := range shares {
					h = append(h, scene.Rail{Name: barNames(rows)[i], YM: math.Round(share*t.WidthM/roundM) * roundM,
						AboveWaterM: aboveM, LeftM: (t.LengthM - lengthM) / 2, LengthM: lengthM, KeepOuts: keepOuts})
				}
				list = append(list, h)
			}
		}
	}
	return list
}

// longest is the length up to which any of the profiles is sold.
func longest(c *parts.Catalogue) (m float64) {
	for _, p := range c.Profiles {
		if len(p.StockM) == 0 {
			return math.Inf(1)
		}
		m = max(m, slices.Max(p.StockM))
	}
	return m
}

// rowShares are where rows stand across the tank, as shares of its width; of one whose front is like its back a single
// row need not stand nearer to the back.
func rowShares(rows int, alike bool) (list [][]float64) {
	switch {
	case rows == 1 && alike:
		return [][]float64{{0.5}, {0.42}}
	case rows == 1:
		return [][]float64{{0.5}, {0.42}, {0.58}}
	}
	for _, edge := range []float64{0.5, 0.38} { // of a row's own strip, from the wall to its middle
		first := edge / float64(rows)
		var shares []float64
		for i := range rows {
			shares = append(shares, first+(1-2*first)*float64(i)/float64(rows-1))
		}
		list = append(list, shares)
	}
	return list
}

// Heights returns n heights of the emitting face above the water, whole 5 mm.
func Heights(fromM, toM float64, n int) (list []float64) {
	for i := range n {
		m := fromM
		if n > 1 {
			m += (toM - fromM) * float64(i) / float64(n-1)
		}
		if m = math.Round(m/0.005) * 0.005; len(list) == 0 || m > list[len(list)-1]+1e-9 {
			list = append(list, max(m, fromM))
		}
	}
	return list
}

// UsualHeights is from where to where rails hang where nobody asks for anything else: clear of a cover and of the rim,
// and out of most splashes.
func UsualHeights(t scene.Tank) (fromM, toM float64) {
	fromM = max(0.08, math.Ceil(t.RimAboveWaterM()/0.01)*0.01)
	if t.Cover != nil {
		fromM = max(fromM, t.Cover.AboveWaterM+t.Cover.ThicknessM+0.04)
	}
	return fromM, fromM + 0.2
}

// barNames name the rails, from the front to the back.
func barNames(n int) (names []string) {
	switch n {
	case 1:
		return []string{"main"}
	case 2:
		return []string{"front", "back"}
	case 3:
		return []string{"front", "middle", "back"}
	}
	for i := range n {
		names = append(names, "row "+unit.Count(float64(i+1)))
	}
	return names
}

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
