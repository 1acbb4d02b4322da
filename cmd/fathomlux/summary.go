package main

import (
	"slices"

	"fathomlux/scene"
)

// summaryJSON is what a scene describes, for `check --json`. The unit of a number stands in its key.
type summaryJSON struct {
	Title   string       `json:"title"`
	Tank    tankJSON     `json:"tank"`
	Water   waterJSON    `json:"water"`
	Rails   []railJSON   `json:"rails"`
	Modules int          `json:"modules"`
	Light   lightJSON    `json:"light"`
	Wiring  *wiringJSON  `json:"wiring"` // null where the scene says nothing of it
	Goal    *goalJSON    `json:"goal"`   // null where the scene asks for nothing
	Ambient *ambientJSON `json:"ambient"`
}

type tankJSON struct {
	LengthMM         float64    `json:"length_mm"`
	WidthMM          float64    `json:"width_mm"`
	HeightMM         float64    `json:"height_mm"`
	Walls            wallsJSON  `json:"walls"`
	FloorReflectance float64    `json:"floor_reflectance"`
	Cover            *coverJSON `json:"cover"` // null for an open tank
	Obstacles        []string   `json:"obstacles"`
}

type wallsJSON struct {
	Front wallJSON `json:"front"`
	Back  wallJSON `json:"back"`
	Left  wallJSON `json:"left"`
	Right wallJSON `json:"right"`
}

type wallJSON struct {
	Kind        string   `json:"kind"`        // glass, acrylic, diffuse or mirror
	Reflectance *float64 `json:"reflectance"` // null for the panes, whose own follows from the angle
}

type coverJSON struct {
	Material     string  `json:"material"`
	ThicknessMM  float64 `json:"thickness_mm"`
	AboveWaterMM float64 `json:"above_water_mm"`
}

type waterJSON struct {
	Kind           string   `json:"kind"`
	HalfDepthMM    *float64 `json:"half_depth_mm"` // null where the kind holds, else the measured depth that replaces it
	DepthMM        float64  `json:"depth_mm"`
	TemperatureC   float64  `json:"temperature_c"`
	SalinityGPerKg float64  `json:"salinity_g_per_kg"`
}

type railJSON struct {
	Name         string      `json:"name"`
	Profile      string      `json:"profile"`
	LengthMM     float64     `json:"length_mm"`
	LeftMM       float64     `json:"left_mm"`
	YMM          float64     `json:"y_mm"`
	AboveWaterMM float64     `json:"above_water_mm"`
	TiltDeg      float64     `json:"tilt_deg"`
	Modules      []groupJSON `json:"modules"`
}

// groupJSON is all modules of a rail that are alike; groups stand in the order in which they first appear.
type groupJSON struct {
	Count     int     `json:"count"`
	Part      string  `json:"part"`
	Optic     string  `json:"optic"`
	BeamDeg   float64 `json:"beam_deg"`
	CurrentMA float64 `json:"current_ma"`
}

type lightJSON struct {
	JunctionC float64 `json:"junction_c"`
	DiesLm    float64 `json:"dies_lm"`
	OpticsLm  float64 `json:"after_optics_lm"`
	ModulesW  float64 `json:"modules_w"`
}

type wiringJSON struct {
	Driver      string  `json:"driver"`
	Strings     int     `json:"strings"`
	StringV     float64 `json:"string_v"` // 0 where the number of strings is not given, or the modules cannot be divided into so many
	HoursPerDay float64 `json:"hours_per_day"`
}

type goalJSON struct {
	Plane         string  `json:"plane"`
	DepthMM       float64 `json:"depth_mm"`
	IlluminanceLx float64 `json:"illuminance_lx"` // 0 where not asked for, so below
	PPFD          float64 `json:"ppfd_umol_m2_s"`
	DLI           float64 `json:"dli_mol_m2_day"`
	Uniformity    float64 `json:"min_over_mean"`
}

type ambientJSON struct {
	AirC float64   `json:"air_c"`
	Hood *hoodJSON `json:"hood"` // null for rails in free air
}

