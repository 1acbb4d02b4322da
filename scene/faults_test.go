package scene_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/readertest"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/unit"
)

// hooded is a tank under a hood that reflects.
const hooded = `tank: {length: 600 mm, width: 300 mm, height: 400 mm, water: {depth: 360 mm}}
rails: [{length: 500 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 300 mm, current: 350 mA}]}]
ambient: {hood: {length: 700 mm, width: 350 mm, height: 200 mm, inside: 0.7}}
`

// stony is a tank with things in it.
const stony = `tank:
  things:
    - {name: stone, shape: ellipsoid, at: [300 mm, 150 mm], size: [100 mm, 60 mm, 40 mm], reflectance: 0.3}
    - {rocks: {x: 50..200 mm, y: 50..250 mm, height: 100 mm, seed: 3}}
  length: 600 mm
  width: 300 mm
  height: 400 mm
  water: {depth: 360 mm}
rails: [{length: 500 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 300 mm, current: 350 mA}]}]
`

// leafy is a tank with what grows in it and on it.
const leafy = `tank:
  {length: 600 mm, width: 300 mm, height: 400 mm, water: {depth: 360 mm, ripple: {slope: 0.05}}, floating: {cover: 0.4, area: {x: 0..1 m, y: 0..1 m}},
  cover: {material: glass, thickness: 4 mm, above_water: 50 mm, scattered: 0.2}, leaves: 50 %,
  plants: [{from: [0 mm, 0 mm, 0 mm], to: [100 mm, 100 mm, 200 mm], lai: 3, reflectance: 0.1, transmittance: 0.1}]}
rails: [{length: 500 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 300 mm, current: 350 mA}]}]
maintenance: {lamp: 0.9, yellowing: 0.6 1/m}
`

