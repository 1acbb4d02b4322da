package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/hanging"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// situation is a scene with what was worked out about it: what cautions are judged by.
type situation struct {
	scene  *scene.Scene
	units  unit.System      // of the lengths that are said
	groups []wiring.Group   // nil where nothing was wired
	op     *operating.Point // nil where there is no balance of heat
	tooHot string           // why the parts cannot bear the heat, for the report; empty where they can
}

// hazard is one entry of the cautions: the commands, steps of the build sheet and kinds of part that show it, when it
// applies, and its words: short for the head of a page, more after them where it matters. when says the arguments of
// the words each time that it applies; nil stands for always. Words take arguments by number.
type hazard struct {
	at          string
	when        func(f situation, say func(args ...any))
	short, more string
}

// codesDecide stands in several answers.
const codesDecide = "local codes and licensed practice decide"

// touchWords are about bare live parts. Source of the limits: IEC 60598-1, see circuit.WetTouchV.
const touchWords = "%[1]s %.0[2]f V, above the %[3]d V ripple-free DC of bare live parts in wet places%[4]s"

// hazards are all cautions. They judge nothing: local codes and licensed practice decide.
var hazards = []hazard{
	{"wire bill find connect", unfit, "do not connect %[1]s", "%[2]s"},
	{"drill", nil, "check before drilling: the template's ruler must measure 100.0 mm",
		", and a module's holes must lie on the crosses"},
	{"drill cut template", nil, "clamp the bar, wear eye protection",
		", and deburr each edge and hole: a burr lifts a board off the metal and cuts wires"},
	{"drill cut", nil, "drill on the bench, never above the tank", ", and keep chips out of the water"},
	{"solder", nil, "solder fumes: ventilate", ", wear eye protection, and wash your hands afterwards"},
	{"compound", nil, "thermal compound: wear gloves", ", and keep it off skin and out of the tank"},
	{"join", nil, "sharp edges: put a grommet into each hole that a cable passes", ""},
	{"wire bill join connect", sharedDriver, "a first fault in the strings of driver %[1]s overloads modules: %[2]s",
		"; one open or short circuit drives them above their highest current%[3]s"},
	{"check propose wire bill join connect", notIsolated, "driver %[1]s is not isolated: its output counts as mains",
		", whatever its voltage; enclose all of it, earth the rail, and let nobody touch or wet any part of it; " +
			codesDecide},
	{"check propose wire bill join", stringVoltage, touchWords, ""},
	{"driver", driverVoltage, touchWords, "; " + codesDecide},
	{"check wire bill connect", powered, "an isolated (SELV) supply is required",
		": with any other, contacts may carry mains voltage and no limit for bare parts applies"},
	{"wire bill connect", powered, "metal rail: earth or bond it as the local code requires", ""},
	{"check propose wire bill connect", openVoltage, touchWords, ""},
	{"wire bill connect", pulsedLight, "%[1]s: pulsed or rippling, no ripple-free DC: its peaks, %.0[4]f V at work " +
		"and %.0[5]f V without a load, are held to %[2]d V in wet and %[3]d V in dry places (IEC 60598-1, the limits for AC)",
		""},
	{"connect", powered, "live contacts while you measure: use insulated probes",
		", and let nothing bare touch you or the rail"},
	{"check propose map view compare sweep arrange day test optic", narrowBeams,
		"narrow bright beam (%[1]s, %[2]s°): do not look into it", ", and screen it from eye level"},
	{"check propose map view compare sweep arrange day test module", blueLight,
		"blue and violet light is more harmful to the eye than it looks (IEC 62471): do not look into it",
		", however dim it seems"},
	{"module", oddLight, "%[1]s", ""},
	{"check propose wire bill hang", powered, "mains beside water: use a residual-current device (RCD of 30 mA, " +
		"type A; GFCI of 5 mA in North America)",
		", drip loops, and a place for the driver where it can neither fall in nor be splashed; " +
			"the device detects no fault behind an isolated output; " + codesDecide},
	{"bill hang", powered, "a light over a tank must meet IEC 60598-2-11 (aquarium luminaires), its drivers IEC " +
		"61347-2-13, its light IEC 62471 and IEC TR 62778", ", besides the local code; this plan proves none of that"},
	{"wire bill hang", protections, "driver %[1]s: %[2]s", "%[3]s"},
	{"check propose drill hang", aboveTank, "a rail above %[1]s: hang it so that it cannot fall in",
		" or load a pane that was not made to carry it; each hanger, and the rim, hood or ceiling that holds it, must bear " +
			"%[2]s, %[3]d times its load (IEC 60598-1, 4.14)"},
	{"meter hang", nil, "unplug the light before hands or tools go into the tank", ""},
	{"heat", tooHot, "too hot, do not build it like this: %[1]s", ""},
	{"check propose map compare arrange heat bill warm", hotMetal, "%[1]s", "%[2]s"},
	{"day warm", nil, "begin with little light and raise it in steps over weeks",
		": plants and corals need time to adapt"},
}

// buildPlaces are the steps of the build sheet that hold cautions.
const buildPlaces = "find cut solder compound join test connect hang warm"

// saying is a caution in words: short for the head of a page, long for the place where it matters.
type saying struct{ short, long string }

