package optics

import (
	"cmp"
	"context"
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// thingBlurM is how wide, as a standard deviation, the light on things is spread. For that in the water, which a line of
// sight sums up, one in inWaterOf photons will do, but no fewer than leastInWater.
const (
	thingBlurM              = 0.012
	inWaterOf, leastInWater = 8, 1 << 16
)

// lightInside counts the light of each kind on things and in the water.
func (f *Faces) lightInside(ctx context.Context, t *scene.Tank, o FacesOptions) error {
	onThings := trace.Options{Workers: o.Workers, Seed: cmp.Or(o.Seed, usualSeed), Even: o.Even}
	inWater := onThings
	if len(f.Model.Solids) > 0 && o.ThingStepM > 0 {
		onThings.Planes = []trace.Plane{f.newSkins(o.ThingStepM)}
	}
	if o.WaterStepM > 0 {
		f.Water = latticeOf(t, o.WaterStepM)
		inWater.Lattice = f.Water
	}
	photons := float64(cmp.Or(o.Photons, facePhotons))
	for k := range f.Kinds {
		own, share := f.ofKind(k)
		onThings.Photons, inWater.Photons = int64(photons*share), int64(max(leastInWater, photons/inWaterOf)*share)
		if f.Skins != nil {
			a, err := trace.Run(ctx, own, onThings)
			if err != nil {
				return err
			}
			f.takeThings(a.Planes[0].Field.Illuminance)
		}
		if f.Water != nil {
			a, err := trace.Run(ctx, own, inWater)
			if err != nil {
				return err
			}
			f.Flows = append(f.Flows, a.Flows)
		}
	}
	return nil
}

// newSkins readies the surfaces of things, and returns the plane that counts on them.
func (f *Faces) newSkins(stepM float64) trace.Plane {
	n := 0
	for _, one := range f.Model.Solids {
		f.Skins = append(f.Skins, form.NewSkin(one.Solids, stepM))
		n += f.Skins[len(f.Skins)-1].Cells()
	}
	f.Things = make([][][]float64, len(f.Skins))
	return trace.Plane{On: trace.OnSkin, Skins: f.Skins, Grid: result.Grid{NX: n, NY: 1, StepXM: 1, StepYM: 1}}
}

// takeThings takes over what has landed on the skins of things.
func (f *Faces) takeThings(landed []float64) {
	for i, skin := range f.Skins {
		f.Things[i] = append(f.Things[i], skin.Density(landed[:skin.Cells()], thingBlurM))
		landed = landed[skin.Cells():]
	}
}

// latticeOf cuts the water into cells of about stepM.
func latticeOf(t *scene.Tank, stepM float64) *trace.Lattice {
	along := func(longM float64) int { return max(2, int(math.Ceil(longM/stepM))) }
	return &trace.Lattice{Size: space.Vector{X: t.LengthM, Y: t.WidthM, Z: t.Water.DepthM},
		NX: along(t.LengthM), NY: along(t.WidthM), NZ: along(t.Water.DepthM)}
}

// ofKind is the model with the sources of one kind alone, and their share of the light.
func (f *Faces) ofKind(k int) (own *model.Model, share float64) {
	m, flux, total := *f.Model, 0.0, 0.0
	m.Sources = nil
	for _, s := range f.Model.Sources {
		if total += s.LeavingLm; s.Spectrum == k {
			m.Sources, flux = append(m.Sources, s), flux+s.LeavingLm
		}
	}
	return &m, flux / max(total, math.SmallestNonzeroFloat64)
}
