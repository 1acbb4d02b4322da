package optics

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/finding"
)

// Engine names how light is computed.
type Engine string

// The engines. Full sums the straight light and adds the rest from tables of the tank, which all commands have; Traced
// follows photons alone; Straight sums straight light, with what the water scatters forward counted as if it went on.
const (
	Full     Engine = "full"
	Traced   Engine = "traced"
	Straight Engine = "straight"
)

// Engines returns the names that Options take, the best first.
func Engines() []string { return []string{string(Full), string(Traced), string(Straight)} }

// tracedError is the standard error to which Traced works where none is asked for, in parts of a plane's mean;
// tracedMost is where it stops if that takes too many photons.
const (
	tracedError = 0.05
	tracedMost  = 1 << 25
)

// engine computes the light of one optical model: on planes, at points, in slices, and the fields of single modules.
// Straight light is summed; the rest of it, scattered and bounced, is traced on planes and at points where the engine's
// name says so.
type engine struct {
	*direct.Engine
	name  Engine
	model *model.Model
	work  *work

	rest   *rest       // of a map
	lamps  []lamp      // its modules
	kinds  []string    // their spectra
	rests  []restLight // of all of them
	depths []float64   // of their planes
}

// work is how much of some sums is done, in the unit of direct.Engine.Work.
type work struct {
	lock        sync.Mutex
	done, total int64
	tell        func(done, total int64) // nil where nobody asks
}

func (w *work) add(done int64) {
	w.lock.Lock()
	defer w.lock.Unlock()
	if w.done += done; w.tell != nil {
		w.tell(w.done, max(w.done, w.total))
	}
}

// expect tells beforehand, for the options' Summing, what the sums of a map will take.
func (e *engine) expect(requests []planeRequest, t scene.Tank, o Options) {
	cells := 0
	for _, r := range requests {
		if e.name != Traced {
			cells += r.grid.Cells()
		}
	}
	if o.Sections {
		stepM, stepZM := sectionSteps(e.Engine, t)
		cells += int((t.LengthM + t.WidthM) / stepM * t.Water.DepthM / stepZM)
	}
	e.work.total, e.work.tell = e.Work()*int64(cells), o.Summing
}

// newEngine readies a model. rays fill the luminous flux balance of straight light; 0 for the usual number.
func newEngine(ctx context.Context, m *model.Model, name Engine, o direct.Options) (*engine, error) {
	switch name {
	case "", Full: // its balance is that of the rest
		name, o.Attenuation, o.Rays = Full, water.Unscattered, -1
	case Straight:
		if o.Attenuation = water.Direct; m.Shaped() {
			return nil, errors.New("the engine straight knows upright boxes alone; use full or traced for this tank")
		}
	case Traced: // its slices alone are summed
		o.Attenuation, o.Rays = water.Direct, -1
	default:
		return nil, fmt.Errorf("there is no engine %q; give full, traced or straight", name)
	}
	w := &work{}
	o.Progress = w.add
	straight, err := direct.New(ctx, m, o)
	return &engine{Engine: straight, name: name, model: m, work: w}, err
}

// computed is the light of a model on some planes.
type computed struct {
	planes   []planeLight
	balance  [2]result.FluxBalance // of lumens and photons
	tracing  *result.Tracing
	warnings []finding.Finding

	faces      [2][]float64 // lumens and photons on the patches of things
	faceErrors []float64    // standard errors of the lumens
}

// planeLight is the light on one plane.
type planeLight struct {
	field       result.Field
	modules     []result.Field
	kinds       []result.Field // by spectrum of the model
	errorLx     []float64
	meanErrorLx float64
}

