package scene

import (
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
)

func (r *reader) wiring(f key.Fields) {
	r.hours = f.Get("hours")
	w := &r.scene.Wiring
	if f.At().Exists() {
		w.At = f.At().Place()
	}
	w.Driver, _ = named(r, f, "driver", r.scene.Catalogue.Drivers, parts.Driver{})
	f.Fill(w)
}

// named returns the part that a key names, or otherwise where the key is not given; ok is false where there is none.
func named[T any](r *reader, f key.Fields, name string, of map[string]T, otherwise T) (part T, ok bool) {
	n := f.Need(name)
	if !n.Exists() {
		return otherwise, false
	}
	return parts.LookUp(r.scene.Catalogue, of, n)
}

// goal reads what the light has to reach. root is where a missing goal is noted.
func (r *reader) goal(f key.Fields, root document.Node) {
	g := &r.scene.Goal
	g.Plane = PlaneRef{Name: "floor", DepthM: r.scene.Tank.Water.DepthM}
	if !f.At().Exists() {
		root.Warn(finding.NoGoal.Of())
		return
	}
	f.Fill(g)
	if g.DLI > 0 && !r.hours.Exists() {
		f.Get("dli").Faultf("a daily light integral needs the hours of light; give wiring.hours such as 9 h")
	}
	if g.DLI > 0 && r.hours.IsScalar() && r.scene.Wiring.HoursPerDay == 0 {
		f.Get("dli").Warn(finding.NoHours.Of())
	}
	if !g.Set() {
		f.At().Warn(finding.EmptyGoal.Of())
	}
	n := f.Get("plane")
	if text := n.Text(); text != "" && r.scene.Tank.Water.DepthM > 0 {
		plane, err := r.scene.Tank.Plane(text)
		if err != nil {
			n.Faultf("%v", err)
			return
		}
		g.Plane = plane
	}
}

// ambient reads the air of the room and the hood over the rails.
func (r *reader) ambient(f key.Fields) {
	a := &r.scene.Ambient
	a.AirC = 24
	f.Fill(a)
	if a.Hood != nil {
		a.Hood.At = f.Get("hood").Place()
	}
}
