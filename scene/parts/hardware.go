package parts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/unit"
)

func finishDriver(d *draft, v *Driver, _ Driver) {
	if v.HighestV > 0 && v.LowestV >= v.HighestV {
		d.Open("voltage").Get("low").Faultf("the lowest voltage, %s, is not below the highest, %s",
			unit.Voltage.Say(v.LowestV), unit.Voltage.Say(v.HighestV))
	}
	if d.Has("voltage") && !d.Has("open_voltage") {
		v.OpenV = 0 // that of a base part is none of this range
	}
	if v.OpenV > 0 && v.OpenV < v.HighestV {
		d.Get("open_voltage").Faultf("the open-circuit voltage, %s, is below the highest output voltage, %s",
			unit.Voltage.Say(v.OpenV), unit.Voltage.Say(v.HighestV))
	}
	for i, a := range v.CurrentsA {
		if a > 0 && slices.Contains(v.CurrentsA[:i], a) {
			d.Item("currents", i).Faultf("%s is given twice", unit.Current.Say(a))
		}
	}
	slices.Sort(v.CurrentsA)
	n := d.Get("efficiency")
	if !n.IsSequence() { // one share for any load
		if share := d.Value("efficiency", 0); share > 0 {
			_, most := key.Efficiency.Ends("load")
			v.Efficiency, _ = curve.Linear([]float64{0, most}, []float64{share, share}) // two fixed rows always serve
		}
		return
	}
	loads := d.columns("efficiency", 1, "load", "share")
	if loads == nil || slices.Contains(loads[1], 0) {
		return // complained about above
	}
	var err error
	if v.Efficiency, err = curve.Linear(loads[0], loads[1]); err != nil {
		n.Faultf("efficiency against load: %s", oneLine(err))
	}
}

// columns reads columns of a list, of which the first ones must rise; nil where they do not, or where there is no row.
func (d *draft) columns(list string, rising int, keys ...string) (columns [][]float64) {
	columns = make([][]float64, len(keys))
	sound := false
	for i, f := range d.Rows(list) {
		sound = sound || i == 0
		told := false
		for k, key := range keys {
			v := f.Value(key, 0)
			if k < rising && i > 0 && v > 0 && v <= columns[k][i-1] && !told {
				f.Get(key).Faultf("the %s does not rise over the row before; order the rows by rising %s", key, keys[0])
				sound, told = false, true
			}
			columns[k] = append(columns[k], v)
		}
	}
	if !sound {
		return nil
	}
	return columns
}

// finishProfile complains about values that do not go together.
func finishProfile(d *draft, p *Profile, _ Profile) {
	if p.WidthM == 0 || p.HeightM == 0 {
		return
	}
	if !d.Has("wall") && (!d.Based || d.Has("width") || d.Has("height") || d.Has("metal")) {
		p.WallM = evenWall(*p)
	}
	if p.WallM > p.HeightM*(1+1e-9) {
		d.Get("wall").Faultf("a wall of %s is thicker than the bar, %s", unit.Length.Say(p.WallM), unit.Length.Say(p.HeightM))
	}
	if wide := float64(p.FinCount) * p.FinThicknessM; wide > p.WidthM*(1+1e-9) {
		d.Get("fins").Faultf("%d fins of %s are wider than the bar, %s", p.FinCount, unit.Length.Say(p.FinThicknessM),
			unit.Length.Say(p.WidthM))
	}
	for i, s := range p.Slots {
		if runsOver(s.AcrossM, s.WidthM, p.WidthM) {
			d.Item("slots", i).Faultf("the slot runs over the edge of a bar that is %s wide; places are counted from the "+
				"centre line", unit.Length.Say(p.WidthM))
		}
	}
	if most := p.WidthM * p.HeightM; p.MetalM2 > most*(1+1e-9) {
		d.Get("metal").Faultf("%s of metal do not fit into %s by %s", unit.Area.Say(p.MetalM2), unit.Length.Say(p.WidthM),
			unit.Length.Say(p.HeightM))
	}
	if least := 2 * math.Max(p.WidthM, p.HeightM); p.PerimeterM > 0 && p.PerimeterM < least*(1-1e-9) {
		d.Get("perimeter").Warn(finding.PerimeterShort.Of(finding.Length(p.PerimeterM), finding.Length(p.WidthM),
			finding.Length(p.HeightM)))
	}
}

