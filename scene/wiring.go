package scene

import (
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

const secondsPerHour = 3600

func (r *reader) wiring(n document.Node) {
	if !n.Exists() {
		return
	}
	f := n.Fields("driver", "strings", "hours", "tariff")
	r.hours, r.wires = f.Get("hours"), n
	w := &r.scene.Wiring
	if driver := f.Get("driver"); driver.Exists() {
		w.Driver, _ = r.scene.Catalogue.Driver(driver)
	}
	w.Strings = f.Get("strings").Integer(1, MaxModules)
	w.HoursPerDay = r.hours.Quantity(unit.Duration, document.Range{Low: 0, High: 24 * secondsPerHour}) / secondsPerHour
	w.TariffPerKWh.Amount, w.TariffPerKWh.Currency = f.Get("tariff").MoneyPer("kWh")
}

// warnWiring warns where the modules cannot be wired as the scene asks, where the driver that it names does not fit, and where
// no driver feeds the modules together. A scene without wiring asks for none. It wants a scene without faults.
func (r *reader) warnWiring() {
	if !r.wires.Exists() {
		return
	}
	for _, why := range r.scene.wiringMisfits() {
		r.wires.Warnf("%s", why)
	}
}

// The brightest light a goal may ask for: somewhat above full sun on the ground, which gives about 120 klx,
// 2200 umol/m2/s and 65 mol/m2/day.
var (
	goalIlluminance = document.UpTo(unit.Illuminance, 1e6)
	goalPPFD        = document.UpTo(unit.PhotonFluxDensity, 1e4)
	goalDLI         = document.UpTo(unit.DailyLight, 500)
	goalUniformity  = document.Range{Low: document.LeastShare, High: 1, Percent: true}
)

// goal reads what the light has to reach. root is where a missing goal is noted.
func (r *reader) goal(n, root document.Node) {
	g := &r.scene.Goal
	g.Plane = PlaneRef{Name: "floor", DepthM: r.scene.Tank.Water.DepthM}
	if !n.Exists() {
		root.Warnf("no goal is given; nothing can be judged as met or not")
		return
	}
	f := n.Fields("plane", "illuminance", "uniformity", "ppfd", "dli")
	g.IlluminanceLx = f.Get("illuminance").Quantity(unit.Illuminance, goalIlluminance)
	g.PPFD = f.Get("ppfd").Quantity(unit.PhotonFluxDensity, goalPPFD)
	g.DLI = f.Get("dli").Quantity(unit.DailyLight, goalDLI)
	g.Uniformity = f.Get("uniformity").Number(goalUniformity)
	if g.DLI > 0 && !r.hours.Exists() {
		f.Get("dli").Faultf("a daily light integral needs the hours of light; give wiring.hours such as 9 h")
	}
	if g.DLI > 0 && r.hours.IsScalar() && r.scene.Wiring.HoursPerDay == 0 {
		f.Get("dli").Warnf("the light is on for 0 h a day; no daily light integral is reached so")
	}
	if !g.Set() {
		n.Warnf("the goal asks for nothing; give illuminance, ppfd, dli or uniformity")
	}
	r.goalPlane(f.Get("plane"))
}

func (r *reader) goalPlane(n document.Node) {
	text := n.Text()
	if text == "" || r.scene.Tank.Water.DepthM <= 0 {
		return
	}
	plane, err := r.scene.Tank.Plane(text)
	if err != nil {
		n.Faultf("%v", err)
		return
	}
	r.scene.Goal.Plane = plane
}
