package readings

import (
	"fmt"
	"strings"

	"fathomlux/scene/unit"
)

// AirImmersion is by how much a sensor with a flat diffuser that was calibrated in air shows too little under water,
// where the file gives no factor; AirImmersionOff is how far that may be off. Common practice, no published source:
// makers state 1.2 to 1.4, 1.32 for common heads.
const (
	AirImmersion    = 1.32
	AirImmersionOff = 0.1
)

// Trust tells how a reading became light.
type Trust int

// What is known of a sensor under water.
const (
	Stated   Trust = iota // its factor, or that it was calibrated in water
	Assumed               // that it was calibrated in air; the factor is AirImmersion
	Unstated              // nothing: what it shows is taken as it is
)

// held is how the sensor of a row was calibrated and held: words of its columns, empty where there are none.
type held struct{ calibrated, immersion, face string }

// factor returns by what a reading is multiplied to be the light there.
func (h held) factor() (float64, Trust, error) {
	calibrated := strings.ToLower(h.calibrated)
	switch {
	case calibrated != "" && calibrated != "air" && calibrated != "water":
		return 0, 0, fmt.Errorf("%.40q is not known; write air or water, where the sensor was calibrated", h.calibrated)
	case h.immersion == "" && calibrated == "":
		return 1, Unstated, nil
	case h.immersion == "" && calibrated == "water":
		return 1, Stated, nil
	case h.immersion == "":
		return AirImmersion, Assumed, nil
	}
	v, err := unit.ParseNumber(h.immersion)
	switch {
	case err != nil || v < 1 || v > 2:
		return 0, 0, fmt.Errorf("%.40q is no immersion factor; give a number from 1 to 2, such as 1.32", h.immersion)
	case calibrated == "water" && v != 1:
		return 0, 0, fmt.Errorf("a sensor that was calibrated in water needs no immersion factor; leave one of the two out")
	}
	return v, Stated, nil
}

// depth returns the depth of the sensor's face, which is above the place where it stands.
func (h held) depth(c column, placeM float64) (float64, error) {
	if h.face == "" {
		return placeM, nil
	}
	m, err := c.quantity(h.face)
	switch {
	case err != nil:
		return 0, err
	case m < 0 || m > placeM:
		return 0, fmt.Errorf("%s is no height of the sensor's face over a place %s deep; give 0 mm to that",
			unit.Length.Say(m), unit.Length.Say(placeM))
	}
	return placeM - m, nil
}

// settle takes into account how the sensor of a row was calibrated and held. Cells are those of the row.
func (r *reader) settle(one *Reading, cells []cell) {
	var h held
	var at [3]int
	for i, c := range r.columns {
		switch c.base {
		case "calibrated":
			h.calibrated, at[0] = cells[i].text, i
		case "immersion":
			h.immersion, at[1] = cells[i].text, i
		case "face":
			h.face, at[2] = cells[i].text, i
		}
	}
	var err error
	if one.Immersion, one.Trust, err = h.factor(); err != nil {
		r.Faultf(cells[max(at[0], at[1])].at, "%v", err)
	}
	if one.DepthM, err = h.depth(r.columns[at[2]], one.DepthM); err != nil {
		r.Faultf(cells[at[2]].at, "%s: %v", r.columns[at[2]].name, err)
	}
}
