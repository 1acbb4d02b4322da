// Package beam holds the intensity shapes of dies behind their optics, normalised to the light that leaves.
// It answers in candela per lumen over directions in the module's own frame. All light of a shape goes into the
// hemisphere about the aim; a measured table may have some behind it, which counts in the normalisation and is not
// sent anywhere.
// Angles are radians; beam and field are full angles between the directions of half and of tenth intensity,
// each as a share of the centre-beam intensity (the CIE's and IEC's way), as the main light alone has it:
// a stray share is added on top.
// Next: package stack for the way down, package direct for the sum over dies.
package beam

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"fathomlux/scene/space"
)

// The narrowest and widest beam that New takes: 1 and 179 degrees.
const (
	NarrowestRad = math.Pi / 180
	WidestRad    = 179 * math.Pi / 180
)

// steepestPower bounds p, which is ln(ln10/ln2)/ln(field/beam): the field must be 1.9 % wider than the beam.
const steepestPower = 64

// Shape describes a beam. All angles are full angles.
//
// With a beam angle alone the intensity is I0*cos^m(theta), m = ln 0.5/ln cos(beam/2). With a field angle too it is
// I0*exp(-ln2*(theta/(beam/2))^p), p = ln(ln10/ln2)/ln(field/beam). Elliptical beams are these over the tilt
// theta' = hypot(kx*theta*cos(phi), ky*theta*sin(phi)), where kx and ky are the geometric mean of the two beam
// angles over the one along and the one across; cos^m is 0 from theta' = 90 degrees on. Where p differs along and
// across, it is p along * cos^2(psi) + p across * sin^2(psi), psi being the azimuth in the scaled tilts.
type Shape struct {
	BeamRad        float64 // along the rail
	BeamAcrossRad  float64 // 0 for a round beam
	FieldRad       float64 // 0 for cos^m
	FieldAcrossRad float64 // 0 for the p of the field along
	StrayShare     float64 // share of the light that is spread as a Lambertian, 0 to 1
}

// Beam is a shape or a table made ready. It is safe for use by several goroutines.
type Beam struct {
	form
	scale, stray  float64 // cd per lm for 1 in form, and of the Lambertian on the axis
	centre, peak  float64 // cd per lm, stray light counted
	round, smooth bool
	spotTan       func() float64 // see SpotM
	fieldTan      func() float64 // see FieldM
}

// form is the main light of a beam, on a scale of its own.
type form struct {
	exact  func(local space.Vector, sin float64) float64 // sin to the aim, not 0
	fast   func(local space.Vector) float64              // the same from tables
	within func(halfAngleRad float64) float64            // its flux in a cone about the aim
	turns  []float64                                     // angles to the aim between which it has no turn
}

// New makes a beam, or says which of the shape's numbers does not serve.
func New(s Shape) (*Beam, error) {
	if s.BeamAcrossRad == 0 {
		s.BeamAcrossRad = s.BeamRad
	}
	sameP := s.FieldAcrossRad == 0
	if sameP {
		s.FieldAcrossRad = s.FieldRad
	}
	if err := s.check(sameP); err != nil {
		return nil, err
	}
	round := s.BeamRad == s.BeamAcrossRad && s.FieldRad == s.FieldAcrossRad
	main := newProfile(s, sameP)
	b := &Beam{round: round, smooth: true, scale: (1 - s.StrayShare) / main.fluxWithin(math.Pi/2),
		stray: s.StrayShare / math.Pi,
		form:  form{exact: main.exact(round), fast: newFast(main, round), within: main.fluxWithin, turns: []float64{0}}}
	b.centre = b.scale + b.stray
	b.peak = b.centre
	b.findTangents()
	return b, nil
}

// check says what does not serve; with sameP the field across is not looked at.
func (s Shape) check(sameP bool) error {
	for _, b := range []float64{s.BeamRad, s.BeamAcrossRad} {
		if !(b >= NarrowestRad*(1-1e-9) && b <= WidestRad*(1+1e-9)) {
			return fmt.Errorf("a beam angle of %.4g° is not usable; give 1° to 179°", degrees(b))
		}
	}
	if !(s.StrayShare >= 0 && s.StrayShare <= 1) {
		return fmt.Errorf("a stray share of %.4g is not usable; give 0 to 1", s.StrayShare)
	}
	if s.FieldRad == 0 && s.FieldAcrossRad == 0 {
		return nil
	}
	if s.FieldRad == 0 {
		return errors.New("a field angle across the rail needs one along it; give both or neither")
	}
	if err := checkField(s.FieldRad, s.BeamRad); err != nil || sameP {
		return err
	}
	return checkField(s.FieldAcrossRad, s.BeamAcrossRad)
}

