package heat

import (
	"math"

	"fathomlux/scene/parts"
)

// Bar is the outline of a long horizontal bar in still air and surroundings of one temperature.
//
// Its two sides are vertical plates of its height, its top a horizontal plate hot side up, its underside (the emitting
// face) one hot side down, both with half the width as their length. Perimeter beyond 2 (width + height) are grooves
// and fins: it gives heat to the air as the sides do, each fin at the bar's own temperature (a fin of 2 mm aluminium
// and 20 mm depth stays within 1 %), but does not radiate, as it faces metal of the same temperature. With less
// perimeter, all faces count in proportion. Tilt is left out: it turns some underside into side and some top away from
// up, which changes the sum by a few per cent. Boards and optics on the underside are taken as bare metal, and draught
// as absent: it cools.
type Bar struct {
	parts.Profile
	AirC float64
}

type face struct {
	name         string // of one whose formula has a published range
	widthM       float64
	lengthM      float64 // see body
	nusselt      func(flow) float64
	lowest, most float64 // Rayleigh numbers at which the formula was measured; 0 and 0 where it holds for all here
}

// faces are sides, top, underside and grooves.
func (b Bar) faces() [4]face {
	boxM := 2 * (b.WidthM + b.HeightM)
	share := math.Min(b.PerimeterM/boxM, 1) // of the box around the bar, which the air reaches
	return [4]face{
		{"", share * 2 * b.HeightM, b.HeightM, flow.vertical, 0, 0},
		{"top", share * b.WidthM, b.WidthM / 2, flow.hotSideUp, 1e4, 1e11},
		{"underside", share * b.WidthM, b.WidthM / 2, flow.hotSideDown, 1e5, 1e10},
		{"", math.Max(b.PerimeterM-boxM, 0), b.HeightM, flow.vertical, 0, 0},
	}
}

// barLoss is the heat that a metre of bar gives off, W/m.
type barLoss struct {
	FacesW     [4]float64 // by convection, in the order of faces
	RadiationW float64
	rayleigh   [4]float64
}

func (l barLoss) totalW() float64 {
	return l.FacesW[0] + l.FacesW[1] + l.FacesW[2] + l.FacesW[3] + l.RadiationW
}

// lossPerM returns the heat that a metre of the bar gives off at surfaceC; all of it is negative where the air is
// warmer. It refuses where the film leaves the table of air.
func (b Bar) lossPerM(surfaceC float64) (l barLoss, err error) {
	film, err := airAt((surfaceC + b.AirC) / 2)
	if err != nil {
		return l, err
	}
	body := body{SurfaceC: surfaceC, AirC: b.AirC, Air: film}
	faces := b.faces()
	for i, f := range faces {
		body.LengthM = f.lengthM
		flow := body.flow()
		l.FacesW[i], l.rayleigh[i] = body.wPerM2K(f.nusselt(flow))*f.widthM*(surfaceC-b.AirC), flow.Rayleigh
	}
	l.RadiationW = (faces[0].widthM + faces[1].widthM + faces[2].widthM) * body.radiationWPerM2(b.Emissivity)
	return l, nil
}

// Stretch is a face of a bar whose formula is used outside the Rayleigh numbers at which it was measured.
type Stretch struct {
	Face                   string
	Rayleigh, Lowest, Most float64
	Share                  float64 // of the bar's heat that this face gives to the air, by the same formula
}

// Stretched returns the faces whose formulas are stretched at surfaceC.
func (b Bar) Stretched(surfaceC float64) (list []Stretch) {
	loss, err := b.lossPerM(surfaceC)
	if err != nil || surfaceC <= b.AirC {
		return nil
	}
	for i, f := range b.faces() {
		if ra := loss.rayleigh[i]; f.name != "" && (ra < f.lowest || ra > f.most) {
			list = append(list, Stretch{f.name, ra, f.lowest, f.most, loss.FacesW[i] / loss.totalW()})
		}
	}
	return list
}

// loss tells how much heat a metre of bar gives off at tC, W/m, and how that grows with the temperature, W/m/K.
// It must rise with the temperature.
type loss func(tC float64) (wPerM, wPerMK float64)

// tableStepK is the step of a bar's tabulated loss. Read linearly, one and a quarter power is met within 1 % from 1 K
// on and within 1e-4 from 10 K on.
const tableStepK = 0.5

// loss returns a table of the bar's loss in steps above the temperature of the air, so that a thousand cells can ask
// for it again and again. Each step is worked out when it is first asked for; one goroutine alone may ask. Beyond its
// end the last slope goes on; below the air the bar takes up what it would give off above.
func (b Bar) loss() (loss, error) {
	if _, err := b.lossPerM(b.AirC); err != nil {
		return nil, err
	}
	table := make([]float64, int((hottestSurfaceC(b.AirC)-b.AirC)/tableStepK))
	step := func(i int) float64 {
		if i > 0 && table[i] == 0 {
			l, _ := b.lossPerM(b.AirC + float64(i)*tableStepK) // both ends lie in the table of air
			table[i] = l.totalW()
		}
		return table[i]
	}
	return func(tC float64) (wPerM, wPerMK float64) {
		rise := math.Abs(tC - b.AirC)
		i := min(int(math.Min(rise/tableStepK, 1e6)), len(table)-2)
		low := step(i)
		wPerMK = (step(i+1) - low) / tableStepK
		return math.Copysign(low+wPerMK*(rise-float64(i)*tableStepK), tC-b.AirC), wPerMK
	}, nil
}
