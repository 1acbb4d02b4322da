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
	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// figure is one number or word about a part; one without a value is left out. brief is how it stands in the list of all
// parts; empty where it does not.
type figure struct {
	key, title, unit string
	value            any
	brief            string
}

// part is one part with its figures.
type part struct {
	name, about string
	figures     []figure
}

// whole is the part for programs.
func (p part) whole() answer.Answer {
	return append(fields("name", p.name, "about", p.about), p.figured()...)
}

// figured are the part's figures.
func (p part) figured() (list answer.Answer) {
	for _, f := range p.figures {
		if v, is := f.value.(float64); is {
			f.value = roundTo(v, 1e-6)
		}
		if f.value != nil {
			list = append(list, answer.Figure{Key: f.key, Title: f.title, Unit: f.unit, Value: f.value,
				Digits: answer.General})
		}
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
	return strings.TrimPrefix(p.about+": ", ": ") + strings.Join(list, ", ")
}

// partKind is one kind of part.
type partKind struct {
	key, noun string
	names     func(*parts.Catalogue) []string
	describe  func(at shelf, name string) part
	draw      func(ctx context.Context, at shelf, name string, look render.Look) ([]render.Picture, error)
	sample    func(at shelf, name string) *scene.Scene // by which the cautions of its noun are judged
}

// partKinds in the order in which they are listed.
var partKinds = []partKind{
	{"modules", "module", func(l *parts.Catalogue) []string { return parts.Names(l.Modules) }, describeModule,
		drawModule, sampleModule},
	{"optics", "optic", func(l *parts.Catalogue) []string { return parts.Names(l.Optics) }, describeOptic,
		drawOptic, sampleOptic},
	{"drivers", "driver", func(l *parts.Catalogue) []string { return parts.Names(l.Drivers) }, describeDriver,
		nil, sampleDriver},
	{"profiles", "profile", func(l *parts.Catalogue) []string { return parts.Names(l.Profiles) }, describeProfile,
		nil, nil},
	{"spectra", "spectrum", func(l *parts.Catalogue) []string { return parts.Names(l.Spectra) }, describeSpectrum,
		drawSpectrum, nil},
	{"waters", "water", func(l *parts.Catalogue) []string { return parts.Names(l.Waters) }, describeWater, nil, nil},
}

// money writes a price, none where it is not known.
func money(m parts.Money, per string) any { return optional(moneyText(m)+per, m.Currency != "") }

// faultyPart is a part of which nothing is known but why.
func faultyPart(name, about string, err error) part {
	return part{name, about, []figure{{"fault", "fault", "", err.Error(), err.Error()}}}
}

func describeModule(at shelf, name string) part {
	m := at.catalogue.Modules[name]
	low, high := m.CurrentRange()
	high = math.Min(high, m.HighestA)
	lm := m.RatedFlux(high)
	volts, _ := m.Voltage(high, m.ReferenceC)
	current := number(roundTo(high*1000, 1e-6)) + " mA"
	return part{m.Name, m.About, []figure{
		{"dies", "LEDs", "", float64(m.Dies()), unit.Several(m.Dies(), "LED")},
		{"spectrum", "spectrum", "", m.Spectrum, m.Spectrum},
		{"lowest_ma", "lowest current", "mA", low * 1000, ""},
		{"highest_ma", "highest current", "mA", high * 1000, ""},
		{"highest_lm", "flux at " + current, "lm", lm, fmt.Sprintf("%.0f lm at %s", lm, current)},
		{"highest_v", "voltage at " + current, "V", volts, ""},
		{"highest_w", "power at " + current, "W", volts * high, fmt.Sprintf("%.3g W", volts*high)},
		{"stated_radiant_efficiency", "radiant efficiency as the part states it", "", m.RadiantEfficiency, ""},
		{"test_temperature_c", "test temperature", "°C", m.ReferenceC, ""},
		{"board_length_mm", "board along the rail", "mm", millimetres(m.BoardLengthM), ""},
		{"board_width_mm", "board across the rail", "mm", millimetres(m.BoardWidthM), ""},
		{"thermal_resistance_k_w", "thermal resistance", "K/W", m.ResistanceKPerW, ""},
		{"highest_junction_c", "highest junction temperature", "°C", m.HighestJunctionC, ""},
		{"radiant_efficiency", "radiant efficiency at " + current, "",
			optional(roundTo(lm/m.LmPerW/(volts*high), 1e-3), m.LmPerW > 0), ""},
		{"price", "price", "", money(m.Price, ""), ""},
	}}
}

// describeOptic says what an optic does; of one whose file cannot be read, why.
func describeOptic(at shelf, name string) part {
	o := at.catalogue.Optics[name]
	b, err := optics.DescribeBeam(o, at.open)
	if err != nil {
		return faultyPart(o.Name, o.About, err)
	}
	angle := func(rad float64) any { return roundTo(rad*180/math.Pi, 0.01) }
	file := ""
	if o.File != "" {
		file = "measured, " + o.File
	}
	return part{o.Name, o.About, []figure{
		{"beam_deg", "beam along", "°", angle(b.BeamEdge.AlongRad()), opticAngles(b, b.BeamEdge) + "°"},
		{"beam_across_deg", "beam across", "°", angle(b.BeamEdge.AcrossRad()), ""},
		{"field_deg", "field along", "°", angle(b.FieldEdge.AlongRad()), "field " + opticAngles(b, b.FieldEdge) + "°"},
		{"field_across_deg", "field across", "°", angle(b.FieldEdge.AcrossRad()), ""},
		{"efficiency", "efficiency", "", o.Efficiency, fmt.Sprintf("%.0f %% efficiency", 100*o.Efficiency)},
		{"stray", "stray share", "", o.StrayShare, ""},
		{"centre_cd_klm", "centre", "cd per 1000 lm emitted", roundTo(b.CentreCd, 0.01), ""},
		{"peak_cd_klm", "highest", "cd per 1000 lm emitted", roundTo(b.PeakCd, 0.01), ""},
		{"in_beam", "within the beam", "of the light", roundTo(b.InBeam, 1e-4), ""},
		{"in_field", "within the field", "of the light", roundTo(b.InField, 1e-4), ""},
		{"backward_share", "backward flux", "of the light", roundTo(b.Behind, 1e-4), ""},
		{"file", "measured in", "", optional(o.File, o.File != ""), file},
		{"price", "price", "", money(o.Price, ""), ""},
	}}
}

// opticAngles writes a full angle, or the one along and the one across where they differ, to a whole degree.
func opticAngles(b *result.Beam, e result.Edges) string {
	along, across := fmt.Sprintf("%.0f", degrees(e.AlongRad())), fmt.Sprintf("%.0f", degrees(e.AcrossRad()))
	if b.Round || along == across {
		return along
	}
	return along + " x " + across
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
	all := strings.Join(currents, ", ") + " mA"
	return part{d.Name, d.About, []figure{
		{"currents_ma", "", "", mA, all},
		{"", "output current", "", all, ""},
		{"lowest_v", "lowest voltage", "V", d.LowestV, ""},
		{"highest_v", "highest voltage", "V", d.HighestV, number(d.LowestV) + " to " + number(d.HighestV) + " V"},
		{"rated_w", "rated power", "W", d.RatedW, number(d.RatedW) + " W"},
		{"efficiency", "efficiency at full load", "", full, ""},
		{"ip", "protection", "", d.IP, d.IP},
		{"price", "price", "", money(d.Price, ""), ""},
	}}
}

func describeProfile(at shelf, name string) part {
	p := at.catalogue.Profiles[name]
	wide, high, metal := millimetres(p.WidthM), millimetres(p.HeightM), roundTo(p.MetalM2*1e6, 1e-6)
	return part{p.Name, p.About, []figure{
		{"width_mm", "width", "mm", wide, ""},
		{"height_mm", "height", "mm", high, number(wide) + " x " + number(high) + " mm"},
		{"metal_mm2", "metal", "mm²", metal, number(metal) + " mm² of metal"},
		{"perimeter_mm", "perimeter", "mm", millimetres(p.PerimeterM), ""},
		{"conductivity_w_m_k", "conductivity", "W/m/K", p.ConductivityWPerMK, ""},
		{"emissivity", "emissivity", "", p.Emissivity, ""},
		{"price_per_m", "price", "", money(p.PricePerM, "/m"), ""},
	}}
}

func describeSpectrum(at shelf, name string) part {
	s := at.catalogue.Spectra[name]
	d, err := optics.DescribeSpectrum(s)
	if err != nil {
		return faultyPart(s.Name, s.About, err)
	}
	return part{s.Name, s.About, []figure{
		{"lx_per_umol_m2_s", "lx for 1 µmol/m²/s", "", roundTo(d.LuxPerPPFD, 0.01),
			fmt.Sprintf("%.1f lx for 1 µmol/m²/s", d.LuxPerPPFD)},
		{"lm_per_w", "luminous efficacy of radiation", "lm/W", roundTo(d.LmPerW, 0.1),
			fmt.Sprintf("%.0f lm/W of radiation", d.LmPerW)},
		{"umol_per_j", "photon efficacy of radiation", "µmol/J", roundTo(d.UmolPerJ, 0.001), ""},
		{"peak_nm", "highest at", "nm", d.PeakNm, ""},
		{"blue", "photons 400 to 500 nm", "", roundTo(d.Blue, 1e-4), ""},
		{"green", "photons 500 to 600 nm", "", roundTo(d.Green, 1e-4), ""},
		{"red", "photons 600 to 700 nm", "", roundTo(d.Red, 1e-4), ""},
	}}
}

func describeWater(at shelf, name string) part {
	w := at.catalogue.Waters[name]
	return part{w.Name, w.About, []figure{
		{"cdom_absorption_440_per_m", "CDOM absorption at 440 nm", "1/m", w.CDOM440PerM,
			"CDOM " + number(w.CDOM440PerM) + " 1/m at 440 nm"},
		{"cdom_spectral_slope_per_nm", "CDOM spectral slope", "1/nm", w.CDOMSlopePerNm, ""},
		{"particle_absorption_per_m", "absorption of particles", "1/m", w.ParticleAbsorbPerM, ""},
		{"particle_scattering_per_m", "scattering of particles", "1/m", w.ParticleScatterPerM,
			"scattering " + number(w.ParticleScatterPerM) + " 1/m"},
	}}
}

func drawOptic(ctx context.Context, at shelf, name string, look render.Look) ([]render.Picture, error) {
	b, err := optics.DescribeBeam(at.catalogue.Optics[name], at.open)
	if err != nil {
		return nil, err
	}
	said := situation{scene: sampleOptic(at, name)}.at("optic")
	for i, c := range said {
		said[i] = "Caution: " + c
	}
	return render.Beam(ctx, b, look, said)
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

// sampleOf is a scene of one module.
func sampleOf(at shelf, m scene.Module) *scene.Scene {
	return &scene.Scene{Catalogue: at.catalogue, Rails: []scene.Rail{{Modules: []scene.Module{m}}}}
}

func sampleModule(at shelf, name string) *scene.Scene {
	return sampleOf(at, scene.Module{Part: at.catalogue.Modules[name]})
}

// sampleOptic has the angles that a scene would have; of a measured optic that no rail bears yet, those of its file.
func sampleOptic(at shelf, name string) *scene.Scene {
	o := at.catalogue.Optics[name]
	if b, err := optics.DescribeBeam(o, at.open); err == nil && min(o.BeamRad, o.BeamAcrossRad) == 0 {
		o.BeamRad, o.BeamAcrossRad = b.BeamEdge.AlongRad(), b.BeamEdge.AcrossRad()
	}
	return sampleOf(at, scene.Module{Optic: o})
}

func sampleDriver(at shelf, name string) *scene.Scene {
	return &scene.Scene{Wiring: scene.Wiring{Driver: at.catalogue.Drivers[name]}}
}
