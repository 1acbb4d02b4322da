package readings

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// kind is what a column holds.
type kind int

const (
	xColumn kind = iota
	yColumn
	planeColumn
	depthColumn
	luxColumn
	photonColumn
	sensorColumn
	noteColumn
)

// column is one column of the file. unit is put behind bare numbers; empty where each value carries its own.
type column struct {
	kind kind
	name string
	unit string
}

// names are the columns without their units, and what they hold.
var names = map[string]kind{"x": xColumn, "y": yColumn, "plane": planeColumn, "depth": depthColumn, "lux": luxColumn,
	"illuminance": luxColumn,
	"ppfd":        photonColumn, "sensor": sensorColumn, "note": noteColumn}

// unitsOf are the endings that a column may have, and the units that they mean.
var unitsOf = map[kind]map[string]string{
	xColumn: lengths, yColumn: lengths, depthColumn: lengths,
	luxColumn:    {"lux": "lx", "lx": "lx", "klx": "klx", "fc": "fc"},
	photonColumn: {"umol_m2_s": "umol/m2/s"},
}

var lengths = map[string]string{"mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", "ft": "ft"}

// usual are the columns for messages.
var usual = []string{"x_mm", "y_mm", "plane", "depth_mm", "lux", "ppfd_umol_m2_s", "sensor", "note"}

// otherUnits says which units serve beside the usual ones.
const otherUnits = "lengths may end in _cm, _m, _in or _ft too, and klx or fc may stand for lux"

// parseColumn reads one name of the header.
func parseColumn(text string) (column, error) {
	text = strings.TrimSpace(text)
	name := strings.ToLower(text)
	if u, ok := unitsOf[luxColumn][name]; ok { // the unit alone says what it is
		return column{kind: luxColumn, name: name, unit: u}, nil
	}
	base, ending, _ := strings.Cut(name, "_")
	k, ok := names[base]
	if !ok {
		if near := document.Suggest(name, usual); near != "" {
			return column{}, fmt.Errorf("unknown column %.40q; did you mean %q?", text, near)
		}
		return column{}, fmt.Errorf("unknown column %.40q; known are %s; %s", text, strings.Join(usual, ", "), otherUnits)
	}
	if ending == "" {
		return column{kind: k, name: name}, nil
	}
	u, ok := unitsOf[k][ending]
	if !ok {
		var all []string
		for e := range unitsOf[k] {
			all = append(all, base+"_"+e)
		}
		if slices.Sort(all); len(all) == 0 {
			return column{}, fmt.Errorf("unknown column %.40q; did you mean %q?", text, base)
		}
		return column{}, fmt.Errorf("unknown column %.40q; its name with a unit is one of %s", text, strings.Join(all, ", "))
	}
	return column{kind: k, name: name, unit: u}, nil
}

// header reads the first line; it is false where it is wrong, for nothing below can be understood then.
func (r *reader) header(fields []string, pos func(int) (int, int)) bool {
	line, _ := pos(0)
	if len(fields) == 1 && strings.Contains(fields[0], ";") {
		r.faultf(line, 1, "semicolons stand between the columns, as spreadsheets write where decimals take a comma; save "+
			"the file with commas between the columns and points in the numbers")
		return false
	}
	if len(fields) == 1 && strings.Contains(fields[0], "\t") {
		r.faultf(line, 1, "tabs stand between the columns; save the file with commas between them")
		return false
	}
	if len(fields) > maxColumns {
		r.faultf(line, 1, "%d columns are too many; %d serve: %s", len(fields), len(usual), strings.Join(usual, ", "))
		return false
	}
	seen := map[kind]string{}
	for i, text := range fields {
		l, col := pos(i)
		c, err := parseColumn(text)
		if err != nil {
			r.faultf(l, col, "%v", err)
			continue
		}
		if before, ok := seen[c.kind]; ok {
			r.faultf(l, col, "column %s says the same as %s", c.name, before)
		}
		seen[c.kind] = c.name
		r.columns = append(r.columns, c)
	}
	if len(r.report.Faults) > 0 {
		return false
	}
	return r.complete(seen, line)
}

// complete refuses a header in which something is missing.
func (r *reader) complete(seen map[kind]string, line int) bool {
	missing := func(format string) {
		r.faultf(line, 1, "%s; a header is such as x_mm,y_mm,plane,lux or x_in,y_in,depth_in,fc", format)
	}
	has := func(k kind) bool { _, ok := seen[k]; return ok }
	if !has(xColumn) || !has(yColumn) {
		missing("the columns x_mm and y_mm are needed: from the left and from the front")
	}
	switch {
	case !has(planeColumn) && !has(depthColumn):
		missing("a column plane or depth_mm is needed")
	case has(planeColumn) && has(depthColumn):
		missing("plane and depth exclude each other")
	}
	if !has(luxColumn) && !has(photonColumn) {
		missing("a column lux or ppfd_umol_m2_s is needed")
	}
	return len(r.report.Faults) == 0
}

// dimension returns what kind of quantity a column holds, nil for words.
func (c column) dimension() *unit.Dimension {
	switch c.kind {
	case xColumn, yColumn, depthColumn:
		return unit.Length
	case luxColumn:
		return unit.Illuminance
	case photonColumn:
		return unit.PhotonFluxDensity
	}
	return nil
}
