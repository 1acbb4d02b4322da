package parts

import (
	"math"

	"cmp"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
)

// Money is an amount in one currency; Currency is an ISO 4217 code, empty where no price is known.
type Money struct {
	Amount   float64
	Currency string
}

// Compare orders prices: known ones first, then by the currency's code, as unlike currencies are not compared, then by
// the amount.
func (m Money) Compare(other Money) int {
	known := func(m Money) int { return min(len(m.Currency), 1) }
	return cmp.Or(cmp.Compare(known(other), known(m)), cmp.Compare(m.Currency, other.Currency),
		cmp.Compare(m.Amount, other.Amount))
}

// Catalogue is a set of parts by name. Its maps are never nil.
type Catalogue struct {
	Modules  map[string]Module
	Optics   map[string]Optic
	Drivers  map[string]Driver
	Profiles map[string]Profile
	Spectra  map[string]Spectrum
	Waters   map[string]Water

	// Incomplete tells that a table of parts could not be read: a name that is not known may stand in it, and the fault is
	// told there.
	Incomplete bool
	OpticFiles map[string]document.Node // where own optics name their measured distributions, by the optics' names

	broken map[partID]bool // own parts that were read with a fault
}

// Module is a board with one or more dies that is fixed to the rail as one piece.
// Flux and voltage hold for one die, at the junction temperature ReferenceC.
type Module struct {
	Name, About               string
	DiesAlong, DiesAcross     int // dies along and across the rail; their product is the number of dies
	PitchAlongM, PitchAcrossM float64
	ParallelPaths             int         // paths of dies in parallel on the board; the rest are in series
	FluxLm                    curve.Curve // flux of one die, lm, against the current through it, A (monotone)
	ForwardV                  curve.Curve // forward voltage of one die, V, against the current through it, A (monotone)
	ReferenceC                float64     // junction temperature at which the two curves hold
	FluxPerK                  float64     // relative change of flux per kelvin, negative where it falls
	VoltsPerK                 float64     // change of one die's forward voltage per kelvin, V/K
	ResistanceKPerW           float64     // junction to the back of the board, for the whole module, K/W of heat
	CaseResistanceKPerW       float64     // the part of it from the LED cases (solder points) to the board's back
	HighestA                  float64     // highest current of the module
	HighestJunctionC          float64
	RadiantEfficiency         float64 // share of the power that leaves as light, by the part; it only checks the flux
	Spectrum                  string  // name of the spectrum
	LmPerW                    float64 // luminous efficacy of radiation of the spectrum, as Spectrum has it
	BoardLengthM, BoardWidthM float64 // board along and across the rail
	MassKg                    float64
	Holes                     []Hole
	Maintenance               []Maintenance
	Price                     Money
}

// Dies returns the number of dies on the board.
func (m Module) Dies() int { return m.DiesAlong * m.DiesAcross }

// Hole is a screw hole in a board, placed from the board's middle: along and across the rail, metres.
type Hole struct{ AlongM, AcrossM, DiameterM float64 }

// Maintenance is one row of a lumen-maintenance test: Phi(t) = B exp(-alpha t).
type Maintenance struct{ CaseC, AlphaPerHour, B, TestedHours float64 }

// Optic is a lens over a module or over each of its dies.
type Optic struct {
	Name, About              string
	BeamRad                  float64 // full angle between half-intensity directions, along the rail
	BeamAcrossRad            float64 // the same across the rail; equal to BeamRad for round optics
	FieldRad, FieldAcrossRad float64 // full angles between tenth-intensity directions; 0 where not given
	Efficiency               float64 // share of the dies' flux that leaves the optic
	StrayShare               float64 // share of the leaving flux that is spread as a Lambertian
	File                     string  // measured distribution beside the scene, empty where none
	MassKg                   float64 // 0 where not given
	BeamOf                   string  // the optic that this one is, but for its angles; empty where it stands by itself
	Price                    Money
}

