package live

import (
	"fmt"
	"math"
	"net/http"
	"strconv"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/parts"
)

// outline is what a page draws and offers of one version of the scene. Texts are for people and may hold anything.
type outline struct {
	File       string         `json:"file"`
	Title      string         `json:"title"`
	LengthMM   float64        `json:"length_mm"`
	WidthMM    float64        `json:"width_mm"`
	HeightMM   float64        `json:"height_mm"`
	Cover      *coverOutline  `json:"cover"`
	Boxes      []boxOutline   `json:"boxes"`
	Plane      string         `json:"plane"`
	NamedPlane bool           `json:"named_plane"` // whether its name is not just its depth
	Goal       goalOutline    `json:"goal"`
	HalfDepth  bool           `json:"half_depth"` // the water's loss was measured, whatever its kind
	Rails      []railOutline  `json:"rails"`
	Optics     []opticOutline `json:"optics"`
	Waters     []waterOutline `json:"waters"`
	Colours    []string       `json:"colours"`
	State      State          `json:"state"`
	SaveAs     string         `json:"save_as"`
	HasReport  bool           `json:"has_report"`
	MostOnRail int            `json:"most_on_rail"`
}

type coverOutline struct {
	FromMM float64 `json:"from_mm"` // above the water
	ToMM   float64 `json:"to_mm"`
}

// boxOutline is an obstacle: corners as x, y, z.
type boxOutline struct {
	Name string     `json:"name"`
	Low  [3]float64 `json:"low_mm"`
	High [3]float64 `json:"high_mm"`
}

type goalOutline struct {
	Set        bool    `json:"set"`
	Lux        float64 `json:"lux"`
	PPFD       float64 `json:"ppfd"`
	DLI        float64 `json:"dli"`
	Uniformity float64 `json:"uniformity"`
	Photons    bool    `json:"photons"` // whether it asks for photons alone
}

type railOutline struct {
	Name        string          `json:"name"`
	LeftMM      float64         `json:"left_mm"`
	LengthMM    float64         `json:"length_mm"`
	WidthMM     float64         `json:"width_mm"`
	ThicknessMM float64         `json:"thickness_mm"`
	KeepOuts    [][2]float64    `json:"keep_outs_mm"`
	Modules     []moduleOutline `json:"modules"`
}

type moduleOutline struct {
	Part      string  `json:"part"`
	Optic     string  `json:"optic"`
	LengthMM  float64 `json:"length_mm"`
	WidthMM   float64 `json:"width_mm"`
	CurrentMA float64 `json:"current_ma"`
	LowMA     float64 `json:"low_ma"`
	HighMA    float64 `json:"high_ma"`
}

type opticOutline struct {
	Name      string  `json:"name"`
	About     string  `json:"about"`
	BeamDeg   float64 `json:"beam_deg"`
	AcrossDeg float64 `json:"across_deg"`
	WidestDeg float64 `json:"widest_deg"` // of all its angles
	Measured  bool    `json:"measured"`
}

type waterOutline struct {
	Name     string  `json:"name"`
	About    string  `json:"about"`
	LowExtra float64 `json:"low_extra_per_m"`
}

// outline tells of the version that a page asks for, or of the newest one.
func (h *Handler) outline(w http.ResponseWriter, r *http.Request) {
	number, _ := strconv.Atoi(r.FormValue("version")) // 0, which is no version, where it is none
	sc, ok := h.at(number)
	if !ok {
		number, _ = h.now()
		sc, ok = h.at(number)
	}
	if !ok {
		http.Error(w, "there is no scene yet", http.StatusServiceUnavailable)
		return
	}
	o := outlineOf(sc)
	o.State, o.SaveAs = stateOf(number, edit.SettingOf(sc)), h.config.Name
	o.HasReport = h.config.Report != nil
	writeJSON(w, o)
}

