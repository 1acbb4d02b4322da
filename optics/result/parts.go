package result

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
