// Package propose finds lights that can be built for a tank and a goal: how many modules of which kind, behind which
// optic, at which current and height, in how many rows, on which drivers. Light is linear in each module's flux, so all
// combinations are looked at on coarse cells first; the best of each are then computed as every other command does, and
// what fails there gives way to the next. SI units; light in lx and umol/m2/s. Next: packages optics for the light,
// scene/wiring, scene/operating and scene/bill for drivers, heat and money.
package propose

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// Word is what a light is the best of.
type Word int

// The words.
const (
	Cheapest Word = iota
	LeastPower
	MostEven
	Brightest // at its dimmest place
	FiveYears // cheapest over five years, parts and energy
	words
)

// String says the word to people.
func (w Word) String() string {
	return [...]string{"cheapest to buy", "least power", "most even", "brightest at its dimmest place",
		"cheapest over five years"}[w]
}

// Years is for how many years of energy FiveYears counts.
const Years = 5

// Options say what may be chosen, and within which limits. A limit of 0 is none.
type Options struct {
	Parts       *parts.Catalogue // what there is to choose from
	Rows        []int            // how many rows of modules, each on a rail
	HeightsM    []float64        // of the emitting face above the water
	MaxModules  int
	Budget      float64 // in the currency of the parts
	WattsAtMost float64 // from the mains
	VoltsAtMost float64 // of a driver's output, also without a load
	EvenAtLeast float64 // U0
	KeepRails   bool    // the scene's rails stay, with other modules
	Workers     int
	Progress    func(done, total int) // called from one goroutine at a time; may be nil
	First       func(*Light)          // told the first light that meets all; may be nil

	// Shares are what RunShare gave of all shares of this search, in their order, in place of a first look; nil to look.
	Shares iter.Seq2[Look, error]
}

// Light is one light over the tank that can be built.
type Light struct {
	Words       []Word
	Text        []byte // of its scene file
	Scene       *scene.Scene
	Groups      []wiring.Group
	Point       *operating.Point
	Map         *result.Map // of the plane of the goal
	Candidate   result.Candidate
	Money       parts.Money // of the bill with the usual spares; no currency where a price is not known
	MainsW      float64
	CostPerYear parts.Money // of energy; no currency where there is no tariff
	HighestV    float64     // of the drivers' outputs, also without a load

	level float64 // mean on the first part of the goal, as a share of the least that it asks
	unfit bool    // whether its text warns of something
}

// Counted is the light on the first part of the goal, in the quantity that the goal counts.
func (l *Light) Counted() result.Statistics {
	if g := l.Candidate.Goal; len(g.Parts) > 0 {
		return g.Parts[0].Light.Of(g.Shown)
	}
	return l.Candidate.Light(l.Candidate.Goal.Shown)
}

// FiveYears returns what the light takes to buy and to run for Years; ok is false where that is not known.
func (l *Light) FiveYears() (m parts.Money, ok bool) {
	m = parts.Money{Amount: l.Money.Amount + Years*l.CostPerYear.Amount, Currency: l.Money.Currency}
	return m, m.Currency != "" && m.Currency == l.CostPerYear.Currency
}

// Dot is a light by what it takes to buy and its U0.
type Dot struct {
	Money, Even float64
	Estimate    bool // of the first look, without heat and wiring; else it was computed and meets all
}

// Found is what a search gives.
type Found struct {
	Lights   []*Light // that meet the goal and all limits, by their first word
	Nearest  *Light   // where none does
	Looser   []Looser // what would help then, the best first
	Unjudged []Unjudged
	Dots     []Dot // by rising money
	Front    []Dot // the computed ones that no other beats in both
	Tried    int   // combinations
	Complete bool  // false where ctx ended the search

	// What the cheapest light costs with drivers up to the limit of volts, and with those up to that for dry places, where
	// it is higher: both at a first look.
	AtLimit, AtDryTouch parts.Money

	Currency string
}

// Unjudged is a word of which no light can be the best, and why.
type Unjudged struct {
	Word Word
	Why  string
}

// Looser is one limit that keeps a light from meeting all others.
type Looser struct {
	Limit     string // as a flag or a key has it
	Unit      string // of both figures
	Now, Need float64
}

type seeker struct {
	options Options
	scene   *scene.Scene
	empty   *scene.Scene // without rails and wiring
	parts   *parts.Catalogue
	modules []parts.Module
	optics  []parts.Optic
	forms   []form
	formOf  []int // by module
	hangs   []hung
	fed     []feed
	built   []build
	shapes  []shape
	bucket  map[bucket][]int    // of shapes
	tallies []tally             // by shape and part of the goal
	asked   map[string][]bounds // by spectrum and part of the goal
	die     parts.Module        // of the first look
	dieA    float64

	currency string
	all      []entry // of all optics
	lavish   float64 // the highest level of the most even and of the brightest light
	light    *optics.Light
	costs    map[pick]*Light
	out      *Found
	steps    int
}

