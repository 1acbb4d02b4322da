package scene

import (
	"fmt"
	"slices"

	"fathomlux/scene/key"
	"fathomlux/scene/space"
)

// What webs in a twin-wall sheet, or drops under a pane, do with light unless a scene says better. Assumed.
const (
	websScatter    = 0.15
	asideAsymmetry = 0.9
)

// aside puts in what a cover that does not say so throws aside.
func (c *Cover) aside(f key.Fields) {
	if !f.Has("scattered") && c.Material == TwinWall {
		c.ScatteredShare = websScatter
	}
	if !f.Has("asymmetry") && c.ScatteredShare > 0 {
		c.Asymmetry = asideAsymmetry
	}
}

// ripples are the words for a surface that moves. Common practice, no published source: a filter's outlet makes slopes
// of 0.02 to 0.1.
var ripples = map[string]Ripple{"gentle": {Slope: 0.04, LengthM: 80e-3}, "brisk": {Slope: 0.1, LengthM: 60e-3}}

// usualWaveM is the length of waves where a scene gives their slope alone.
const usualWaveM = 60e-3

// ripple reads how the surface moves.
func (r *reader) ripple(water key.Fields) (out Ripple) {
	n := water.Get("ripple")
	switch {
	case n.IsMapping():
		out.LengthM = usualWaveM
		water.Open("ripple").Fill(&out)
	case n.Exists():
		out = ripples[water.Word("ripple")]
	}
	return out
}

// plant reads a stand of leaves, which lies in the water.
func (r *reader) plant(f key.Fields, i int) Plant {
	p := Plant{Name: fmt.Sprintf("plant %d", i+1)}
	in := struct{ From, To []float64 }{} // x, y and z
	told := r.report.Told()
	f.Fill(&p)
	f.Fill(&in)
	index := f.Value("lai", 0)
	if both := p.Reflectance + p.Transmittance; both > 1 {
		f.Get("transmittance").Faultf("reflectance and transmittance are %.3g together; a leaf gives back 1 at most of its "+
			"light", both)
	}
	if r.report.Told() > told || f.At().Spoilt() || !f.At().IsMapping() {
		return p
	}
	p.Box = boxOf(in.From, in.To)
	r.checkStand(f, p.Box)
	if f.Has("lai") && !p.Box.Empty() {
		p.DensityPerM = index / (p.Box.Max.Z - p.Box.Min.Z)
	}
	return p
}

// checkStand adds a fault to a stand that is not in the water.
func (r *reader) checkStand(f key.Fields, b space.Box) {
	t := r.scene.Tank
	switch {
	case b.Empty():
		f.At().Faultf("the stand has no volume; its corners must differ in x, y and z")
	case t.LengthM == 0 || t.WidthM == 0 || t.Water.DepthM == 0: // complained about
	case b.Max.X > t.LengthM+SlackM || b.Max.Y > t.WidthM+SlackM:
		f.At().Faultf("the stand reaches out of the tank, whose inside is %s x %s; move its corners inside",
			say(t.LengthM), say(t.WidthM))
	case b.Max.Z > t.Water.DepthM+SlackM:
		f.At().Faultf("the stand reaches %s up, out of water that is %s deep; end it there, and give leaves on the surface "+
			"as tank.floating", say(b.Max.Z), say(t.Water.DepthM))
	}
}

func (r *reader) floating(f key.Fields) {
	a, t := r.scene.Tank.Floating.Area, r.scene.Tank
	if n := f.Get("area"); n.IsMapping() && t.LengthM > 0 && t.WidthM > 0 &&
		(a.FromXM >= min(a.ToXM, t.LengthM) || a.FromYM >= min(a.ToYM, t.WidthM)) {
		n.Faultf("the area is empty or lies outside the tank; give x up to %s and y up to %s", say(t.LengthM),
			say(t.WidthM))
	}
}

// LeavesNow returns the tank's plants and floating leaves with the leaf area that they have now.
func (t Tank) LeavesNow() ([]Plant, Floating) {
	list := slices.Clone(t.Plants)
	for i := range list {
		list[i].DensityPerM *= t.LeafShare
	}
	if t.Floating == nil {
		return list, Floating{}
	}
	now := *t.Floating
	now.CoverShare *= t.LeafShare
	if now.Area == (space.Area{}) {
		now.Area = space.Area{ToXM: t.LengthM, ToYM: t.WidthM}
	}
	return list, now
}

// boxOf is the box between two opposite corners.
func boxOf(from, to []float64) space.Box {
	return space.Box{Min: space.Point{X: min(from[0], to[0]), Y: min(from[1], to[1]), Z: min(from[2], to[2])},
		Max: space.Point{X: max(from[0], to[0]), Y: max(from[1], to[1]), Z: max(from[2], to[2])}}
}
