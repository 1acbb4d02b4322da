package optics

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
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
