package key

import (
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// The limits of a scene, for its file and for what is changed in it.
const (
	MaxSideM        = 20.0  // longest side of a tank, longest rail, greatest height above the water
	MinSideM        = 0.01  // shortest side of a tank and shortest rail
	MaxModules      = 500   // modules of all rails together
	MaxDies         = 20000 // dies of all modules together
	MaxRails        = 50
	MaxKeepOuts     = 100 // of one rail
	MaxObstacles    = 200
	MaxModulesGroup = 400 // modules of one group
)

// The ranges that several keys share. Blackwater absorbs about 20 1/m at 440 nm.
var (
	side     = span(MinSideM, MaxSideM)
	anywhere = span(-MaxSideM, MaxSideM)
	above    = span(0.001, MaxSideM)
	share    = percent(0, 1)
	half     = percent(0, 0.5)
	perM     = span(0, 1000)
)

// Point is a point in the tank's axes.
var Point = list(length(anywhere, "560 mm"), 3, 3).like("[560 mm, 0 mm, 470 mm]")

// Scene is the root of a scene file.
var Scene = &Table{Rows: []Row{
	may("title", text("Library foyer, planted tank"),
		"what stands above the pictures; the file's name where it is not given"),
	must("tank", Tank.shape(),
		"the tank's inside, its water, walls, floor and cover; the origin is the inside front left corner at the floor"),
	must("rails", list(Rail.shape(), 1, MaxRails), "the bars along x that carry the modules"),
	may("wiring", Wiring.shape(), "how the modules are fed"),
	may("ambient", keys(
		may("air", quantity(unit.Temperature, span(-20, 60), "24 C", "75 F"), "24 C unless given"),
		may("hood", Hood.shape(), "a closed box over all rails, open towards the tank; free air unless given"),
	), "the air around the rails"),
	may("goal", Goal.shape(), "what the light has to reach on one plane"),
	may("flux_factor", number(percent(0.05, 5), "0.92"), // beyond it a module has the wrong table
		"what the modules give, as a share of their tables, as readings of a light meter show it; 1 unless given"),
	may("tolerance", Tolerance.shape(), "how far what is built may be off what is written here, to each side"),
	may("parts", either(text("own-parts.yaml"), PartTables.shape()),
		"parts of your own beside the built-in ones: the name of a file beside the scene, or the parts themselves"),
}}

// Tank is the tank of a scene.
var Tank = &Table{Rows: []Row{
	must("length", length(side, "1180 mm"), "inside, along x, from left to right"),
	must("width", length(side, "430 mm"), "inside, along y, from front to back"),
	must("height", length(side, "480 mm"), "inside, from the floor (top of the substrate) to the rim"),
	must("water", Water.shape().like("{depth: 420 mm}"), "the body of water"),
	may("walls", keys(
		may("front", wall, wallMeaning),
		may("back", wall, wallMeaning),
		may("left", wall, wallMeaning),
		may("right", wall, wallMeaning),
	), "what the four sides do with light; clear glass unless given"),
	may("floor", keys(
		must("diffuse", number(share, "0.25"), "share that the substrate sends back: dark 0.1, sand 0.4"),
	), "the floor; reflects 0.2 unless given"),
	may("cover", keys(
		must("material", choice("glass", "low-iron glass", "acrylic"), "what the pane is made of"),
		must("thickness", length(span(0.0001, 0.1), "4 mm"), "of the pane"),
		must("above_water", length(span(0, MaxSideM), "30 mm"), "from the water surface to the pane's underside"),
	), "a pane between the modules and the water; none unless given"),
	may("obstacles", list(keys(
		may("name", text("brace"), "for messages"),
		must("from", Point, "one corner, x, y and z in the tank's axes,"),
		must("to", Point, "the opposite corner, x, y and z,"),
		may("opaque", Shape{Kind: True}, "only opaque boxes are known"),
	), 0, MaxObstacles), "boxes that cast shadows: braces, filters, rocks"),
}}

const wallMeaning = "glass, acrylic, {diffuse: 0.08} or {mirror: 0.9}"

// wall is one side of a tank.
var wall = either(choice("glass", "acrylic"), (&Table{OneOf: []string{"diffuse", "mirror"}, Rows: []Row{
	may("diffuse", number(share, "0.08"), "paint, film or foam: the share that it sends back diffusely"),
	may("mirror", number(share, "0.9"), "a mirror: the share that it reflects"),
}}).shape())

// Water is the water of a scene.
var Water = &Table{
	Exclude: map[string][]string{"half_depth": {"cdom_absorption_440", "cdom_spectral_slope", "particle_absorption",
		"particle_scattering", "asymmetry"}},
	Rows: append([]Row{
		must("depth", length(above, "420 mm"), "from the floor to the water surface"),
		may("kind", name("kind of water", "clear"), "what is dissolved and afloat in it; clear unless given"),
		may("temperature", quantity(unit.Temperature, span(0, 40), "25 C", "77 F"), "25 C unless given"),
		may("salinity", quantity(unit.Salinity, span(0, 45), "35 g/kg"), "0 g/kg unless given"),
		may("half_depth", length(span(0.001, 1000), "900 mm"),
			"measured depth at which half the light is left, in place of the kind's numbers"),
		may("extra_absorption", quantity(unit.Attenuation, span(-100, 100), "0.5 1/m"),
			"what the water absorbs beyond its kind or measured depth, as readings of a light meter show it"),
	}, waterNumbers(may)...),
}

// waterNumbers are the numbers of a kind of water; need is must or may.
func waterNumbers(need func(name string, s Shape, meaning string, old ...string) Row) []Row {
	return []Row{
		need("cdom_absorption_440", quantity(unit.Attenuation, perM, "0.1 1/m"),
			"absorption of dissolved coloured matter (CDOM) at 440 nm", "colour_440"),
		may("cdom_spectral_slope", quantity(unit.SpectralSlope, span(0, 0.1), "0.017 1/nm"),
			"how fast the absorption of dissolved coloured matter falls with wavelength", "colour_slope"),
		need("particle_absorption", quantity(unit.Attenuation, perM, "0.005 1/m"), "absorption of particles"),
		need("particle_scattering", quantity(unit.Attenuation, perM, "0.1 1/m"), "scattering of particles at 550 nm"),
		may("asymmetry", number(span(-0.99, 0.99), "0.924"), "mean cosine of the angle of scattering"),
	}
}

// Rail is one rail of a scene.
var Rail = &Table{Rows: []Row{
	may("name", text("main"), "each rail has its own; \"rail 1\" and so on unless given"),
	may("profile", name("profile", "bar-40x20"), "the bar, for heat and drilling; bar-40x20 unless given"),
	must("length", length(side, "1100 mm"), "of the bar"),
	may("x", length(anywhere, "40 mm"), "the left end; the rail is centred over the tank unless given"),
	may("y", length(anywhere, "215 mm"), "the middle line, from the front; the tank's middle unless given"),
	must("above_water", length(above, "160 mm"), "from the water surface to the emitting face"),
	may("tilt", quantity(unit.Angle, span(-80.000001*degree, 80.000001*degree), "10 deg"),
		"about the rail's own axis, positive turns the beams towards the back"),
	must("modules", either(Group.shape(), list(Group.shape(), 1, 0)).
		like("{part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}"),
		"one group of equal modules, or a list of groups and single ones,"),
	may("keep_out", list(keys(
		must("from", length(anywhere, "560 mm"), "left end, as x in the tank's axes"),
		must("to", length(anywhere, "620 mm"), "right end, as x in the tank's axes"),
		may("why", text("cable gland"), "for messages"),
	), 0, MaxKeepOuts), "stretches where no module may sit"),
}}

// Group is a group of equal modules, or a single one at x.
var Group = &Table{
	Exclude: map[string][]string{"x": {"count", "spacing", "centre"}},
	Editors: map[string]any{
		"if": map[string]any{"not": map[string]any{"required": []string{"x"}}},
		"then": map[string]any{"required": []string{"count"},
			"if": map[string]any{"required": []string{"count"},
				"properties": map[string]any{"count": map[string]any{"type": "number", "exclusiveMinimum": 1}}},
			"then": map[string]any{"required": []string{"spacing"}}},
	},
	Rows: []Row{
		must("part", name("module", "quad-neutral"), "the boards of the group"),
		must("optic", name("optic", "round-40"), "their lenses"),
		may("x", length(anywhere, "100 mm"), "the middle of a single module, in place of count and spacing"),
		may("count", whole(1, MaxModulesGroup, "6"), "how many modules, spread evenly; or x for a single one"),
		may("spacing", length(above, "180 mm"), "from middle to middle"),
		may("centre", length(anywhere, "590 mm"), "x of the group's middle; the rail's middle unless given"),
		must("current", quantity(unit.Current, document.UpTo(unit.Current, 1000), "350 mA", "0.35 A"),
			"through one module"),
	},
}

// Wiring is how the modules of a scene are fed.
var Wiring = &Table{Rows: []Row{
	may("driver", name("driver", "cc-700-20w"), "the driver's name"),
	may("strings", whole(1, MaxModules, "2"), "strings in parallel on one driver"),
	may("hours", quantity(unit.Duration, span(0, 24*3600), "9 h"), "of light a day"),
	may("tariff", money("kWh", "0.28 EUR/kWh"), "what electricity costs"),
}}

// Hood is a box over the rails.
var Hood = &Table{Rows: []Row{
	must("length", length(side, "1200 mm"), "outside, along x"),
	must("width", length(side, "450 mm"), "outside, along y"),
	must("height", length(side, "150 mm"), "outside, along z"),
}}

// Goal is what the light has to reach. The brightest light is somewhat above full sun on the ground, which gives about
// 120 klx, 2200 umol/m2/s and 65 mol/m2/day.
var Goal = &Table{Rows: []Row{
	may("plane", either(choice("surface", "mid", "floor"),
		Shape{Kind: Pattern, Word: unit.Length.Pattern(), Examples: []string{"200 mm"}}),
		"surface, mid, floor or a depth below the surface; floor unless given"),
	may("illuminance", quantity(unit.Illuminance, document.UpTo(unit.Illuminance, 1e6), "2500 lx"),
		"lowest mean illuminance"),
	may("ppfd", quantity(unit.PhotonFluxDensity, document.UpTo(unit.PhotonFluxDensity, 1e4), "80 umol/m2/s"),
		"lowest mean photon flux density, 400 to 700 nm"),
	may("dli", quantity(unit.DailyLight, document.UpTo(unit.DailyLight, 500), "4 mol/m2/day"),
		"lowest mean daily light integral; needs wiring.hours"),
	may("uniformity", number(percent(document.LeastShare, 1), "0.5"), "lowest uniformity U0 (min/mean)"),
}}

// Tolerance is how far what is built may be off.
var Tolerance = &Table{Rows: []Row{
	may("flux", number(half, "0.05"), "of each module by itself; 0.05 unless given"),
	may("beam", number(half, "0.05"), "of all beam angles of an optic together; 0.05 unless given"),
	may("position", length(span(0, 0.1), "1 mm"), "of each module along its rail; 1 mm unless given"),
	may("height", length(span(0, 0.5), "2 mm"), "of each rail; 2 mm unless given"),
	may("absorption", quantity(unit.Attenuation, span(0, 10), "0.05 1/m"), "of the water; 0.05 1/m unless given",
		"clarity"),
}}