// GuessedFieldRad returns the field angle along (or across) the rail of an optic of a beam angle alone, cos^m by its
// shape: I = cos^m(theta) falls to a tenth where cos = 0.1^(1/m). It is 0 where no angle is a guess: for one that gives
// it, for a measured one, and for dies without a lens, wider than lenses are.
func (o Optic) GuessedFieldRad(across bool) float64 {
	beamRad := o.BeamRad
	if across {
		beamRad = o.BeamAcrossRad
	}
	if o.FieldRad > 0 || o.File != "" || o.BeamRad >= widestLensRad {
		return 0
	}
	m := math.Log(0.5) / math.Log(math.Cos(beamRad/2))
	return 2 * math.Acos(math.Pow(0.1, 1/m))
}

// widestLensRad is the beam angle from which an optic counts as none: a bare die has some 120 deg.
const widestLensRad = 115 * math.Pi / 180

// Driver is a constant-current supply.
type Driver struct {
	Name, About       string
	CurrentsA         []float64 // selectable output currents, rising
	LowestV, HighestV float64   // output voltage range
	RatedW            float64
	Efficiency        curve.Curve // efficiency against load as a share of RatedW
	Isolated          bool        // the output is SELV or Class 2; otherwise it counts as mains
	Class             string      // of protection: "I", "II" or "III", empty where not known
	OpenV             float64     // highest output voltage without a load; 0 where not known
	RippleShare       float64     // of the output, r.m.s. over mean
	Dimming           string      // "none", "current", "pulses" or "both", empty where not known
	InrushA           float64     // peak from the mains when switched on; 0 where not known
	StandbyW          float64     // from the mains without a load; it counts all day
	IP                string      // protection code, such as IP67
	Price             Money
}

// LossW returns what the driver loses at a load, W, its stand-by left out; known is false without an efficiency. Below
// the least load of its table it loses as many watts as there, above the highest the share that it loses there, and
// nothing without a load.
func (d Driver) LossW(loadW float64) (lossW float64, known bool) {
	if loadW == 0 || d.Efficiency.Empty() {
		return 0, !d.Efficiency.Empty()
	}
	least, most := d.Efficiency.Domain()
	efficiency := d.Efficiency.AtOrZero(min(max(loadW/d.RatedW, least), most))
	return max(loadW, least*d.RatedW) * (1/efficiency - 1), true
}

// Profile is the bar that carries the modules and takes their heat.
type Profile struct {
	Name, About        string
	WidthM, HeightM    float64 // outer width (across the rail) and height
	MetalM2            float64 // metal cross-section
	PerimeterM         float64 // outer perimeter that gives heat to the air
	ConductivityWPerMK float64
	Emissivity         float64
	Slots              []Slot
	WallM              float64 // thickness of the metal under the emitting face
	FinCount           int     // fins along the back, the outer ones at its edges; 0 for none
	FinThicknessM      float64
	Metal              Metal
	SecondMomentM4     float64 // second moment of area about the level axis; 0 where not given
	PricePerM          Money
	StockM             []float64 // lengths in which it is sold; none where they are not known
}

// Metal is what a profile is made of.
type Metal int

// The metals of profiles.
const (
	Aluminium Metal = iota
	Steel
	StainlessSteel
)

// Solid tells whether the bar is one piece of metal.
func (p Profile) Solid() bool { return p.MetalM2 >= solidShare*p.WidthM*p.HeightM }

// solidShare is the share of its outline that a solid bar fills at least: rounded edges and grooves take the rest.
const solidShare = 0.9

// Slot is a groove along the emitting face where no screw can hold, placed from the middle line, metres.
type Slot struct{ AcrossM, WidthM float64 }

// Spectrum is a relative spectral power distribution over wavelength in nm, on an arbitrary scale.
type Spectrum struct {
	Name, About string
	Power       curve.Curve
	LmPerW      float64 // luminous efficacy of radiation from 380 to 780 nm, lm/W; 0 where there is no light to count
}

// Water is a kind of water: what dissolved colour and particles add to pure water.
type Water struct {
	Name, About         string
	CDOM440PerM         float64 // absorption of dissolved colour at 440 nm, 1/m, base e
	CDOMSlopePerNm      float64 // S in exp(-S (lambda - 440 nm))
	ParticleAbsorbPerM  float64 // absorption of particles, 1/m, the same at all wavelengths
	ParticleScatterPerM float64 // scattering of particles at 550 nm, 1/m
	ParticleExponent    float64 // n in (550 nm / lambda)^n
	Asymmetry           float64 // mean cosine g of the particles' Henyey-Greenstein phase function
}
