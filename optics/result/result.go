// Package result holds answers as plain data: grids of light, their statistics, dark corners,
// sections through the water, the luminous flux balance and warnings. It computes nothing about light.
// Units stand in the names: Lx for lux, PPFD in umol/m2/s, lengths in metres.
// Next: package optics makes these answers, package render draws them.
package result

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"fathomlux/scene/finding"
	"fathomlux/scene/space"
)

// Grid is a regular grid of cells over the tank's floor plan. Values stand at cell centres, y outer loop:
// index = iy*NX + ix, with ix = 0 at the left and iy = 0 at the front.
type Grid struct {
	NX, NY         int
	StepXM, StepYM float64
	Points         bool // figures are those at the centres, not means over the cells
}

// Cells returns the number of cells.
func (g Grid) Cells() int { return g.NX * g.NY }

// CentreX returns the x of the centre of column ix, in metres.
func (g Grid) CentreX(ix int) float64 { return (float64(ix) + 0.5) * g.StepXM }

// CentreY returns the y of the centre of row iy, in metres.
func (g Grid) CentreY(iy int) float64 { return (float64(iy) + 0.5) * g.StepYM }

// Field is light on a grid: illuminance in lx and PPFD in umol/m2/s, both of length Grid.Cells().
type Field struct {
	Grid        Grid
	Illuminance []float64
	PPFD        []float64
	Solid       Solid // cells inside obstacles, on the planes of a map
}

// Add adds the light of a field on the same grid.
func (f Field) Add(o Field) {
	floats.Add(f.Illuminance, o.Illuminance)
	floats.Add(f.PPFD, o.PPFD)
}

// Size is how many numbers it holds, of 8 bytes.
func (f Field) Size() int { return len(f.Illuminance) + len(f.PPFD) }

// Statistics sums up one quantity over a grid. CV is the population form (standard deviation over mean).
// Ratios are 0 where the mean or the maximum is 0.
type Statistics struct {
	Mean, Min, Max float64
	MinOverMean    float64 // U0 of the lighting standards
	MinOverMax     float64
	CV             float64
	P05, P95       float64 // percentiles
	ShareAboveGoal float64 // share of the area at or above the goal's mean of the quantity; 0 where no goal
}

// DarkCorner is a connected patch of cells that are below a limit.
type DarkCorner struct {
	Where              string  // in words, such as "back left"; "across" and "lengthwise" call for Span
	FromXM, ToXM       float64 // bounding box
	FromYM, ToYM       float64
	AreaShare          float64 // share of the plane's area, obstacles left out
	Lowest             float64 // of the plane's Shown
	LowestLx           float64 // in lx, in the same cell
	LowestXM, LowestYM float64 // where the lowest cell is
	said               string  // Where after a verb, empty where it is the same
}

// Plane is the light on one horizontal plane.
type Plane struct {
	Name        string
	DepthM      float64 // below the water surface
	Field       Field
	Modules     []Field // one a module, in the scene's order; nil unless asked for
	Illuminance Statistics
	PPFD        Statistics
	DLI         float64      // mean, mol/m2/day; 0 where the scene gives no hours
	Tints       []Tint       // by spectrum; nil where the goal asks for no colour here
	Coloured    []DarkCorner // patches whose colour is farther from the mean than ColourLimit; Lowest is -1 times how far
	ColourLimit float64      // steps
	Daily       Field        // PPFD alone, on a grid of its own: the mean over the scene's day; empty where it has none
	DarkCorners []DarkCorner
	Shown       Quantity // that the goal counts
	DarkLimit   float64  // the limit that the dark corners are below, of Shown
	DarkIn      string   // the part of the goal whose area alone is searched for them; empty for all of the plane

	ErrorLx     []float64 // standard error of the illuminance by cell; nil where nothing is traced
	MeanErrorLx float64   // of the mean
}

// PhotonFlux returns the photons that cross the plane downwards, obstacles left out, umol/s.
func (p *Plane) PhotonFlux() float64 {
	g := p.Field.Grid
	return p.PPFD.Mean * float64(g.Cells()) * (1 - p.Field.Solid.Share()) * g.StepXM * g.StepYM
}

// Tracing says how photons were traced.
type Tracing struct {
	Photons int64
	Seed    uint64
	Error   float64 // root mean square of the cells' standard errors over the mean, of the worst plane

	Interrupted bool // whether it was ended before it had what was asked for
}

// SectionAxis tells which way a section runs.
type SectionAxis int

// The two sections.
const (
	AlongX  SectionAxis = iota // the long section, seen from the front, at a fixed y
	AcrossY                    // the cross section, seen from the left, at a fixed x
)

