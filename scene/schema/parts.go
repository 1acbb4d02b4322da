package schema

import (
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// The ranges that several keys of parts share, as the reader has them.
var (
	size     = document.UpTo(unit.Length, 3)
	offset   = document.Range{Low: -3, High: 3}
	junction = document.Range{Low: -50, High: 250}
	current  = document.UpTo(unit.Current, 50)
	most     = document.Range{Low: document.LeastShare, High: 1, Percent: true}
)

const degree = math.Pi / 180

func partsTable(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		{"include", may, list{of: text("more-parts.yaml")}, "further files of parts beside the scene, read first"},
		{"modules", may, named{module(lib)}, "boards with dies, by name"},
		{"optics", may, named{optic(lib)}, "lenses, by name"},
		{"drivers", may, named{driver(lib)}, "constant-current supplies, by name"},
		{"profiles", may, named{profile(lib)}, "bars that carry modules, by name"},
		{"spectra", may, named{spectrum(lib)}, "what light is made of, by name"},
		{"waters", may, named{kindOfWater(lib)}, "kinds of water, by name"},
	}}
}

// about and basedOn are the keys that parts share.
func about() field {
	return field{"about", may, text("a bag of round lenses"), "what the part is, in one line"}
}

func basedOn(names []string) field {
	return field{"based_on", may, partName{names}, "a part of the same kind that gives all that is not given here"}
}

func price() field { return field{"price", may, money(""), "of one piece"} }

func module(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		about(), basedOn(lib.ModuleNames()),
		{"dies", must, mapping{rules: object{"dependentSchemas": exclude("pitch", "pitch_along pitch_across")}, fields: []field{
			{"along", must, whole(1, 100), "dies along the rail"},
			{"across", must, whole(1, 100), "dies across the rail"},
			{"pitch", may, length(size, "6 mm"), "between the middles of the dies, both ways"},
			{"pitch_along", may, length(size, "6 mm"), "between the middles of the dies along the rail"},
			{"pitch_across", may, length(size, "6 mm"), "between the middles of the dies across the rail"},
		}}, "the dies on the board"},
		{"parallel", may, whole(1, 10000), "equal paths that the dies are split into; 1 unless given"},
		{"output", must, list{of: mapping{fields: []field{
			{"current", must, quantity(unit.Current, current, "350 mA"), "through one die"},
			{"flux", must, quantity(unit.LuminousFlux, document.UpTo(unit.LuminousFlux, 1e5), "139 lm"), "of one die"},
			{"voltage", must, quantity(unit.Voltage, document.UpTo(unit.Voltage, 500), "3.5 V"), "of one die"},
		}}, least: 2}, "one die's light and voltage, from the lowest current to the highest"},
		{"holds_at", must, quantity(unit.Temperature, junction, "25 C"), "junction temperature at which output holds"},
		{"flux_drift", must, quantity(unit.RelativePerKelvin, document.Range{Low: -0.03, High: 0.01}, "-0.25 %/K"), "change of flux a kelvin"},
		{"voltage_drift", must, quantity(unit.VoltagePerKelvin, document.Range{Low: -0.02, High: 0.02}, "-2 mV/K"), "change of a die's voltage a kelvin"},
		{"thermal_resistance", must, quantity(unit.ThermalResistance, document.UpTo(unit.ThermalResistance, 1000), "5 K/W"), "from the junctions to the board's back"},
		{"highest_current", must, quantity(unit.Current, current, "700 mA"), "of the module"},
		{"highest_junction", must, quantity(unit.Temperature, junction, "125 C"), "highest junction temperature"},
		{"light_share", must, number(document.Range{Low: document.LeastShare, High: 0.95, Percent: true}, 0.35), "share of the electrical power that leaves as light"},
		{"spectrum", must, partName{lib.SpectrumNames()}, "the name of its spectrum"},
		{"board", must, mapping{fields: []field{
			{"length", must, length(size, "30 mm"), "along the rail"},
			{"width", must, length(size, "30 mm"), "across the rail"},
		}}, "the board's size"},
		{"holes", may, list{of: mapping{fields: []field{
			{"along", must, length(offset, "12 mm"), "from the board's middle along the rail"},
			{"across", must, length(offset, "12 mm"), "from the board's middle across the rail"},
			{"diameter", must, length(document.UpTo(unit.Length, 0.05), "3.2 mm"), "of the hole"},
		}}}, "for screws"},
		{"maintenance", may, list{of: maintenance()}, "how the flux falls over the years, by case temperature"},
		price(),
	}}
}

func maintenance() mapping {
	highest := document.UpTo(unit.DecayRate, 1e-3)
	return mapping{fields: []field{
		{"case", must, quantity(unit.Temperature, junction, "55 C"), "case temperature of the test"},
		{"alpha", must, either{number(highest, 1.684e-6), quantity(unit.DecayRate, highest, "1.684e-6 1/h")}, "rate of decay, 1/h where no unit is given"},
		{"b", must, number(document.Range{Low: 0.5, High: 1.5}, 0.9639), "factor B of the fit"},
		{"tested", must, quantity(unit.Duration, document.UpTo(unit.Duration, 1e6*3600), "10000 h"), "how long the test ran"},
	}}
}