// planes computes the light on planes.
func (e *engine) planes(ctx context.Context, sc *scene.Scene, requests []planeRequest, o Options) (*computed, error) {
	c := &computed{balance: [2]result.FluxBalance{e.Balance(), e.Photons()}, planes: make([]planeLight, len(requests))}
	shaped := e.model.Shaped()
	if e.name == Full && !shaped { // what is told of sums counts on their going on without a break
		if err := e.traceRest(ctx, sc, requests, o); err != nil {
			return nil, err
		}
	}
	if e.name != Traced {
		if err := e.sum(ctx, c, requests, o); err != nil {
			return nil, err
		}
	}
	if e.name == Full && shaped { // until it is known well enough beside the sum
		if err := e.traceShaped(ctx, sc, c.planes, requests, o); err != nil {
			return nil, err
		}
	}
	switch e.name {
	case Full:
		if err := e.addRest(ctx, c, o); err != nil {
			return nil, err
		}
		if c.tracing.Error = relativeError(c.planes); e.model.Shaped() && c.tracing.Error > 1.1*shapedError {
			c.warnings = append(c.warnings, finding.TracingStopped.Of(finding.Count{N: int(c.tracing.Photons)},
				twoDigits(c.tracing.Error), twoDigits(shapedError)))
		}
	case Traced:
		return c, e.trace(ctx, c, requests, o)
	}
	return c, nil
}

// relativeError is the largest of planes: root mean square of its cells' standard errors over its mean illuminance.
func relativeError(planes []planeLight) (worst float64) {
	for _, p := range planes {
		sum := 0.0
		for _, v := range p.errorLx {
			sum += v * v
		}
		if mean := result.Summarise(p.field.Illuminance, 0).Mean; mean > 0 {
			worst = max(worst, math.Sqrt(sum/float64(len(p.errorLx)))/mean)
		}
	}
	return worst
}

// sum adds straight light.
func (e *engine) sum(ctx context.Context, c *computed, requests []planeRequest, o Options) error {
	if err := Fits(mapBytes(requests, int64(e.model.Modules()), o)+e.ViewBytes(), cureOfImages); err != nil {
		return err
	}
	if b := c.balance[0]; e.name == Straight && b.Unfollowed > 0.02*b.Emitted { // nothing traces the rest
		c.warnings = append(c.warnings, finding.NotFollowed.Of(finding.Value{V: b.Unfollowed},
			finding.Percent(b.Unfollowed/b.Emitted)))
	}
	if cut := e.CutShare(); cut > 0.001 {
		c.warnings = append(c.warnings, finding.ReflectionsCut.Of(finding.Count{N: direct.MaxOrder, Noun: "reflection"},
			finding.Percent(cut)))
	}
	for i, r := range requests {
		if r.kinds > 0 && !r.perModule {
			if err := e.sumKinds(ctx, &c.planes[i], r); err != nil {
				return err
			}
			continue
		}
		light, err := e.Plane(ctx, r.ref.DepthM, r.grid, r.perModule)
		if err != nil {
			return err
		}
		c.planes[i] = planeLight{field: light.Whole, modules: light.Modules}
	}
	return nil
}

// sumKinds sums straight light of each spectrum apart.
func (e *engine) sumKinds(ctx context.Context, p *planeLight, r planeRequest) error {
	p.field = newField(r.grid)
	for spectrum := range e.model.Spectra {
		other := func(s model.Source) bool { return s.Spectrum != spectrum }
		own := slices.DeleteFunc(slices.Clone(e.model.Sources), other)
		light, err := e.WithSources(own, e.Orders()).Plane(ctx, r.ref.DepthM, r.grid, false)
		if err != nil {
			return err
		}
		p.kinds = append(p.kinds, light.Whole)
		p.field.Add(light.Whole)
	}
	return nil
}

// twoDigits is a standard error in percent.
func twoDigits(share float64) finding.Value {
	return finding.Value{V: 100 * share, Decimals: 1, Unit: "%"}
}

// trace adds traced light: all of it for Traced, else the rest. The balance is that of the tracing.
func (e *engine) trace(ctx context.Context, c *computed, requests []planeRequest, o Options) error {
	t := o.tracing(e.model, requests)
	a, interrupted, err := o.traced(ctx, e.model, t)
	if err != nil {
		return err
	}
	if k := len(requests); len(a.Planes) > k {
		c.faces[0], c.faces[1], c.faceErrors = a.Planes[k].Field.Illuminance, a.Planes[k].Field.PPFD, a.Planes[k].ErrorLx
		a.Planes = a.Planes[:k]
	}
	for i := range a.Planes {
		c.planes[i].add(a.Planes[i])
		c.planes[i].scale(direct.OpenFactors(e.model, requests[i].ref.DepthM, requests[i].grid, openLines))
	}
	c.balance, c.tracing = [2]result.FluxBalance{a.Balance, a.Micro}, &result.Tracing{Photons: a.Photons, Seed: o.Seed, Error: a.Error,
		Interrupted: interrupted}
	switch {
	case interrupted:
		c.warnings = append(c.warnings, finding.TracingInterrupted.Of(finding.Count{N: int(a.Photons)}, twoDigits(a.Error)))
	case t.Error > 0 && a.Error > t.Error*(1+1e-9):
		c.warnings = append(c.warnings, finding.TracingStopped.Of(finding.Count{N: int(a.Photons)}, twoDigits(a.Error),
			twoDigits(t.Error)))
	}
	return nil
}

