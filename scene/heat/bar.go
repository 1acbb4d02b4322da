package heat

import (
	"fmt"
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

// barLoss is the heat that a metre of bar gives off, W/m.
type barLoss struct {
	SidesW, TopW, UndersideW float64 // by convection, from the box around the bar
	GroovesW                 float64 // by convection, from the perimeter beyond the box
	RadiationW               float64
}

// totalW returns the sum, W/m.
func (l barLoss) totalW() float64 {
	return l.SidesW + l.TopW + l.UndersideW + l.GroovesW + l.RadiationW
}

// lossPerM returns the heat that a metre of the bar gives off at surfaceC; all of it is negative where the air is
// warmer. It refuses where the film leaves the table of air.
func (b Bar) lossPerM(surfaceC float64) (barLoss, error) {
	film, err := airAt((surfaceC + b.AirC) / 2)
	if err != nil {
		return barLoss{}, err
	}
	side, flat := b.faces(surfaceC, film)
	hSide, flatFlow := side.wPerM2K(side.flow().vertical()), flat.flow()
	riseK, share, box := surfaceC-b.AirC, b.covered(), 2*(b.WidthM+b.HeightM)
	return barLoss{
		SidesW:     share * hSide * 2 * b.HeightM * riseK,
		TopW:       share * flat.wPerM2K(flatFlow.hotSideUp()) * b.WidthM * riseK,
		UndersideW: share * flat.wPerM2K(flatFlow.hotSideDown()) * b.WidthM * riseK,
		GroovesW:   hSide * math.Max(b.PerimeterM-box, 0) * riseK,
		RadiationW: share * box * radiation{Emissivity: b.Emissivity, SurfaceC: surfaceC, SurroundingsC: b.AirC}.wPerM2(),
	}, nil
}

// faces returns one side, and top or underside, whose area over perimeter is half the width as the bar is long.
func (b Bar) faces(surfaceC float64, film Air) (side, flat Body) {
	side = Body{LengthM: b.HeightM, SurfaceC: surfaceC, AirC: b.AirC, Air: film}
	flat = side
	flat.LengthM = b.WidthM / 2
	return side, flat
}

// covered returns the share of the box around the bar that the air reaches.
func (b Bar) covered() float64 { return math.Min(b.PerimeterM/(2*(b.WidthM+b.HeightM)), 1) }

// Notes says which formulas are stretched beyond their published range at surfaceC.
func (b Bar) Notes(surfaceC float64) []string {
	const note = "%s of the bar: Rayleigh number %.2g lies outside %.0g to %.0g, where the formula was measured"
	s := b.Stretched(surfaceC)
	var notes []string
	if s.Top {
		notes = append(notes, fmt.Sprintf(note, "top", s.rayleigh, leastUp, mostUp))
	}
	if s.Underside {
		notes = append(notes, fmt.Sprintf(note, "underside", s.rayleigh, leastDown, mostDown))
	}
	return notes
}

// Stretch is how far the figures of a bar lean on formulas outside the range in which they were measured.
type Stretch struct {
	Top, Underside bool
	Share          float64 // of the bar's heat that those faces give to the air, by the same formulas
	rayleigh       float64 // of top and underside, where either is stretched
}

// Stretched returns what Notes says as figures, at surfaceC; zero where nothing is stretched.
func (b Bar) Stretched(surfaceC float64) Stretch {
	film, err := airAt((surfaceC + b.AirC) / 2)
	if err != nil || surfaceC <= b.AirC {
		return Stretch{}
	}
	loss, err := b.lossPerM(surfaceC)
	if err != nil {
		return Stretch{}
	}
	_, flat := b.faces(surfaceC, film)
	ra := flat.flow().Rayleigh
	s := Stretch{Top: ra < leastUp || ra > mostUp, Underside: ra < leastDown || ra > mostDown}
	if s.Top || s.Underside {
		s.rayleigh = ra
	}
	if s.Top {
		s.Share += loss.TopW / loss.totalW()
	}
	if s.Underside {
		s.Share += loss.UndersideW / loss.totalW()
	}
	return s
}

// loss tells how much heat a metre of bar gives off at tC, W/m, and how that grows with the temperature, W/m/K.
// It must rise with the temperature.
type loss interface {
	At(tC float64) (wPerM, wPerMK float64)
}

// tableStepK is the step of a bar's tabulated loss. Read linearly, one and a quarter power is met within 1 % from 1 K
// on and within 1e-4 from 10 K on.
const tableStepK = 0.5

// barTable is a bar's loss in steps above the temperature of the air, so that a thousand cells can ask for it again and
// again. Each step is worked out when it is first asked for; one goroutine alone may ask. Beyond its end the last slope
// goes on; below the air the bar takes up what it would give off above.
type barTable struct {
	bar   Bar
	wPerM []float64 // NaN where nobody asked yet
}

func (b Bar) table() (barTable, error) {
	n := int((hottestSurfaceC(b.AirC) - b.AirC) / tableStepK)
	if n < 2 {
		return barTable{}, fmt.Errorf("air of %.4g °C is beyond the table of air", b.AirC)
	}
	if _, err := b.lossPerM(b.AirC); err != nil {
		return barTable{}, err
	}
	t := barTable{bar: b, wPerM: make([]float64, n)}
	for i := range t.wPerM {
		t.wPerM[i] = math.NaN()
	}
	return t, nil
}

// step returns the loss at step i, W/m.
func (t barTable) step(i int) float64 {
	if math.IsNaN(t.wPerM[i]) {
		loss, _ := t.bar.lossPerM(t.bar.AirC + float64(i)*tableStepK) // both ends lie in the table of air
		t.wPerM[i] = loss.totalW()
	}
	return t.wPerM[i]
}

// At returns the loss and its slope.
func (t barTable) At(tC float64) (wPerM, wPerMK float64) {
	rise := math.Abs(tC - t.bar.AirC)
	i := min(int(math.Min(rise/tableStepK, 1e6)), len(t.wPerM)-2)
	low := t.step(i)
	wPerMK = (t.step(i+1) - low) / tableStepK
	wPerM = low + wPerMK*(rise-float64(i)*tableStepK)
	if tC < t.bar.AirC {
		wPerM = -wPerM
	}
	return wPerM, wPerMK
}
