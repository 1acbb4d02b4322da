// Package view computes what an eye sees of a lit tank: the luminance and the colour along each line of sight, from the
// light that lands on floor, walls and things. A line of sight is followed backwards, as light that goes the other way
// would go: refracted at panes and surface, mirrored where they mirror, weakened by the water, until it ends on what is
// matt, at a die, or in the room. Radiance over the square of the index stays along a refracted ray (basic radiance),
// so what is seen of the water from the air is fainter by that square. What the water scatters into a line of sight is
// found from the light on its way in the cells of the water. Plants are drawn with leaves at invented places, and the
// inside of a hood as bright as the room. Left out: waves, what tank and room reflect of the lit tank, the thickness of
// panes, and light that the water scatters so little aside that what is behind it looks blurred. Next: package optics
// for the light on the faces, package colour for what a screen shows.
package view

import (
	"context"
	"errors"
	"math"

	"fathomlux/optics"
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
	Cold          bool // see optics.Options
}

// A large picture shows more grain, so that it gets more photons, up to mostPhotons.
const photonsPerPixel, mostPhotons = 4, 1 << 21

// Cells of things, and of the water in which light is on its way.
const thingStepM, waterStepM = 0.008, 0.022

// samplesAcross is the number of lines of sight along each side of a pixel that shows an edge.
const samplesAcross = 3

// Compute makes the picture.
func Compute(ctx context.Context, sc *scene.Scene, o Options) (*result.Seen, error) {
	if !(o.Eye != o.Toward) {
		return nil, errors.New("the eye looks at the place where it is; give another place to look toward")
	}
	if o.Photons == 0 {
		o.Photons = min(mostPhotons, photonsPerPixel*int64(o.Width*o.Height))
	}
	faces, err := optics.LightFaces(ctx, sc, optics.FacesOptions{StepM: o.StepM, Photons: o.Photons, Workers: o.Workers,
		Cold: o.Cold, Even: true, ThingStepM: thingStepM, WaterStepM: waterStepM})
	if err != nil {
		return nil, err
	}
	w := newSight(sc, faces, o)
	v := &result.Seen{Width: o.Width, Height: o.Height, RoomCd: o.RoomCd, White: w.white(), Stilled: w.Slope > 0,
		Leaves: len(w.plants) > 0, Glare: w.glare(sc, o),
		Light: make([]colour.Tristimulus, o.Width*o.Height), IntoTank: make([]bool, o.Width*o.Height)}
	return v, w.paint(ctx, v, frameOf(o), o.Workers)
}

// paint looks once through each pixel, and again, finely, where a pixel differs from one beside it.
func (w *sight) paint(ctx context.Context, v *result.Seen, f frame, workers int) error {
	once, wet := make([]colour.Tristimulus, len(v.Light)), make([]bool, len(v.Light))
	if err := parallel.ForEach(ctx, workers, v.Height, func(j int) {
		for i := range v.Width {
			at := j*v.Width + i
			once[at], wet[at] = w.pixel(f, i, j, 1)
		}
	}); err != nil {
		return err
	}
	return parallel.ForEach(ctx, workers, v.Height, func(j int) {
		for i := range v.Width {
			at := j*v.Width + i
			v.Light[at], v.IntoTank[at] = once[at], wet[at]
			for _, beside := range [4][2]int{{i - 1, j}, {i + 1, j}, {i, j - 1}, {i, j + 1}} {
				if x, y := beside[0], beside[1]; x >= 0 && x < v.Width && y >= 0 && y < v.Height &&
					differ(once[at].Y, once[y*v.Width+x].Y) {
					v.Light[at], v.IntoTank[at] = w.pixel(f, i, j, samplesAcross)
					break
				}
			}
		}
	})
}

// mostDiffer is how much luminances of pixels beside each other may differ before each is looked at finely.
const mostDiffer = 0.03

func differ(a, b float64) bool { return math.Abs(a-b) > mostDiffer*max(a, b) }

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

// pixel is the mean light of one pixel along n by n lines of sight, and whether it shows what is in the water.
func (w *sight) pixel(f frame, i, j, n int) (light colour.Tristimulus, wet bool) {
	r := &ray{sight: w, share: 1 / float64(n*n)}
	for a := range n * n {
		x, y := float64(i)+(float64(a%n)+0.5)/float64(n), float64(j)+(float64(a/n)+0.5)/float64(n)
		r.glowTimes = 0
		if a == 0 { // for all of the pixel: it has no edges
			r.glowTimes = float64(n * n)
		}
		r.from(f.eye, f.ray(x, y), path{weight: 1})
	}
	return r.light, r.wet
}

// from follows a line of sight from an eye, which may be in the water.
func (r *ray) from(eye space.Point, d space.Vector, p path) {
	if eye.Z < r.DepthM && eye.Z > 0 && r.fence.Holds(eye, d) {
		r.water(eye, d, p)
		return
	}
	r.air(eye, d, p)
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

func (p path) over() bool { return p.weight < leastWeight || p.met > mostMet }

// ray is one line of sight with all that it falls into.
type ray struct {
	*sight
	light     colour.Tristimulus
	share     float64 // that it has in the picture's pixel
	wet       bool
	glowTimes float64 // for how many lines of sight this one finds what the water sends
}

// see adds light of a colour whose Y is a luminance.
func (r *ray) see(c colour.Tristimulus, weight float64) {
	weight *= r.share
	r.light = r.light.Plus(colour.Tristimulus{X: weight * c.X, Y: weight * c.Y, Z: weight * c.Z})
}

func (r *ray) room(p path, share float64) { r.see(r.grey, p.weight*share*r.roomCd) }
