package parts

import (
	"fmt"
	"strings"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
)

// Text returns the part of a kind, by the key of its table, and name as a table of parts that is read as the same part,
// whatever it was based on: with the spectrum of a module that is no built-in one. It is empty for a part that there is
// not.
func (l *Catalogue) Text(kind, name string) string {
	own, rest := map[string]string{}, ""
	var part any
	switch kind {
	case "modules":
		m := l.Modules[name]
		part, own["dies"], own["output"] = m, diesText(m), outputText(m)
		if builtin().Spectra[m.Spectrum].Name == "" {
			rest = l.Text("spectra", m.Spectrum)
		}
	case "optics":
		o := l.Optics[name]
		if o.File != "" { // which has the angles
			o.BeamRad, o.BeamAcrossRad, o.FieldRad, o.FieldAcrossRad = 0, 0, 0, 0
		}
		part = o
	case "drivers":
		d := l.Drivers[name]
		part, own["efficiency"] = d, rowsText([]string{"load", "share"}, []string{"", ""}, d.Efficiency)
	case "profiles":
		part = l.Profiles[name]
	case "spectra":
		s := l.Spectra[name]
		part, own["table"] = s, rowsText([]string{"wavelength", "power"}, []string{" nm", ""}, s.Power)
	case "waters":
		part = l.Waters[name]
	}
	keys := key.PartTables.Row(kind).Shape.Keys
	return fmt.Sprintf("%s:\n  %s:\n%s", kind, document.Quote(name), keys.Text(part, "    ", own)) + rest
}

func diesText(m Module) string {
	text := fmt.Sprintf("{along: %d, across: %d", m.DiesAlong, m.DiesAcross)
	for _, p := range []struct {
		key    string
		pitchM float64
	}{{"pitch_along", m.PitchAlongM}, {"pitch_across", m.PitchAcrossM}} {
		if p.pitchM > 0 {
			text += fmt.Sprintf(", %s: %.9g mm", p.key, p.pitchM*1000)
		}
	}
	return text + "}"
}

func outputText(m Module) string {
	return rowsText([]string{"current", "flux", "voltage"}, []string{" A", " lm", " V"}, m.FluxLm, m.ForwardV)
}

// rowsText writes curves over the same values as a list of rows, under keys with their units.
func rowsText(keys, units []string, curves ...curve.Curve) string {
	x, _ := curves[0].Points()
	var rows []string
	for i, v := range x {
		text := fmt.Sprintf("{%s: %.9g%s", keys[0], v, units[0])
		for k, c := range curves {
			_, y := c.Points()
			text += fmt.Sprintf(", %s: %.9g%s", keys[k+1], y[i], units[k+1])
		}
		rows = append(rows, text+"}")
	}
	return "[" + strings.Join(rows, ", ") + "]"
}
