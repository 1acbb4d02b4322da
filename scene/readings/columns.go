package readings

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// kind is what a column may hold: a quantity up to most, or words where of is nil.
type kind struct {
	of   *unit.Dimension
	most float64
}

// kinds are the columns by their names without units. Full sun on the ground gives about 120 klx and 2200 umol/m2/s;
// the limits are far beyond.
var kinds = map[string]kind{"x": {of: unit.Length}, "y": {of: unit.Length}, "plane": {}, "depth": {of: unit.Length},
	"lux": {unit.Illuminance, 1e6}, "illuminance": {unit.Illuminance, 1e6}, "ppfd": {unit.PhotonFluxDensity, 1e4},
	"sensor": {}, "note": {}}

// usual are the columns for messages.
var usual = []string{"x_mm", "y_mm", "plane", "depth_mm", "lux", "ppfd_umol_m2_s", "sensor", "note"}

// column is one column of the file. unit is put behind bare numbers; empty where each value carries its own.
type column struct {
	kind
	base, name, unit string
}

// parseColumn reads one name of the header.
func parseColumn(text string) (column, error) {
	name := strings.ToLower(text)
	base, ending, _ := strings.Cut(name, "_")
	if isUnit(unit.Illuminance, name) { // the unit alone says what it is
		base, ending = "lux", name
	}
	c := column{name: name, unit: strings.ReplaceAll(ending, "_", "/")}
	c.base = strings.Replace(base, "illuminance", "lux", 1)
	var known bool
	c.kind, known = kinds[base]
	near := document.Suggest(name, usual)
	switch {
	case !known && near != "":
		return column{}, fmt.Errorf("unknown column %.40q; did you mean %q?", text, near)
	case !known:
		return column{}, fmt.Errorf("unknown column %.40q; known: %s; lengths may end in _cm, _m, _in or _ft too, and "+
			"klx or fc may stand for lux", text, strings.Join(usual, ", "))
	case ending == "" || c.of != nil && isUnit(c.of, c.unit):
		return c, nil
	case c.of == nil:
		return column{}, fmt.Errorf("unknown column %.40q; did you mean %q?", text, base)
	}
	all := strings.ReplaceAll(strings.Join(c.of.Units(), ", "+base+"_"), "/", "_")
	return column{}, fmt.Errorf("unknown column %.40q; its name with a unit is one of %s_%s", text, base, all)
}

// isUnit tells whether a dimension has a unit of that name.
func isUnit(d *unit.Dimension, name string) bool {
	_, err := d.Parse("1 " + name)
	return err == nil
}

// header reads the first line; it is false where it is wrong, for nothing below can be understood then.
func (r *reader) header(cells []cell) bool {
	at := start(cells[0].at.Line)
	switch only := cells[0].text; {
	case len(cells) == 1 && strings.Contains(only, ";"):
		r.Faultf(at, "semicolons stand between the columns, as spreadsheets write where decimals take a comma; save "+
			"the file with commas between the columns and points in the numbers")
		return false
	case len(cells) == 1 && strings.Contains(only, "\t"):
		r.Faultf(at, "tabs stand between the columns; save the file with commas between them")
		return false
	case len(cells) > maxColumns:
		r.Faultf(at, "%d columns are too many; %d serve: %s", len(cells), len(usual), strings.Join(usual, ", "))
		return false
	}
	seen := map[string]string{} // names in the file
	for _, cell := range cells {
		c, err := parseColumn(cell.text)
		if err != nil {
			r.Faultf(cell.at, "%v", err)
			continue
		}
		if before := seen[c.base]; before != "" {
			r.Faultf(cell.at, "column %s says the same as %s", c.name, before)
		}
		seen[c.base] = c.name
		r.columns = append(r.columns, c)
	}
	if len(r.Faults) > 0 {
		return false
	}
	for _, missing := range []struct {
		is   bool
		what string
	}{
		{seen["x"] == "" || seen["y"] == "", "the columns x_mm and y_mm are needed: from the left and from the front"},
		{seen["plane"] == "" && seen["depth"] == "", "a column plane or depth_mm is needed"},
		{seen["plane"] != "" && seen["depth"] != "", "plane and depth exclude each other"},
		{seen["lux"] == "" && seen["ppfd"] == "", "a column lux or ppfd_umol_m2_s is needed"},
	} {
		if missing.is {
			r.Faultf(at, "%s; a header is such as x_mm,y_mm,plane,lux or x_in,y_in,depth_in,fc", missing.what)
		}
	}
	return len(r.Faults) == 0
}