// Section is planar light in a vertical slice through the water. Values: index = iz*N + i, iz = 0 at the
// surface, i along the axis; cell centres. Left of the picture is x = 0 or y = 0 (front).
type Section struct {
	Axis          SectionAxis
	AtM           float64 // the fixed y (AlongX) or x (AcrossY)
	N, NZ         int
	StepM, StepZM float64
	Illuminance   []float64 // lx
	PPFD          []float64 // umol/m2/s
	Rays          []Ray     // edges of the beams that lie in the slice's plane
}

// Ray is a path from a module down through air, cover and water, as points in the tank's axes.
type Ray struct{ Points []space.Point }

// Ends say where light ends, in any measure of it.
type Ends[T any] struct {
	Emitted   T // by the dies
	Optic     T // lost in the optics
	Cover     T // reflected and absorbed by the cover
	Spill     T // left the fixture and never met the water
	Surface   T // reflected by the water surface
	Water     T // absorbed in the water
	Walls     T // out through the walls, or absorbed by them
	Floor     T // absorbed by the floor
	Obstacles T // stopped by obstacles
	Leaves    T // absorbed by leaves in the water and on it
	Returned  T // back out through the surface
	Entered   T // passed the surface into the water; told beside the entries, not one of them
	// what the direct engine does not follow: bounced diffusely, scattered back, or met by more walls than images are
	// counted for
	Unfollowed T
}

// Entries are where each of the figures stands, Emitted first and Unfollowed last.
func (b *Ends[T]) Entries() []*T {
	return []*T{&b.Emitted, &b.Optic, &b.Cover, &b.Spill, &b.Surface, &b.Water, &b.Walls, &b.Floor, &b.Obstacles,
		&b.Leaves, &b.Returned, &b.Entered, &b.Unfollowed}
}

// FluxBalance says where the lumens of the scene end, lm, or its photons, umol/s. Entries sum to Emitted.
type FluxBalance Ends[float64]

// Sum returns the total of the entries other than Emitted.
func (b FluxBalance) Sum() float64 {
	return b.Optic + b.Cover + b.Spill + b.Surface + b.Water + b.Walls + b.Floor + b.Obstacles + b.Leaves +
		b.Returned + b.Unfollowed
}

// Plus returns the flux balance with k times other ones added.
func (b FluxBalance) Plus(o FluxBalance, k float64) FluxBalance {
	more := (*Ends[float64])(&o).Entries()
	for i, v := range (*Ends[float64])(&b).Entries() {
		*v += float64(k * *more[i])
	}
	return b
}

// Closed returns the balance with what it lacks of Emitted given to the water.
func (b FluxBalance) Closed() FluxBalance {
	b.Water += b.Emitted - b.Sum()
	return b
}

// Kind is the light of all modules of one spectrum on one plane, and its share of the photons of all.
type Kind struct {
	Name        string // of the spectrum
	Modules     int
	Field       Field
	Illuminance Statistics
	PPFD        Statistics
	Share       []float64 // of the photons, 0 to 1, by cell; 0 where there are none
	Shares      Statistics
}

// Face is the light on one face of a thing, or on the part of it between two heights; all faces of a heap that look the
// same way are one.
type Face struct {
	Thing, Name     string // Name is top, side, front, back, left, right, slope or underside
	FromM, ToM      float64
	AreaM2          float64 // that light can reach
	MeanLx, LeastLx float64 // LeastLx is of the dimmest part, some centimetres large
	MeanPPFD        float64
	LeastPPFD       float64
	ErrorLx         float64 // standard error of MeanLx
}

// Wall is the light on a side of the tank under water, as that of its own plane. Its grid runs along the side, from the
// first of Ends to the other, and up from the floor.
type Wall struct {
	Name              string
	Ends              [2]string
	Field             Field
	Illuminance, PPFD Statistics
	Shown             Quantity // that the goal counts
	ErrorLx           float64  // root mean square of the cells' standard errors
}

// Light returns the statistics of a quantity on the wall.
func (w *Wall) Light(q Quantity) Statistics { return Of(q, w.Illuminance, w.PPFD) }

// Stand is the light on a level plane through a stand of leaves: on its top, in its middle or under it. DLI is the
// mean.
type Stand struct {
	Name, Where       string
	DepthM, DLI       float64
	Illuminance, PPFD Statistics
}

// Map is the whole answer of one calculation.
type Map struct {
	Title    string
	Engine   string   // "full", "traced" or "straight"
	Tracing  *Tracing // nil where nothing is traced
	Planes   []Plane
	Faces    []Face // of the things in the tank
	Walls    []Wall // that were asked for
	Sections []Section
	Stands   []Stand
	Balance  FluxBalance // of lumens
	Photons  FluxBalance // from 400 to 700 nm
	Goal     Goal
	Verdict  finding.Finding // what is wrong with the light, if anything
	Warnings []finding.Finding

	KindsPlane  string        // the plane of Kinds
	Kinds       []Kind        // where modules of unlike spectra share the tank
	Colours     []PlaneColour // of its planes
	Maintenance float64       // light-loss factor that the goal was judged with: 1 for light when new
	Junctions   Junctions
	PowerW      float64 // electrical, of the modules

	MirroredShare float64 // of the light on the floor that bounces nowhere, by way of clear walls
}