// evenWall is the wall of a rectangular tube with the bar's outline and metal, 2 t (w + h) - 4 t^2; the whole height of
// a solid bar.
func evenWall(p Profile) float64 {
	half := (p.WidthM + p.HeightM) / 4
	if p.Solid() {
		return p.HeightM
	}
	return half - math.Sqrt(math.Max(half*half-p.MetalM2/4, 0))
}

// Read replaces the numbers of a kind of water by those that f gives. What says how a share of nothing is spread over
// wavelengths and angles need not be given.
func (w *Water) Read(f key.Fields) {
	f.Fill(w)
	w.check(f)
}

func (w *Water) check(f key.Fields) {
	if f.Has("cdom_absorption_440") && w.CDOM440PerM > 0 && w.CDOMSlopePerNm == 0 {
		f.Demand("cdom_spectral_slope")
	}
	if f.Has("particle_scattering") && w.ParticleScatterPerM > 0 && w.Asymmetry == 0 {
		f.Demand("asymmetry")
	}
}

// optic finishes an optic: angles, or a measured file; either ousts the other of a base part.
func (r *reader) optic(d *draft, o *Optic, base Optic) {
	if n := d.Get("file"); n.Exists() {
		r.lib.OpticFiles[d.name] = n
	}
	o.BeamOf = ""
	if d.Based && !slices.ContainsFunc([]string{"efficiency", "stray", "price", "file"}, d.Has) {
		o.BeamOf = d.Get("based_on").Text()
	}
	round := base.BeamAcrossRad == base.BeamRad
	if d.Has("file") {
		o.BeamRad, o.BeamAcrossRad, o.FieldRad, o.FieldAcrossRad = 0, 0, 0, 0
		return
	}
	if d.Has("beam") {
		o.File = ""
	}
	if o.BeamRad == 0 && o.File == "" && !d.lost {
		d.Demand("beam")
	}
	if round && !d.Has("beam_across") {
		o.BeamAcrossRad = o.BeamRad
	}
	if round && !d.Has("field_across") {
		o.FieldAcrossRad = 0
		if o.BeamAcrossRad == o.BeamRad {
			o.FieldAcrossRad = o.FieldRad
		}
	}
	d.checkAngles(*o)
}

// checkAngles complains about angles that do not go together.
func (d *draft) checkAngles(o Optic) {
	for _, key := range []string{"beam_across", "field", "field_across"} {
		if n := d.Get(key); n.Exists() && o.File != "" {
			n.Faultf("the file %s holds the shape of the light; give beam too to replace it", o.File)
			return
		}
	}
	narrow := func(key string, fieldRad, beamRad float64) {
		if fieldRad > 0 && fieldRad <= beamRad {
			d.Get(key).Faultf("a field angle of %s is not wider than the beam angle of %s", unit.Angle.Say(fieldRad),
				unit.Angle.Say(beamRad))
		}
	}
	narrow("field", o.FieldRad, o.BeamRad)
	if o.BeamAcrossRad != o.BeamRad || o.FieldAcrossRad != o.FieldRad {
		narrow("field_across", o.FieldAcrossRad, o.BeamAcrossRad)
	}
	switch along, across := d.Get("field"), d.Get("field_across"); {
	case o.FieldRad > 0 && o.FieldAcrossRad == 0 && !across.Exists():
		across.Faultf("missing; give it beside field, as the beam differs along and across")
	case o.FieldRad == 0 && o.FieldAcrossRad > 0 && !along.Exists():
		along.Faultf("missing; give it beside field_across")
	}
}

// What parts do not say is assumed, here and nowhere else.
const (
	// caseShare is the share of a module's thermal resistance that lies between the LED cases and the board's back.
	caseShare = 0.5
	// boardKgPerM2 is the mass of a bare board over its area: 1.6 mm of aluminium at 2700 kg/m3.
	boardKgPerM2 = 0.0016 * 2700
)

// FusePrice is that of a fuse with its holder for a wire. Assumed; the figure is invented.
var FusePrice = Money{Amount: 1.35, Currency: "EUR"}

// WirePrice is the price of a metre of single-core copper wire, by its cross-section; none where there is no wire.
// Assumed; both figures are invented.
func WirePrice(areaM2 float64) (m Money) {
	if areaM2 > 0 {
		m = Money{Amount: math.Round(100*(0.11+0.29e6*areaM2)) / 100, Currency: FusePrice.Currency}
	}
	return m
}

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
