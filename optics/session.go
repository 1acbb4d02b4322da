package optics

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// sketchCells is about how many cells a glance's slice has along the tank.
const sketchCells = 96

// Session looks at one scene after another, as a hand changes them, by the light that a Light keeps between. It is safe
// for several goroutines, which take turns.
type Session struct {
	light *Light
	turn  chan struct{}
	cuts  map[cutKey]result.Section // of straight light of 1 lm
}

// keptCuts is how many slices of single modules a session keeps.
const keptCuts = 64

// cutKey is a module in a tank, with its mirror images, and a slice of their light.
type cutKey struct {
	keptKey
	axis result.SectionAxis
	atM  float64
}

// NewSession readies a session for the scene and for copies of it that Set or With make.
func NewSession(sc *scene.Scene, o LightOptions) (*Session, error) {
	o.slices = true
	l, err := NewLight(sc, o)
	return &Session{light: l, turn: make(chan struct{}, 1), cuts: map[cutKey]result.Section{}}, err
}

// Glance computes the plane of the goal and what else a view shows of one scene.
func (s *Session) Glance(ctx context.Context, sc *scene.Scene, v result.View) (*result.Glance, error) {
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	lit, err := s.light.Scene(ctx, sc)
	if err != nil {
		return nil, err
	}
	sc = lit.Scene
	planes := lit.planes()
	out := &result.Glance{Plane: planes[0], Junctions: lit.Junctions, LumensLm: lit.LumensLm, PowerW: sc.PowerW(),
		MirroredShare: lit.mirrored}
	findDark(sc, &out.Plane)
	if out.Section, err = s.sketch(ctx, lit, v); err != nil {
		return nil, fmt.Errorf("the slice through the water: %w", err)
	}
	if out.Shown, err = s.shown(ctx, sc, v); err != nil {
		return nil, fmt.Errorf("the plane that is shown: %w", err)
	}
	kept := Maintained(sc)
	out.Goal = judged(sc, planes, kept, unbuildable(sc, out.Junctions, lit.fed.unfeedable))
	findSpots(out.Goal, planes)
	out.Verdict = Verdict(sc.Goal, out.Goal, maintained(&out.Plane, kept))
	return out, nil
}

// shown computes the plane that a view shows beside that of the goal; nil where it shows no other.
func (s *Session) shown(ctx context.Context, warm *scene.Scene, v result.View) (*result.Plane, error) {
	depthM := min(max(v.DepthM, 0), warm.Tank.Water.DepthM)
	if !v.OtherPlane || sameM(depthM, JudgedPlane(warm).DepthM) {
		return nil, nil
	}
	lit, err := s.light.Compute(ctx, Set{warm, Modules(warm), depthM})
	if err != nil {
		return nil, err
	}
	p := lit[0].Plane()
	p.Name = unit.Length.Say(depthM) // it is none of the goal's
	findDark(warm, &p)
	return &p, nil
}

// sketch computes the slice of a view: the one under the rail with the most light unless it says where.
func (s *Session) sketch(ctx context.Context, l *Lit, v result.View) (cut result.Section, err error) {
	sc := l.Scene
	at, widthM := brightestRailY(sc), sc.Tank.WidthM
	if v.Axis == result.AcrossY {
		widthM = sc.Tank.LengthM
	}
	if v.Cut {
		at = min(max(v.CutM, 0), widthM)
	}
	if cut, err = l.section(ctx, nil, v.Axis, at); err != nil {
		return cut, err
	}
	modules := Modules(sc)
	for _, rm := range modules {
		key, _ := keyOf(rm, len(modules), sc.Tank.LengthM, false)
		one, err := s.cut(ctx, l, cutKey{keptKey{l.tank.key, key, l.orders}, v.Axis, at})
		if err != nil {
			return cut, err
		}
		floats.AddScaled(cut.Illuminance, rm.Module.FluxLm(), one.Illuminance)
		floats.AddScaled(cut.PPFD, rm.Module.FluxLm(), one.PPFD)
	}
	cut.Rays = edgeRays(sc, &l.tank.builder, v.Axis, at)
	return cut, l.addToSketch(ctx, &cut)
}

// cut returns the slice of straight light of one module of 1 lm.
func (s *Session) cut(ctx context.Context, l *Lit, key cutKey) (cut result.Section, err error) {
	if known, ok := s.cuts[key]; ok {
		return known, nil
	}
	dies, err := l.tank.builder.sourcesOf(key.module)
	if err != nil {
		return cut, err
	}
	cut, err = l.section(ctx, joined(dies, float64(key.module.height)*1e-9), key.axis, key.atM)
	if err != nil {
		return cut, err
	}
	if len(s.cuts) >= keptCuts {
		clear(s.cuts)
	}
	s.cuts[key] = cut
	return cut, nil
}

// section computes a slice of the straight light of sources.
func (l *Lit) section(ctx context.Context, from []model.Source, axis result.SectionAxis, at float64) (
	result.Section, error) {
	t := &l.Scene.Tank
	longM := t.LengthM
	if axis == result.AcrossY {
		longM = t.WidthM
	}
	step := math.Max(longM, t.Water.DepthM) / sketchCells
	return l.tank.engine.WithSources(from, l.orders).Section(ctx, axis, at, step, step)
}

// addToSketch adds the rest of the light to a slice.
func (l *Lit) addToSketch(ctx context.Context, cut *result.Section) error {
	lamps := make([]lamp, len(l.shares))
	for i, s := range l.shares {
		lamps[i] = lamp{l.tank.modules[s.module], s.lumens, s.mirrored}
	}
	rests, err := l.tank.rest.layers(ctx, l.tank.grid, lamps)
	addToSection(cut, rests, l.tank.rest.options.DepthsM)
	return err
}

// joinedShare is how far from their middle dies may be to count as one, as a share of their height above the water: the
// light right under them is then off by about its square, 0.25 %.
const joinedShare = 0.05

// joined returns the dies of one module as a single source in their middle, where they are close together.
func joined(dies []model.Source, heightM float64) []model.Source {
	one := dies[0]
	last := dies[len(dies)-1] // dies stand in rows: first and last are opposite corners
	one.Position = space.Point{X: (one.Position.X + last.Position.X) / 2, Y: (one.Position.Y + last.Position.Y) / 2,
		Z: (one.Position.Z + last.Position.Z) / 2}
	if math.Hypot(last.Position.X-one.Position.X, last.Position.Y-one.Position.Y) > joinedShare*heightM {
		return dies
	}
	one.EmittedLm, one.LeavingLm = 0, 0
	for _, d := range dies {
		one.EmittedLm += d.EmittedLm
		one.LeavingLm += d.LeavingLm
	}
	return []model.Source{one}
}
