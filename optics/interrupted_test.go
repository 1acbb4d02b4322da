package optics

import (
	"context"
	"errors"
	"math"
	"strings"
	"sync/atomic"
	"testing"

	"fathomlux/optics/scenetest"
)

// looked is a context that ends at the n-th look at it after it was armed, on any machine at the same photon.
type looked struct {
	context.Context
	armed atomic.Bool
	left  atomic.Int64
}

func (c *looked) Err() error {
	if c.armed.Load() && c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// interruptedOptions trace far more photons than the test has time for, until looks looks at the context.
func interruptedOptions(engine Engine, looks int64) (*looked, Options) {
	ctx := &looked{Context: context.Background()}
	ctx.left.Store(looks)
	return ctx, Options{StepM: 0.05, Workers: 1, Engine: engine, Sections: true, Photons: MaxPhotons,
		KeepTraced: func(tracing bool) { ctx.armed.Store(ctx.armed.Load() || tracing) }}
}

func TestInterruptedTracingIsKept(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, pale...)
	for _, engine := range []Engine{Traced} {
		ctx, o := interruptedOptions(engine, 40)
		m, err := Map(ctx, sc, o)
		if err != nil {
			t.Fatalf("%s: %v", engine, err)
		}
		if !m.Tracing.Interrupted || m.Tracing.Photons <= 0 || m.Tracing.Photons >= MaxPhotons {
			t.Errorf("%s: tracing %+v", engine, m.Tracing)
		}
		if n := len(m.Warnings); n == 0 || !strings.Contains(m.Warnings[n-1].String(), "tracing was interrupted at ") {
			t.Errorf("%s warns %q", engine, m.Warnings)
		}
		if len(m.Sections) != 2 {
			t.Errorf("%s: %d sections", engine, len(m.Sections))
		}
		o.KeepTraced, o.Photons = nil, m.Tracing.Photons // as many photons that were asked for give the same light
		whole := compute(t, sc, o)
		for i, p := range m.Planes {
			want := whole.Planes[i]
			if math.Abs(p.Illuminance.Mean-want.Illuminance.Mean) > 4*math.Hypot(p.MeanErrorLx, want.MeanErrorLx) {
				t.Errorf("%s: %s has %g lx, want %g", engine, p.Name, p.Illuminance.Mean, want.Illuminance.Mean)
			}
		}
	}
}

func TestInterruptedBeforeThePhotonsIsNothing(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf, pale...)
	for _, engine := range []Engine{Traced} {
		ctx, o := interruptedOptions(engine, 0)
		promised := false
		arm := o.KeepTraced
		o.KeepTraced = func(tracing bool) { promised = tracing; arm(tracing) }
		if m, err := Map(ctx, sc, o); m != nil || !errors.Is(err, context.Canceled) || promised {
			t.Errorf("%s: %v, promised %t, and the map %v", engine, err, promised, m)
		}
	}
}

func TestInterruptedTracingIsDroppedWhereNobodyKeepsIt(t *testing.T) {
	ctx, o := interruptedOptions(Traced, 40)
	o.KeepTraced = nil
	ctx.armed.Store(true)
	if m, err := Map(ctx, scenetest.Read(t, scenetest.Shelf, pale...), o); m != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("%v, and the map %v", err, m)
	}
}
