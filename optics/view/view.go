// Package view computes what an eye sees of a lit tank: the luminance and the colour along each line of sight, from the
// light that lands on floor and walls. A line of sight is followed backwards, as light that goes the other way would
// go: refracted at panes and surface, mirrored where they mirror, weakened by the water, until it ends on what is matt,
// at a die, or in the room. Radiance over the square of the index stays along a refracted ray (basic radiance), so what
// is seen of the water from the air is fainter by that square.
// It is for upright boxes of still water. Left out: light that the water scatters into the line of sight, what tank and
// room reflect of the lit tank, and the thickness of panes.
// Next: package optics for the light on the faces, package colour for what a screen shows.
package view

import (
	"context"
	"errors"
	"math"

	"fathomlux/optics"
	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/space"
)

// Options say from where a tank is seen, and how.
type Options struct {
	Eye, Toward   space.Point // in the tank's axes
	AcrossRad     float64     // angle from the left edge of the picture to the right one
	Width, Height int         // pixels
	RoomCd        float64     // luminance of the room, cd/m2, the same all about
	StepM         float64     // cells of floor and walls
	Photons       int64       // see optics.FacesOptions
	Workers       int
}

// samplesAcross is the number of lines of sight along each side of a pixel.
const samplesAcross = 2

var errShaped = errors.New("the picture of the tank as it is seen is for upright boxes with a level floor and still " +
	"water; see map for this one")

// Compute makes the picture.
func Compute(ctx context.Context, sc *scene.Scene, o Options) (*result.Seen, error) {
	if !(o.Eye != o.Toward) {
		return nil, errors.New("the eye looks at the place where it is; give another place to look toward")
	}
	faces, err := optics.LightFaces(ctx, sc, optics.FacesOptions{StepM: o.StepM, Photons: o.Photons, Workers: o.Workers})
	if err != nil {
		return nil, err
	}
	w, err := newSight(sc, faces, o)
	if err != nil {
		return nil, err
	}
	v := &result.Seen{Width: o.Width, Height: o.Height, RoomCd: o.RoomCd, White: w.white(),
		Light: make([]colour.Tristimulus, o.Width*o.Height), IntoTank: make([]bool, o.Width*o.Height)}
	f := frameOf(o)
	return v, parallel.ForEach(ctx, o.Workers, o.Height, func(j int) {
		for i := range o.Width {
			at := j*o.Width + i
			v.Light[at], v.IntoTank[at] = w.pixel(f, i, j)
		}
	})
}

// frame is the picture before the eye: a line of sight to the middle of each pixel.
type frame struct {
	eye             space.Point
	middle          space.Vector
	perRight, perUp space.Vector // a pixel farther
	width, height   float64
}

func frameOf(o Options) frame {
	d := unit(space.Vector{X: o.Toward.X - o.Eye.X, Y: o.Toward.Y - o.Eye.Y, Z: o.Toward.Z - o.Eye.Z})
	right := space.Vector{X: d.Y, Y: -d.X}
	if math.Hypot(d.X, d.Y) < 1e-6 { // straight down or up: the back is above
		right = space.Vector{X: 1}
	}
	right = unit(right)
	up := space.Vector{X: right.Y * d.Z, Y: -right.X * d.Z, Z: right.X*d.Y - right.Y*d.X}
	k := 2 * math.Tan(o.AcrossRad/2) / float64(o.Width)
	return frame{o.Eye, d, scaled(right, k), scaled(up, k), float64(o.Width), float64(o.Height)}
}

func unit(v space.Vector) space.Vector { return scaled(v, 1/v.Length()) }

func scaled(v space.Vector, k float64) space.Vector {
	return space.Vector{X: k * v.X, Y: k * v.Y, Z: k * v.Z}
}

func (f *frame) ray(x, y float64) space.Vector {
	a, b := x-f.width/2, f.height/2-y
	return unit(space.Vector{X: f.middle.X + a*f.perRight.X + b*f.perUp.X,
		Y: f.middle.Y + a*f.perRight.Y + b*f.perUp.Y, Z: f.middle.Z + a*f.perRight.Z + b*f.perUp.Z})
}

// pixel is the mean light of one pixel, and whether it shows what is in the water.
func (w *sight) pixel(f frame, i, j int) (light colour.Tristimulus, wet bool) {
	r := &ray{sight: w}
	const n = samplesAcross
	for a := range n * n {
		x, y := float64(i)+(float64(a%n)+0.5)/n, float64(j)+(float64(a/n)+0.5)/n
		r.air(f.eye, f.ray(x, y), path{weight: 1.0 / (n * n)})
	}
	return r.light, r.wet
}

// path is what a line of sight has behind it: the share of light that it keeps, the way in the water, and how often it
// has met a face.
type path struct {
	weight, wayM float64
	met          int
}

// A line of sight that keeps less than leastWeight, or has met mostMet faces, ends in the dark.
const (
	leastWeight = 1e-3
	mostMet     = 12
)

func (p path) times(share float64) path { return path{p.weight * share, p.wayM, p.met + 1} }

func (p path) over() bool {
	return p.weight < leastWeight/(samplesAcross*samplesAcross) || p.met > mostMet
}

// ray is one line of sight with all that it falls into.
type ray struct {
	*sight
	light colour.Tristimulus
	wet   bool
}

// see adds light of a colour whose Y is a luminance.
func (r *ray) see(c colour.Tristimulus, weight float64) {
	r.light = r.light.Plus(colour.Tristimulus{X: weight * c.X, Y: weight * c.Y, Z: weight * c.Z})
}

// room adds the room.
func (r *ray) room(p path, share float64) { r.see(r.grey, p.weight*share*r.roomCd) }

// seen is the side of the tank that a line of sight meets.
type seen = model.Side
