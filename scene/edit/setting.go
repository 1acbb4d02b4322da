package edit

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// Setting is what a hand may change on a scene while the tank, the names of its rails and the parts at hand stay.
type Setting struct {
	WaterDepthM     float64       `json:"depth_m"`
	WaterKind       string        `json:"water"` // name of a kind of water
	ExtraAbsorbPerM float64       `json:"extra_per_m"`
	Rails           []RailSetting `json:"rails"`        // one a rail, in the scene's order
	Levels          []float64     `json:"levels_share"` // of the channels, in the scene's order; none: as they are
}

// RailSetting is the setting of one rail. An empty Optic, or a BeamRad or CurrentA of 0, is as each module has it.
type RailSetting struct {
	AboveWaterM float64  `json:"height_m"`
	YM          float64  `json:"y_m"`
	TiltRad     float64  `json:"tilt_rad"`
	Optic       string   `json:"optic"`
	BeamRad     float64  `json:"beam_rad"`
	CurrentA    float64  `json:"current_a"`
	Modules     []Placed `json:"modules"`
}

// Placed is a module at a place: it is like the module of the scene's own rail with that number, from 0, but for what
// is given of it: parts by name. An optic or a current of all the rail goes before its own.
type Placed struct {
	Like     int     `json:"like"`
	XM       float64 `json:"x_m"`
	Part     string  `json:"part,omitempty"`
	Optic    string  `json:"optic,omitempty"`
	CurrentA float64 `json:"current_a,omitempty"`
}

// SettingOf returns the setting that the scene has. An optic, or a current, that a whole rail shares is named.
func SettingOf(s *scene.Scene) Setting {
	w := s.Tank.Water
	t := Setting{WaterDepthM: w.DepthM, WaterKind: w.Kind.Name, ExtraAbsorbPerM: w.ExtraAbsorbPerM}
	for _, r := range s.Rails {
		one := RailSetting{AboveWaterM: r.AboveWaterM, YM: r.YM, TiltRad: r.TiltRad}
		for i, m := range r.Modules {
			one.Modules = append(one.Modules, Placed{Like: i, XM: m.XM})
			if i == 0 {
				one.Optic, one.CurrentA = m.Optic.Name, m.CurrentA
			}
			if m.Optic.Name != one.Optic {
				one.Optic = ""
			}
			if m.CurrentA != one.CurrentA {
				one.CurrentA = 0
			}
		}
		t.Rails = append(t.Rails, one)
	}
	for _, c := range s.Wiring.Channels {
		t.Levels = append(t.Levels, c.Level)
	}
	return t
}

// Set returns a copy of the scene with a setting, cold. It refuses what With refuses, parts that are not there, and
// numbers of modules that no scene may have; what cannot be mounted it leaves to PlacementError.
func Set(s *scene.Scene, t Setting) (*scene.Scene, error) {
	if len(t.Rails) != len(s.Rails) {
		return nil, fmt.Errorf("the setting has %d rails; the scene has %d", len(t.Rails), len(s.Rails))
	}
	c := s.Copy()
	w := &c.Tank.Water
	if t.WaterKind != w.Kind.Name { // the scene's own numbers go with its own kind
		var ok bool
		if w.Kind, ok = c.Catalogue.Waters[t.WaterKind]; !ok {
			return nil, errors.New(document.Unknown("kind of water", t.WaterKind, parts.Names(c.Catalogue.Waters)))
		}
	}
	w.ExtraAbsorbPerM = t.ExtraAbsorbPerM
	if low := w.LowestExtraPerM(); !(w.ExtraAbsorbPerM >= low-scene.SlackPerM &&
		w.ExtraAbsorbPerM <= scene.HighestExtraPerM) {
		return nil, fmt.Errorf("an extra absorption of %.4g 1/m is not between %.4g and %g 1/m", t.ExtraAbsorbPerM, low,
			scene.HighestExtraPerM)
	}
	var changes []Change
	if n := len(s.Wiring.Channels); len(t.Levels) > n {
		return nil, fmt.Errorf("the setting has %d levels; the scene has %d channels", len(t.Levels), n)
	}
	for i, level := range t.Levels {
		changes = append(changes, Change{Rail: s.Wiring.Channels[i].Name, Variable: known("level"), Value: level})
	}
	total := 0
	for i, r := range t.Rails {
		if err := setModules(c, &c.Rails[i], r); err != nil {
			return nil, fmt.Errorf("%s: %w", scene.RailWord(s.Rails[i].Name), err)
		}
		total += len(r.Modules)
		changes = append(changes, r.changes(s.Rails[i].Name)...)
	}
	if total > scene.MaxModules {
		return nil, fmt.Errorf("%d modules on all rails together are too many; at most %d are allowed", total,
			scene.MaxModules)
	}
	if err := c.CheckDies(); err != nil {
		return nil, err
	}
	return With(c, append(changes, Change{Variable: known("depth"), Value: t.WaterDepthM})...)
}

