package key

import (
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// The ranges that several keys of parts share: far beyond any part that is made, so that a slip of a unit is found.
// Angles are a hair wider than the whole degrees in their messages, as a written degree is rounded.
var (
	size     = document.UpTo(unit.Length, 3)
	offset   = span(-3, 3)
	junction = span(-50, 250)
	current  = document.UpTo(unit.Current, 50)
	some     = percent(document.LeastShare, 1)
	beam     = span((1-hair)*degree, (179+hair)*degree)
	field    = span((1-hair)*degree, (180+hair)*degree)
)

// PartTables is a file of parts.
var PartTables = &Table{Rows: []Row{
	may("include", list(text("more-parts.yaml"), 0, 0), "further files of parts beside the scene, read first"),
	may("modules", Module.parts(), "boards with dies, by name"),
	may("optics", Optic.parts(), "lenses, by name"),
	may("drivers", Driver.parts(), "constant-current supplies, by name"),
	may("profiles", Profile.parts(), "bars that carry modules, by name"),
	may("spectra", Spectrum.parts(), "what light is made of, by name"),
	may("waters", KindOfWater.parts(), "kinds of water, by name"),
}}

func (t *Table) parts() Shape { return Shape{Kind: Parts, Keys: t} }

// The keys that parts of several kinds have.
var (
	about = may("about", text("a bag of round lenses"), "what the part is, in one line")
	price = may("price", money("", "4.20 EUR"), "of one piece")
)

func basedOn(part, example string) Row {
	return may("based_on", name(part, example), "a part of the same kind that gives all that is not given here")
}

// Module is a board with dies.
var Module = &Table{Rows: []Row{
	about, basedOn("module", "quad-neutral"),
	must("dies", Dies.shape().like("{along: 2, across: 2, pitch: 6 mm}"), "the dies on the board"),
	may("parallel", whole(1, 10000, "2"), "equal paths that the dies are split into; 1 unless given"),
	must("output", list(keys(
		must("current", quantity(unit.Current, current, "350 mA"), "through one die"),
		must("flux", quantity(unit.LuminousFlux, document.UpTo(unit.LuminousFlux, 1e5), "139 lm"), "of one die"),
		must("voltage", quantity(unit.Voltage, document.UpTo(unit.Voltage, 500), "3.5 V"), "of one die"),
	), 2, 0).like("[{current: 350 mA, flux: 139 lm, voltage: 3.5 V}, ...]"),
		"one die's light and voltage, from the lowest current to the highest,"),
	must("test_temperature", quantity(unit.Temperature, junction, "25 C"),
		"junction temperature at which output holds", "holds_at"),
	must("flux_temperature_coefficient", quantity(unit.RelativePerKelvin, span(-0.03, 0.01), "-0.25 %/K"),
		"change of flux a kelvin", "flux_drift"),
	must("voltage_temperature_coefficient", quantity(unit.VoltagePerKelvin, span(-0.02, 0.02), "-2 mV/K"),
		"change of a die's voltage a kelvin", "voltage_drift"),
	must("thermal_resistance", quantity(unit.ThermalResistance, document.UpTo(unit.ThermalResistance, 1000), "5 K/W"),
		"from the junctions to the board's back"),
	must("highest_current", quantity(unit.Current, current, "700 mA"), "of the module"),
	must("highest_junction", quantity(unit.Temperature, junction, "125 C"), "highest junction temperature"),
	must("radiant_efficiency", number(percent(document.LeastShare, 0.95), "0.35"),
		"share of the electrical power that leaves as light", "light_share"),
	must("spectrum", name("spectrum", "white-4000"), "what its light is made of"),
	must("board", keys(
		must("length", length(size, "30 mm"), "along the rail"),
		must("width", length(size, "30 mm"), "across the rail"),
	).like("{length: 30 mm, width: 30 mm}"), "the board's size"),
	may("holes", list(keys(
		must("along", length(offset, "12 mm"), "from the board's middle along the rail"),
		must("across", length(offset, "12 mm"), "from the board's middle across the rail"),
		must("diameter", length(document.UpTo(unit.Length, 0.05), "3.2 mm"), "of the hole"),
	), 0, 0), "for screws"),
	may("maintenance", list(keys(
		must("case", quantity(unit.Temperature, junction, "55 C"), "case temperature of the test"),
		must("alpha", either(number(decay, "1.684e-6"), quantity(unit.DecayRate, decay, "1.684e-6 1/h")).
			like("1.684e-6 1/h"), "rate of decay, 1/h where no unit is given,"),
		must("b", number(span(0.5, 1.5), "0.9639"), "factor B of the fit"),
		must("tested", quantity(unit.Duration, document.UpTo(unit.Duration, 1e6*3600), "10000 h"), "how long the test ran"),
	), 0, 0), "how the flux falls over the years, by case temperature"),
	price,
}}

// decay is the range of a rate of decay; the fastest takes half of the light in a month.
var decay = document.UpTo(unit.DecayRate, 1e-3)

// Dies is how the dies sit on a board.
var Dies = &Table{
	Exclude: map[string][]string{"pitch": {"pitch_along", "pitch_across"}},
	Rows: []Row{
		must("along", whole(1, 100, "2"), "dies along the rail"),
		must("across", whole(1, 100, "2"), "dies across the rail"),
		may("pitch", length(size, "6 mm"), "between the middles of the dies, both ways"),
		may("pitch_along", length(size, "6 mm"), "between the middles of the dies along the rail"),
		may("pitch_across", length(size, "6 mm"), "between the middles of the dies across the rail"),
	},
}

// Optic is a lens.
var Optic = &Table{
	Exclude: map[string][]string{"file": {"beam", "beam_across", "field", "field_across"}},
	Editors: map[string]any{"anyOf": []map[string]any{
		{"required": []string{"based_on"}}, {"required": []string{"beam"}}, {"required": []string{"file"}},
	}},
	Rows: []Row{
		about, basedOn("optic", "round-40"),
		may("beam", quantity(unit.Angle, beam, "40 deg"),
			"full angle between the directions of half the centre-beam intensity; or a file with a measured distribution"),
		may("beam_across", quantity(unit.Angle, beam, "25 deg"), "the same across the rail; as along it unless given"),
		may("field", quantity(unit.Angle, field, "70 deg"), "full angle between the directions of a tenth of the intensity"),
		may("field_across", quantity(unit.Angle, field, "50 deg"), "the same across the rail"),
		must("efficiency", number(some, "0.88"), "share of the dies' flux that leaves the optic"),
		may("stray", number(percent(0, 0.999), "0.05"), "share of that which is spread widely; 0 unless given"),
		may("file", text("lens.ies"), "a measured distribution (LM-63) beside the scene, in place of the angles"),
		price,
	},
}

// Driver is a constant-current supply.
var Driver = &Table{Rows: []Row{
	about, basedOn("driver", "cc-700-20w"),
	must("currents", list(quantity(unit.Current, current, "350 mA"), 1, 0).like("[350 mA, 500 mA]"),
		"output currents that can be set,"),
	must("voltage", keys(
		must("low", quantity(unit.Voltage, span(0, 1000), "9 V"), "lowest output voltage"),
		must("high", quantity(unit.Voltage, document.UpTo(unit.Voltage, 1000), "48 V"), "highest output voltage"),
	).like("{low: 9 V, high: 48 V}"), "range of the output voltage"),
	must("rated", quantity(unit.Power, document.UpTo(unit.Power, 1e4), "33.6 W"), "rated output power"),
	must("efficiency", either(number(some, "0.85"), list(keys(
		must("load", number(percent(0, MostLoad), "0.5"), "as a share of the rated power"),
		must("share", number(some, "0.82"), "efficiency at that load"),
	), 2, 0)).like("0.85 or [{load: 0.5, share: 0.82}, ...]"),
		"share of the mains power that comes out: one for any load, or a table of two rows or more,"),
	may("ip", Shape{Kind: Pattern, Word: "^IP[0-6X][0-9X]$", Examples: []string{"IP67"}}, "protection code"),
	price,
}}

// MostLoad is the load, as a share of the rated power, up to which an efficiency without a load is taken to hold.
const MostLoad = 2

// Profile is a bar.
var Profile = &Table{Rows: []Row{
	about, basedOn("profile", "bar-40x20"),
	must("width", length(size, "40 mm"), "outside, across the rail"),
	must("height", length(size, "20 mm"), "outside"),
	must("metal", quantity(unit.Area, document.UpTo(unit.Area, 1), "260 mm2"), "cross-section of metal"),
	must("perimeter", length(document.UpTo(unit.Length, 30), "180 mm"), "outline that the air can reach"),
	must("conductivity", quantity(unit.Conductivity, document.UpTo(unit.Conductivity, 1000), "200 W/m/K"),
		"thermal conductivity of the metal"),
	must("emissivity", number(some, "0.85"), "how well the surface radiates heat"),
	may("slots", list(keys(
		must("across", length(offset, "0 mm"), "the slot's middle from the bar's middle line"),
		must("width", length(size, "8 mm"), "of the slot"),
	), 0, 0), "grooves along the emitting face where no screw holds"),
	may("price", money("m", "0.28 EUR/m"), "of a metre"),
}}

// Spectrum is what light is made of.
var Spectrum = &Table{
	OneOf: []string{"illuminant", "band", "table", "file", "mix"},
	Rows: []Row{
		about,
		may("illuminant", Shape{Kind: Name, Word: "illuminant"}, "a table of the CIE"),
		may("band", keys(
			must("peak", quantity(unit.Wavelength, span(380, 780), "450 nm"), "wavelength of the peak"),
			must("width", quantity(unit.Wavelength, span(2, 400), "20 nm"), "full width at half the peak"),
		), "one bell-shaped band"),
		may("table", list(keys(
			must("wavelength", quantity(unit.Wavelength, span(100, 5000), "450 nm"), "rising from row to row"),
			must("power", number(span(0, 1e9), "0.8"), "relative power there"),
		), 2, 0), "relative power by wavelength"),
		may("file", text("lamp.csv"), "a CSV file beside the scene with the columns wavelength_nm and power"),
		may("mix", list(keys(
			must("spectrum", name("spectrum", "white-4000"), "what is mixed in"),
			must("share", number(some, "0.8"), "its share of the radiant power"),
		), 1, 0), "other spectra, shares summing to 1"),
	},
}

// KindOfWater is what is dissolved and afloat in water.
var KindOfWater = &Table{Rows: append(append([]Row{about, basedOn("kind of water", "clear")}, waterNumbers(must)...),
	may("particle_exponent", number(span(-1, 5), "1"), "how fast the scattering falls with wavelength"))}