// checkField refuses a field that is not wider than the beam by enough for steepestPower, or wider than a half
// space: the one across too where it is given, not where it follows from the one along.
func checkField(field, beam float64) error {
	least := beam * math.Exp(math.Log(math.Ln10/math.Ln2)/steepestPower)
	switch {
	case !(field >= 0 && field <= math.Pi):
		return fmt.Errorf("a field angle of %.4g° is not usable; give 180° or less", degrees(field))
	case field < least:
		return fmt.Errorf("a field angle of %.4g° is too near the beam angle of %.4g°; give %.4g° or more",
			degrees(field), degrees(beam), degrees(least))
	}
	return nil
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// PerLumen returns the intensity in candela for each lumen that leaves the optic, in the unit direction local
// (along, across and aim components). It is the exact value that Fast is held against.
func (b *Beam) PerLumen(local space.Vector) float64 {
	if !(local.Z > 0) {
		return 0
	}
	sin := math.Hypot(local.X, local.Y)
	if sin == 0 {
		return b.centre
	}
	return b.scale*b.exact(local, sin) + b.stray*local.Z
}

// Fast is PerLumen from tables, within 2e-6 of the peak intensity, for inner loops: no power or arc function, and for
// shapes no root. local must have length 1. The edge of elliptical cos^m beams above 150 degrees is placed to 1e-6 rad
// only, and so is a step between two angles of a measured table.
func (b *Beam) Fast(local space.Vector) float64 {
	if !(local.Z > 0) {
		return 0
	}
	return b.scale*b.fast(local) + b.stray*local.Z
}

// Round tells whether the intensity depends on the angle to the aim alone.
func (b *Beam) Round() bool { return b.round }

// Smooth tells whether the intensity has no kinks, as a measured table has at each of its angles: a table over some
// other variable then needs few nodes.
func (b *Beam) Smooth() bool { return b.smooth }

// CentrePerLumen is the intensity towards the aim, the centre-beam intensity, in candela per lumen.
func (b *Beam) CentrePerLumen() float64 { return b.centre }

// PeakPerLumen is the highest intensity of all directions, in candela per lumen. Shapes have it towards the aim.
func (b *Beam) PeakPerLumen() float64 { return b.peak }

// ShareWithin returns the share of the light that leaves within halfAngleRad of the aim, 0 to 1. From 90 degrees on
// it is the share of the hemisphere: 1 for shapes, less for a measured table that has light behind the module.
func (b *Beam) ShareWithin(halfAngleRad float64) float64 {
	if !(halfAngleRad > 0) {
		return 0
	}
	halfAngleRad = math.Min(halfAngleRad, math.Pi/2)
	stray := b.stray * math.Pi * square(math.Sin(halfAngleRad))
	if b.smooth && halfAngleRad == math.Pi/2 {
		return 1
	}
	return b.scale*b.within(halfAngleRad) + stray
}

// Edges are angles between the aim and directions in the module's frame, radians: towards both ends of the rail and to
// both sides of it.
type Edges struct{ RightRad, LeftRad, BackRad, FrontRad float64 }

// Edges returns the angles from the aim to the outermost directions in which the intensity is share of the centre-beam
// intensity, stray light counted. A beam that is brighter up to its rim has pi/2; one whose middle is dark has no such
// angle, and 0.
func (b *Beam) Edges(share float64) Edges {
	return Edges{
		RightRad: b.fallsTo(share, space.Vector{X: 1}), LeftRad: b.fallsTo(share, space.Vector{X: -1}),
		BackRad: b.fallsTo(share, space.Vector{Y: 1}), FrontRad: b.fallsTo(share, space.Vector{Y: -1}),
	}
}

// FullAngles returns the full angles between the directions, along and across the rail, in which the intensity has
// fallen to share of the centre-beam intensity: 0.5 gives the beam angles and 0.1 the field angles as a
// goniometer would find them, stray light counted. A beam that is brighter up to its rim has pi.
// Source of the definitions: IEC TR 61341 (half and tenth of the centre-beam intensity).
func (b *Beam) FullAngles(share float64) (alongRad, acrossRad float64) {
	e := b.Edges(share)
	return e.RightRad + e.LeftRad, e.BackRad + e.FrontRad
}

// Half angles of beams that are taken for spots of some size.
const narrowestRad, widestRad = 0.02, 1.4

// SpotM is the smallest radius of the spot that the beam throws over a way straight down: to half of its brightness.
func (b *Beam) SpotM(wayM float64) float64 { return wayM * b.spotTan() }

// FieldM is SpotM to a tenth of the brightness.
func (b *Beam) FieldM(wayM float64) float64 { return wayM * b.fieldTan() }

// findTangents readies SpotM and FieldM, which find theirs when first asked.
func (b *Beam) findTangents() {
	b.spotTan = sync.OnceValue(func() float64 { return b.tangentTo(0.5) })
	b.fieldTan = sync.OnceValue(func() float64 { return b.tangentTo(0.1) })
}

// tangentTo is that of the smallest half angle to a share of the brightness of the centre.
func (b *Beam) tangentTo(share float64) float64 {
	along, across := b.FullAngles(share)
	return math.Tan(min(max(min(along, across)/2, narrowestRad), widestRad))
}

// fallsTo finds the angle of the outermost direction, leaning sideways from the aim, that is at least as bright as
// share of the centre: of the angles between which the intensity has no other turn the last bright one, then
// bisection.
func (b *Beam) fallsTo(share float64, sideways space.Vector) float64 {
	limit := share * b.centre
	if !(limit > 0) {
		return 0
	}
	bright := func(theta float64) bool {
		s, c := math.Sincos(theta)
		return b.PerLumen(space.Vector{X: s * sideways.X, Y: s * sideways.Y, Z: c}) >= limit
	}
	inside, outside := 0.0, math.Pi/2
	if bright(outside) {
		return outside
	}
	for _, theta := range slices.Backward(b.turns) {
		if theta >= outside {
			continue
		}
		if inside = theta; bright(theta) {
			break
		}
		outside = theta
	}
	for range 60 {
		middle := (inside + outside) / 2
		if bright(middle) {
			inside = middle
		} else {
			outside = middle
		}
	}
	return inside
}
