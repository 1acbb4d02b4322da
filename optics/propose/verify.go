package propose

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// What a bill takes unless it is told otherwise: spares, and the cable from the driver to the first rail.
const (
	spareShare = 0.10
	leadM      = 2
)

// How a light is looked at more closely: about how many cells the plane has, and what is traced of each module.
const (
	closeCells     = 2500
	closeHistories = 1 << 11
)

func driverName(of, i int) string {
	if of == 1 {
		return "driver"
	}
	return fmt.Sprintf("driver %d", i+1)
}

// amount is that of money, without end where it is not known.
func amount(m parts.Money) float64 {
	if m.Currency == "" {
		return math.Inf(1)
	}
	return m.Amount
}

// cost finds heat, wiring, power and money of a pick, each once; nil where it cannot be built or breaks a limit.
func (s *seeker) cost(p pick) *Light {
	l, ok := s.costs[p]
	if !ok {
		l = s.costed(p)
		s.costs[p] = l
	}
	return l
}

// costAll is cost for many picks at a time.
func (s *seeker) costAll(ctx context.Context, list []entry) error {
	var fresh []pick
	for _, e := range list {
		if _, ok := s.costs[e.pick]; !ok {
			fresh = append(fresh, e.pick)
		}
	}
	found := make([]*Light, len(fresh))
	err := parallel.ForEach(ctx, s.options.Workers, len(fresh), func(i int) { found[i] = s.costed(fresh[i]) })
	for i, p := range fresh {
		if err == nil {
			s.costs[p] = found[i]
		}
	}
	return err
}

func (s *seeker) costed(p pick) *Light {
	sc := s.empty.Copy()
	rails, supplies := s.railsOf(p)
	sc.Rails, sc.Wiring.Supplies = rails, supplies
	sc.Wiring.Channels = []scene.Channel{{Name: supplies[0].Name, Level: 1}}
	l := s.measured(sc)
	if l == nil || s.options.Budget > 0 && !(amount(l.Money) <= s.options.Budget) ||
		s.options.WattsAtMost > 0 && l.MainsW > s.options.WattsAtMost {
		return nil
	}
	return l
}

// measured is a light with all but its light; nil where heat or wiring speak against it.
func (s *seeker) measured(sc *scene.Scene) *Light {
	l := &Light{Scene: sc}
	ask := wiring.Request{LeadM: leadM}
	var err error
	if l.Point, err = operating.Of(sc); err != nil || l.Point.TooHot().Any() || sc.PlacementError().Any() {
		return nil
	}
	for _, r := range l.Point.Rails {
		if r.HottestRailC > heat.TouchC {
			return nil
		}
	}
	ask.JunctionC = l.Point.JunctionC
	if l.Groups, err = wiring.Wire(sc, ask); err != nil {
		return nil
	}
	for _, g := range l.Groups {
		if !g.Chosen.Fed() || g.Chosen.Harm {
			return nil
		}
		l.HighestV = max(l.HighestV, g.Chosen.Fit.Verdict.WorkV, g.Chosen.Fit.Verdict.OpenV)
	}
	running := wiring.RunningOf(sc, l.Groups)
	if l.MainsW, l.CostPerYear = running.MainsW, running.CostPerYear; l.MainsW == 0 || l.HighestV > s.options.VoltsAtMost {
		return nil
	}
	l.Money = s.moneyOf(bill.Of(sc, l.Groups, spareShare))
	return l
}

// moneyOf is the sum of a bill in the currency of the search; none where it holds another, or a part without a price.
func (s *seeker) moneyOf(b bill.Bill) (m parts.Money) {
	for _, line := range b.Lines {
		if slices.Contains([]string{"module", "optic", "driver", "profile"}, line.Kind) && line.Each.Currency == "" {
			return m
		}
	}
	if len(b.Totals) == 1 && b.Totals[0].Currency == s.currency {
		m = b.Totals[0]
	}
	return m
}