// errNoGoal is what a scene gets whose goal asks for no light.
var errNoGoal = errors.New("the goal asks for no light; give goal: {plane: floor, illuminance: 2500 lx} or ppfd or dli")

// Run searches. When ctx ends it returns what is done, without an error. Errors say what is missing.
func Run(ctx context.Context, sc *scene.Scene, o Options) (*Found, error) {
	s, err := newSearch(sc, o)
	if err != nil {
		return nil, err
	}
	err = s.run(ctx)
	if ctx.Err() != nil {
		err = nil
	}
	s.out.Complete = ctx.Err() == nil
	s.dots()
	s.front()
	return s.out, err
}

// asksLight tells whether a part of a goal asks for any light at least.
func asksLight(g scene.Goal) bool {
	return g.IlluminanceLx > 0 || g.PPFD > 0 || g.DLI > 0 || g.LowestLx > 0 || g.LowestPPFD > 0
}

func newSearch(sc *scene.Scene, o Options) (*seeker, error) {
	if !slices.ContainsFunc(sc.Goal.Parts(), asksLight) {
		return nil, errNoGoal
	}
	s := &seeker{options: o, scene: sc, parts: o.Parts, asked: map[string][]bounds{},
		costs: map[pick]*Light{}, out: &Found{}}
	s.empty = sc.Copy()
	s.empty.Rails, s.empty.Day = nil, nil
	w := &s.empty.Wiring
	w.Driver, w.Strings, w.Supplies, w.Channels = parts.Driver{}, 0, nil, nil
	for _, name := range parts.Names(o.Parts.Modules) {
		m := o.Parts.Modules[name]
		f := formOf(m)
		at := 0
		for at < len(s.forms) && s.forms[at] != f {
			at++
		}
		if at == len(s.forms) {
			s.forms = append(s.forms, f)
		}
		s.modules, s.formOf = append(s.modules, m), append(s.formOf, at)
	}
	for _, name := range parts.Names(o.Parts.Optics) {
		s.optics = append(s.optics, o.Parts.Optics[name])
	}
	off := func(o parts.Optic) float64 {
		return math.Abs(math.Log(math.Sqrt(max(o.BeamRad*o.BeamAcrossRad, 1e-9)) / usualBeam))
	}
	slices.SortStableFunc(s.optics, func(a, b parts.Optic) int { return cmp.Compare(off(a), off(b)) })
	switch {
	case len(s.modules) == 0:
		return nil, errors.New("there is no module to choose from")
	case len(s.optics) == 0:
		return nil, errors.New("there is no optic to choose from")
	}
	s.die = s.modules[0]
	s.die.DiesAlong, s.die.DiesAcross = 1, 1
	low, high := s.die.CurrentRange()
	s.dieA = (low + high) / 2
	s.currency = currencyOf(s.modules)
	s.out.Currency = s.currency
	for i := range s.modules {
		s.fed = append(s.fed, s.feeds(i)...)
	}
	if len(s.fed) == 0 {
		return nil, fmt.Errorf("no driver at hand feeds any module at %g V or less; raise --volts-at-most, or give "+
			"other parts", o.VoltsAtMost)
	}
	if s.hangs = hangs(sc, o); len(s.hangs) == 0 {
		return nil, errors.New("there is no place for a rail")
	}
	return s, nil
}

// currencyOf is that of most modules.
func currencyOf(modules []parts.Module) (best string) {
	count := map[string]int{}
	for _, m := range modules {
		if c := m.Price.Currency; c != "" {
			if count[c]++; count[c] > count[best] || best == "" {
				best = c
			}
		}
	}
	return best
}

// run looks at the shapes of all optics, the most common beams first, and then chooses. After a few optics it chooses
// the cheapest light among theirs, so that there is soon one to show and to keep.
func (s *seeker) run(ctx context.Context) error {
	c, err := newScreen(s)
	if err != nil {
		return err
	}
	ratios, err := c.spectra(ctx)
	if err != nil {
		return err
	}
	looks, err := c.shares()
	if err != nil {
		return err
	}
	s.built = s.builds()
	for i := range s.optics {
		if looks != nil {
			c.take(i, looks[i])
		} else if err := c.look(ctx, i); err != nil {
			return err
		}
		s.step()
		if s.ready(ratios, c); i+1 == firstOptics && i+1 < len(s.optics) {
			if err := s.lowest(ctx, s.measures(s.entries())[Cheapest]); err != nil {
				return err
			}
		}
	}
	return s.choose(ctx)
}

const (
	firstOptics = 3
	usualBeam   = math.Pi / 3 // that the first optics are nearest to
)

// step tells of progress: the optics, then what is computed more closely, about.
func (s *seeker) step() {
	if s.steps++; s.options.Progress != nil {
		total := len(s.optics) + verifiedAbout
		s.options.Progress(min(s.steps, total-1), total)
	}
}

const verifiedAbout = 60
