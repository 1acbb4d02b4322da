package main

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
)

// situation is what cautions are judged by.
type situation struct {
	scene  *scene.Scene
	wired  *wired           // nil where nothing was wired
	op     *operating.Point // nil where there is no balance of heat
	tooHot string           // why the parts cannot bear the heat, for the report; empty where they can
}

// saying is a caution in words: short for the head of a page, long for the place where it matters.
type saying struct{ short, long string }

// hazard is one entry of the cautions: the commands, and steps of the build sheet, that show it, and what is said
// where it applies.
type hazard struct {
	name string
	at   string
	say  func(situation) []saying
}

// hazards are all cautions about a scene. They judge nothing: local codes and licensed practice decide.
var hazards = []hazard{
	{"driver that does not fit", "wire bill find connect", unfit},
	{"template", "drill", always("you drill once",
		"you drill once: measure the template's ruler first, 100.0 mm, and hold one module against the circles "+
			"before you punch")},
	{"drilling", "drill cut", always("clamp the bar, protect your eyes",
		"clamp the bar, wear eye protection, and deburr each hole: a burr lifts a board off the metal and cuts wires")},
	{"chips in the water", "drill cut", always("never drill above the tank",
		"drill on the bench, never above the tank, and keep chips out of the water")},
	{"solder", "solder", always("solder fumes",
		"solder fumes: work where the air moves, wear eye protection, and wash your hands after it")},
	{"compound", "compound", always("heat-conducting compound",
		"heat-conducting compound: wear gloves, and keep it off skin and out of the tank")},
	{"cable edges", "join", always("sharp edges",
		"cables past metal edges: put a grommet into each hole that a cable passes")},
	{"string voltage", "check wire bill join", stringVoltage},
	{"shared driver", "wire bill connect", sharedDriver},
	{"isolation", "check wire bill connect", powered("an isolated (SELV) supply is required",
		"an isolated (SELV) supply is required: with any other, contacts may carry mains voltage and no limit for "+
			"bare parts holds")},
	{"earthing", "wire bill connect", powered("metal rail: earth or bond it as the local code asks",
		"metal rail: earth or bond it as the local code asks")},
	{"open-circuit voltage", "wire bill connect", openVoltage},
	{"probing", "connect", powered("live contacts",
		"live contacts while you measure: use insulated probes, and let nothing bare touch you or the rail")},
	{"narrow beam", "check map compare sweep arrange test", narrowBeams},
	{"blue light", "check map compare sweep arrange test", blueLight},
	{"mains", "check wire bill hang", powered("mains beside water",
		"mains beside water: mount the driver where it can neither fall in nor be splashed, "+
			"with drip loops and a residual-current device (RCD; GFCI in North America); "+codesDecide)},
	{"protection code", "wire bill hang", driverCodes},
	{"falling rail", "check drill hang", fallingRail},
	{"hands in the tank", "meter hang", always("unplug first",
		"unplug the light before hands or tools go into the tank")},
	{"too hot", "heat", func(f situation) []saying {
		if f.tooHot == "" {
			return nil
		}
		text := "too hot, do not build it so: " + f.tooHot
		return []saying{{text, text}}
	}},
	{"heat", "check map compare arrange heat bill warm", func(f situation) []saying { return touchHeat(f.op) }},
	{"sudden light", "warm", always("raise the light by steps",
		"plants and corals bear new light only by and by: begin low, and raise it over weeks")},
}

// buildPlaces are the steps of the build sheet that hold cautions.
const buildPlaces = "find cut solder compound join test connect hang warm"

// sayings returns what is said at any of some places, separated by spaces.
func (f situation) sayings(places string) (list []saying) {
	for _, h := range hazards {
		here := strings.Fields(h.at)
		if slices.ContainsFunc(strings.Fields(places), func(place string) bool {
			return slices.Contains(here,
				place)
		}) {
			list = append(list, h.say(f)...)
		}
	}
	return list
}

// at returns the long words for the places.
func (f situation) at(places string) []string { return long(f.sayings(places)) }

func long(list []saying) (lines []string) {
	for _, s := range list {
		lines = append(lines, s.long)
	}
	return lines
}

// cautions returns what a command that wires nothing says of scenes, each line once.
func cautions(command string, scenes ...*scene.Scene) (lines []string) {
	for _, sc := range scenes {
		op, _ := operating.Of(sc) // without a balance nobody knows how hot it gets, which is said
		for _, line := range (situation{scene: sc, op: op}).at(command) {
			if !slices.Contains(lines, line) {
				lines = append(lines, line)
			}
		}
	}
	return lines
}

// cautions returns what a command that wires says of a scene.
func (a *wired) cautions(places string) []string { return a.situation().at(places) }

func (a *wired) situation() situation { return situation{scene: a.scene, wired: a, op: a.op} }

// codesDecide stands in several answers.
const codesDecide = "local codes and licensed practice decide"

// always says the same of every light.
func always(short, long string) func(situation) []saying {
	return func(situation) []saying { return []saying{{short, long}} }
}

