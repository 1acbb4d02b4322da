package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
)

// part is one part with its figures.
type part struct {
	Name, About string
	figures     []figure
}

// figure is one number or word about a part. brief is how it stands in the list of all parts; empty where it does not.
type figure struct {
	answer.Figure
	brief string
}

// fields are the part's name and figures.
func (p part) fields() answer.Answer {
	list := fields("name", p.Name, "about", p.About)
	for _, f := range p.figures {
		list = append(list, f.Figure)
	}
	return list
}

// titled are the part's figures for people.
func (p part) titled() (list answer.Answer) {
	for _, f := range p.figures {
		f.Key = ""
		list = append(list, f.Figure)
	}
	return list
}

// line is the part in the list of all parts.
func (p part) line() string {
	var list []string
	for _, f := range p.figures {
		if f.brief != "" {
			list = append(list, f.brief)
		}
	}
	return strings.TrimPrefix(p.About+": ", ": ") + strings.Join(list, ", ")
}

// partKind is one kind of part.
type partKind struct {
	key, noun string
	names     func(*parts.Catalogue) []string
	describe  func(at shelf, name string) part
	draw      func(ctx context.Context, at shelf, name string, look render.Look) ([]render.Picture, error)
	cautions  func(at shelf, name string) []string
}

// partKinds in the order in which they are listed.
var partKinds = []partKind{
	{key: "modules", noun: "module", names: func(l *parts.Catalogue) []string { return parts.Names(l.Modules) },
		describe: describeModule, draw: drawModule, cautions: moduleCautions},
	{key: "optics", noun: "optic", names: func(l *parts.Catalogue) []string { return parts.Names(l.Optics) },
		describe: describeOptic, draw: drawOptic, cautions: opticCautions},
	{key: "drivers", noun: "driver", names: func(l *parts.Catalogue) []string { return parts.Names(l.Drivers) },
		describe: describeDriver, cautions: driverCautions},
	{key: "profiles", noun: "profile", names: func(l *parts.Catalogue) []string { return parts.Names(l.Profiles) },
		describe: describeProfile},
	{key: "spectra", noun: "spectrum", names: func(l *parts.Catalogue) []string { return parts.Names(l.Spectra) },
		describe: describeSpectrum, draw: drawSpectrum},
	{key: "waters", noun: "water", names: func(l *parts.Catalogue) []string { return parts.Names(l.Waters) },
		describe: describeWater},
}

// quantity is a number with its unit.
func quantity(key, label string, value float64, unit string) figure {
	return figure{Figure: answer.Figure{Key: key, Title: label, Value: roundTo(value, 1e-6), Unit: unit,
		Digits: answer.General}}
}

// inList is f with a text for the list.
func (f figure) inList(format string, args ...any) figure {
	f.brief = fmt.Sprintf(format, args...)
	return f
}

func word(key, label, text string) figure {
	return figure{Figure: answer.Figure{Key: key, Title: label, Value: text}}
}

func price(key string, m parts.Money, per string) []figure {
	if m.Currency == "" {
		return nil
	}
	return []figure{word(key, "price", moneyText(m)+per)}
}

func describeModule(at shelf, name string) part {
	m := at.catalogue.Modules[name]
	low, high := m.FluxLm.Domain()
	if lowV, highV := m.ForwardV.Domain(); !m.ForwardV.Empty() {
		low, high = math.Max(low, lowV), math.Min(high, highV)
	}
	paths := float64(m.ParallelPaths)
	amps := math.Min(high*paths, m.HighestA)
	lm, _ := m.FluxLm.At(amps / paths)
	volts, _ := m.ForwardV.At(amps / paths)
	lm *= float64(m.Dies())
	volts *= float64(m.Dies()) / paths
	current := number(roundTo(amps*1000, 1e-6)) + " mA"
	f := []figure{
		quantity("dies", "LEDs", float64(m.Dies()), "").inList("%s", several(m.Dies(), "LED")),
		word("spectrum", "spectrum", m.Spectrum).inList("%s", m.Spectrum),
		quantity("lowest_ma", "lowest current", low*paths*1000, "mA"),
		quantity("highest_ma", "highest current", amps*1000, "mA"),
		quantity("highest_lm", "flux at "+current, lm, "lm").inList("%.0f lm at %s", lm, current),
		quantity("highest_v", "voltage at "+current, volts, "V"),
		quantity("highest_w", "power at "+current, volts*amps, "W").inList("%.3g W", volts*amps),
		quantity("stated_radiant_efficiency", "radiant efficiency as the part states it", m.RadiantEfficiency, ""),
		quantity("test_temperature_c", "test temperature", m.ReferenceC, "°C"),
		quantity("board_length_mm", "board along the rail", millimetres(m.BoardLengthM), "mm"),
		quantity("board_width_mm", "board across the rail", millimetres(m.BoardWidthM), "mm"),
		quantity("thermal_resistance_k_w", "thermal resistance", m.ResistanceKPerW, "K/W"),
		quantity("highest_junction_c", "highest junction temperature", m.HighestJunctionC, "°C"),
	}
	if m.LmPerW > 0 {
		f = append(f, quantity("radiant_efficiency", "radiant efficiency at "+current,
			roundTo(lm/m.LmPerW/(volts*amps), 1e-3), ""))
	}
	return part{m.Name, m.About, append(f, price("price", m.Price, "")...)}
}