// stripesFrom is the share of mirrored light from which its edges may be seen in pictures.
const stripesFrom = 0.02

// Stripes says what edges in a picture are where walls mirror a share of the light, if there may be any.
func Stripes(mirroredShare float64) (f finding.Finding) {
	if mirroredShare > stripesFrom {
		f = finding.MirrorStripes.Of()
	}
	return f
}

// Junctions says at which junction temperatures light holds. The zero value is light that was never balanced.
type Junctions struct {
	Warm              bool            // in the balance of heat; else cold, at the temperatures of the parts' tables
	LowestC, HighestC float64         // of the modules that are on; 0 where cold
	RelativeFlux      float64         // share of the cold flux that is left; 1 where cold
	TooHot            finding.Finding // why the parts cannot bear it, or why there is no balance and the light is cold
}

// Words says in short at which junction temperatures light holds, for a picture's footer.
func (j Junctions) Words() string {
	low, high := math.Round(j.LowestC), math.Round(j.HighestC)
	switch {
	case !j.Warm:
		return "cold junctions"
	case low == high:
		return fmt.Sprintf("junctions at %.0f °C", low)
	}
	return fmt.Sprintf("junctions at %.0f to %.0f °C", low, high)
}

// Warnings say what is wrong with the heat, if something is.
func (j Junctions) Warnings() []finding.Finding {
	switch {
	case !j.TooHot.Any():
		return nil
	case !j.Warm:
		return []finding.Finding{finding.RatedFluxShown.Of(j.TooHot)}
	}
	return []finding.Finding{j.TooHot}
}

// With returns the span of both; it is cold only where both are. The share of the flux and the reason are those of
// neither.
func (j Junctions) With(o Junctions) Junctions {
	switch {
	case !j.Warm:
		return Junctions{Warm: o.Warm, LowestC: o.LowestC, HighestC: o.HighestC}
	case !o.Warm:
		return Junctions{Warm: true, LowestC: j.LowestC, HighestC: j.HighestC}
	}
	return Junctions{Warm: true, LowestC: math.Min(j.LowestC, o.LowestC), HighestC: math.Max(j.HighestC, o.HighestC)}
}

// Edges are angles between a module's aim and directions in its own frame, radians: towards both ends of the rail and
// to both sides of it.
type Edges struct{ RightRad, LeftRad, BackRad, FrontRad float64 }

// AlongRad returns the full angle along the rail.
func (e Edges) AlongRad() float64 { return e.RightRad + e.LeftRad }

// AcrossRad returns the full angle across the rail.
func (e Edges) AcrossRad() float64 { return e.BackRad + e.FrontRad }

// Beam is what an optic makes of 1000 lm that leave it.
type Beam struct {
	Name, About         string
	File                string // of a measured one
	Efficiency          float64
	StrayShare          float64
	Round               bool
	CentreCd, PeakCd    float64 // for 1000 lm
	BeamEdge, FieldEdge Edges   // half and tenth of the centre-beam intensity
	InBeam, InField     float64 // share of the light within half the mean beam and field angle of the aim
	Behind              float64 // share of the light behind the module, which is spill
	AngleRad            []float64
	AlongCd, AcrossCd   []float64 // over AngleRad, which is negative to the left and to the front
	Cone                []ConeRow
}

// ConeRow is a level plane in the air at a distance below the optic, for 1000 lm that leave. A spot is where the
// direction is within the beam edges; it is 0 where they reach beyond 80 degrees. Edge illuminances are the lower ones
// of the two.
type ConeRow struct {
	DistanceM                 float64
	SpotAlongM, SpotAcrossM   float64
	CentreLx                  float64
	EdgeAlongLx, EdgeAcrossLx float64
}

// Spectrum is a kind of light. Power and Sensitivity, the V(lambda) of the eye, are relative to their highest values.
type Spectrum struct {
	Name, About        string
	Nm                 []float64
	Power, Sensitivity []float64
	PeakNm             float64
	LuxPerPPFD         float64 // lx for 1 umol/m2/s
	LmPerW             float64 // of light, 380 to 780 nm
	UmolPerJ           float64 // of light, 400 to 700 nm
	Blue, Green, Red   float64 // share of the photons from 400 to 500, 500 to 600 and 600 to 700 nm
	Colour             Colour
}