// wrong are scenes with their faults: the sound scene with pairs of texts replaced, or a whole text of its own.
var wrong = []struct {
	name, text string
	pairs      []string
	want       string
}{
	{name: "nothing", text: "# only a comment\n", want: "foyer.yaml: the file is empty"},
	{name: "a list", text: "- tank\n", want: "foyer.yaml:1:1: a list is given here; write keys with their values: title, tank, rails"},
	{name: "a word", text: "tank\n", want: "foyer.yaml:1:1: a single value is given here"},
	{name: "binary", text: "\x7fELF\x02\x01", want: "foyer.yaml:1:1: control character 0x7f is not text"},
	{name: "not UTF-8", text: "title: caf\xe9\n", want: "foyer.yaml:1:11: byte 0xe9 is not UTF-8"},
	{name: "10 MB", text: strings.Repeat("#123456789\n", 1000000), want: "the file has 11000000 bytes"},
	{name: "tab", text: "tank:\n\tlength: 1 m\n", want: "foyer.yaml:2:1: a tab indents this line"},
	{name: "second document", text: scenetest.Sound + "---\n" + scenetest.Sound, want: "foyer.yaml:24:1: not readable as YAML: a second document begins here"},
	{name: "alias bomb", text: bomb, want: "more than 20000 values"},
	{name: "no tank", text: "rails: []\n", want: "foyer.yaml:1:1: tank: missing; give the tank's inside, its water, walls, floor and cover; the origin is the in"},
	{name: "no rails", text: "tank: {length: 1 m, width: 1 m, height: 1 m, water: {depth: 50 cm}}\n", want: "foyer.yaml:1:1: rails: missing; give the bars along x that carry the modules"},
	{name: "missing length", pairs: []string{"  length: 1180 mm\n", ""}, want: "foyer.yaml:3:3: tank.length: missing; give a length such as 1180 mm (inside, along x, from left to right)"},
	{name: "missing depth", pairs: []string{"depth: 420 mm, ", ""}, want: "foyer.yaml:6:10: tank.water.depth: missing"},
	{name: "unknown key", pairs: []string{"wiring:", "wirring:"}, want: `foyer.yaml:21:1: wirring: unknown key; did you mean "wiring"?`},
	{name: "unknown key without likeness", pairs: []string{"  width: 430 mm", "  colour: red\n  width: 430 mm"}, want: "foyer.yaml:4:3: tank.colour: unknown key; known: length, width, height"},
	{name: "repeated key", pairs: []string{"  width: 430 mm", "  length: 430 mm"}, want: "foyer.yaml:4:3: tank.length: repeated key; it was given on line 3 already"},
	{name: "empty value", pairs: []string{"title: Library foyer, planted tank", "title:"}, want: "foyer.yaml:1:7: title: the value is missing"},
	{name: "null item", pairs: []string{"rails:\n", "rails:\n  -\n"}, want: "foyer.yaml:13:4: rails[0]: the value is missing"},
	{name: "wrong type", pairs: []string{"length: 1180 mm", "length: [1180 mm]"}, want: "foyer.yaml:3:11: tank.length: a list is given here; write a length with its unit"},
	{name: "wrong unit", pairs: []string{"length: 1180 mm", "length: 1180 mA"}, want: `foyer.yaml:3:11: tank.length: "mA" is not a unit of length; use mm, cm, m, in or ft`},
	{name: "no unit", pairs: []string{"length: 1180 mm", "length: 1180"}, want: "foyer.yaml:3:11: tank.length: 1180 has no unit; write 1180 mm or 1.18 m"},
	{name: "current without unit", pairs: []string{"current: 350 mA", "current: 350"}, want: "foyer.yaml:19:88: rails[0].modules.current: 350 has no unit; write 350 mA or 0.35 A"},
	{name: "thousands comma", pairs: []string{"length: 1180 mm", "length: \"1,180 mm\""}, want: "has a comma; write decimals with a point"},
	{name: "negative", pairs: []string{"width: 430 mm", "width: -430 mm"}, want: "foyer.yaml:4:10: tank.width: -430 mm is out of range; give a length from 10 mm to 20 m"},
	{name: "zero tank", pairs: []string{"height: 480 mm", "height: 0 mm"}, want: "foyer.yaml:5:11: tank.height: 0 mm is out of range"},
	{name: "huge", pairs: []string{"length: 1180 mm", "length: 1e300 m"}, want: "tank.length: 1e300 m is out of range"},
	{name: "over 20 m", pairs: []string{"length: 1180 mm", "length: 21 m"}, want: "from 10 mm to 20 m"},
	{name: "NaN", pairs: []string{"length: 1180 mm", "length: .nan"}, want: "foyer.yaml:3:11: tank.length: .nan is not a finite number"},
	{name: "NaN with a unit", pairs: []string{"length: 1180 mm", "length: nan mm"}, want: "does not begin with a number"},
	{name: "infinite", pairs: []string{"{diffuse: 0.25}", "{diffuse: .inf}"}, want: "foyer.yaml:8:20: tank.floor.diffuse: .inf is not a finite number"},
	{name: "no water", pairs: []string{"depth: 420 mm", "depth: 0 mm"}, want: "tank.water.depth: 0 mm is out of range; give a length from 1 mm"},
	{name: "water above the rim", pairs: []string{"depth: 420 mm", "depth: 500 mm"}, want: "foyer.yaml:6:18: tank.water.depth: 500 mm of water would stand above the rim; the tank is 480 mm high"},
	{name: "hot water", pairs: []string{"temperature: 25 C", "temperature: 120 F"}, want: "120 F is out of range; give a temperature from 0 C to 40 C"},
	{name: "brine", pairs: []string{"salinity: 0 g/kg", "salinity: 50 ppt"}, want: "from 0 g/kg to 45 g/kg"},
	{name: "unknown water", pairs: []string{"kind: clear", "kind: claer"}, want: `tank.water.kind: there is no kind of water "claer"; did you mean "clear"?`},
	{name: "half depth and numbers", pairs: []string{"kind: clear", "half_depth: 900 mm, cdom_absorption_440: 1 1/m"}, want: "foyer.yaml:6:67: tank.water.cdom_absorption_440: half_depth and cdom_absorption_440 exclude each other; give one or the other"},
	{name: "colour without slope", pairs: []string{"kind: clear", "kind: pure, cdom_absorption_440: 1 1/m"}, want: "foyer.yaml:6:10: tank.water.cdom_spectral_slope: missing beside the other values; give a spectral slope such as 0.017 1/nm (how fast the "},
	{name: "scattering without direction", pairs: []string{"kind: clear", "kind: pure, particle_scattering: 1 1/m"}, want: "tank.water.asymmetry: missing"},
	{name: "hood too small", text: hooded, pairs: []string{"length: 700 mm", "length: 500 mm"}, want: "ambient.hood.length: the hood is smaller than the tank; one that reflects covers at least the tank's inside, 600 mm x 300 mm"},
	{name: "hood in the water", text: hooded, pairs: []string{"inside: 0.7", "inside: 0.7, above_water: 20 mm"}, want: "ambient.hood.above_water: the hood's lower edge is below rim or cover, which end 40 mm above the water"},
	{name: "hood below the rail", text: hooded, pairs: []string{"height: 200 mm", "height: 100 mm"}, want: "ambient.hood.height: the hood ends 140 mm above the water, below the emitting face of rail 1 at 150 mm"},
	{name: "leaves below none", text: leafy, pairs: []string{"lai: 3", "leaf_area_density: -1 1/m"}, want: "tank.plants[0].leaf_area_density: -1 1/m is out of range; give an attenuation from 0 1/m to 1000 1/m"},
	{name: "leaf area twice", text: leafy, pairs: []string{"lai: 3", "lai: 3, leaf_area_density: 1 1/m"}, want: "foyer.yaml:4:12: tank.plants[0]: give exactly one of leaf_area_density, lai"},
	{name: "leaves that make light", text: leafy, pairs: []string{"reflectance: 0.1", "reflectance: 0.95"}, want: "tank.plants[0].transmittance: reflectance and transmittance are 1.05 together; a leaf gives back 1 at most"},
	{name: "stand beside the tank", text: leafy, pairs: []string{"to: [100 mm, 100", "to: [700 mm, 100"}, want: "tank.plants[0]: the stand reaches out of the tank, whose inside is 600 mm x 300 mm; move its corners inside"},
	{name: "stand out of the water", text: leafy, pairs: []string{"100 mm, 200 mm]", "100 mm, 380 mm]"}, want: "tank.plants[0]: the stand reaches 380 mm up, out of water that is 360 mm deep; end it there"},
	{name: "flat stand", text: leafy, pairs: []string{"100 mm, 200 mm]", "100 mm, 0 mm]"}, want: "tank.plants[0]: the stand has no volume"},
	{name: "floating beside the tank", text: leafy, pairs: []string{"x: 0..1 m", "x: 650..700 mm"}, want: "tank.floating.area: the area is empty or lies outside the tank; give x up to 600 mm"},
	{name: "more than covered", text: leafy, pairs: []string{"cover: 0.4", "cover: 1.4"}, want: "tank.floating.cover: 1.4 is out of range; give a number from 0 to 1"},
	{name: "more than all leaves", text: leafy, pairs: []string{"50 %", "150 %"}, want: "tank.leaves: 150 % is out of range; give a level from 0 % to 100 %"},
	{name: "steep ripple", text: leafy, pairs: []string{"slope: 0.05", "slope: 0.6"}, want: "tank.water.ripple.slope: 0.6 is out of range; give a number from 0 to 0.5"},
	{name: "ripple below still", text: leafy, pairs: []string{"slope: 0.05", "slope: -0.1"}, want: "tank.water.ripple.slope: -0.1 is out of range"},
	{name: "unknown ripple", text: leafy, pairs: []string{"{slope: 0.05}", "gentel"}, want: `tank.water.ripple: gentel is not known; did you mean "gentle"?`},
	{name: "all thrown aside", text: leafy, pairs: []string{"scattered: 0.2", "scattered: 1.2"}, want: "tank.cover.scattered: 1.2 is out of range; give a number from 0 to 0.95"},
	{name: "a lamp that grows", text: leafy, pairs: []string{"lamp: 0.9", "lamp: 1.1"}, want: "maintenance.lamp: 1.1 is out of range; give a number from 0.05 to 1"},
	{name: "unknown wall", pairs: []string{"left: acrylic", "left: wood"}, want: "tank.walls.left: wood is not known; known: glass, low-iron glass, acrylic"},
	{name: "two walls in one", pairs: []string{"{mirror: 90 %}", "{mirror: 0.9, paint: 0.1}"}, want: "foyer.yaml:7:47: tank.walls.right: give exactly one of film, paint, diffuse, mirror"},
	{name: "neither wall", pairs: []string{"{mirror: 90 %}", "{}"}, want: "foyer.yaml:7:47: tank.walls.right: give exactly one of film, paint, diffuse, mirror"},
	{name: "reflectance above 1", pairs: []string{"{diffuse: 0.25}", "{diffuse: 25}"}, want: "tank.floor.diffuse: 25 is out of range; give a number from 0 to 1"},
	{name: "floor of two kinds", pairs: []string{"{diffuse: 0.25}", "{diffuse: 0.25, film: 0.3}"}, want: "tank.floor.film: diffuse and film exclude each other"},
	{name: "slope with one end", pairs: []string{"{diffuse: 0.25}", "{front: 20 mm}"}, want: "foyer.yaml:8:10: tank.floor.back: missing beside the other values; give a length such as 30 mm (height of the ground along the back wall)"},
	{name: "slope below zero", pairs: []string{"{diffuse: 0.25}", "{left: 20 mm, right: -5 mm}"}, want: "tank.floor.right: -5 mm is out of range; give a length from 0 mm to 20 m"},
	{name: "slope above the water", pairs: []string{"{diffuse: 0.25}", "{front: 20 mm, back: 440 mm}"}, want: "foyer.yaml:8:31: tank.floor.back: the ground rises 420 mm over its lowest place, above the water, which is 420 mm deep there"},
	{name: "slope of a pane", pairs: []string{"{diffuse: 0.25}", "{film: 0.3, front: 0 mm, back: 9 mm}"}, want: "tank.floor.front: film and front exclude each other"},
	{name: "heights above the water", pairs: []string{"{diffuse: 0.25}", "{heights: [[0 mm, 0 mm], [1 mm, 600 mm]]}"}, want: "tank.floor.heights: the ground rises 600 mm"},
	{name: "ragged heights", pairs: []string{"{diffuse: 0.25}", "{heights: [[0 mm, 0 mm], [1 mm, 2 mm, 3 mm]]}"}, want: "tank.floor.heights[1]: row 2 has 3 heights, the first has 2"},
	{name: "33 rows of heights", pairs: []string{"{diffuse: 0.25}", "{heights: [" + strings.Repeat("[0 mm, 1 mm], ", 33) + "]}"}, want: "tank.floor.heights: 33 items are too many; at most 32 are allowed"},
	{name: "33 heights in a row", pairs: []string{"{diffuse: 0.25}", "{heights: [[1 mm, 2 mm], [" + strings.Repeat("0 mm, ", 33) + "]]}"}, want: "tank.floor.heights[1]: 33 items are too many"},
	{name: "heights in no file", pairs: []string{"{diffuse: 0.25}", "{heights: ground.csv}"}, want: "tank.floor.heights: the heights of the ground, ground.csv: "},
	{name: "thing of no kind", text: stony, pairs: []string{"shape: ellipsoid", "turn: 0 deg"}, want: "foyer.yaml:3:7: tank.things[0]: give exactly one of shape, rocks"},
	{name: "thing without a size", text: stony, pairs: []string{", size: [100 mm, 60 mm, 40 mm]", ""}, want: "tank.things[0].size: missing beside the other values"},
	{name: "thing outside the tank", text: stony, pairs: []string{"at: [300 mm, 150 mm]", "at: [580 mm, 150 mm]"}, want: "foyer.yaml:3:7: tank.things[0]: it reaches 30 mm out of the tank, whose inside is 600 mm x 300 mm"},
	{name: "thing turned outside the tank", text: stony, pairs: []string{"at: [300 mm, 150 mm]", "at: [300 mm, 40 mm], turn: 90 deg"}, want: "tank.things[0]: it reaches 10 mm out of the tank"},
	{name: "thing above the rim", text: stony, pairs: []string{"60 mm, 40 mm]", "60 mm, 410 mm]"}, want: "tank.things[0]: it ends at a height of 410 mm, not below the rim at 400 mm; make it lower"},
	{name: "thing in the ground", text: stony, pairs: []string{"at: [300 mm, 150 mm]", "at: [300 mm, 150 mm, -50 mm]"}, want: "tank.things[0]: it ends at a height of -10 mm, under the ground; lift it"},
	{name: "thing that shines", text: stony, pairs: []string{"reflectance: 0.3", "reflectance: 1.3"}, want: "tank.things[0].reflectance: 1.3 is out of range"},
	{name: "thing around a rail", text: stony, pairs: []string{"60 mm, 40 mm]", "60 mm, 390 mm]", "above_water: 150 mm", "above_water: 20 mm"}, want: "foyer.yaml:3:7: tank.things[0]: stone stands in the space of rail 1; make it lower or lift the rail"},
	{name: "brace around a rail", text: stony, pairs: []string{"things:", "braces: [{x: 300 mm, width: 60 mm, thickness: 10 mm, reflectance: 0.5}]\n  things:", "above_water: 150 mm", "above_water: 35 mm"}, want: "tank: brace 1 stands in the space of rail 1"},
	{name: "heap on a line", text: stony, pairs: []string{"x: 50..200 mm", "x: 50 mm"}, want: "tank.things[1].rocks.x: a heap takes 10 mm or more; give both ends, as in 100..400 mm"},
	{name: "heap outside the tank", text: stony, pairs: []string{"x: 50..200 mm", "x: 500..700 mm"}, want: "tank.things[1]: it reaches "},
	{name: "heap with a place", text: stony, pairs: []string{"rocks: {", "at: [1 mm, 1 mm], rocks: {"}, want: "tank.things[1].at: rocks and at exclude each other"},
	{name: "rim without an opening", text: stony, pairs: []string{"things:", "rim: {width: 150 mm, thickness: 10 mm}\n  things:"}, want: "foyer.yaml:2:16: tank.rim.width: 150 mm from each side leaves no opening between walls that are 300 mm apart"},
	{name: "brace outside the tank", text: stony, pairs: []string{"things:", "braces: [{y: 290 mm, width: 60 mm, thickness: 10 mm}]\n  things:"}, want: "tank.braces[0].y: the brace reaches out of the tank; inside, y runs from 0 mm to 300 mm"},
	{name: "rim down to the floor", text: stony, pairs: []string{"things:", "rim: {width: 15 mm, thickness: 400 mm}\n  things:"}, want: "tank.rim.thickness: 400 mm is not less than the tank's height, 400 mm"},
	{name: "cover of wood", pairs: []string{"material: glass", "material: low iron glass"}, want: `did you mean "low-iron glass"?`},
	{name: "cover under water", pairs: []string{"above_water: 30 mm", "above_water: -1 mm"}, want: "tank.cover.above_water: -1 mm is out of range"},
	{name: "flat point", pairs: []string{"to: [560 mm, 430 mm, 470 mm]", "to: [560 mm, 430 mm]"}, want: "foyer.yaml:11:55: tank.obstacles[0].to: the list is too short; give at least 3"},
	{name: "flat box", pairs: []string{"to: [560 mm, 430 mm, 470 mm]", "to: [560 mm, 430 mm, 480 mm]"}, want: "foyer.yaml:11:7: tank.obstacles[0]: the box has no volume"},
	{name: "clear box", pairs: []string{"opaque: true", "opaque: false"}, want: "tank.obstacles[0].opaque: only opaque boxes are supported"},
	{name: "box that may be", pairs: []string{"opaque: true", "opaque: perhaps"}, want: "perhaps is not known; known: true, false"},
	{name: "too many boxes", pairs: []string{"    - {name: brace,", strings.Repeat("    - {from: [1 mm, 1 mm, 1 mm], to: [2 mm, 2 mm, 2 mm]}\n", 200) + "    - {name: brace,"}, want: "foyer.yaml:11:5: tank.obstacles: 201 items are too many; at most 200 are allowed"},
	{name: "no rail in the list", text: "tank: {length: 1 m, width: 1 m, height: 1 m, water: {depth: 50 cm}}\nrails: []\n", want: "foyer.yaml:2:8: rails: the list is too short; give at least 1"},
	{name: "too many rails", pairs: []string{"rails:\n", "rails:\n" + strings.Repeat("  - {}\n", 50)}, want: "foyer.yaml:13:3: rails: 51 items are too many; at most 50 are allowed"},
	{name: "rail under water", pairs: []string{"above_water: 160 mm", "above_water: 0 mm"}, want: "foyer.yaml:16:18: rails[0].above_water: 0 mm is out of range"},
	{name: "rail in the cover", pairs: []string{"above_water: 160 mm", "above_water: 33 mm"}, want: "rails[0].above_water: 33 mm is not above the cover, whose top is at 34 mm"},
	{name: "rail below the cover", pairs: []string{"above_water: 160 mm", "above_water: 20 mm"}, want: "20 mm is not above the cover"},
	{name: "die in the cover", pairs: []string{"above_water: 160 mm", "above_water: 35 mm", "tilt: 0 deg", "tilt: 45 deg"}, want: "foyer.yaml:18:11: rails[0].tilt: the lowest dies of quad-neutral would stand at 32.8787 mm, not above the cover's top"},
	{name: "steep rail", pairs: []string{"tilt: 0 deg", "tilt: 81 deg"}, want: "81 deg is out of range; give an angle from -80° to 80°"},
	{name: "rail name twice", pairs: []string{"rails:\n", "rails:\n  - {name: main, length: 1 m, above_water: 90 mm, modules: {part: quad-blue, optic: round-40, x: 1 m, current: 350 mA}}\n"},
		want: `foyer.yaml:14:11: rails[1].name: "main" is the name of the rail on line 13 already`},
	{name: "default name taken", pairs: []string{"rails:\n", "rails:\n  - {name: rail 2, length: 1 m, above_water: 90 mm, modules: {part: quad-blue, optic: round-40, x: 1 m, current: 350 mA}}\n", "  - name: main\n    profile", "  - profile"},
		want: `rails[1].name: "rail 2" is the name of the rail on line 13 already`},
	{name: "unknown profile", pairs: []string{"bar-40x20", "bar-40x21"}, want: `did you mean "bar-40x20"?`},
	{name: "unknown part", pairs: []string{"quad-neutral", "quad-netural"}, want: `foyer.yaml:19:21: rails[0].modules.part: there is no module "quad-netural"; did you mean "quad-neutral"?`},
	{name: "unknown optic", pairs: []string{"round-40", "square"}, want: `there is no optic "square"; known:`},
	{name: "no optic", pairs: []string{"optic: round-40, ", ""}, want: "foyer.yaml:19:14: rails[0].modules.optic: missing; give the optic's name such as round-40 (their lenses)"},
	{name: "no current", pairs: []string{", current: 350 mA", ""}, want: "foyer.yaml:19:14: rails[0].modules.current: missing; give a current such as 350 mA (through one module)"},
	{name: "current outside the table", pairs: []string{"current: 350 mA", "current: 3 A"}, want: "3000 mA is outside the table of quad-neutral, which runs from 100 mA to 1000 mA"},
	{name: "no module", pairs: []string{"count: 6", "count: 0"}, want: "0 is out of range; give a number from 1 to 400"},
	{name: "half a module", pairs: []string{"count: 6", "count: 6.5"}, want: "6.5 is not a whole number"},
	{name: "large group", pairs: []string{"count: 6", "count: 401"}, want: "401 is out of range; give a number from 1 to 400"},
	{name: "no spacing", pairs: []string{"spacing: 180 mm, ", ""}, want: "foyer.yaml:19:14: rails[0].modules.spacing: missing beside the other values; give a length such as 180 mm (from middle to middle)"},
	{name: "no spacing length", pairs: []string{"spacing: 180 mm", "spacing: 0 mm"}, want: "spacing: 0 mm is out of range"},
	{name: "no place", pairs: []string{"count: 6, spacing: 180 mm, ", ""}, want: "foyer.yaml:19:14: rails[0].modules.count: missing beside the other values; give a whole number such as 6 (how many modules, spread"},
	{name: "two places", pairs: []string{"count: 6,", "x: 1 m, count: 6,"}, want: "foyer.yaml:19:79: rails[0].modules.spacing: x and spacing exclude each other; give one or the other"},
	{name: "empty modules", pairs: []string{"{part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}", "[]"}, want: "foyer.yaml:19:14: rails[0].modules: the list is too short; give at least 1"},
	{name: "word for modules", pairs: []string{"{part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}", "six"}, want: "rails[0].modules: a single value is given here; write a list"},
	{name: "too many modules", pairs: []string{"{part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}", "[" + strings.Repeat("{part: quad-neutral, optic: round-40, count: 400, spacing: 1 mm, current: 350 mA},", 2) + "]"}, want: "foyer.yaml:13:3: rails: 800 modules or more on all rails together are too many; at most 500 are allowed"},
	{name: "too many faulty groups", pairs: []string{"{part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}", "[" + strings.Repeat("{part: quad-neutral},", 501) + "]"}, want: "foyer.yaml:13:3: rails: 501 modules or more on all rails together are too many; at most 500 are allowed"},
	{name: "too many dies", pairs: []string{"part: quad-neutral", "part: wall", "wiring:", "parts: {modules: {wall: {based_on: quad-neutral, dies: {along: 100, across: 100, pitch: 0.1 mm}}}}\nwiring:"},
		want: "rails: 60000 dies of all modules together are too many; at most 20000 are allowed; use fewer modules or fewer dies in their part"},
	{name: "too many keep-outs", pairs: []string{"{from: 570 mm", strings.Repeat("{from: 1 mm, to: 2 mm},", 100) + "{from: 570 mm"}, want: "foyer.yaml:20:15: rails[0].keep_out: 101 items are too many; at most 100 are allowed"},
	{name: "keep-out inside out", pairs: []string{"from: 570 mm, to: 610 mm", "from: 610 mm, to: 570 mm"}, want: "foyer.yaml:20:16: rails[0].keep_out[0]: from must be left of to: 610 mm is not below 570 mm"},
	{name: "one hanger", pairs: []string{"    keep_out:", "    hangers: [300 mm]\n    keep_out:"}, want: "foyer.yaml:20:14: rails[0].hangers: the list is too short; give at least 2"},
	{name: "hanger off the rail", pairs: []string{"    keep_out:", "    hangers: [300 mm, 1150 mm]\n    keep_out:"}, want: "foyer.yaml:20:23: rails[0].hangers[1]: the hanger at x = 1150 mm is beyond the rail, which runs from 40 mm to 1140 mm"},
	{name: "hangers in one place", pairs: []string{"    keep_out:", "    hangers: [300 mm, 305 mm]\n    keep_out:"}, want: "rails[0].hangers[1]: the hanger at x = 305 mm is not 10 mm or more to the right of the one before it"},
	{name: "unknown driver", pairs: []string{"cc-700", "cc-7oo"}, want: `there is no driver "cc-7oo"; did you mean "cc-700"?`},
	{name: "no string", pairs: []string{"strings: 2", "strings: 0"}, want: "wiring.strings: 0 is out of range"},
	{name: "long day", pairs: []string{"hours: 9 h", "hours: 25 h"}, want: "wiring.hours: 25 h is out of range; give a duration from 0 h to 24 h"},
	{name: "tariff without currency", pairs: []string{"0.28 EUR/kWh", "0.28"}, want: "wiring.tariff: 0.28 is not an amount of money; write it as in 0.28 EUR/kWh"},
	{name: "kelvins", pairs: []string{"air: 24 C", "air: 24 K"}, want: "ambient.air: 24 K is out of range; give a temperature from -20 C to 60 C"},
	{name: "hood without a height", pairs: []string{"air: 24 C", "air: 24 C, hood: {length: 1200 mm, width: 450 mm}"}, want: "foyer.yaml:22:28: ambient.hood.height: missing; give a length such as 150 mm (outside, along z)"},
	{name: "flat hood", pairs: []string{"air: 24 C", "hood: {length: 1200 mm, width: 450 mm, height: 0 mm}"}, want: "ambient.hood.height: 0 mm is out of range; give a length from 10 mm to 20 m"},
	{name: "hood without a unit", pairs: []string{"air: 24 C", "hood: {length: 1200, width: 450 mm, height: 120 mm}"}, want: "ambient.hood.length: 1200 has no unit"},
	{name: "hood of a word", pairs: []string{"air: 24 C", "hood: closed"}, want: "ambient.hood: "},
	{name: "hood with a lid", pairs: []string{"air: 24 C", "hood: {length: 1200 mm, width: 450 mm, height: 120 mm, hieght: 1 mm}"}, want: `ambient.hood.hieght: unknown key; did you mean "height"?`},
	{name: "plane below the floor", pairs: []string{"plane: floor", "plane: 500 mm"}, want: "foyer.yaml:23:15: goal.plane: 500 mm is out of range; a plane lies from 0 mm to 420 mm"},
	{name: "plane unknown", pairs: []string{"plane: floor", "plane: midd"}, want: `"midd" is not a plane; did you mean "mid"?`},
	{name: "colour in C", pairs: []string{"uniformity: 0.5", "colour: 4000 C"}, want: "goal.colour: "},
	{name: "colour without unit", pairs: []string{"uniformity: 0.5", "colour: 4000"}, want: "goal.colour: 4000 has no unit; write 4000 K"},
	{name: "colour too low", pairs: []string{"uniformity: 0.5", "colour: 900 K"}, want: "goal.colour: 900 K is out of range"},
	{name: "steps", pairs: []string{"uniformity: 0.5", "steps_at_most: 0"}, want: "goal.steps_at_most: 0 is out of range"},
	{name: "steps with unit", pairs: []string{"uniformity: 0.5", "steps_at_most: 7 steps"}, want: "goal.steps_at_most: "},
	{name: "uniformity", pairs: []string{"uniformity: 0.5", "uniformity: 1.5"}, want: "goal.uniformity: 1.5 is out of range; give a number from 0.0001 to 1"},
	{name: "no goal in lux", pairs: []string{"illuminance: 2500 lx", "illuminance: 0 lx"}, want: "goal.illuminance: 0 lx is out of range"},
	{name: "daily light without hours", pairs: []string{"hours: 9 h, ", "", "illuminance: 2500 lx", "dli: 2 mol/m2/day"}, want: "goal.dli: a daily light integral needs the hours of light; give wiring.hours such as 9 h"},
	{name: "part made of itself", text: scenetest.Sound + "parts: {modules: {one: {based_on: two}, two: {based_on: one}}}\n", want: "is based on itself"},
	{name: "parts in a list", text: scenetest.Sound + "parts: [a.yaml]\n", want: "parts: a list is given here"},
	{name: "parts file without an opener", text: scenetest.Sound + "parts: own.yaml\n", want: "foyer.yaml:24:8: parts: own.yaml: files beside the scene cannot be read here"},
	{name: "flux factor of nothing", text: scenetest.Sound + "flux_factor: 0\n", want: "foyer.yaml:24:14: flux_factor: 0 is out of range; give a number from 0.05 to 5"},
	{name: "flux factor with a unit", text: scenetest.Sound + "flux_factor: 0.9 lm\n", want: "flux_factor: 0.9 lm has a unit, or is not a number"},
	{name: "flux factor misspelt", text: scenetest.Sound + "flux_facter: 0.9\n", want: `flux_facter: unknown key; did you mean "flux_factor"?`},
	{name: "extra absorption without a unit", pairs: []string{"kind: clear", "kind: clear, extra_absorption: 0.2"}, want: "tank.water.extra_absorption: 0.2 has no unit"},
	{name: "clearer than pure water", pairs: []string{"kind: clear", "kind: pure, extra_absorption: -0.1 1/m"}, want: "tank.water.extra_absorption: -0.1 1/m is out of range; with less than 0 1/m the water would be clearer than pure water"},
	{name: "ink", pairs: []string{"kind: clear", "kind: clear, extra_absorption: 500 1/m"}, want: "from -100 1/m to 100 1/m"},
	{name: "tolerance of a word", text: scenetest.Sound + "tolerance: fine\n", want: "foyer.yaml:24:12: tolerance: "},
	{name: "tolerance unknown", text: scenetest.Sound + "tolerance: {hight: 1 mm}\n", want: `tolerance.hight: unknown key; did you mean "height"?`},
	{name: "tolerance without a unit", text: scenetest.Sound + "tolerance: {position: 1}\n", want: "tolerance.position: 1 has no unit; write 1 mm"},
	{name: "tolerance below 0", text: scenetest.Sound + "tolerance: {flux: -5 %}\n", want: "tolerance.flux: -5 % is out of range; give a number from 0 to 0.5"},
	{name: "tolerance of all", text: scenetest.Sound + "tolerance: {beam: 100 %}\n", want: "tolerance.beam: 100 % is out of range"},
	{name: "a title that nobody sees", pairs: []string{"title: Library foyer, planted tank", "title: \u200b\u200d"}, want: "foyer.yaml:1:8: title: the text has no character that can be seen"},
	{name: "next to no light", pairs: []string{"illuminance: 2500 lx", "illuminance: 1e-308 lx"}, want: "goal.illuminance: 1e-308 lx is out of range; give an illuminance from 0.0001 lx to 1000 klx"},
	{name: "measured file without an opener", pairs: []string{"round-40", "lens"}, text: scenetest.Sound + "parts: {optics: {lens: {file: lens.ies, efficiency: 0.9}}}\n", want: "rails[0].modules.optic: the distribution of lens, lens.ies: files beside the scene cannot be read here"},
}