// moduleCautions speaks of blue light, and of where flux, spectrum and light share of a module do not go together.
func moduleCautions(at shelf, name string) []string {
	lines := long(blueSpectrum(at.catalogue, at.catalogue.Modules[name].Spectrum))
	if _, why := at.catalogue.Modules[name].LightWarning(); why != "" {
		lines = append(lines, why)
	}
	return lines
}

// describeOptic says what an optic does; of one whose file cannot be read, why.
func describeOptic(at shelf, name string) part {
	o := at.catalogue.Optics[name]
	p := part{Name: o.Name, About: o.About}
	b, err := optics.DescribeBeam(o, at.open)
	if err != nil {
		p.figures = []figure{word("fault", "fault", err.Error()).inList("%s", err.Error())}
		return p
	}
	p.figures = []figure{
		angle("beam_deg", "beam along", b.BeamEdge.AlongRad()).inList("%s deg", opticAngles(b, b.BeamEdge)),
		angle("beam_across_deg", "beam across", b.BeamEdge.AcrossRad()),
		angle("field_deg", "field along", b.FieldEdge.AlongRad()).inList("field %s deg", opticAngles(b, b.FieldEdge)),
		angle("field_across_deg", "field across", b.FieldEdge.AcrossRad()),
		quantity("efficiency", "efficiency", o.Efficiency, "").inList("%.0f %% leaves", 100*o.Efficiency),
		quantity("stray", "stray share", o.StrayShare, ""),
		quantity("centre_cd_klm", "centre", roundTo(b.CentreCd, 0.01), "cd for 1000 lm that leave"),
		quantity("peak_cd_klm", "highest", roundTo(b.PeakCd, 0.01), "cd for 1000 lm that leave"),
		quantity("in_beam", "within the beam", roundTo(b.InBeam, 1e-4), "of the light"),
		quantity("in_field", "within the field", roundTo(b.InField, 1e-4), "of the light"),
		quantity("backward_share", "backward flux", roundTo(b.Behind, 1e-4), "of the light"),
	}
	if o.File != "" {
		p.figures = append(p.figures, word("file", "measured in", o.File).inList("measured, %s", o.File))
	}
	p.figures = append(p.figures, price("price", o.Price, "")...)
	return p
}

func angle(key, label string, rad float64) figure {
	return quantity(key, label, roundTo(rad*180/math.Pi, 0.01), "deg")
}

// opticAngles writes a full angle, or the one along and the one across where they differ, to a whole degree.
func opticAngles(b *result.Beam, e result.Edges) string {
	along, across := fmt.Sprintf("%.0f", degrees(e.AlongRad())), fmt.Sprintf("%.0f", degrees(e.AcrossRad()))
	if b.Round || along == across {
		return along
	}
	return along + " x " + across
}

func drawOptic(ctx context.Context, at shelf, name string, look render.Look) ([]render.Picture, error) {
	b, err := optics.DescribeBeam(at.catalogue.Optics[name], at.open)
	if err != nil {
		return nil, err
	}
	return render.Beam(ctx, b, look, opticCautions(at, name))
}

// opticCautions goes by the angles that a scene would have; of a measured optic that no rail bears yet, by its file.
func opticCautions(at shelf, name string) []string {
	o := at.catalogue.Optics[name]
	smaller := math.Min(o.BeamRad, o.BeamAcrossRad)
	if b, err := optics.DescribeBeam(o, at.open); smaller == 0 && err == nil {
		smaller = math.Min(b.BeamEdge.AlongRad(), b.BeamEdge.AcrossRad())
	}
	return long(narrowBeam(name, smaller))
}

// driverCautions speaks of a driver that by itself is above what bare parts may have in dry places.
func driverCautions(at shelf, name string) []string {
	if v := at.catalogue.Drivers[name].HighestV; circuit.TouchOf(v) > circuit.DryTouch {
		return long(touchCaution("the driver can give", v))
	}
	return nil
}

