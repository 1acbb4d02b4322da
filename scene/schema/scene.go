package schema

import (
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// The ranges that several keys share, as the reader has them.
var (
	side     = document.Range{Low: 0.01, High: 20}
	anywhere = document.Range{Low: -20, High: 20}
	share    = document.Range{High: 1, Percent: true}
	perMetre = document.Range{High: 1000}
	cosine   = document.Range{Low: -0.99, High: 0.99}
	slope    = document.Range{High: 0.1}
)

// length is a length with an example of its own.
func length(r document.Range, example string) shape { return quantity(unit.Length, r, example) }

// point is three lengths.
func point() shape { return list{of: length(anywhere, "560 mm"), least: 3, most: 3} }

func sceneTable(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		{"title", may, text("Library foyer, planted tank"), "what stands above the pictures; the file's name where it is not given"},
		{"tank", must, tank(lib), "the tank's inside, its water, walls, floor and cover; the origin is the inside front left corner at the floor"},
		{"rails", must, list{of: rail(lib), least: 1, most: 50}, "the bars along x that carry the modules"},
		{"wiring", may, wiring(lib), "how the modules are fed"},
		{"ambient", may, ambient(), "the air around the rails"},
		{"goal", may, goal(), "what the light has to reach on one plane"},
		{"flux_factor", may, number(document.Range{Low: 0.05, High: 5, Percent: true}, 0.92), "what the modules give, as a share of their tables, as readings of a light meter show it; 1 unless given"},
		{"tolerance", may, tolerance(), "how far what is built may be off what is written here, to each side"},
		{"parts", may, either{text("own-parts.yaml"), partsTable(lib)}, "parts of your own beside the built-in ones: the name of a file beside the scene, or the parts themselves"},
	}}
}

func tank(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		{"length", must, length(side, "1180 mm"), "inside, along x, from left to right"},
		{"width", must, length(side, "430 mm"), "inside, along y, from front to back"},
		{"height", must, length(side, "480 mm"), "inside, from the floor (top of the substrate) to the rim"},
		{"water", must, water(lib), "the body of water"},
		{"walls", may, walls(), "what the four sides do with light; clear glass unless given"},
		{"floor", may, mapping{fields: []field{
			{"diffuse", must, number(share, 0.25), "share that the substrate sends back: dark 0.1, sand 0.4"},
		}}, "the floor; reflects 0.2 unless given"},
		{"cover", may, mapping{fields: []field{
			{"material", must, choice("glass", "low-iron glass", "acrylic"), "what the pane is made of"},
			{"thickness", must, length(document.Range{Low: 0.0001, High: 0.1}, "4 mm"), "of the pane"},
			{"above_water", must, length(document.Range{High: 20}, "30 mm"), "from the water surface to the pane's underside"},
		}}, "a pane between the modules and the water; none unless given"},
		{"obstacles", may, list{of: mapping{fields: []field{
			{"name", may, text("brace"), "for messages"},
			{"from", must, point(), "one corner, [x, y, z] in the tank's axes"},
			{"to", must, point(), "the opposite corner, [x, y, z]"},
			{"opaque", may, plain{"const": true}, "only opaque boxes are known"},
		}}, most: 200}, "boxes that cast shadows: braces, filters, rocks"},
	}}
}

func water(lib *parts.Catalogue) mapping {
	return mapping{
		rules: object{"dependentSchemas": exclude("half_depth", "colour_440 colour_slope particle_absorption particle_scattering asymmetry")},
		fields: []field{
			{"depth", must, length(document.Range{Low: 0.001, High: 20}, "420 mm"), "from the floor to the water surface"},
			{"kind", may, partName{lib.WaterNames()}, "what is dissolved and afloat in it; clear unless given"},
			{"temperature", may, quantity(unit.Temperature, document.Range{High: 40}, "25 C", "77 F"), "25 C unless given"},
			{"salinity", may, quantity(unit.Salinity, document.Range{High: 45}, "35 g/kg"), "0 g/kg unless given"},
			{"colour_440", may, quantity(unit.Attenuation, perMetre, "0.1 1/m"), "absorption of dissolved colour at 440 nm, in place of the kind's"},
			{"colour_slope", may, quantity(unit.SpectralSlope, slope, "0.017 1/nm"), "how fast the colour's absorption falls with wavelength"},
			{"particle_absorption", may, quantity(unit.Attenuation, perMetre, "0.005 1/m"), "absorption of particles, in place of the kind's"},
			{"particle_scattering", may, quantity(unit.Attenuation, perMetre, "0.1 1/m"), "scattering of particles at 550 nm, in place of the kind's"},
			{"asymmetry", may, number(cosine, 0.924), "mean cosine of the angle of scattering"},
			{"half_depth", may, length(document.Range{Low: 0.001, High: 1000}, "900 mm"), "measured depth at which half the light is left, in place of the kind's numbers"},
			{"extra_absorption", may, quantity(unit.Attenuation, document.Range{Low: -100, High: 100}, "0.5 1/m"), "what the water absorbs beyond its kind or measured depth, as readings of a light meter show it"},
		},
	}
}

func walls() mapping {
	wall := either{choice("glass", "acrylic"), mapping{rules: object{"oneOf": oneOf("diffuse", "mirror")}, fields: []field{
		{"diffuse", may, number(share, 0.08), "paint, film or foam: the share that it sends back diffusely"},
		{"mirror", may, number(share, 0.9), "a mirror: the share that it reflects"},
	}}}
	return mapping{fields: []field{
		{"front", may, wall, "glass, acrylic, {diffuse: 0.08} or {mirror: 0.9}"},
		{"back", may, wall, "glass, acrylic, {diffuse: 0.08} or {mirror: 0.9}"},
		{"left", may, wall, "glass, acrylic, {diffuse: 0.08} or {mirror: 0.9}"},
		{"right", may, wall, "glass, acrylic, {diffuse: 0.08} or {mirror: 0.9}"},
	}}
}

