package optics

import (
	"context"
	"errors"
	"fmt"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/optics/water"
)

// Engine names how light is computed.
type Engine string

// The engines. Direct sums straight light, with what the water scatters forward counted as if it went on; Traced follows
// photons; Full sums the straight light and traces the rest, which is the best of both.
const (
	Direct Engine = "direct"
	Traced Engine = "traced"
	Full   Engine = "full"
)

// Engines returns the names that Options take, the best first.
func Engines() []string { return []string{string(Full), string(Direct), string(Traced)} }

// Errors to which Full and Traced work where none is asked for, in parts of a plane's mean: of the light that Full traces, and
// of all light. The photons are where they stop if it takes too many.
const (
	fullError   = 0.005
	tracedError = 0.05
	fullMost    = 1 << 23
	tracedMost  = 1 << 25
)

// SoftM is the side of the square over which each landing of the rest is spread: light that was scattered or bounced has no
// detail that fine, and its noise falls to a fifth.
const SoftM = 0.025

// shining is the light of a model on some planes, by any engine.
type shining struct {
	planes   []planeLight
	books    result.Books
	tracing  *result.Tracing
	sections *direct.Engine // what slices are summed with
	warnings []string
}

// planeLight is the light on one plane.
type planeLight struct {
	field       result.Field
	modules     []result.Field
	errorLx     []float64
	meanErrorLx float64
}

// shine runs the engine of the options on a model.
func shine(ctx context.Context, st *model.Model, wishes []planeWish, o Options) (*shining, error) {
	switch o.Engine {
	case "", Direct:
		return shineDirect(ctx, st, wishes, o, water.Direct)
	case Traced:
		s := &shining{}
		if err := s.trace(ctx, st, wishes, o); err != nil {
			return nil, err
		}
		return s, s.sectioned(s.after(ctx), st, o)
	case Full:
		s, err := shineDirect(ctx, st, wishes, o, water.Unscattered)
		if err != nil {
			return nil, err
		}
		if err := s.trace(ctx, st, wishes, o); err != nil {
			return nil, err
		}
		return s, s.sectioned(s.after(ctx), st, o)
	}
	return nil, fmt.Errorf("there is no engine %q; give full, direct or traced", o.Engine)
}

// shineDirect sums the straight light.
func shineDirect(ctx context.Context, st *model.Model, wishes []planeWish, o Options, kind water.Attenuation) (*shining, error) {
	engine, err := direct.New(ctx, st, direct.Options{Workers: o.Workers, Attenuation: kind})
	if err != nil {
		return nil, err
	}
	s := &shining{books: engine.Books(), sections: engine, warnings: cutWarnings(engine)}
	if err := checkViews(engine, mapBytes(wishes, int64(st.Modules()), o)); err != nil {
		return nil, err
	}
	if kind == water.Direct { // nothing traces the rest
		s.warnings = engineWarnings(engine)
	}
	for _, w := range wishes {
		light, err := engine.Plane(ctx, w.ref.DepthM, w.grid, w.perModule)
		if err != nil {
			return nil, err
		}
		s.planes = append(s.planes, planeLight{field: light.Whole, modules: light.Modules})
	}
	return s, nil
}

// sectioned readies the engine of the slices, which stay direct: no noise, and what is scattered forward goes straight on. Its books
// are not used.
func (s *shining) sectioned(ctx context.Context, st *model.Model, o Options) (err error) {
	if o.Sections {
		s.sections, err = direct.New(ctx, st, direct.Options{Workers: o.Workers, Attenuation: water.Direct, Rays: 1})
	}
	return err
}