func outlineOf(sc *scene.Scene) outline {
	t, g := sc.Tank, sc.Goal
	o := outline{File: document.Visible(sc.File), Title: document.Visible(sc.Title), LengthMM: thousand(t.LengthM), WidthMM: thousand(t.WidthM), HeightMM: thousand(t.HeightM),
		Plane: "floor", HalfDepth: t.Water.HalfDepthM > 0, MostOnRail: scene.MaxModulesGroup, Boxes: []boxOutline{},
		Goal: goalOutline{Set: g.Set(), Lux: g.IlluminanceLx, PPFD: g.PPFD, DLI: g.DLI, Uniformity: g.Uniformity, Photons: g.Photons()}}
	if g.Set() {
		o.Plane = document.Visible(g.Plane.Name)
	}
	o.NamedPlane = o.Plane == "surface" || o.Plane == "mid" || o.Plane == "floor"
	if c := t.Cover; c != nil {
		o.Cover = &coverOutline{FromMM: thousand(c.AboveWaterM), ToMM: thousand(c.AboveWaterM + c.ThicknessM)}
	}
	for _, b := range t.Obstacles {
		o.Boxes = append(o.Boxes, boxOutline{Name: document.Visible(b.Name), Low: corner(b.Box.Min.X, b.Box.Min.Y, b.Box.Min.Z), High: corner(b.Box.Max.X, b.Box.Max.Y, b.Box.Max.Z)})
	}
	for _, r := range sc.Rails {
		o.Rails = append(o.Rails, railOf(r))
	}
	for _, name := range sc.Catalogue.OpticNames() {
		o.Optics = append(o.Optics, opticOf(sc.Catalogue.Optics[name]))
	}
	o.Waters = watersOf(sc)
	for _, c := range style.Light().Table() {
		o.Colours = append(o.Colours, fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B))
	}
	return o
}

func corner(x, y, z float64) [3]float64 { return [3]float64{thousand(x), thousand(y), thousand(z)} }

func railOf(r scene.Rail) railOutline {
	o := railOutline{Name: document.Visible(r.Name), LeftMM: thousand(r.LeftM), LengthMM: thousand(r.LengthM), WidthMM: thousand(r.Profile.WidthM),
		ThicknessMM: thousand(r.Profile.HeightM), KeepOuts: [][2]float64{}}
	for _, k := range r.KeepOuts {
		o.KeepOuts = append(o.KeepOuts, [2]float64{thousand(k.FromM), thousand(k.ToM)})
	}
	for _, m := range r.Modules {
		low, high := m.Part.CurrentRange()
		o.Modules = append(o.Modules, moduleOutline{Part: m.Part.Name, Optic: m.Optic.Name, LengthMM: thousand(m.Part.BoardLengthM), WidthMM: thousand(m.Part.BoardWidthM),
			CurrentMA: thousand(m.CurrentA), LowMA: thousand(low), HighMA: thousand(high)})
	}
	return o
}

func opticOf(p parts.Optic) opticOutline {
	widest := math.Max(math.Max(p.BeamRad, p.BeamAcrossRad), math.Max(p.FieldRad, p.FieldAcrossRad))
	return opticOutline{Name: p.Name, About: document.Visible(p.About), BeamDeg: tidy(p.BeamRad / radPerDeg), AcrossDeg: tidy(p.BeamAcrossRad / radPerDeg),
		WidestDeg: tidy(widest / radPerDeg), Measured: p.File != ""}
}

// watersOf lists the kinds of water; the scene's own one has the scene's own numbers.
func watersOf(sc *scene.Scene) []waterOutline {
	var list []waterOutline
	for _, name := range sc.Catalogue.WaterNames() {
		w := sc.Tank.Water
		if name != w.Kind.Name {
			w.Kind = sc.Catalogue.Waters[name]
		}
		list = append(list, waterOutline{Name: name, About: document.Visible(w.Kind.About), LowExtra: w.LowestExtraPerM()})
	}
	return list
}
