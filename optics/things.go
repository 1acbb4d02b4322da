package optics

import (
	"cmp"
	"context"
	"math"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// patchesOf are the parts of the surfaces of a model's things, in the order in which light on them is counted. What lies
// in the ground, in a box, in another thing or beyond a wall gets no light.
func patchesOf(m *model.Model) (list [][]form.Patch) {
	outline := m.Outline()
	open := func(at space.Point) bool {
		for _, b := range m.Boxes {
			if at.X >= b.Min.X && at.X <= b.Max.X && at.Y >= b.Min.Y && at.Y <= b.Max.Y && at.Z >= b.Min.Z && at.Z <= b.Max.Z {
				return false
			}
		}
		return at.Z > 0 && outline.Holds(at) && !m.Filled(at)
	}
	for _, one := range m.Solids {
		var own []form.Patch
		for i := range one.Solids {
			own = append(own, one.Solids[i].Patches(open)...)
		}
		list = append(list, own)
	}
	return list
}

// leastOpen is the share of a patch that light must reach for it to be the dimmest one of its face.
const leastOpen = 0.3

// facesOf sums up the light on the faces of a scene's things, none where it was not followed there.
func facesOf(sc *scene.Scene, m *model.Model, of *computed) (list []result.Face) {
	n, lumens, photons, errors := 0, of.faces[0], of.faces[1], of.faceErrors
	if len(lumens) == 0 {
		return nil
	}
	for i, patches := range patchesOf(m) {
		if sc.Tank.Things[i].Frame {
			n += len(patches)
			continue
		}
		type key struct {
			face string
			band int
		}
		index := map[key]int{}
		for _, p := range patches {
			at := key{face: p.Face}
			if len(m.Solids[i].Solids) == 1 {
				at.band = p.Band
			}
			k, known := index[at]
			if !known {
				k = len(list)
				index[at], list = k, append(list, result.Face{Thing: sc.Tank.Things[i].Name, Name: p.Face, FromM: p.LowM, ToM: p.TopM,
					LeastLx: math.Inf(1), LeastPPFD: math.Inf(1)})
			}
			f := &list[k]
			f.AreaM2, f.FromM, f.ToM = f.AreaM2+p.AreaM2, min(f.FromM, p.LowM), max(f.ToM, p.TopM)
			f.MeanLx, f.MeanPPFD, f.ErrorLx = f.MeanLx+lumens[n], f.MeanPPFD+photons[n], math.Hypot(f.ErrorLx, errors[n])
			if p.AreaM2 > leastOpen*p.WholeM2 {
				f.LeastLx, f.LeastPPFD = min(f.LeastLx, lumens[n]/p.AreaM2), min(f.LeastPPFD, photons[n]/p.AreaM2)
			}
			n++
		}
	}
	return openFaces(list)
}

// openFaces turns sums over faces into means, and leaves out those that light does not reach.
func openFaces(list []result.Face) (open []result.Face) {
	for _, f := range list {
		if math.IsInf(f.LeastLx, 1) {
			continue
		}
		f.MeanLx, f.MeanPPFD, f.ErrorLx = f.MeanLx/f.AreaM2, f.MeanPPFD/f.AreaM2, f.ErrorLx/f.AreaM2
		open = append(open, f)
	}
	return open
}

// standHeights are where the light on a stand of leaves is told, in parts of its height.
var standHeights = []struct {
	where string
	share float64
}{{"top", 1}, {"middle", 0.5}, {"under", 0}}

// standRequests adds the planes on, in and under the stands of leaves to those of a map that tells of all there is; they
// have no name.
func standRequests(sc *scene.Scene, o Options, requests []planeRequest, grid result.Grid) []planeRequest {
	for _, p := range sc.Tank.Plants {
		for _, h := range standHeights {
			d := standDepthM(sc, p, h.share)
			if same := func(r planeRequest) bool { return sameM(r.ref.DepthM, d) }; o.Sections &&
				!slices.ContainsFunc(requests, same) {
				requests = append(requests, planeRequest{ref: scene.PlaneRef{DepthM: d}, grid: grid})
			}
		}
	}
	return requests
}

// standDepthM is the depth of a plane through a stand of leaves.
func standDepthM(sc *scene.Scene, p scene.Plant, share float64) float64 {
	depth := sc.Tank.Water.DepthM
	return min(max(depth-p.Box.Min.Z-share*(p.Box.Max.Z-p.Box.Min.Z), 0), depth)
}

// stands sums up the light on stands of leaves from the planes that standRequests has added, and all others.
func stands(sc *scene.Scene, planes []result.Plane) (list []result.Stand) {
	for _, p := range sc.Tank.Plants {
		area := space.Area{FromXM: p.Box.Min.X, ToXM: p.Box.Max.X, FromYM: p.Box.Min.Y, ToYM: p.Box.Max.Y}
		for _, h := range standHeights {
			d := standDepthM(sc, p, h.share)
			i := slices.IndexFunc(planes, func(q result.Plane) bool { return math.Abs(q.DepthM-d) < 1e-9 })
			if i < 0 {
				continue
			}
			f := planes[i].Field
			in := f.Grid.Within(area, f.Solid)
			one := result.Stand{Name: p.Name, Where: h.where, DepthM: d,
				Illuminance: f.Grid.Summarise(f.Illuminance, in, 0), PPFD: f.Grid.Summarise(f.PPFD, in, 0)}
			one.DLI = dailyLight(sc, &planes[i], area, one.PPFD.Mean)
			list = append(list, one)
		}
	}
	return list
}

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
