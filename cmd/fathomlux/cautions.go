package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
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
// there.
type hazard struct {
	at  string
	say func(situation) []saying
}

// hazards are all cautions about a scene. They judge nothing: local codes and licensed practice decide.
var hazards = []hazard{
	{"wire bill find connect", unfit},
	{"drill", always("you drill once", ": measure the template's ruler first, 100.0 mm, and hold one module against the "+
		"circles before you punch")},
	{"drill cut template", always("clamp the bar, wear eye protection",
		", and deburr each hole: a burr lifts a board off the metal and cuts wires")},
	{"drill cut", always("drill on the bench, never above the tank", ", and keep chips out of the water")},
	{"solder", always("solder fumes", ": ventilate, wear eye protection, and wash your hands afterwards")},
	{"compound", always("heat-conducting compound", ": wear gloves, and keep it off skin and out of the tank")},
	{"join", always("sharp edges", ": put a grommet into each hole that a cable passes")},
	{"check wire bill join", stringVoltage},
	{"wire bill connect", sharedDriver},
	{"check wire bill connect", powered("an isolated (SELV) supply is required",
		": with any other, contacts may carry mains voltage and no limit for bare parts holds")},
	{"wire bill connect", powered("metal rail: earth or bond it as the local code asks", "")},
	{"wire bill connect", openVoltage},
	{"connect", powered("live contacts", " while you measure: use insulated probes, and let nothing bare touch you or "+
		"the rail")},
	{"check map compare sweep arrange test", narrowBeams},
	{"check map compare sweep arrange test", blueLight},
	{"check wire bill hang", powered("mains beside water", ": mount the driver where it can neither fall in nor be "+
		"splashed, with drip loops and a residual-current device (RCD; GFCI in North America); "+codesDecide)},
	{"wire bill hang", driverCodes},
	{"check drill hang", fallingRail},
	{"meter hang", always("unplug the light before hands or tools go into the tank", "")},
	{"heat", func(f situation) []saying {
		if f.tooHot == "" {
			return nil
		}
		return caution("too hot, do not build it so: "+f.tooHot, "")
	}},
	{"check map compare arrange heat bill warm", func(f situation) []saying { return touchHeat(f.op) }},
	{"warm", always("raise the light by steps",
		": plants and corals need time to adapt; begin low, and raise it over weeks")},
}

// buildPlaces are the steps of the build sheet that hold cautions.
const buildPlaces = "find cut solder compound join test connect hang warm"

// codesDecide stands in several answers.
const codesDecide = "local codes and licensed practice decide"