type hoodJSON struct {
	LengthMM float64 `json:"length_mm"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// summarise gathers the figures of a sound scene.
func summarise(sc *scene.Scene) *summaryJSON {
	f := sc.AtSwitchOn()
	s := &summaryJSON{
		Title: sc.Title,
		Tank:  summariseTank(sc.Tank),
		Water: summariseWater(sc.Tank.Water),
		Rails: []railJSON{},
		Light: lightJSON{JunctionC: scene.ColdJunctionC, DiesLm: roundTo(f.DiesLm, 0.001), OpticsLm: roundTo(f.OpticsLm, 0.001),
			ModulesW: roundTo(f.PowerW, 0.0001)},
		Ambient: &ambientJSON{AirC: sc.Ambient.AirC},
	}
	if h := sc.Ambient.Hood; h != nil {
		s.Ambient.Hood = &hoodJSON{LengthMM: millimetres(h.LengthM), WidthMM: millimetres(h.WidthM), HeightMM: millimetres(h.HeightM)}
	}
	for _, r := range sc.Rails {
		s.Rails = append(s.Rails, summariseRail(r))
		s.Modules += len(r.Modules)
	}
	if w := sc.Wiring; w.Driver.Name != "" || w.Strings > 0 || w.HoursPerDay > 0 {
		s.Wiring = &wiringJSON{Driver: w.Driver.Name, Strings: w.Strings, StringV: roundTo(sc.StringV(), 0.001), HoursPerDay: w.HoursPerDay}
	}
	if g := sc.Goal; g.Set() {
		s.Goal = &goalJSON{Plane: g.Plane.Name, DepthMM: millimetres(g.Plane.DepthM), IlluminanceLx: g.IlluminanceLx,
			PPFD: roundTo(g.PPFD, 1e-9), DLI: roundTo(g.DLI, 1e-9), Uniformity: g.Uniformity}
	}
	return s
}

func summariseTank(t scene.Tank) tankJSON {
	s := tankJSON{
		LengthMM: millimetres(t.LengthM), WidthMM: millimetres(t.WidthM), HeightMM: millimetres(t.HeightM),
		Walls: wallsJSON{Front: summariseWall(t.Walls.Front), Back: summariseWall(t.Walls.Back),
			Left: summariseWall(t.Walls.Left), Right: summariseWall(t.Walls.Right)},
		FloorReflectance: t.FloorReflectance,
		Obstacles:        []string{},
	}
	if c := t.Cover; c != nil {
		s.Cover = &coverJSON{Material: coverName(c.Material), ThicknessMM: millimetres(c.ThicknessM), AboveWaterMM: millimetres(c.AboveWaterM)}
	}
	for _, o := range t.Obstacles {
		s.Obstacles = append(s.Obstacles, o.Name)
	}
	return s
}

func summariseWater(w scene.Water) waterJSON {
	s := waterJSON{Kind: w.Kind.Name, DepthMM: millimetres(w.DepthM), TemperatureC: w.TemperatureC, SalinityGPerKg: w.SalinityGPerKg}
	if w.HalfDepthM > 0 {
		mm := millimetres(w.HalfDepthM)
		s.HalfDepthMM = &mm
	}
	return s
}

func summariseRail(r scene.Rail) railJSON {
	s := railJSON{Name: r.Name, Profile: r.Profile.Name, LengthMM: millimetres(r.LengthM), LeftMM: millimetres(r.LeftM),
		YMM: millimetres(r.YM), AboveWaterMM: millimetres(r.AboveWaterM), TiltDeg: degrees(r.TiltRad), Modules: []groupJSON{}}
	for _, m := range r.Modules {
		g := groupJSON{Count: 1, Part: m.Part.Name, Optic: m.Optic.Name, BeamDeg: degrees(m.Optic.BeamRad), CurrentMA: roundTo(m.CurrentA*1000, 1e-6)}
		i := slices.IndexFunc(s.Modules, func(h groupJSON) bool { h.Count = 1; return h == g })
		if i < 0 {
			s.Modules = append(s.Modules, g)
		} else {
			s.Modules[i].Count++
		}
	}
	return s
}

func summariseWall(w scene.Wall) wallJSON {
	switch w.Kind {
	case scene.AcrylicWall:
		return wallJSON{Kind: "acrylic"}
	case scene.DiffuseWall:
		return wallJSON{Kind: "diffuse", Reflectance: &w.Reflectance}
	case scene.MirrorWall:
		return wallJSON{Kind: "mirror", Reflectance: &w.Reflectance}
	default:
		return wallJSON{Kind: "glass"}
	}
}

func coverName(m scene.CoverMaterial) string {
	switch m {
	case scene.LowIronGlass:
		return "low-iron glass"
	case scene.Acrylic:
		return "acrylic"
	default:
		return "glass"
	}
}
