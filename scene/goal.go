package scene

import (
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
)

const secondsPerHour = 3600

func (r *reader) wiring(f key.Fields) {
	r.hours = f.Get("hours")
	w := &r.scene.Wiring
	if f.At().Exists() {
		w.At = f.At().Place()
	}
	if f.Has("driver") {
		w.Driver, _ = parts.LookUp(r.scene.Catalogue, r.scene.Catalogue.Drivers, f.Get("driver"))
	}
	w.Strings, w.HoursPerDay = f.Int("strings", 0), f.Value("hours", 0)/secondsPerHour
	w.TariffPerKWh.Amount, w.TariffPerKWh.Currency = f.Money("tariff")
}

// goal reads what the light has to reach. root is where a missing goal is noted.
func (r *reader) goal(f key.Fields, root document.Node) {
	g := &r.scene.Goal
	g.Plane = PlaneRef{Name: "floor", DepthM: r.scene.Tank.Water.DepthM}
	if !f.At().Exists() {
		root.Warnf("no goal is given; nothing can be judged as met or not")
		return
	}
	g.IlluminanceLx, g.PPFD, g.DLI = f.Value("illuminance", 0), f.Value("ppfd", 0), f.Value("dli", 0)
	g.Uniformity = f.Value("uniformity", 0)
	if g.DLI > 0 && !r.hours.Exists() {
		f.Get("dli").Faultf("a daily light integral needs the hours of light; give wiring.hours such as 9 h")
	}
	if g.DLI > 0 && r.hours.IsScalar() && r.scene.Wiring.HoursPerDay == 0 {
		f.Get("dli").Warnf("the light is on for 0 h a day; no daily light integral is reached so")
	}
	if !g.Set() {
		f.At().Warnf("the goal asks for nothing; give illuminance, ppfd, dli or uniformity")
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

// ambient reads the air of the room and the hood over the rails, which have been read before.
func (r *reader) ambient(f key.Fields) {
	r.scene.Ambient.AirC = f.Value("air", 24)
	if hood := f.Open("hood"); hood.At().Exists() {
		r.scene.Ambient.Hood = &Hood{At: hood.At().Place(), LengthM: hood.Value("length", 0),
			WidthM: hood.Value("width", 0), HeightM: hood.Value("height", 0)}
	}
}