// bomb multiplies ten values by ten nine times.
const bomb = `a: &a [x, x, x, x, x, x, x, x, x, x]
b: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a, *a]
c: &c [*b, *b, *b, *b, *b, *b, *b, *b, *b, *b]
d: &d [*c, *c, *c, *c, *c, *c, *c, *c, *c, *c]
e: &e [*d, *d, *d, *d, *d, *d, *d, *d, *d, *d]
f: &f [*e, *e, *e, *e, *e, *e, *e, *e, *e, *e]
`

func wrongText(t testing.TB, text string, pairs []string) string {
	if text == "" {
		text = scenetest.Sound
	}
	return scenetest.Edit(t, text, pairs...)
}

func TestWrongScenes(t *testing.T) {
	if len(wrong) < 45 {
		t.Errorf("only %d wrong scenes", len(wrong))
	}
	for _, test := range wrong {
		s, err := scene.Parse("foyer.yaml", []byte(wrongText(t, test.text, test.pairs)), nil)
		var faults *document.Error
		switch {
		case err == nil || s != nil:
			t.Errorf("%s: taken", test.name)
		case !errors.As(err, &faults) || len(faults.Faults) == 0:
			t.Errorf("%s: the error is a %T", test.name, err)
		case !strings.Contains(err.Error(), test.want):
			t.Errorf("%s:\n%.600s\ndoes not say\n%s", test.name, err, test.want)
		}
	}
}

