package main

import (
	"context"
	"math"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// part is one part with its figures; those of one kind have the same in the same order.
type part struct {
	name, about string
	figures     answer.Answer
	sample      *scene.Scene // by which the cautions of its noun are judged; nil for none
	draw        func(context.Context, render.Look, []string) ([]render.Picture, error)
}

// fact is one number or word about a part, nil where it is not known.
func fact(key, title, unit string, value any) answer.Part {
	if v, is := value.(float64); is {
		value = roundTo(v, 1e-6)
	}
	return answer.Figure{Key: key, Title: title, Unit: unit, Value: value, Digits: answer.General}
}

// partKind is one kind of part. The figures of some keys stand in the list of all parts.
type partKind struct {
	key, noun, listed string
	names             func(*parts.Catalogue) []string
	describe          func(at shelf, name string) part
}

// partKinds in the order in which they are listed.
var partKinds = []partKind{
	{"modules", "module", "dies spectrum highest_ma highest_lm highest_w",
		func(l *parts.Catalogue) []string { return parts.Names(l.Modules) }, describeModule},
	{"optics", "optic", "beam_deg beam_across_deg field_deg field_across_deg efficiency file",
		func(l *parts.Catalogue) []string { return parts.Names(l.Optics) }, describeOptic},
	{"drivers", "driver", "currents_ma lowest_v highest_v open_voltage_v isolated rated_w ip",
		func(l *parts.Catalogue) []string { return parts.Names(l.Drivers) }, describeDriver},
	{"profiles", "profile", "width_mm height_mm metal_mm2",
		func(l *parts.Catalogue) []string { return parts.Names(l.Profiles) }, describeProfile},
	{"spectra", "spectrum", "lx_per_umol_m2_s lm_per_w",
		func(l *parts.Catalogue) []string { return parts.Names(l.Spectra) }, describeSpectrum},
	{"waters", "water", "cdom_absorption_440_per_m particle_scattering_per_m",
		func(l *parts.Catalogue) []string { return parts.Names(l.Waters) }, describeWater},
}

// table is all parts of a kind, of which people see the figures that are listed.
func (k partKind) table(at shelf) answer.Table {
	var records []answer.Answer
	for _, name := range k.names(at.catalogue) {
		p := k.describe(at, name)
		record := answer.Answer{answer.Figure{Key: "name", Title: k.noun, Value: name}}
		for _, one := range p.figures {
			f := one.(answer.Figure)
			if !slices.Contains(strings.Fields(k.listed), f.Key) {
				f.In = answer.JSON
			}
			record = append(record, f)
		}
		records = append(records, append(record, answer.Figure{Key: "about", Title: "about", Value: p.about}))
	}
	return answer.Rows(k.key, k.key, records...)
}

// money is a price, nil where it is not known.
func money(m parts.Money, per string) any { return optional(moneyText(m)+per, m.Currency != "") }

// failed is a part of which nothing is known but why; the part as it is where err is nil.
func (p part) failed(err error) part {
	if err == nil {
		return p
	}
	for i := range p.figures {
		f := p.figures[i].(answer.Figure)
		f.Value = optional(err.Error(), f.Key == "fault")
		p.figures[i] = f
	}
	p.about = err.Error()
	return p
}

func describeModule(at shelf, name string) part {
	m := at.catalogue.Modules[name]
	low, high := m.CurrentRange()
	high = math.Min(high, m.HighestA)
	lm := m.RatedFlux(high)
	volts := m.Voltage(high, m.ReferenceC)
	p := describeSpectrum(at, m.Spectrum)
	p.name, p.about, p.figures = m.Name, m.About, answer.Answer{
		fact("dies", "LEDs", "", m.Dies()),
		fact("spectrum", "spectrum", "", m.Spectrum),
		fact("lowest_ma", "lowest current", "mA", low*1000),
		fact("highest_ma", "highest current", "mA", high*1000),
		fact("highest_lm", "flux at it", "lm", lm),
		fact("highest_v", "voltage at it", "V", volts),
		fact("highest_w", "power at it", "W", volts*high),
		fact("radiant_efficiency", "radiant efficiency at it", "",
			optional(roundTo(lm/m.LmPerW/(volts*high), 1e-3), m.LmPerW > 0)),
		fact("stated_radiant_efficiency", "radiant efficiency as the part states it", "", m.RadiantEfficiency),
		fact("test_temperature_c", "test temperature", "°C", m.ReferenceC),
		fact("board_length_mm", "board along the rail", "mm", millimetres(m.BoardLengthM)),
		fact("board_width_mm", "board across the rail", "mm", millimetres(m.BoardWidthM)),
		fact("thermal_resistance_k_w", "thermal resistance", "K/W", m.ResistanceKPerW),
		fact("highest_junction_c", "highest junction temperature", "°C", m.HighestJunctionC),
		fact("price", "price", "", money(m.Price, "")),
	}
	p.sample = sampleOf(at, scene.Module{Part: m})
	return p
}

// describeOptic says what an optic does; of one whose file cannot be read, why. The cautions of a measured one that no
// rail bears yet are judged by the angles of its file.
func describeOptic(at shelf, name string) part {
	o := at.catalogue.Optics[name]
	b, err := optics.DescribeBeam(o, at.open)
	if err != nil {
		b = &result.Beam{}
	}
	angle := func(rad float64) any { return roundTo(rad*180/math.Pi, 0.01) }
	p := part{name: o.Name, about: o.About, figures: answer.Answer{
		fact("beam_deg", "beam along", "°", angle(b.BeamEdge.AlongRad())),
		fact("beam_across_deg", "beam across", "°", angle(b.BeamEdge.AcrossRad())),
		fact("field_deg", "field along", "°", angle(b.FieldEdge.AlongRad())),
		fact("field_across_deg", "field across", "°", angle(b.FieldEdge.AcrossRad())),
		fact("efficiency", "efficiency", "", o.Efficiency),
		fact("stray", "stray share", "", o.StrayShare),
		fact("centre_cd_klm", "centre", "cd per 1000 lm emitted", roundTo(b.CentreCd, 0.01)),
		fact("peak_cd_klm", "highest", "cd per 1000 lm emitted", roundTo(b.PeakCd, 0.01)),
		fact("in_beam", "within the beam", "of the light", roundTo(b.InBeam, 1e-4)),
		fact("in_field", "within the field", "of the light", roundTo(b.InField, 1e-4)),
		fact("backward_share", "backward flux", "of the light", roundTo(b.Behind, 1e-4)),
		fact("file", "measured in", "", optional(o.File, o.File != "")),
		fact("price", "price", "", money(o.Price, "")),
		fact("fault", "fault", "", nil),
	}}
	if err == nil && min(o.BeamRad, o.BeamAcrossRad) == 0 {
		o.BeamRad, o.BeamAcrossRad = b.BeamEdge.AlongRad(), b.BeamEdge.AcrossRad()
	}
	p.sample = sampleOf(at, scene.Module{Optic: o})
	p.draw = func(ctx context.Context, look render.Look, said []string) ([]render.Picture, error) {
		if err != nil {
			return nil, err
		}
		return render.Beam(ctx, b, look, each(said, func(c string) string { return "Caution: " + c }))
	}
	return p.failed(err)
}

func describeDriver(at shelf, name string) part {
	d := at.catalogue.Drivers[name]
	currentsMA := each(d.CurrentsA, func(a float64) float64 { return roundTo(a*1000, 1e-6) })
	full, _ := d.Efficiency.At(1)
	sample := &scene.Scene{Wiring: scene.Wiring{Driver: d}}
	return part{name: d.Name, about: d.About, sample: sample, figures: answer.Answer{
		fact("currents_ma", "output current", "mA", currentsMA),
		fact("lowest_v", "lowest voltage", "V", d.LowestV),
		fact("highest_v", "highest voltage", "V", d.HighestV),
		fact("rated_w", "rated power", "W", d.RatedW),
		fact("efficiency", "efficiency at full load", "", full),
		fact("isolated", "isolated", "", d.Isolated),
		fact("open_voltage_v", "open-circuit voltage", "V", optional(d.OpenV, d.OpenV > 0)),
		fact("class", "protection class", "", d.Class),
		fact("ripple_share", "ripple of the output, r.m.s.", "", d.RippleShare),
		fact("dimming", "dims by", "", d.Dimming),
		fact("inrush_a", "inrush current, peak", "A", optional(d.InrushA, d.InrushA > 0)),
		fact("standby_w", "stand-by power", "W", d.StandbyW),
		fact("ip", "protection", "", d.IP),
		fact("price", "price", "", money(d.Price, "")),
	}}
}

func describeProfile(at shelf, name string) part {
	p := at.catalogue.Profiles[name]
	return part{name: p.Name, about: p.About, figures: answer.Answer{
		fact("width_mm", "width", "mm", millimetres(p.WidthM)),
		fact("height_mm", "height", "mm", millimetres(p.HeightM)),
		fact("metal_mm2", "metal", "mm²", roundTo(p.MetalM2*1e6, 1e-6)),
		fact("perimeter_mm", "perimeter", "mm", millimetres(p.PerimeterM)),
		fact("conductivity_w_m_k", "conductivity", "W/m/K", p.ConductivityWPerMK),
		fact("emissivity", "emissivity", "", p.Emissivity),
		fact("price_per_m", "price", "", money(p.PricePerM, "/m")),
	}}
}

func describeSpectrum(at shelf, name string) part {
	s := at.catalogue.Spectra[name]
	d, err := optics.DescribeSpectrum(s)
	if err != nil {
		d = &result.Spectrum{}
	}
	p := part{name: s.Name, about: s.About, figures: answer.Answer{
		fact("lx_per_umol_m2_s", "lx for 1 µmol/m²/s", "", roundTo(d.LuxPerPPFD, 0.01)),
		fact("lm_per_w", "luminous efficacy of radiation", "lm/W", roundTo(d.LmPerW, 0.1)),
		fact("umol_per_j", "photon efficacy of radiation", "µmol/J", roundTo(d.UmolPerJ, 0.001)),
		fact("peak_nm", "highest at", "nm", d.PeakNm),
		fact("blue", "photons 400 to 500 nm", "", roundTo(d.Blue, 1e-4)),
		fact("green", "photons 500 to 600 nm", "", roundTo(d.Green, 1e-4)),
		fact("red", "photons 600 to 700 nm", "", roundTo(d.Red, 1e-4)),
		fact("chromaticity_x", "chromaticity x", "", roundTo(d.Colour.X, 1e-4)),
		fact("chromaticity_y", "chromaticity y", "", roundTo(d.Colour.Y, 1e-4)),
		fact("cct_k", "colour temperature", "K", optional(math.Round(d.Colour.CCTK), d.Colour.Temperate)),
		fact("duv", "Duv", "", optional(roundTo(d.Colour.Duv, 1e-4), d.Colour.Temperate)),
		fact("ra", "colour rendering Ra", "", optional(roundTo(d.Colour.Ra, 0.1), d.Colour.White)),
		fact("r9", "R9, saturated red", "", optional(roundTo(d.Colour.R9, 0.1), d.Colour.White)),
		fact("fault", "fault", "", nil),
	}}
	p.draw = func(ctx context.Context, look render.Look, _ []string) ([]render.Picture, error) {
		if err != nil {
			return nil, err
		}
		return render.Spectrum(ctx, d, look)
	}
	return p.failed(err)
}

func describeWater(at shelf, name string) part {
	w := at.catalogue.Waters[name]
	return part{name: w.Name, about: w.About, figures: answer.Answer{
		fact("cdom_absorption_440_per_m", "CDOM absorption at 440 nm", "1/m", w.CDOM440PerM),
		fact("cdom_spectral_slope_per_nm", "CDOM spectral slope", "1/nm", w.CDOMSlopePerNm),
		fact("particle_absorption_per_m", "absorption of particles", "1/m", w.ParticleAbsorbPerM),
		fact("particle_scattering_per_m", "scattering of particles", "1/m", w.ParticleScatterPerM),
	}}
}

// sampleOf is a scene of one module.
func sampleOf(at shelf, m scene.Module) *scene.Scene {
	return &scene.Scene{Catalogue: at.catalogue, Rails: []scene.Rail{{Modules: []scene.Module{m}}}}
}