// sayings returns what is said of some situations at any of some places, separated by spaces, each once.
func sayings(places string, of ...situation) (list []saying) {
	for _, h := range hazards {
		here := strings.Fields(h.at)
		if !slices.ContainsFunc(strings.Fields(places), func(p string) bool { return slices.Contains(here, p) }) {
			continue
		}
		say := func(args ...any) {
			one := saying{fmt.Sprintf(h.short, args...), fmt.Sprintf(h.short+h.more, args...)}
			if !slices.Contains(list, one) {
				list = append(list, one)
			}
		}
		for _, f := range of {
			if h.when == nil {
				say()
			} else {
				h.when(f, say)
			}
		}
	}
	return list
}

// at returns the long words for the places.
func (f situation) at(places string) []string { return long(sayings(places, f)) }

func long(list []saying) []string { return each(list, func(s saying) string { return s.long }) }

// unwired are scenes of which nothing is known but their heat.
func unwired(u unit.System, scenes ...*scene.Scene) (list []situation) {
	for _, sc := range scenes {
		op, _ := operating.Of(sc) // without a balance nobody knows how hot it gets, which is said
		list = append(list, situation{scene: sc, units: u, op: op})
	}
	return list
}

// checked is a scene with its wiring where it speaks of any that can be, junctions at the tables' temperatures.
func checked(sc *scene.Scene) situation {
	f := unwired(unit.Metric, sc)[0]
	if sc.Wiring.At != (finding.Place{}) {
		f.groups, _ = wiring.Wire(sc, wiring.Request{}) // why it cannot be is a warning
	}
	return f
}

// powered speaks where any module is fed.
func powered(f situation, say func(...any)) {
	if len(f.scene.Seats()) > 0 {
		say()
	}
}

// aboveTank says what the rail hangs above: glass, where the tank has any that a rail could load or break.
func aboveTank(f situation, say func(...any)) {
	t, what := f.scene.Tank, "the tank"
	if t.Cover != nil && t.Cover.Material < scene.Acrylic ||
		t.Walls.Has(scene.GlassWall, scene.LowIronWall, scene.FilmWall) {
		what = "glass"
	}
	powered(f, func(...any) { say(what, mustBear(heaviest(layouts(f.scene))), hanging.TestTimes) })
}

// The limits of narrow and blue light are chosen: classes of IEC 62471 go by radiance, which a scene does not hold.
const (
	narrowBeamDeg = 25  // the beam angle up to which a beam is named narrow
	blueShare     = 0.5 // of the photons, from 400 to 500 nm; white light stays below it
	violetNm      = 430 // light whose highest power is at a shorter wavelength is violet in any case
)

func modulesOf(sc *scene.Scene) (list []scene.Module) {
	for _, r := range sc.Rails {
		list = append(list, r.Modules...)
	}
	return list
}

func narrowBeams(f situation, say func(...any)) {
	for _, m := range modulesOf(f.scene) {
		if deg := degrees(min(m.Optic.BeamRad, m.Optic.BeamAcrossRad)); deg > 0 && deg <= narrowBeamDeg {
			say(m.Optic.Name, tenth(deg))
		}
	}
}

func blueLight(f situation, say func(...any)) {
	for _, m := range modulesOf(f.scene) {
		if f.scene.Catalogue == nil {
			return
		}
		d, err := optics.DescribeSpectrum(f.scene.Catalogue.Spectra[m.Part.Spectrum])
		if err == nil && (d.Blue > blueShare || d.PeakNm < violetNm) {
			say()
			return
		}
	}
}

// oddLight says where flux, spectrum and radiant efficiency of a part do not go together.
func oddLight(f situation, say func(...any)) {
	if _, odd := modulesOf(f.scene)[0].Part.LightWarning(); odd.Any() {
		say(odd.Words(unit.Metric))
	}
}

func tooHot(f situation, say func(...any)) {
	if f.tooHot != "" {
		say(f.tooHot)
	}
}

// hotMetal speaks of rails above heat.TouchC, the one limit of what burns a hand in every answer, and of boards above
// it whose rail is not; where no balance tells how hot they get, of that.
func hotMetal(f situation, say func(...any)) {
	if f.op == nil {
		say("hot rail, of unknown temperature: let it and its driver cool before you touch them", "")
		return
	}
	for _, r := range f.op.Rails {
		name, boardC := scene.RailWord(r.Name), hottestBoardC(r)
		switch {
		case r.HottestRailC > heat.TouchC:
			say(fmt.Sprintf("hot rail: %s reaches %s °C at x = %s", name, aboveTouch(r.HottestRailC),
				f.units.Length(r.LeftM+r.HottestRailM)), fmt.Sprintf("; bare metal above %d °C burns a hand within seconds: "+
				"guard it, and let it and its driver cool before you touch them", heat.TouchC))
		case boardC > heat.TouchC:
			say(fmt.Sprintf("hot boards: on %s they reach %s °C", name, aboveTouch(boardC)), fmt.Sprintf(", above the %d °C "+
				"that is safe to touch, though the rail is cooler: let them cool before you touch them", heat.TouchC))
		}
	}
}

// hottestBoardC returns the temperature of a rail's hottest board, -Inf without modules.
func hottestBoardC(r operating.RailPoint) float64 {
	highest := math.Inf(-1)
	for _, m := range r.Modules {
		highest = math.Max(highest, m.BoardC)
	}
	return highest
}

// aboveTouch writes a temperature above heat.TouchC so that it is seen to be above.
func aboveTouch(c float64) string {
	if math.Round(c) <= heat.TouchC {
		return fmt.Sprintf("%.2f", c)
	}
	return fmt.Sprintf("%.0f", c)
}