// powered says the same of each light whose modules are fed.
func powered(short, long string) func(situation) []saying {
	return func(f situation) []saying {
		if len(f.scene.Seats()) == 0 {
			return nil
		}
		return []saying{{short, long}}
	}
}

// narrowBeamDeg is the beam angle up to which a beam is named narrow here. A chosen limit, not a risk class:
// IEC 62471 classes go by radiance, which a scene does not hold.
const narrowBeamDeg = 25

// narrowBeams names each optic in use with a narrow beam, once, by name.
func narrowBeams(f situation) (list []saying) {
	for _, m := range modulesOf(f.scene) {
		for _, s := range narrowBeam(m.Optic.Name, min(m.Optic.BeamRad, m.Optic.BeamAcrossRad)) {
			if !slices.Contains(list, s) {
				list = append(list, s)
			}
		}
	}
	slices.SortFunc(list, func(a, b saying) int { return strings.Compare(a.long, b.long) })
	return list
}

// modulesOf are all modules of a scene.
func modulesOf(sc *scene.Scene) (list []scene.Module) {
	for _, r := range sc.Rails {
		list = append(list, r.Modules...)
	}
	return list
}

// narrowBeam returns the caution about an optic whose smaller beam angle is narrow; none where it is not.
func narrowBeam(name string, beamRad float64) []saying {
	deg := degrees(beamRad)
	if !(deg > 0 && deg <= narrowBeamDeg) {
		return nil
	}
	text := fmt.Sprintf("narrow bright beam (%s, %s deg)", name, tenth(deg))
	return []saying{{text, text + ": do not look into it, and screen it from eye level"}}
}

// blueShare is the share of the photons from 400 to 500 nm above which light is named blue here, and violetNm the
// wavelength of the highest power below which it is so in any case. Chosen limits; white light stays below them.
const (
	blueShare = 0.5
	violetNm  = 430
)

// blueLight cautions about modules of blue or violet light.
func blueLight(f situation) []saying {
	for _, m := range modulesOf(f.scene) {
		if list := blueSpectrum(f.scene.Catalogue, m.Part.Spectrum); list != nil {
			return list
		}
	}
	return nil
}

// blueSpectrum returns the caution about a spectrum of blue or violet light; none about another.
func blueSpectrum(c *parts.Catalogue, name string) []saying {
	if c == nil {
		return nil
	}
	d, err := optics.DescribeSpectrum(c.Spectra[name])
	if err != nil || !(d.Blue > blueShare || d.PeakNm < violetNm) {
		return nil
	}
	text := "blue and violet light looks dimmer than it is harmful to the eye"
	return []saying{{text, text + " (IEC 62471): do not look into it, however dim it seems"}}
}

// overGlass tells whether the tank has glass that a rail could load or break.
func overGlass(t scene.Tank) bool {
	if t.Cover != nil && t.Cover.Material != scene.Acrylic {
		return true
	}
	return slices.ContainsFunc([]scene.Wall{t.Walls.Front, t.Walls.Back, t.Walls.Left, t.Walls.Right},
		func(w scene.Wall) bool { return w.Kind == scene.GlassWall })
}

// fallingRail cautions about the rail above the tank.
func fallingRail(f situation) []saying {
	if len(f.scene.Seats()) == 0 {
		return nil
	}
	text := map[bool]string{true: "a rail above glass", false: "a rail above the tank"}[overGlass(f.scene.Tank)]
	return []saying{{text, text +
		": hang it so that it can neither fall in nor load a pane that was not made to carry it"}}
}

// stringVoltage cautions about a string voltage above the limit for wet places: that of the wired strings, or what
// the scene says.
func stringVoltage(f situation) []saying {
	if f.wired != nil {
		return touchCaution("strings reach", f.wired.highestV())
	}
	sc := f.scene
	all := sc.AtSwitchOn().SeriesV
	v, what := sc.StringV(), "a string takes about"
	switch {
	case all == 0:
		return nil
	case v > 0:
	case sc.Wiring.Driver.HighestV > 0:
		v, what = sc.Wiring.Driver.HighestV, "the driver can give"
	case sc.Wiring.Strings > 0: // strings that cannot be: the worst that there may be
		v, what = all, "all modules in one string take about"
	}
	return touchCaution(what, v)
}

// touchCaution says which limit for bare live parts a voltage is beyond; none where it is beyond none.
func touchCaution(what string, v float64) []saying {
	lead := fmt.Sprintf("%s %.0f V, above the %d V ripple-free DC of bare live parts in wet places", what, v,
		circuit.WetTouchV)
	switch circuit.TouchOf(v) {
	case circuit.WetTouch:
		return nil
	case circuit.DryTouch:
		lead += " (IEC 60598-1): leave no contact bare"
	default:
		lead += fmt.Sprintf(" and the %d V in dry ones (IEC 60598-1): no live part may be within reach "+
			"anywhere", circuit.DryTouchV)
	}
	return []saying{{lead, lead + "; " + codesDecide}}
}

// highestV is the highest voltage of a string when it is switched on.
func (a *wired) highestV() (v float64) {
	for i := range a.groups {
		if s, ok := a.groups[i].Split(); ok {
			v = max(v, s.HighestV)
		}
	}
	return v
}

