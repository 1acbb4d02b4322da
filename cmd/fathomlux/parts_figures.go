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

// figure is one number or word about a part; nil where it is not known.
type figure struct {
	key, title, unit string
	value            any
}

// part is one part with its figures; those of one kind have the same in the same order.
type part struct {
	name, about string
	figures     []figure
	sample      *scene.Scene // by which the cautions of its noun are judged; nil for none
	draw        func(context.Context, render.Look, []string) ([]render.Picture, error)
}

// answers are the part's figures, those without a title for programs alone.
func (p part) answers() (list answer.Answer) {
	for _, f := range p.figures {
		if v, is := f.value.(float64); is {
			f.value = roundTo(v, 1e-6)
		}
		list = append(list, answer.Figure{Key: f.key, Title: f.title, Unit: f.unit, Value: f.value, Digits: answer.General})
	}
	return list
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
	{"drivers", "driver", "currents_ma lowest_v highest_v rated_w ip",
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
		for _, one := range p.answers() {
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
		p.figures[i].value = nil
	}
	p.about, p.figures[len(p.figures)-1].value = err.Error(), err.Error()
	return p
}

func describeModule(at shelf, name string) part {
	m := at.catalogue.Modules[name]
	low, high := m.CurrentRange()
	high = math.Min(high, m.HighestA)
	lm := m.RatedFlux(high)
	volts, _ := m.Voltage(high, m.ReferenceC)
	p := describeSpectrum(at, m.Spectrum)
	p.name, p.about, p.figures = m.Name, m.About, []figure{
		{"dies", "LEDs", "", m.Dies()},
		{"spectrum", "spectrum", "", m.Spectrum},
		{"lowest_ma", "lowest current", "mA", low * 1000},
		{"highest_ma", "highest current", "mA", high * 1000},
		{"highest_lm", "flux at it", "lm", lm},
		{"highest_v", "voltage at it", "V", volts},
		{"highest_w", "power at it", "W", volts * high},
		{"radiant_efficiency", "radiant efficiency at it", "",
			optional(roundTo(lm/m.LmPerW/(volts*high), 1e-3), m.LmPerW > 0)},
		{"stated_radiant_efficiency", "radiant efficiency as the part states it", "", m.RadiantEfficiency},
		{"test_temperature_c", "test temperature", "°C", m.ReferenceC},
		{"board_length_mm", "board along the rail", "mm", millimetres(m.BoardLengthM)},
		{"board_width_mm", "board across the rail", "mm", millimetres(m.BoardWidthM)},
		{"thermal_resistance_k_w", "thermal resistance", "K/W", m.ResistanceKPerW},
		{"highest_junction_c", "highest junction temperature", "°C", m.HighestJunctionC},
		{"price", "price", "", money(m.Price, "")},
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
	p := part{name: o.Name, about: o.About, figures: []figure{
		{"beam_deg", "beam along", "°", angle(b.BeamEdge.AlongRad())},
		{"beam_across_deg", "beam across", "°", angle(b.BeamEdge.AcrossRad())},
		{"field_deg", "field along", "°", angle(b.FieldEdge.AlongRad())},
		{"field_across_deg", "field across", "°", angle(b.FieldEdge.AcrossRad())},
		{"efficiency", "efficiency", "", o.Efficiency},
		{"stray", "stray share", "", o.StrayShare},
		{"centre_cd_klm", "centre", "cd per 1000 lm emitted", roundTo(b.CentreCd, 0.01)},
		{"peak_cd_klm", "highest", "cd per 1000 lm emitted", roundTo(b.PeakCd, 0.01)},
		{"in_beam", "within the beam", "of the light", roundTo(b.InBeam, 1e-4)},
		{"in_field", "within the field", "of the light", roundTo(b.InField, 1e-4)},
		{"backward_share", "backward flux", "of the light", roundTo(b.Behind, 1e-4)},
		{"file", "measured in", "", optional(o.File, o.File != "")},
		{"price", "price", "", money(o.Price, "")},
		{"fault", "fault", "", nil},
	}}
	if err == nil && min(o.BeamRad, o.BeamAcrossRad) == 0 {
		o.BeamRad, o.BeamAcrossRad = b.BeamEdge.AlongRad(), b.BeamEdge.AcrossRad()
	}
	p.sample = sampleOf(at, scene.Module{Optic: o})
	p.draw = func(ctx context.Context, look render.Look, said []string) ([]render.Picture, error) {
		if err != nil {
			return nil, err
		}
		var notes []string
		for _, c := range said {
			notes = append(notes, "Caution: "+c)
		}
		return render.Beam(ctx, b, look, notes)
	}
	return p.failed(err)
}

func describeDriver(at shelf, name string) part {
	d := at.catalogue.Drivers[name]
	var currentsMA []float64
	for _, a := range d.CurrentsA {
		currentsMA = append(currentsMA, roundTo(a*1000, 1e-6))
	}
	full, _ := d.Efficiency.At(1)
	return part{name: d.Name, about: d.About, sample: &scene.Scene{Wiring: scene.Wiring{Driver: d}}, figures: []figure{
		{"currents_ma", "output current", "mA", currentsMA},
		{"lowest_v", "lowest voltage", "V", d.LowestV},
		{"highest_v", "highest voltage", "V", d.HighestV},
		{"rated_w", "rated power", "W", d.RatedW},
		{"efficiency", "efficiency at full load", "", full},
		{"ip", "protection", "", d.IP},
		{"price", "price", "", money(d.Price, "")},
	}}
}

func describeProfile(at shelf, name string) part {
	p := at.catalogue.Profiles[name]
	return part{name: p.Name, about: p.About, figures: []figure{
		{"width_mm", "width", "mm", millimetres(p.WidthM)},
		{"height_mm", "height", "mm", millimetres(p.HeightM)},
		{"metal_mm2", "metal", "mm²", roundTo(p.MetalM2*1e6, 1e-6)},
		{"perimeter_mm", "perimeter", "mm", millimetres(p.PerimeterM)},
		{"conductivity_w_m_k", "conductivity", "W/m/K", p.ConductivityWPerMK},
		{"emissivity", "emissivity", "", p.Emissivity},
		{"price_per_m", "price", "", money(p.PricePerM, "/m")},
	}}
}

func describeSpectrum(at shelf, name string) part {
	s := at.catalogue.Spectra[name]
	d, err := optics.DescribeSpectrum(s)
	if err != nil {
		d = &result.Spectrum{}
	}
	p := part{name: s.Name, about: s.About, figures: []figure{
		{"lx_per_umol_m2_s", "lx for 1 µmol/m²/s", "", roundTo(d.LuxPerPPFD, 0.01)},
		{"lm_per_w", "luminous efficacy of radiation", "lm/W", roundTo(d.LmPerW, 0.1)},
		{"umol_per_j", "photon efficacy of radiation", "µmol/J", roundTo(d.UmolPerJ, 0.001)},
		{"peak_nm", "highest at", "nm", d.PeakNm},
		{"blue", "photons 400 to 500 nm", "", roundTo(d.Blue, 1e-4)},
		{"green", "photons 500 to 600 nm", "", roundTo(d.Green, 1e-4)},
		{"red", "photons 600 to 700 nm", "", roundTo(d.Red, 1e-4)},
		{"fault", "fault", "", nil},
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
	return part{name: w.Name, about: w.About, figures: []figure{
		{"cdom_absorption_440_per_m", "CDOM absorption at 440 nm", "1/m", w.CDOM440PerM},
		{"cdom_spectral_slope_per_nm", "CDOM spectral slope", "1/nm", w.CDOMSlopePerNm},
		{"particle_absorption_per_m", "absorption of particles", "1/m", w.ParticleAbsorbPerM},
		{"particle_scattering_per_m", "scattering of particles", "1/m", w.ParticleScatterPerM},
	}}
}

// sampleOf is a scene of one module.
func sampleOf(at shelf, m scene.Module) *scene.Scene {
	return &scene.Scene{Catalogue: at.catalogue, Rails: []scene.Rail{{Modules: []scene.Module{m}}}}
}