// One wrong value makes one fault: nothing follows from it that the reader of the message cannot understand.
func TestOneFaultForOneMistake(t *testing.T) {
	for _, pairs := range [][]string{
		{"length: 1180 mm", "length: 1180"},
		{"depth: 420 mm", "depth: 420"},
		{"thickness: 4 mm", "thickness: 4"},
		{"hours: 9 h", "hours: 9", "illuminance: 2500 lx", "dli: 2 mol/m2/day"},
		{"part: quad-neutral", "part: quad"},
		{"from: 570 mm", "from: 570"},
		{"[560 mm, 430 mm, 470 mm]", "[560, 430 mm, 470 mm]"},
		{"count: 6", "count:"},
	} {
		_, err := scene.Parse("foyer.yaml", []byte(scenetest.Edit(t, scenetest.Sound, pairs...)), nil)
		var faults *document.Error
		if !errors.As(err, &faults) || len(faults.Faults) != 1 {
			t.Errorf("%q: %v", pairs[1], err)
		}
	}
}

func TestAllFaultsAtOnceInTheOrderOfTheFile(t *testing.T) {
	text := scenetest.Edit(t, scenetest.Sound, "title:", "titel:", "length: 1180 mm", "length: 1180", "kind: clear", "kind: mud",
		"optic: round-40", "optic: round-41", "wiring:", "wirring:", "uniformity: 0.5", "uniformity: 7")
	_, err := scene.Parse("foyer.yaml", []byte(text), nil)
	if err == nil {
		t.Fatal("taken")
	}
	lines := strings.Split(err.Error(), "\n")
	want := []string{"foyer.yaml:1:1: titel:", "foyer.yaml:3:11: tank.length:", "foyer.yaml:6:32: tank.water.kind:",
		"foyer.yaml:19:42: rails[0].modules.optic:", "foyer.yaml:21:1: wirring:", "foyer.yaml:23:56: goal.uniformity:"}
	if len(lines) != len(want) {
		t.Fatalf("%d faults:\n%v", len(lines), err)
	}
	for i := range want {
		if !strings.HasPrefix(lines[i], want[i]) {
			t.Errorf("fault %d is %q, not at %q", i, lines[i], want[i])
		}
	}
}