// openVoltage cautions about what a driver rises to with nothing connected, where that is a worse class than the
// strings'.
func openVoltage(f situation) []saying {
	rises := 0.0
	for _, fit := range f.fits() {
		rises = max(rises, fit.Driver.HighestV)
	}
	if f.wired == nil || circuit.TouchOf(rises) <= circuit.TouchOf(f.wired.highestV()) {
		return nil
	}
	return touchCaution("with nothing connected the driver may rise to", rises)
}

// fits are the drivers of the groups that have one, each name once.
func (f situation) fits() (list []circuit.Fit) {
	if f.wired == nil {
		return nil
	}
	for i := range f.wired.groups {
		fit, ok := f.wired.groups[i].Fit()
		if ok && !slices.ContainsFunc(list,
			func(other circuit.Fit) bool { return other.Driver.Name == fit.Driver.Name }) {
			list = append(list, fit)
		}
	}
	return list
}

// sharedDriver cautions where one driver's strings overload each other once something fails.
func sharedDriver(f situation) (list []saying) {
	if f.wired == nil {
		return nil
	}
	for i := range f.wired.groups {
		g := &f.wired.groups[i]
		if len(g.Plan.Circuit.Strings) > 1 && len(g.Plan.Open.Over)+len(g.Plan.Short.Over) > 0 {
			text := fmt.Sprintf("a fault in one string overloads others (modules at %s mA)", tenth(1000*g.CurrentA()))
			list = append(list, saying{text, text +
				": give each string a driver, or a fuse rated for what its modules may carry"})
		}
	}
	return list
}

// unfit names the chosen drivers that do not fit, and the modules that have no driver.
func unfit(f situation) (list []saying) {
	if f.wired == nil {
		return nil
	}
	for i := range f.wired.groups {
		g := &f.wired.groups[i]
		if g.Fed() {
			continue
		}
		if fit, ok := g.Fit(); ok {
			text := "do not connect driver " + fit.Driver.Name + ", which does not fit"
			list = append(list, saying{text, text + ": " + strings.Join(fit.Reasons, "; ")})
			continue
		}
		text := fmt.Sprintf("do not connect the modules at %s mA: no driver of the parts feeds them so",
			tenth(1000*g.CurrentA()))
		list = append(list, saying{text, text})
	}
	return list
}

// driverCodes say what the drivers' protection codes promise.
func driverCodes(f situation) (list []saying) {
	for _, fit := range f.fits() {
		text := "driver " + fit.Driver.Name + ": " + protection(fit.Driver.IP)
		list = append(list, saying{text, text + codeLimits(fit.Driver.IP)})
	}
	return list
}

// touchHeat cautions about what burns a hand, by the one limit of heat.TouchC in every answer: rails above it, or the
// boards alone where their rail stays below; nothing where neither is. nil stands for rails whose heat is not known.
func touchHeat(o *operating.Point) (list []saying) {
	if o == nil {
		return []saying{{"hot rail", "hot rail: how hot is not known: let it cool before it is touched"}}
	}
	for _, r := range o.Rails {
		name, boardC := scene.RailWord(r.Name), hottestBoardC(r)
		switch {
		case r.HottestRailC > heat.TouchC:
			text := fmt.Sprintf("hot rail: %s reaches %s °C at x = %.0f mm", name, aboveTouch(r.HottestRailC),
				1000*(r.LeftM+r.HottestRailM))
			list = append(list, saying{text,
				fmt.Sprintf("%s; bare metal above %d °C burns a hand within seconds: guard it, and let it and its "+
					"driver cool before you touch them", text, heat.TouchC)})
		case boardC > heat.TouchC:
			text := fmt.Sprintf("hot boards: on %s they reach %s °C", name, aboveTouch(boardC))
			list = append(list, saying{text,
				fmt.Sprintf("%s, above the %d °C that a hand bears, though the rail does not: let them cool "+
					"before you touch them", text, heat.TouchC)})
		}
	}
	return list
}

// protection says what a code promises by its second digit. Source: IEC 60529.
func protection(ip string) string {
	if len(ip) < 4 || ip[:2] != "IP" {
		return "no protection code is known; keep it dry"
	}
	promise := map[byte]string{'5': "withstands jets of water", '6': "withstands strong jets of water",
		'7': "withstands 1 m of water for 30 min, but jets only where 5 or 6 is marked too",
		'8': "withstands lying in water as its maker states, but jets only where 5 or 6 is marked too"}[ip[3]]
	if promise == "" {
		return ip + " (IEC 60529) promises no more than drops or spray at best; keep it dry"
	}
	if ip[2] == '6' {
		promise = "is dust-tight and " + promise
	}
	return ip + " (IEC 60529) " + promise
}

// codeLimits says what a code against water does not promise.
func codeLimits(ip string) string {
	if strings.HasSuffix(protection(ip), "keep it dry") {
		return ""
	}
	return "; tested new and in fresh water, it says nothing of salt, of plugs and joints outside the housing, or " +
		"of touching what fell in"
}
