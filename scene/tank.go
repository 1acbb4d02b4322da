package scene

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

func (r *reader) tank(f key.Fields) {
	t := &r.scene.Tank
	t.LengthM, t.WidthM, t.HeightM = f.Value("length", 0), f.Value("width", 0), f.Value("height", 0)
	walls := f.Open("walls")
	t.Walls = Walls{Front: readWall(walls, "front"), Back: readWall(walls, "back"),
		Left: readWall(walls, "left"), Right: readWall(walls, "right")}
	t.FloorReflectance = 0.2
	if f.Has("floor") {
		t.FloorReflectance = f.Open("floor").Value("diffuse", 0)
	}
	r.water(f.Open("water"))
	if f.Has("cover") {
		t.Cover = readCover(f.Open("cover"))
	}
	for i, one := range f.Rows("obstacles") {
		t.Obstacles = append(t.Obstacles, r.obstacle(one, i))
	}
}

func readWall(walls key.Fields, side string) Wall {
	if n := walls.Get(side); !n.IsMapping() {
		if n.Exists() && walls.Word(side) == "acrylic" {
			return Wall{Kind: AcrylicWall}
		}
		return Wall{Kind: GlassWall}
	}
	f := walls.Open(side)
	if f.Has("mirror") {
		return Wall{Kind: MirrorWall, Reflectance: f.Value("mirror", 0)}
	}
	return Wall{Kind: DiffuseWall, Reflectance: f.Value("diffuse", 0)}
}

func (r *reader) water(f key.Fields) {
	w := &r.scene.Tank.Water
	w.Kind = r.scene.Catalogue.Waters["clear"]
	if f.Has("kind") {
		w.Kind, _ = parts.LookUp(r.scene.Catalogue, r.scene.Catalogue.Waters, f.Get("kind"))
	}
	w.TemperatureC, w.SalinityGPerKg = f.Value("temperature", 25), f.Value("salinity", 0)
	r.waterDepth(f)
	w.Kind.Read(f)
	w.HalfDepthM = f.Value("half_depth", 0)
	if w.HalfDepthM > clearestHalfDepthM {
		f.Get("half_depth").Warnf("%s is clearer than pure water, where half of white light is left at about %d m",
			say(w.HalfDepthM), clearestHalfDepthM)
	}
	r.extraAbsorption(f)
}

func (r *reader) waterDepth(f key.Fields) {
	n := f.Get("depth")
	t := &r.scene.Tank
	depth := f.Value("depth", 0)
	t.Water.DepthM = depth
	if depth <= 0 || t.HeightM <= 0 {
		return
	}
	free := t.RimAboveWaterM()
	switch {
	case free < 0:
		n.Faultf("%s of water would stand above the rim; the tank is %s high", say(depth), say(t.HeightM))
	case free < 0.02*t.HeightM:
		n.Warnf("the water ends only %s below the rim", say(free))
	}
}

// clearestHalfDepthM is about the depth at which pure water has halved white light: ln 2 over an attenuation of 0.07
// 1/m.
const clearestHalfDepthM = 10

func readCover(f key.Fields) *Cover {
	c := &Cover{ThicknessM: f.Value("thickness", 0), AboveWaterM: f.Value("above_water", 0)}
	switch f.Word("material") {
	case "low-iron glass":
		c.Material = LowIronGlass
	case "acrylic":
		c.Material = Acrylic
	}
	if c.AboveWaterM == 0 {
		f.Get("above_water").Warnf("the cover touches the water")
	}
	return c
}

func (r *reader) obstacle(f key.Fields, i int) Obstacle {
	o := Obstacle{Name: f.String("name", fmt.Sprintf("obstacle %d", i+1))}
	from, ok1 := readPoint(f, "from")
	to, ok2 := readPoint(f, "to")
	if opaque := f.Get("opaque"); opaque.Exists() && opaque.OneOf("true", "false") == "false" {
		opaque.Faultf("only opaque boxes are known; write true or take the box out")
	}
	if !ok1 || !ok2 {
		return o
	}
	o.Box = space.Box{
		Min: space.Point{X: min(from.X, to.X), Y: min(from.Y, to.Y), Z: min(from.Z, to.Z)},
		Max: space.Point{X: max(from.X, to.X), Y: max(from.Y, to.Y), Z: max(from.Z, to.Z)},
	}
	t := r.scene.Tank
	switch {
	case o.Box.Empty():
		f.At().Faultf("the box has no volume; its corners must differ in x, y and z")
	case o.Box.Max.X <= 0 || o.Box.Max.Y <= 0 || o.Box.Min.X >= t.LengthM || o.Box.Min.Y >= t.WidthM:
		f.At().Warnf("the box stands outside the tank")
	}
	return o
}

// readPoint reads the three lengths of a point; ok is false where one of them is wrong.
func readPoint(f key.Fields, name string) (p space.Point, ok bool) {
	values, at := f.Values(name)
	if len(values) != 3 || slices.ContainsFunc(at, func(n document.Node) bool { return !n.IsScalar() }) {
		return p, false
	}
	return space.Point{X: values[0], Y: values[1], Z: values[2]}, true
}

// say writes a length for a message.
func say(m float64) string { return unit.Length.Say(m) }

// Plane returns the plane that text names: "surface" (just under the water surface), "mid" (half the depth), "floor",
// or a depth below the surface such as "200 mm", from 0 to the water's depth.
func (t Tank) Plane(text string) (PlaneRef, error) {
	text = strings.TrimSpace(text)
	switch text {
	case "surface":
		return PlaneRef{Name: text}, nil
	case "mid":
		return PlaneRef{Name: text, DepthM: t.Water.DepthM / 2}, nil
	case "floor":
		return PlaneRef{Name: text, DepthM: t.Water.DepthM}, nil
	}
	if near := document.Suggest(text, []string{"surface", "mid", "floor"}); near != "" {
		return PlaneRef{}, fmt.Errorf("%q is no plane; did you mean %q?", text, near)
	}
	if text == "" || !strings.ContainsAny(text[:1], "+-.0123456789") {
		return PlaneRef{}, fmt.Errorf("%.60q is no plane; use surface, mid, floor or a depth such as 200 mm", text)
	}
	depthM, err := unit.Length.Parse(text)
	if err != nil {
		return PlaneRef{}, err
	}
	if depthM < 0 || depthM > t.Water.DepthM {
		return PlaneRef{}, fmt.Errorf("%s is out of range; a plane lies from 0 mm to %s below the surface", text,
			say(t.Water.DepthM))
	}
	return PlaneRef{Name: text, DepthM: depthM}, nil
}