// FuzzParse: no panic; each fault has a message in one line; a scene without a fault has finite, positive measures.
func FuzzParse(f *testing.F) {
	for _, test := range wrong {
		if text := wrongText(f, test.text, test.pairs); len(text) < 1<<16 {
			f.Add([]byte(text))
		}
	}
	f.Add([]byte(scenetest.Sound))
	f.Add([]byte(scenetest.Smallest))
	f.Add([]byte(scene.Starter()))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s *scene.Scene
		var err error
		readertest.Frugal(t, len(data), func() { s, err = scene.Parse("foyer.yaml", data, nil) })
		if err != nil {
			checkFaults(t, err)
			return
		}
		for _, w := range s.Warnings {
			checkFault(t, document.Fault{Place: w.Place, Message: w.Words(unit.Metric)})
		}
		checkMeasures(t, s)
	})
}

func checkFaults(t *testing.T, err error) {
	var faults *document.Error
	if !errors.As(err, &faults) || len(faults.Faults) == 0 {
		t.Fatalf("an error without faults: %v", err)
	}
	for _, fault := range faults.Faults {
		checkFault(t, fault)
	}
}

func checkFault(t *testing.T, f document.Fault) {
	if f.Message == "" || f.File == "" || strings.ContainsAny(f.Error(), "\n\r\x00") {
		t.Errorf("a fault reads %q", f.Error())
	}
}

func checkMeasures(t *testing.T, s *scene.Scene) {
	tank := s.Tank
	positive := map[string]float64{"length": tank.LengthM, "width": tank.WidthM, "height": tank.HeightM, "depth": tank.Water.DepthM}
	for i, rail := range s.Rails {
		positive["rail length"], positive["height above the water"] = rail.LengthM, rail.AboveWaterM
		if len(rail.Modules) == 0 {
			t.Errorf("rail %d has no module", i)
		}
		for _, m := range rail.Modules {
			positive["current"], positive["flux"] = m.CurrentA, m.FluxLm()
			if math.IsNaN(m.XM) || math.Abs(m.XM) > 1e5 {
				t.Errorf("a module at %g m", m.XM)
			}
			checkPositive(t, positive)
		}
	}
	if tank.RimAboveWaterM() < 0 || len(s.Rails) == 0 {
		t.Errorf("water %g m above the rim, %d rails", -tank.RimAboveWaterM(), len(s.Rails))
	}
}

func checkPositive(t *testing.T, values map[string]float64) {
	for name, v := range values {
		if !(v > 0) || math.IsInf(v, 0) {
			t.Errorf("%s is %g", name, v)
		}
	}
}