func optic(lib *parts.Catalogue) mapping {
	beam := document.Range{Low: (1 - 1e-9) * degree, High: (179 + 1e-9) * degree}
	field180 := document.Range{Low: (1 - 1e-9) * degree, High: (180 + 1e-9) * degree}
	return mapping{
		rules: object{"dependentSchemas": exclude("file", "beam beam_across field field_across"), "anyOf": oneOf("based_on", "beam", "file")},
		fields: []field{
			about(), basedOn(lib.OpticNames()),
			{"beam", may, quantity(unit.Angle, beam, "40 deg"), "full angle between the directions of half the intensity"},
			{"beam_across", may, quantity(unit.Angle, beam, "25 deg"), "the same across the rail; as along it unless given"},
			{"field", may, quantity(unit.Angle, field180, "70 deg"), "full angle between the directions of a tenth of the intensity"},
			{"field_across", may, quantity(unit.Angle, field180, "50 deg"), "the same across the rail"},
			{"efficiency", must, number(most, 0.88), "share of the dies' flux that leaves the optic"},
			{"stray", may, number(document.Range{High: 0.999, Percent: true}, 0.05), "share of that which is spread widely; 0 unless given"},
			{"file", may, text("lens.ies"), "a measured distribution (LM-63) beside the scene, in place of the angles"},
			price(),
		},
	}
}

func driver(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		about(), basedOn(lib.DriverNames()),
		{"currents", must, list{of: quantity(unit.Current, current, "350 mA"), least: 1}, "output currents that can be set"},
		{"voltage", must, mapping{fields: []field{
			{"low", must, quantity(unit.Voltage, document.Range{High: 1000}, "9 V"), "lowest output voltage"},
			{"high", must, quantity(unit.Voltage, document.UpTo(unit.Voltage, 1000), "48 V"), "highest output voltage"},
		}}, "range of the output voltage"},
		{"rated", must, quantity(unit.Power, document.UpTo(unit.Power, 1e4), "33.6 W"), "rated output power"},
		{"efficiency", must, either{number(most, 0.85), list{of: mapping{fields: []field{
			{"load", must, number(document.Range{High: 2, Percent: true}, 0.5), "as a share of the rated power"},
			{"share", must, number(most, 0.82), "efficiency at that load"},
		}}, least: 2}}, "share of the mains power that comes out: one for any load, or a table"},
		{"ip", may, plain{"type": "string", "pattern": "^IP[0-6X][0-9X]$", "examples": []string{"IP67"}}, "protection code"},
		price(),
	}}
}

func profile(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		about(), basedOn(lib.ProfileNames()),
		{"width", must, length(size, "40 mm"), "outside, across the rail"},
		{"height", must, length(size, "20 mm"), "outside"},
		{"metal", must, quantity(unit.Area, document.UpTo(unit.Area, 1), "260 mm2"), "cross-section of metal"},
		{"perimeter", must, length(document.UpTo(unit.Length, 30), "180 mm"), "outline that the air can reach"},
		{"conductivity", must, quantity(unit.Conductivity, document.UpTo(unit.Conductivity, 1000), "200 W/m/K"), "thermal conductivity of the metal"},
		{"emissivity", must, number(most, 0.85), "how well the surface radiates heat"},
		{"slots", may, list{of: mapping{fields: []field{
			{"across", must, length(offset, "0 mm"), "the slot's middle from the bar's middle line"},
			{"width", must, length(size, "8 mm"), "of the slot"},
		}}}, "grooves along the emitting face where no screw holds"},
		{"price", may, money("m"), "of a metre"},
	}}
}

func spectrum(lib *parts.Catalogue) mapping {
	return mapping{
		rules: object{"oneOf": oneOf("illuminant", "band", "table", "file", "mix")},
		fields: []field{
			about(),
			{"illuminant", may, choice(parts.Illuminants()...), "a table of the CIE"},
			{"band", may, mapping{fields: []field{
				{"peak", must, quantity(unit.Wavelength, document.Range{Low: 380, High: 780}, "450 nm"), "wavelength of the peak"},
				{"width", must, quantity(unit.Wavelength, document.Range{Low: 2, High: 400}, "20 nm"), "full width at half the peak"},
			}}, "one bell-shaped band"},
			{"table", may, list{of: mapping{fields: []field{
				{"wavelength", must, quantity(unit.Wavelength, document.Range{Low: 100, High: 5000}, "450 nm"), "rising from row to row"},
				{"power", must, number(document.Range{High: 1e9}, 0.8), "relative power there"},
			}}, least: 2}, "relative power by wavelength"},
			{"file", may, text("lamp.csv"), "a CSV file beside the scene with the columns wavelength_nm and power"},
			{"mix", may, list{of: mapping{fields: []field{
				{"spectrum", must, partName{lib.SpectrumNames()}, "the name of a spectrum"},
				{"share", must, number(most, 0.8), "its share of the radiant power"},
			}}, least: 1}, "other spectra, shares summing to 1"},
		},
	}
}

func kindOfWater(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		about(), basedOn(lib.WaterNames()),
		{"colour_440", must, quantity(unit.Attenuation, perMetre, "0.1 1/m"), "absorption of dissolved colour at 440 nm"},
		{"colour_slope", may, quantity(unit.SpectralSlope, slope, "0.017 1/nm"), "how fast the colour's absorption falls with wavelength"},
		{"particle_absorption", must, quantity(unit.Attenuation, perMetre, "0.005 1/m"), "absorption of particles"},
		{"particle_scattering", must, quantity(unit.Attenuation, perMetre, "0.1 1/m"), "scattering of particles at 550 nm"},
		{"particle_exponent", may, number(document.Range{Low: -1, High: 5}, 1), "how fast the scattering falls with wavelength"},
		{"asymmetry", may, number(cosine, 0.924), "mean cosine of the angle of scattering"},
	}}
}