// look computes the light of a pick on middling cells, once; nil where it cannot be built.
func (s *seeker) look(ctx context.Context, p pick) (*Light, error) {
	l := s.cost(p)
	if l == nil || l.Candidate.Done {
		return l, ctx.Err()
	}
	if s.light == nil {
		t := s.scene.Tank
		var err error
		o := optics.LightOptions{StepM: math.Sqrt(t.LengthM * t.WidthM / closeCells), Workers: s.options.Workers,
			Histories: closeHistories}
		if s.light, err = optics.NewLight(s.scene, o); err != nil {
			return nil, err
		}
	}
	lit, err := s.light.Scene(ctx, l.Scene)
	if err != nil {
		return nil, err
	}
	l.Candidate = lit.Candidate()
	if least := s.asked[s.modules[s.built[p.build].module].Spectrum][0].least; least > 0 {
		l.level = l.Counted().Mean / least
	}
	s.step()
	return l, nil
}

// meets tells whether a light meets the goal, and is as even as was asked.
func (s *seeker) meets(l *Light) bool {
	return l.Candidate.Goal.Met && !l.unfit && l.Counted().MinOverMean >= s.options.EvenAtLeast
}

// verify computes a pick like every other command; nil where it fails the goal or cannot be built.
func (s *seeker) verify(ctx context.Context, p pick) (*Light, error) {
	l, err := s.look(ctx, p)
	if err != nil || l == nil || !s.meets(l) {
		return nil, err
	}
	return s.finish(ctx, l)
}

// finish writes the scene's text, reads it back, and computes its map; nil where a warning or the goal speaks against
// it then.
func (s *seeker) finish(ctx context.Context, l *Light) (*Light, error) {
	if l.Map == nil {
		if err := s.write(ctx, l); err != nil {
			return nil, err
		}
		s.step()
	}
	if l.unfit = len(s.warned(l.Scene)) > 0; !s.meets(l) {
		return nil, nil
	}
	return l, nil
}

// write replaces a light's scene by what its own text says, with its map.
func (s *seeker) write(ctx context.Context, l *Light) error {
	text, err := edit.Relit(s.scene, l.Scene.Rails, l.Scene.Wiring.Supplies, s.options.KeepRails)
	if err != nil {
		return err
	}
	sc, err := scene.Parse(s.scene.File, text, s.scene.Open)
	if err != nil {
		return fmt.Errorf("the scene cannot be written with another light: %w", err)
	}
	again := s.measured(sc)
	if again == nil {
		l.Candidate.Goal.Met = false
		l.Map = &result.Map{}
		return nil
	}
	again.Words, again.Text, again.level = l.Words, text, l.level
	again.Map, err = optics.Map(ctx, sc, optics.Options{Planes: []scene.PlaneRef{optics.JudgedPlane(sc)},
		Workers: s.options.Workers})
	if err != nil {
		return err
	}
	m := again.Map
	again.Candidate = result.Candidate{Done: true, PowerW: m.PowerW, Junctions: m.Junctions, Goal: m.Goal}
	again.Candidate.Take(&m.Planes[0])
	*l = *again
	return nil
}

// warned lists what check would warn of in a scene, but for what it warns of in the given one beside its light.
func (s *seeker) warned(sc *scene.Scene) (list []finding.Finding) {
	known := map[string]bool{}
	for _, f := range s.scene.Warnings {
		if !strings.HasPrefix(f.Place.Path, "rails") && !strings.HasPrefix(f.Place.Path, "wiring") {
			known[f.Code.Name] = true
		}
	}
	for _, f := range slices.Concat(sc.Warnings, wiring.Warnings(sc), sc.HoodWarnings()) {
		if !known[f.Code.Name] {
			list = append(list, f)
		}
	}
	return list
}

// railsOf hangs a build with a shape.
func (s *seeker) railsOf(p pick) (rails []scene.Rail, supplies []scene.Supply) {
	b, sh := &s.built[p.build], s.shapes[p.shape]
	h := s.hangs[sh.hung]
	fed, each := 0, b.feed.modules()
	for _, r := range h.of(b.profile, s.options.KeepRails) {
		for _, xM := range spreads[sh.spread].places(r, s.forms[sh.form], sh.count) {
			r.Modules = append(r.Modules, scene.Module{Part: s.modules[b.module], Optic: s.optics[sh.optic], XM: xM,
				CurrentA: b.currentA, FluxFactor: s.scene.FluxFactor, Supply: fed / each})
			fed++
		}
		rails = append(rails, r)
	}
	for range b.drivers {
		supplies = append(supplies, scene.Supply{Name: driverName(b.drivers, len(supplies)), Driver: b.driver,
			Strings: b.strings})
	}
	return rails, supplies
}