// tracing is what Traced asks of the tracer.
func (o Options) tracing(m *model.Model, requests []planeRequest) trace.Options {
	t := trace.Options{Workers: o.Workers, Seed: o.Seed, Photons: o.Photons, Error: o.Error, Progress: o.Progress,
		MostPhotons: tracedMost, Shares: o.Shares}
	if t.Photons == 0 && t.Error == 0 {
		t.Error = tracedError
	}
	for _, r := range requests {
		one := trace.Plane{DepthM: r.ref.DepthM, Grid: r.grid, PerModule: r.perModule}
		if m.OnGround(one.DepthM) {
			one.On = trace.OnGround
		}
		t.Planes = append(t.Planes, one)
	}
	if n := m.Patches(); n > 0 {
		t.Planes = append(t.Planes, trace.Plane{On: trace.OnSolids, Grid: result.Grid{NX: n, NY: 1, StepXM: 1, StepYM: 1}})
	}
	return t
}

// traced traces, and tells whether ctx ended that early and the caller wants what there is then. KeepTraced is told the
// end before ctx is looked at for the last time, so that nobody who ends ctx first and asks then is promised what is
// not kept.
func (o Options) traced(ctx context.Context, m *model.Model, t trace.Options) (a *trace.Answer, interrupted bool,
	err error) {
	keep := o.KeepTraced
	if keep == nil {
		a, err = trace.Run(ctx, m, t)
		return a, false, err
	}
	keep(true)
	if a, err = trace.Run(ctx, m, t); err == nil || a == nil {
		keep(false)
	}
	if a != nil && ctx.Err() != nil {
		return a, true, nil
	}
	return a, false, err
}

// after is the context of what follows the tracing: one without an end where ctx was to end the tracing alone.
func (c *computed) after(ctx context.Context) context.Context {
	if c.tracing != nil && c.tracing.Interrupted {
		return context.WithoutCancel(ctx)
	}
	return ctx
}

// openLines is on how many lines along a row of cells the part of traced light is measured that can land.
const openLines = 32

// scale multiplies light, and its errors where they are known, cell by cell.
func (p *planeLight) scale(factors []float64) {
	for _, f := range append([]result.Field{p.field}, p.modules...) {
		direct.Scale(f, factors)
	}
	for i, k := range factors {
		if p.errorLx != nil {
			p.errorLx[i] *= k
		}
	}
}

// add adds traced light, and takes over its errors: a direct sum has none.
func (p *planeLight) add(t trace.PlaneLight) {
	p.errorLx, p.meanErrorLx = t.ErrorLx, t.MeanErrorLx
	if p.field.Illuminance == nil {
		p.field, p.modules = t.Field, t.Modules
		return
	}
	p.field.Add(t.Field)
	for m := range p.modules {
		p.modules[m].Add(t.Modules[m])
	}
}

// checkTracing refuses options of tracing that cannot serve.
func (o Options) checkTracing() error {
	switch {
	case o.Photons < 0 || o.Photons > MaxPhotons:
		return fmt.Errorf("%d photons are not usable; give up to %d", o.Photons, int64(MaxPhotons))
	case o.Error != 0 && !(o.Error >= 1e-5 && o.Error <= 1):
		return fmt.Errorf("a standard error of %g is not usable; give 0.00001 to 1, in parts of the mean", o.Error)
	case (o.Photons != 0 || o.Error != 0) && o.Engine != Traced:
		return errors.New("photons and errors are for the engine traced alone")
	}
	return nil
}