func describeDriver(at shelf, name string) part {
	d := at.catalogue.Drivers[name]
	var currents []string
	var mA []float64
	for _, a := range d.CurrentsA {
		mA = append(mA, roundTo(a*1000, 1e-6))
		currents = append(currents, number(roundTo(a*1000, 1e-6)))
	}
	full, _ := d.Efficiency.At(1)
	all := strings.Join(currents, ", ")
	f := []figure{
		{Figure: answer.Figure{Key: "currents_ma", Value: mA}, brief: all + " mA"},
		{Figure: answer.Figure{Title: "output current", Value: all + " mA"}},
		quantity("lowest_v", "lowest voltage", d.LowestV, "V"),
		quantity("highest_v", "highest voltage", d.HighestV, "V").inList("%s to %s V", number(d.LowestV),
			number(d.HighestV)),
		quantity("rated_w", "rated power", d.RatedW, "W").inList("%s W", number(d.RatedW)),
		quantity("efficiency", "efficiency at full load", full, ""),
		word("ip", "protection", d.IP).inList("%s", d.IP),
	}
	return part{d.Name, d.About, append(f, price("price", d.Price, "")...)}
}

func describeProfile(at shelf, name string) part {
	p := at.catalogue.Profiles[name]
	f := []figure{
		quantity("width_mm", "width", millimetres(p.WidthM), "mm"),
		quantity("height_mm", "height", millimetres(p.HeightM), "mm").inList("%s x %s mm",
			number(millimetres(p.WidthM)), number(millimetres(p.HeightM))),
		quantity("metal_mm2", "metal", p.MetalM2*1e6, "mm²").inList("%s mm² of metal", number(roundTo(p.MetalM2*1e6,
			1e-6))),
		quantity("perimeter_mm", "perimeter", millimetres(p.PerimeterM), "mm"),
		quantity("conductivity_w_m_k", "conductivity", p.ConductivityWPerMK, "W/m/K"),
		quantity("emissivity", "emissivity", p.Emissivity, ""),
	}
	return part{p.Name, p.About, append(f, price("price_per_m", p.PricePerM, "/m")...)}
}

func describeSpectrum(at shelf, name string) part {
	s := at.catalogue.Spectra[name]
	p := part{Name: s.Name, About: s.About}
	d, err := optics.DescribeSpectrum(s)
	if err != nil {
		p.figures = []figure{word("fault", "fault", err.Error()).inList("%s", err.Error())}
		return p
	}
	p.figures = []figure{
		quantity("lx_per_umol_m2_s", "lx for 1 µmol/m²/s", roundTo(d.LuxPerPPFD, 0.01),
			"").inList("%.1f lx for 1 µmol/m²/s", d.LuxPerPPFD),
		quantity("lm_per_w", "luminous efficacy of radiation", roundTo(d.LmPerW, 0.1),
			"lm/W").inList("%.0f lm/W of radiation", d.LmPerW),
		quantity("umol_per_j", "photon efficacy of radiation", roundTo(d.UmolPerJ, 0.001), "µmol/J"),
		quantity("peak_nm", "highest at", d.PeakNm, "nm"),
		quantity("blue", "photons 400 to 500 nm", roundTo(d.Blue, 1e-4), ""),
		quantity("green", "photons 500 to 600 nm", roundTo(d.Green, 1e-4), ""),
		quantity("red", "photons 600 to 700 nm", roundTo(d.Red, 1e-4), ""),
	}
	return p
}

// drawModule draws the spectrum of a module's dies; its beam is that of the optic.
func drawModule(ctx context.Context, at shelf, name string, look render.Look) ([]render.Picture, error) {
	return drawSpectrum(ctx, at, at.catalogue.Modules[name].Spectrum, look)
}

func drawSpectrum(ctx context.Context, at shelf, name string, look render.Look) ([]render.Picture, error) {
	d, err := optics.DescribeSpectrum(at.catalogue.Spectra[name])
	if err != nil {
		return nil, err
	}
	return render.Spectrum(ctx, d, look)
}

func describeWater(at shelf, name string) part {
	w := at.catalogue.Waters[name]
	return part{w.Name, w.About, []figure{
		quantity("cdom_absorption_440_per_m", "CDOM absorption at 440 nm", w.CDOM440PerM,
			"1/m").inList("CDOM %s 1/m at 440 nm", number(w.CDOM440PerM)),
		quantity("cdom_spectral_slope_per_nm", "CDOM spectral slope", w.CDOMSlopePerNm, "1/nm"),
		quantity("particle_absorption_per_m", "absorption of particles", w.ParticleAbsorbPerM, "1/m"),
		quantity("particle_scattering_per_m", "scattering of particles", w.ParticleScatterPerM,
			"1/m").inList("scattering %s 1/m", number(w.ParticleScatterPerM)),
	}}
}