// trace adds traced light to the planes: all of it where there is none yet, else the rest. Books are those of the tracing.
func (s *shining) trace(ctx context.Context, st *model.Model, wishes []planeWish, o Options) error {
	t := trace.Options{Workers: o.Workers, Seed: o.Seed, Photons: o.Photons, Error: o.Error, Progress: o.Progress}
	t.Only, t.MostPhotons = trace.All, tracedMost
	usual := tracedError
	if s.planes != nil {
		t.Only, t.MostPhotons, t.SpreadM, usual = trace.Rest, fullMost, SoftM, fullError
	}
	if t.Photons == 0 && t.Error == 0 {
		t.Error = usual
	}
	for i, w := range wishes {
		p := trace.Plane{DepthM: w.ref.DepthM, Grid: w.grid, PerModule: w.perModule}
		if s.planes != nil {
			p.KnownLx = result.Summarise(s.planes[i].field.Illuminance, 0).Mean
		}
		t.Planes = append(t.Planes, p)
	}
	a, interrupted, err := o.traced(ctx, st, t)
	if err != nil {
		return err
	}
	if s.planes == nil {
		s.planes = make([]planeLight, len(wishes))
	}
	for i := range a.Planes {
		s.planes[i].add(a.Planes[i])
	}
	s.books, s.tracing = a.Books, &result.Tracing{Photons: a.Photons, Seed: o.Seed, Error: a.Error, Interrupted: interrupted}
	switch {
	case interrupted:
		s.warnings = append(s.warnings, fmt.Sprintf("tracing was interrupted at %d photons, with a standard error of %.2g %% of the mean in a cell; this is what it had", a.Photons, 100*a.Error))
	case t.Error > 0 && a.Error > t.Error*(1+1e-9):
		s.warnings = append(s.warnings, fmt.Sprintf("tracing stopped at %d photons, with a standard error of %.2g %% of the mean in a cell where %.2g %% was the aim; coarser cells or more photons serve",
			a.Photons, 100*a.Error, 100*t.Error))
	}
	return nil
}

// traced traces, and tells whether ctx ended that early and the caller wants what there is then. KeepTraced is told the end
// before ctx is looked at for the last time, so that nobody who ends ctx first and asks then is promised what is not kept.
func (o Options) traced(ctx context.Context, st *model.Model, t trace.Options) (a *trace.Answer, interrupted bool, err error) {
	keep := o.KeepTraced
	if keep == nil {
		a, err = trace.Run(ctx, st, t)
		return a, false, err
	}
	keep(true)
	if a, err = trace.Run(ctx, st, t); err == nil || a == nil {
		keep(false)
	}
	if a != nil && ctx.Err() != nil {
		return a, true, nil
	}
	return a, false, err
}

// after is the context of what follows the tracing: one without an end where ctx was to end the tracing alone.
func (s *shining) after(ctx context.Context) context.Context {
	if s.tracing != nil && s.tracing.Interrupted {
		return context.WithoutCancel(ctx)
	}
	return ctx
}

// add adds traced light, and takes over its errors: a direct sum has none.
func (p *planeLight) add(t trace.PlaneLight) {
	p.errorLx, p.meanErrorLx = t.ErrorLx, t.MeanErrorLx
	if p.field.Illuminance == nil {
		p.field, p.modules = t.Field, t.Modules
		return
	}
	sum := func(to, from result.Field) {
		AddRow(to.Illuminance, from.Illuminance, 1)
		AddRow(to.PPFD, from.PPFD, 1)
	}
	sum(p.field, t.Field)
	for m := range p.modules {
		sum(p.modules[m], t.Modules[m])
	}
}

// checkTracing refuses options of tracing that cannot serve.
func (o Options) checkTracing() error {
	switch {
	case o.Photons < 0 || o.Photons > MaxPhotons:
		return fmt.Errorf("%d photons do not serve; give up to %d", o.Photons, int64(MaxPhotons))
	case o.Error != 0 && !(o.Error >= 1e-5 && o.Error <= 1):
		return fmt.Errorf("a standard error of %g does not serve; give 0.00001 to 1, in parts of the mean", o.Error)
	case (o.Photons != 0 || o.Error != 0) && (o.Engine == "" || o.Engine == Direct):
		return errors.New("photons and errors are for the engines full and traced; the direct one has neither")
	}
	return nil
}