func rail(lib *parts.Catalogue) mapping {
	steepest := 80.000001 * math.Pi / 180
	one := group(lib)
	return mapping{fields: []field{
		{"name", may, text("main"), "each rail has its own; \"rail 1\" and so on unless given"},
		{"profile", may, partName{lib.ProfileNames()}, "the bar, for heat and drilling; bar-40x20 unless given"},
		{"length", must, length(side, "1100 mm"), "of the bar"},
		{"x", may, length(anywhere, "40 mm"), "the left end; the rail is centred over the tank unless given"},
		{"y", may, length(anywhere, "215 mm"), "the middle line, from the front; the tank's middle unless given"},
		{"above_water", must, length(document.Range{Low: 0.001, High: 20}, "160 mm"), "from the water surface to the emitting face"},
		{"tilt", may, quantity(unit.Angle, document.Range{Low: -steepest, High: steepest}, "10 deg"), "about the rail's own axis, positive turns the beams towards the back"},
		{"modules", must, either{one, list{of: one, least: 1}}, "one group of equal modules, or a list of groups and single ones"},
		{"keep_out", may, list{of: mapping{fields: []field{
			{"from", must, length(anywhere, "560 mm"), "left end, as x in the tank's axes"},
			{"to", must, length(anywhere, "620 mm"), "right end, as x in the tank's axes"},
			{"why", may, text("cable gland"), "for messages"},
		}}, most: 100}, "stretches where no module may sit"},
	}}
}

// group is a group of equal modules, or a single one at x.
func group(lib *parts.Catalogue) mapping {
	several := object{"properties": object{"count": object{"type": "number", "exclusiveMinimum": 1}}, "required": []string{"count"}}
	return mapping{
		rules: object{
			"if":   object{"required": []string{"x"}},
			"then": exclude("x", "count spacing centre")["x"],
			"else": object{"required": []string{"count"}, "if": several, "then": object{"required": []string{"spacing"}}},
		},
		fields: []field{
			{"part", must, partName{lib.ModuleNames()}, "the module's name"},
			{"optic", must, partName{lib.OpticNames()}, "the optic's name"},
			{"x", may, length(anywhere, "100 mm"), "the middle of a single module, in place of count and spacing"},
			{"count", may, whole(1, 400), "how many modules, spread evenly"},
			{"spacing", may, length(document.Range{Low: 0.001, High: 20}, "180 mm"), "from middle to middle"},
			{"centre", may, length(anywhere, "590 mm"), "x of the group's middle; the rail's middle unless given"},
			{"current", must, quantity(unit.Current, document.UpTo(unit.Current, 1000), "350 mA", "0.35 A"), "through one module"},
		},
	}
}

func wiring(lib *parts.Catalogue) mapping {
	return mapping{fields: []field{
		{"driver", may, partName{lib.DriverNames()}, "the driver's name"},
		{"strings", may, whole(1, 500), "strings in parallel on one driver"},
		{"hours", may, quantity(unit.Duration, document.Range{High: 24 * 3600}, "9 h"), "of light a day"},
		{"tariff", may, money("kWh"), "what electricity costs"},
	}}
}

func ambient() mapping {
	return mapping{fields: []field{
		{"air", may, quantity(unit.Temperature, document.Range{Low: -20, High: 60}, "24 C", "75 F"), "24 C unless given"},
		{"hood", may, mapping{fields: []field{
			{"length", must, length(side, "1200 mm"), "outside, along x"},
			{"width", must, length(side, "450 mm"), "outside, along y"},
			{"height", must, length(side, "150 mm"), "outside, along z"},
		}}, "a closed box over all rails, open towards the tank; free air unless given"},
	}}
}

func goal() mapping {
	plane := either{choice("surface", "mid", "floor"), plain{"type": "string", "pattern": unit.Length.Pattern(), "examples": []string{"200 mm"}}}
	return mapping{fields: []field{
		{"plane", may, plane, "surface, mid, floor or a depth below the surface; floor unless given"},
		{"illuminance", may, quantity(unit.Illuminance, document.UpTo(unit.Illuminance, 1e6), "2500 lx"), "lowest mean illuminance"},
		{"ppfd", may, quantity(unit.PhotonFluxDensity, document.UpTo(unit.PhotonFluxDensity, 1e4), "80 umol/m2/s"), "lowest mean photon flux density, 400 to 700 nm"},
		{"dli", may, quantity(unit.DailyLight, document.UpTo(unit.DailyLight, 500), "4 mol/m2/day"), "lowest mean daily light integral; needs wiring.hours"},
		{"uniformity", may, number(document.Range{Low: document.LeastShare, High: 1, Percent: true}, 0.5), "lowest min/mean"},
	}}
}

func tolerance() mapping {
	half := document.Range{High: 0.5, Percent: true}
	return mapping{fields: []field{
		{"flux", may, number(half, 0.05), "of each module by itself; 0.05 unless given"},
		{"beam", may, number(half, 0.05), "of all beam angles of an optic together; 0.05 unless given"},
		{"position", may, length(document.Range{High: 0.1}, "1 mm"), "of each module along its rail; 1 mm unless given"},
		{"height", may, length(document.Range{High: 0.5}, "2 mm"), "of each rail; 2 mm unless given"},
		{"clarity", may, quantity(unit.Attenuation, document.Range{High: 10}, "0.05 1/m"), "of the water's absorption; 0.05 1/m unless given"},
	}}
}
