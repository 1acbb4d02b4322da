package readings

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/scene/unit"
)

// Limits of values: brighter than full sun on the ground (about 120 klx and 2200 umol/m2/s) by far, and the longest
// word.
const (
	brightestLx   = 1e6
	brightestPPFD = 1e4
	longestWord   = 200
)

// edgeM is how far beyond the tank's walls, or below its floor, a reading may be by rounding or by the size of a
// sensor.
const edgeM = 0.0005

// row reads one line of values.
func (r *reader) row(fields []string, pos func(int) (int, int)) {
	var one Reading
	var values []Reading
	before, filled := len(r.report.Faults), true
	for i, c := range r.columns {
		line, col := pos(i)
		one.Line = line
		text := strings.TrimSpace(fields[i])
		at := func(format string, args ...any) { r.faultf(line, col, c.name+": "+format, args...) }
		switch c.kind {
		case xColumn:
			one.XM = r.length(c, text, at, r.place.LengthM)
		case yColumn:
			one.YM = r.length(c, text, at, r.place.WidthM)
		case depthColumn:
			one.DepthM = r.depth(c, text, at)
		case planeColumn:
			one.DepthM = r.plane(text, at)
		case sensorColumn:
			one.Sensor = word(text, at)
		case noteColumn:
			one.Note = word(text, at)
		default:
			if v, ok := light(c, text, at); ok {
				values = append(values, Reading{Value: v, Photons: c.kind == photonColumn})
			} else if text != "" {
				filled = false
			}
		}
	}
	if len(values) == 0 && filled {
		r.file.Unfilled++
	}
	if len(r.report.Faults) > before {
		return
	}
	for _, v := range values {
		one.Value, one.Photons = v.Value, v.Photons
		r.file.Readings = append(r.file.Readings, one)
	}
}

// quantity reads a number with its own unit, or with the column's.
func quantity(c column, text string) (float64, error) {
	_, rest, err := unit.Split(text)
	switch {
	case text == "":
		return 0, fmt.Errorf("nothing is given")
	case err != nil && strings.Contains(text, ","):
		return 0, fmt.Errorf("%.40q has a comma; write decimals with a point", text)
	case err != nil:
		return 0, err
	case rest == "" && c.unit != "":
		return c.dimension().Parse(text + " " + c.unit)
	}
	si, err := c.dimension().Parse(text)
	if err != nil && c.unit == "" && rest == "" {
		return 0, fmt.Errorf("%w, or name the column %s_%s", err, c.name,
			strings.ReplaceAll(c.dimension().Units()[0], "/", "_"))
	}
	return si, err
}

// length reads a place between two walls that are most apart.
func (r *reader) length(c column, text string, at func(string, ...any), most float64) float64 {
	m, err := quantity(c, text)
	if err != nil {
		at("%v", err)
		return 0
	}
	if !(m >= -edgeM && m <= most+edgeM) {
		at("%s is outside the tank, which reaches from 0 mm to %s", unit.Length.Say(m), unit.Length.Say(most))
		return 0
	}
	return min(max(m, 0), most)
}

func (r *reader) depth(c column, text string, at func(string, ...any)) float64 {
	m, err := quantity(c, text)
	switch {
	case err != nil:
		at("%v", err)
	case m < -edgeM:
		at("%s is above the water; depths count from the surface down", unit.Length.Say(m))
	case m > r.place.DepthM+edgeM:
		at("%s is below the floor, which is %s deep", unit.Length.Say(m), unit.Length.Say(r.place.DepthM))
	}
	return min(max(m, 0), r.place.DepthM)
}

func (r *reader) plane(text string, at func(string, ...any)) float64 {
	depthM, err := r.place.Plane(strings.ToLower(text))
	if err != nil {
		at("%v", err)
	}
	return depthM
}

// light reads a reading; ok is false where there is none.
func light(c column, text string, at func(string, ...any)) (v float64, ok bool) {
	if text == "" {
		return 0, false
	}
	v, err := quantity(c, text)
	most := float64(brightestLx)
	if c.kind == photonColumn {
		most = brightestPPFD
	}
	switch {
	case err != nil:
		at("%v", err)
		return 0, false
	case v < 0:
		at("%s is below 0, which no light is", text)
		return 0, false
	case v > most:
		at("%s is brighter than any tank; at most %s serves", text, c.dimension().Say(most))
		return 0, false
	}
	return v, true
}

func word(text string, at func(string, ...any)) string {
	if utf8.RuneCountInString(text) > longestWord {
		at("more than %d characters", longestWord)
		return ""
	}
	return strings.Map(func(c rune) rune {
		if unicode.IsControl(c) {
			return ' '
		}
		return c
	}, text)
}