// known returns a variable of the list.
func known(name string) Variable {
	v, err := VariableNamed(name)
	if err != nil {
		panic(err) // a wrong name of our own; the tests set every variable
	}
	return v
}

// changes are what With has to change for a rail's setting.
func (r RailSetting) changes(rail string) (list []Change) {
	for name, value := range map[string]float64{"height": r.AboveWaterM, "y": r.YM, "tilt": r.TiltRad, "beam": r.BeamRad,
		"current": r.CurrentA} {
		if value != 0 || name != "beam" && name != "current" {
			list = append(list, Change{Rail: rail, Variable: known(name), Value: value})
		}
	}
	return list
}

// setModules puts the modules of a setting on a rail.
func setModules(s *scene.Scene, r *scene.Rail, t RailSetting) error {
	if len(t.Modules) < 1 || len(t.Modules) > scene.MaxModulesGroup {
		return fmt.Errorf("%d modules; a rail may have 1 to %d here", len(t.Modules), scene.MaxModulesGroup)
	}
	own := r.Modules
	r.Modules = make([]scene.Module, len(t.Modules))
	for i, p := range t.Modules {
		if p.Like < 0 || p.Like >= len(own) {
			return fmt.Errorf("there is no module %d to copy", p.Like)
		}
		if !(math.Abs(p.XM) <= scene.MaxSideM) {
			return fmt.Errorf("x = %s is beyond %s", unit.Length.Say(p.XM), unit.Length.Say(scene.MaxSideM))
		}
		m, err := p.module(s.Catalogue, own[p.Like], t)
		if err != nil {
			return err
		}
		r.Modules[i] = m
	}
	return nil
}

// module is the module of a place on a rail with a setting, where like is the one that it is like.
func (p Placed) module(c *parts.Catalogue, like scene.Module, t RailSetting) (m scene.Module, err error) {
	m = like
	m.XM = p.XM
	if p.Part != "" && p.Part != m.Part.Name {
		var ok bool
		if m.Part, ok = c.Modules[p.Part]; !ok {
			return m, errors.New(document.Unknown("module", p.Part, parts.Names(c.Modules)))
		}
	}
	if optic := cmp.Or(t.Optic, p.Optic); optic != "" && optic != m.Optic.Name {
		var ok bool
		if m.Optic, ok = c.Optics[optic]; !ok {
			return m, errors.New(document.Unknown("optic", optic, parts.Names(c.Optics)))
		}
	}
	if p.CurrentA != 0 && t.CurrentA == 0 {
		m.CurrentA = p.CurrentA
	}
	if t.CurrentA == 0 && (p.CurrentA != 0 || p.Part != "") {
		err = m.Part.CheckCurrent(m.CurrentA)
	}
	return m, err
}

// setDepth gives the tank some water, with the planes that move with it.
func setDepth(s *scene.Scene, _ *scene.Rail, v float64) error {
	switch high := s.Tank.Ground.HighestM(); {
	case v > s.Tank.HeightM:
		return fmt.Errorf("%s of water is above the rim at %s", unit.Length.Say(v), unit.Length.Say(s.Tank.HeightM))
	case v <= high:
		return fmt.Errorf("%s of water leaves the ground dry, which rises %s", unit.Length.Say(v), unit.Length.Say(high))
	}
	planes := []*scene.PlaneRef{&s.Goal.Plane}
	for i := range s.Goal.Others {
		planes = append(planes, &s.Goal.Others[i].Plane)
	}
	for _, plane := range planes {
		switch {
		case plane.Name == "floor":
			plane.DepthM = v
		case plane.Name == "mid":
			plane.DepthM = v / 2
		case s.Goal.Set() && plane.DepthM > v:
			return fmt.Errorf("the goal's plane, %s under the surface, is below the floor of %s of water",
				unit.Length.Say(plane.DepthM), unit.Length.Say(v))
		}
	}
	s.Tank.Water.DepthM = v
	return nil
}