// sayings returns what is said at any of some places, separated by spaces.
func (f situation) sayings(places string) (list []saying) {
	for _, h := range hazards {
		here := strings.Fields(h.at)
		said := func(place string) bool { return slices.Contains(here, place) }
		if slices.ContainsFunc(strings.Fields(places), said) {
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
func cautions(command string, scenes ...*scene.Scene) []string {
	return long(sceneSayings(command, scenes...))
}

// sceneSayings are the cautions in short and long.
func sceneSayings(command string, scenes ...*scene.Scene) (list []saying) {
	for _, sc := range scenes {
		op, _ := operating.Of(sc) // without a balance nobody knows how hot it gets, which is said
		for _, one := range (situation{scene: sc, op: op}).sayings(command) {
			if !slices.Contains(list, one) {
				list = append(list, one)
			}
		}
	}
	return list
}

// cautions returns what a command that wires says of a scene.
func (a *wired) cautions(places string) []string {
	return situation{scene: a.scene, wired: a, op: a.op}.at(places)
}

// caution is one saying: its short words, and what follows them where it matters.
func caution(short, more string) []saying { return []saying{{short, short + more}} }

// always says the same of every light.
func always(short, more string) func(situation) []saying {
	return func(situation) []saying { return caution(short, more) }
}

// powered says the same of each light whose modules are fed.
func powered(short, more string) func(situation) []saying {
	return func(f situation) []saying {
		if len(f.scene.Seats()) == 0 {
			return nil
		}
		return caution(short, more)
	}
}

// narrowBeamDeg is the beam angle up to which a beam is named narrow here. A chosen limit, not a risk class:
// IEC 62471 classes go by radiance, which a scene does not hold.
const narrowBeamDeg = 25

// narrowBeams names each optic in use with a narrow beam, once, by name.
func narrowBeams(f situation) (list []saying) {
	for _, m := range modulesOf(f.scene) {
		list = append(list, narrowBeam(m.Optic.Name, min(m.Optic.BeamRad, m.Optic.BeamAcrossRad))...)
	}
	slices.SortFunc(list, func(a, b saying) int { return cmp.Compare(a.long, b.long) })
	return slices.Compact(list)
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
	return caution(fmt.Sprintf("narrow bright beam (%s, %s deg)", name, tenth(deg)),
		": do not look into it, and screen it from eye level")
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
	return caution("blue and violet light is more harmful to the eye than it looks",
		" (IEC 62471): do not look into it, however dim it seems")
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
	what := "a rail above the tank"
	if overGlass(f.scene.Tank) {
		what = "a rail above glass"
	}
	return powered(what, ": hang it so that it can neither fall in nor load a pane that was not made to carry it")(f)
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
		lead += fmt.Sprintf(" and the %d V in dry ones (IEC 60598-1): no live part may be within reach anywhere",
			circuit.DryTouchV)
	}
	return caution(lead, "; "+codesDecide)
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

// wiredGroups are the groups of what was wired, if anything was.
func (f situation) wiredGroups() []wiring.Group {
	if f.wired == nil {
		return nil
	}
	return f.wired.groups
}

// fits are the drivers of the groups that have one, each name once.
func (f situation) fits() (list []circuit.Fit) {
	for _, g := range f.wiredGroups() {
		fit, ok := g.Fit()
		same := func(other circuit.Fit) bool { return other.Driver.Name == fit.Driver.Name }
		if ok && !slices.ContainsFunc(list, same) {
			list = append(list, fit)
		}
	}
	return list
}

// sharedDriver cautions where one driver's strings overload each other once something fails.
func sharedDriver(f situation) (list []saying) {
	for _, g := range f.wiredGroups() {
		if len(g.Plan.Circuit.Strings) > 1 && len(g.Plan.Open.Over)+len(g.Plan.Short.Over) > 0 {
			list = append(list, caution(fmt.Sprintf("a fault in one string overloads others (modules at %s mA)",
				tenth(1000*g.CurrentA())), ": give each string a driver, or a fuse rated for what its modules may carry")...)
		}
	}
	return list
}

// unfit names the chosen drivers that do not fit, and the modules that have no driver.
func unfit(f situation) (list []saying) {
	for _, g := range f.wiredGroups() {
		switch fit, ok := g.Fit(); {
		case g.Fed():
		case ok:
			list = append(list, caution("do not connect driver "+fit.Driver.Name+", which does not fit",
				": "+strings.Join(fit.Reasons, "; "))...)
		default:
			list = append(list, caution(fmt.Sprintf("do not connect the modules at %s mA: no driver of the parts feeds them "+
				"so", tenth(1000*g.CurrentA())), "")...)
		}
	}
	return list
}

// driverCodes say what the drivers' protection codes promise, and what one against water does not.
func driverCodes(f situation) (list []saying) {
	for _, fit := range f.fits() {
		promise, limits := protection(fit.Driver.IP), ""
		if !strings.HasSuffix(promise, keepDry) {
			limits = "; tested new and in fresh water, it says nothing of salt, of plugs and joints outside the housing, or " +
				"of touching what fell in"
		}
		list = append(list, caution("driver "+fit.Driver.Name+": "+promise, limits)...)
	}
	return list
}

const keepDry = "; keep it dry"

// protection says what a code promises by its second digit. Source: IEC 60529.
func protection(ip string) string {
	if len(ip) < 4 || ip[:2] != "IP" {
		return "no protection code is known" + keepDry
	}
	promise := map[byte]string{'5': "withstands jets of water", '6': "withstands strong jets of water",
		'7': "withstands 1 m of water for 30 min, but jets only where 5 or 6 is marked too",
		'8': "withstands immersion as its maker states, but jets only where 5 or 6 is marked too"}[ip[3]]
	switch {
	case promise == "":
		return ip + " (IEC 60529) promises no more than drops or spray at best" + keepDry
	case ip[2] == '6':
		promise = "is dust-tight and " + promise
	}
	return ip + " (IEC 60529) " + promise
}

// touchHeat cautions about what burns a hand, by the one limit of heat.TouchC in every answer: rails above it, or the
// boards alone where their rail stays below; nothing where neither is. nil stands for rails whose heat is not known.
func touchHeat(o *operating.Point) (list []saying) {
	if o == nil {
		return caution("hot rail", ": how hot is not known: let it cool before it is touched")
	}
	for _, r := range o.Rails {
		name, boardC := scene.RailWord(r.Name), hottestBoardC(r)
		switch {
		case r.HottestRailC > heat.TouchC:
			list = append(list, caution(fmt.Sprintf("hot rail: %s reaches %s °C at x = %.0f mm", name,
				aboveTouch(r.HottestRailC), 1000*(r.LeftM+r.HottestRailM)), fmt.Sprintf("; bare metal above %d °C burns a hand "+
				"within seconds: guard it, and let it and its driver cool before you touch them", heat.TouchC))...)
		case boardC > heat.TouchC:
			list = append(list, caution(fmt.Sprintf("hot boards: on %s they reach %s °C", name, aboveTouch(boardC)),
				fmt.Sprintf(", above the %d °C that a hand bears, though the rail does not: let them cool before you touch "+
					"them", heat.TouchC))...)
		}
	}
	return list
}
