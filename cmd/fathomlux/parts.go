package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

func newPartsCommand(s streams) *cobra.Command {
	var o common
	c := &cobra.Command{
		Use:   "parts [SCENE]",
		Short: "list the parts, or show one of them",
		Long: `Lists the built-in parts by kind with their key figures; with a SCENE, or a file of parts in its place,
those of the file too, after all faults and oddities of it. Built-in parts are generic and invented. Flux, voltage and power are those at the part's test temperature.`,
		Example: "fathomlux parts\nfathomlux parts scene.yaml --json\nfathomlux parts show round-40",
	}
	c.Flags().BoolVar(&o.json, "json", false, "print one JSON document and nothing else on standard output")
	c.AddCommand(newShowCommand(s))
	return command(s, c, &o.given, func(_ context.Context, s streams) error {
		at, err := shelfOf(o.args)
		if err != nil {
			return noShelf(o.args[0], err)
		}
		return o.say(s.Out, partsAnswer(at), nil)
	})
}

func newShowCommand(s streams) *cobra.Command {
	var o showOptions
	c := &cobra.Command{
		Use:   "show NAME [SCENE]",
		Short: "print one part's figures, and draw the light of a module, an optic or a spectrum",
		Long: `Prints the figures of the part of that name. For an optic it draws the polar curve with beam and field angle
and the cone of light in air, both for 1000 lm leaving it; for a spectrum or a module, the spectral power distribution.
Beam and field angles are those at half and at a tenth of the centre-beam intensity, stray light included. With --yaml
it prints the part as a file of parts instead, whole, whatever it is based on, to be read as it is or changed.`,
		Example: "fathomlux parts show round-40\nfathomlux parts show my-lens scene.yaml --out pictures\n" +
			"fathomlux parts show quad-neutral --yaml > my-parts.yaml",
	}
	o.bind(c)
	o.bindFormat(c)
	c.Flags().Lookup("out").Usage = "folder for the pictures (default out/parts)"
	c.Flags().Lookup("quiet").Usage = "print only the cautions"
	c.Flags().BoolVar(&o.yaml, "yaml", false, "print the part as a file of parts, and draw nothing")
	return command(s, c, &o.given, func(ctx context.Context, s streams) error { return o.show(ctx, s) })
}

type showOptions struct {
	common
	yaml bool
}

// shelf is the parts at hand, and what opens the files that they name.
type shelf struct {
	catalogue *parts.Catalogue
	open      scene.Opener
	odd       []finding.Finding // warnings of a file of parts
}

// shelfOf returns the parts of the scene that the arguments name, which has the built-in ones too, or those alone.
func shelfOf(args []string) (shelf, error) {
	if len(args) == 0 {
		return shelf{catalogue: parts.Builtin()}, nil
	}
	sc, err := scene.Read(args[0])
	if err != nil {
		if lib, open, odd, is, faults := scene.ReadParts(args[0]); is {
			return shelf{catalogue: lib, open: open, odd: odd}, faults
		}
		return shelf{}, err
	}
	return shelf{catalogue: sc.Catalogue, open: sc.Open}, nil
}

// noShelf says what may have been meant by the name of a scene that is not there.
func noShelf(name string, err error) error {
	if _, missing := os.Stat(name); !errors.Is(missing, os.ErrNotExist) {
		return err
	}
	if _, none := (shelf{catalogue: parts.Builtin()}).find(name); none != nil {
		name = "NAME"
	}
	return fmt.Errorf("%w; fathomlux parts alone lists the parts, and fathomlux parts show %s shows one of them",
		err, name)
}

// partsAnswer lists all parts by kind.
func partsAnswer(at shelf) (list answer.Answer) {
	list = answer.Answer{answer.Lines{Key: "warnings", Lead: "warning",
		List: finding.Lines(at.odd, finding.Note, unit.Metric)}}
	for _, k := range partKinds {
		list = append(list, answer.Lines{List: []string{k.key}, In: answer.Text}, k.table(at))
	}
	return list
}

// show prints and draws the part that the call names. A module and its spectrum may share a name, and a picture.
func (o showOptions) show(ctx context.Context, s streams) error {
	name, dir := o.args[0], o.dir("parts")
	at, err := shelfOf(o.args[1:])
	if err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	found, err := at.find(name)
	if err != nil {
		return err
	}
	if o.yaml && o.json {
		return errors.New("--yaml and --json exclude each other")
	}
	if o.yaml {
		for _, k := range found {
			if _, err := io.WriteString(s.Out, at.catalogue.Text(k.key, name)); err != nil {
				return err
			}
		}
		return nil
	}
	var files []output.File
	whole, brief := answer.Groups{Key: "parts"}, answer.Answer{}
	for _, k := range found {
		p := k.describe(at, name)
		said := answer.Lines{Key: "cautions", Lead: "caution", List: situation{scene: p.sample}.at(k.noun)}
		var pictures []render.Picture
		if p.draw != nil {
			if pictures, err = p.draw(ctx, look, said.List); err != nil {
				return err
			}
		}
		for _, f := range pictures {
			if !slices.ContainsFunc(files, func(other output.File) bool { return other.Name == f.Name }) {
				files = append(files, f)
			}
		}
		whole.List = append(whole.List, k.shown(p, filepath.ToSlash(dir), pictures, said))
		brief = append(brief, said)
	}
	return o.deliver(ctx, s, dir, files, func(s streams) error { return o.say(s.Out, answer.Answer{whole}, brief) })
}

// shown is the answer about one part.
func (k partKind) shown(p part, dir string, drawn []output.File, said answer.Lines) answer.Group {
	wrote := wroteLines(dir, drawn)
	if len(drawn) == 0 {
		dir, wrote.List = "", nil
	}
	var figures answer.Answer
	for _, f := range p.figures {
		figures = append(figures, known(f.(answer.Figure).Value != nil, f.(answer.Figure)))
	}
	return answer.Group{Title: k.noun + " " + p.name + ": " + titleOr(p.about),
		Parts: append(fields("kind", k.noun, "part", append(fields("name", p.name, "about", p.about), figures...),
			"out", dir, "pictures", fileNames(drawn)), answer.Group{Parts: figures, In: answer.People}, wrote, said)}
}

// find returns the kinds that have a part of that name.
func (at shelf) find(name string) ([]partKind, error) {
	var found []partKind
	var all []string
	for _, k := range partKinds {
		names := k.names(at.catalogue)
		if slices.Contains(names, name) {
			found = append(found, k)
		}
		all = append(all, names...)
	}
	if len(found) == 0 {
		return nil, errors.New(document.Unknown("part", name, all))
	}
	return found, nil
}

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
