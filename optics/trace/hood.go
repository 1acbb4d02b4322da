package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// The faces of a hood's inside, behind those of the tank: its sides by model.Side, and its top.
const (
	hoodSides = model.Ground + 1
	hoodTop   = hoodSides + model.Ground
	allFaces  = hoodTop + 1
)

// newHood lays the inside of a hood out: matt faces of one reflectance.
func (w *world) newHood(h *model.Hood) {
	if h == nil {
		return
	}
	w.hood = &h.Box
	inside := walls.Wall{Kind: walls.Diffuse, Reflectance: h.Reflectance}
	at := func(normal space.Vector, corner space.Point) model.Face {
		return model.Face{Outline: []space.Point{corner}, Normal: normal, Material: inside}
	}
	for i, f := range []model.Face{at(space.Vector{X: 1}, h.Min), at(space.Vector{X: -1}, h.Max),
		at(space.Vector{Y: 1}, h.Min), at(space.Vector{Y: -1}, h.Max), at(space.Vector{Z: -1}, h.Max)} {
		w.faces[hoodSides+model.Side(i)] = newFace(f, w.index)
	}
}

// onFaceM is how far rounding may put a photon beside the face that it is on.
const onFaceM = 1e-9

// ceiling is up to where a photon in the air flies that meets no cover.
func (w *world) ceiling(p *photon) float64 {
	if w.hood != nil && p.at.Z < w.hood.Min.Z {
		return w.hood.Min.Z
	}
	return math.MaxFloat64
}

// inHood tells whether a photon is in the hood, or about to enter it from below.
func (w *world) inHood(p *photon) bool {
	h := w.hood
	return h != nil && (p.at.Z > h.Min.Z || p.at.Z == h.Min.Z && p.d.Z > 0) && p.at.Z <= h.Max.Z+onFaceM &&
		p.at.X >= h.Min.X-onFaceM && p.at.X <= h.Max.X+onFaceM &&
		p.at.Y >= h.Min.Y-onFaceM && p.at.Y <= h.Max.Y+onFaceM
}

// flyHood follows a photon in the hood until it leaves through the open underside or ends. What its faces keep is lost
// as if there were no hood.
func (t *tracer) flyHood(p *photon, things model.Obstacles) {
	for p.in != ended && t.inHood(p) {
		s, side := (t.hood.Min.Z-p.at.Z)/p.d.Z, model.Side(-1)
		if p.d.Z > 0 {
			s, side = (t.hood.Max.Z-p.at.Z)/p.d.Z, hoodTop
		} else if p.d.Z == 0 {
			s = math.MaxFloat64
		}
		if sx, f := model.Gap(p.at.X, p.d.X, &[2]float64{t.hood.Max.X, t.hood.Min.X}); sx < s {
			s, side = sx, hoodSides+model.Left+f
		}
		if sy, f := model.Gap(p.at.Y, p.d.Y, &[2]float64{t.hood.Max.Y, t.hood.Min.Y}); sy < s {
			s, side = sy, hoodSides+model.Front+f
		}
		if things != nil && things.First(p.at, p.d, s) < s {
			t.end(p, &t.balance.Obstacles)
			return
		}
		if p.flights++; p.flights > mostFlights || s >= math.MaxFloat64 {
			t.gone(p)
			return
		}
		p.at = space.Point{X: p.at.X + p.d.X*s, Y: p.at.Y + p.d.Y*s, Z: p.at.Z + p.d.Z*s}
		if side < 0 {
			p.at.Z = t.hood.Min.Z
			return
		}
		t.faces[side].Turn(&p.at, &p.d)
		if entry := t.outside(p); t.straightOnly {
			t.end(p, entry)
		} else {
			t.bounce(p, t.faces[side].matt[p.in].Share, side, entry)
		}
	}
}