// row reads one line of values.
func (r *reader) row(cells []cell) {
	one := Reading{Line: cells[0].at.Line}
	var values []Reading
	before, unfilled := len(r.Faults), true
	for i, c := range r.columns {
		text := cells[i].text
		var err error
		switch c.base {
		case "x":
			one.XM, err = c.length(text, r.place.LengthM)
		case "y":
			one.YM, err = c.length(text, r.place.WidthM)
		case "depth":
			one.DepthM, err = c.length(text, r.place.DepthM)
		case "plane":
			one.DepthM, err = r.place.Plane(strings.ToLower(text))
		case "sensor":
			one.Sensor, err = word(text)
		case "note":
			one.Note, err = word(text)
		default:
			if text == "" {
				continue
			}
			unfilled = false
			var v float64
			v, err = c.light(text)
			values = append(values, Reading{Value: v, Photons: c.base == "ppfd"})
		}
		if err != nil {
			r.Faultf(cells[i].at, "%s: %v", c.name, err)
		}
	}
	if unfilled {
		r.file.Unfilled++
	}
	if len(r.Faults) > before {
		return
	}
	for _, v := range values {
		one.Value, one.Photons = v.Value, v.Photons
		r.file.Readings = append(r.file.Readings, one)
	}
}

// quantity reads a number with its own unit, or with the column's.
func (c column) quantity(text string) (float64, error) {
	_, rest, err := unit.Split(text)
	switch {
	case text == "":
		return 0, fmt.Errorf("nothing is given")
	case err != nil:
		return 0, err
	case rest == "" && c.unit != "":
		text += " " + c.unit
	}
	si, err := c.of.Parse(text)
	if err != nil && c.unit == "" && rest == "" {
		return 0, fmt.Errorf("%w, or name the column %s_%s", err, c.name, strings.ReplaceAll(c.of.Units()[0], "/", "_"))
	}
	return si, err
}

// edgeM is how far outside the tank a reading may be by rounding or by the size of a sensor.
const edgeM = 0.0005

// length reads a place between two walls that are most apart, or between surface and floor.
func (c column) length(text string, most float64) (float64, error) {
	m, err := c.quantity(text)
	say := unit.Length.Say
	switch {
	case err != nil:
		return 0, err
	case m >= -edgeM && m <= most+edgeM:
		return min(max(m, 0), most), nil
	case c.base != "depth":
		return 0, fmt.Errorf("%s is outside the tank, which reaches from 0 mm to %s", say(m), say(most))
	case m < 0:
		return 0, fmt.Errorf("%s is above the water; depths count from the surface down", say(m))
	}
	return 0, fmt.Errorf("%s is below the floor, which is %s deep", say(m), say(most))
}

// light reads what a meter showed.
func (c column) light(text string) (float64, error) {
	v, err := c.quantity(text)
	switch {
	case err != nil:
		return 0, err
	case v < 0:
		return 0, fmt.Errorf("%s is negative; light is 0 or more", text)
	case v > c.most:
		return 0, fmt.Errorf("%s is brighter than any tank; at most %s is allowed", text, c.of.Say(c.most))
	}
	return v, nil
}

// longestWord is how many characters a sensor's name or a note may have.
const longestWord = 200

func word(text string) (string, error) {
	if utf8.RuneCountInString(text) > longestWord {
		return "", fmt.Errorf("more than %d characters", longestWord)
	}
	return strings.Map(func(c rune) rune {
		if unicode.IsControl(c) {
			return ' '
		}
		return c
	}, text), nil
}
