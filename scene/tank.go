package scene

import (
	"fmt"

	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

var (
	side     = document.Range{Low: MinSideM, High: MaxSideM}
	anywhere = document.Range{Low: -MaxSideM, High: MaxSideM}
	share    = document.Range{Low: 0, High: 1, Percent: true}
)

func (r *reader) tank(n document.Node) {
	f := n.Fields("length", "width", "height", "water", "walls", "floor", "cover", "obstacles").
		WithHint("an inside measure such as 1180 mm")
	t := &r.scene.Tank
	t.LengthM = f.Require("length").Quantity(unit.Length, side)
	t.WidthM = f.Require("width").Quantity(unit.Length, side)
	t.HeightM = f.Require("height").Quantity(unit.Length, side)
	t.Walls = readWalls(f.Get("walls"))
	t.FloorReflectance = 0.2
	if floor := f.Get("floor"); floor.Exists() {
		t.FloorReflectance = floor.Fields("diffuse").WithHint("a share such as 0.25").Require("diffuse").Number(share)
	}
	r.water(f.WithHint("the water with its depth").Require("water"))
	t.Cover = readCover(f.Get("cover"))
	r.obstacles(f.Get("obstacles"))
}

func readWalls(n document.Node) Walls {
	if !n.Exists() {
		return Walls{}
	}
	f := n.Fields("front", "back", "left", "right")
	return Walls{
		Front: readWall(f.Get("front")), Back: readWall(f.Get("back")),
		Left: readWall(f.Get("left")), Right: readWall(f.Get("right")),
	}
}

func readWall(n document.Node) Wall {
	switch {
	case !n.Exists():
		return Wall{Kind: GlassWall}
	case !n.IsMapping():
		if n.OneOf("glass", "acrylic") == "acrylic" {
			return Wall{Kind: AcrylicWall}
		}
		return Wall{Kind: GlassWall}
	}
	f := n.Fields("diffuse", "mirror")
	diffuse, mirror := f.Get("diffuse"), f.Get("mirror")
	if diffuse.Exists() == mirror.Exists() {
		n.Faultf("a wall that is no pane is either {diffuse: 0.08} or {mirror: 0.9}")
	}
	if mirror.Exists() {
		return Wall{Kind: MirrorWall, Reflectance: mirror.Number(share)}
	}
	return Wall{Kind: DiffuseWall, Reflectance: diffuse.Number(share)}
}

// The water's own numbers may replace those of its kind within these ranges: blackwater absorbs about 20 1/m at 440 nm.
var (
	attenuation = document.Range{Low: 0, High: 1000}
	slope       = document.Range{Low: 0, High: 0.1}
	meanCosine  = document.Range{Low: -0.99, High: 0.99}
)

func (r *reader) water(n document.Node) {
	f := n.Fields("depth", "kind", "temperature", "salinity", "colour_440", "colour_slope", "particle_absorption",
		"particle_scattering", "asymmetry", "half_depth", "extra_absorption")
	w := &r.scene.Tank.Water
	w.Kind = r.scene.Catalogue.Waters["clear"]
	if kind := f.Get("kind"); kind.Exists() {
		w.Kind, _ = r.scene.Catalogue.Water(kind)
	}
	w.TemperatureC = quantity(f.Get("temperature"), unit.Temperature, document.Range{Low: 0, High: 40}, 25)
	w.SalinityGPerKg = quantity(f.Get("salinity"), unit.Salinity, document.Range{Low: 0, High: 45}, 0)
	r.waterDepth(f.WithHint("the depth of the water such as 420 mm").Require("depth"))
	k := &w.Kind
	k.CDOM440PerM = quantity(f.Get("colour_440"), unit.Attenuation, attenuation, k.CDOM440PerM)
	k.CDOMSlopePerNm = quantity(f.Get("colour_slope"), unit.SpectralSlope, slope, k.CDOMSlopePerNm)
	k.ParticleAbsorbPerM = quantity(f.Get("particle_absorption"), unit.Attenuation, attenuation, k.ParticleAbsorbPerM)
	k.ParticleScatterPerM = quantity(f.Get("particle_scattering"), unit.Attenuation, attenuation, k.ParticleScatterPerM)
	if g := f.Get("asymmetry"); g.Exists() {
		k.Asymmetry = g.Number(meanCosine)
	}
	r.halfDepth(f)
	needsCompany(f, *k)
	r.extraAbsorption(f.Get("extra_absorption"))
}

// needsCompany refuses a colour without its slope, and scattering without its direction, where the kind has neither.
func needsCompany(f document.Fields, k parts.Water) {
	if f.Get("colour_440").Exists() && k.CDOM440PerM > 0 && k.CDOMSlopePerNm == 0 && !f.Get("colour_slope").Exists() {
		f.WithHint("how fast the colour's absorption falls with wavelength such as 0.017 1/nm").Require("colour_slope")
	}
	if f.Get("particle_scattering").Exists() && k.ParticleScatterPerM > 0 && k.Asymmetry == 0 && !f.Get("asymmetry").Exists() {
		f.WithHint("the mean cosine of the angle of scattering such as 0.924").Require("asymmetry")
	}
}

func (r *reader) waterDepth(n document.Node) {
	t := &r.scene.Tank
	depth := n.Quantity(unit.Length, document.Range{Low: 0.001, High: MaxSideM})
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

// clearestHalfDepthM is about the depth at which pure water has halved white light: ln 2 over an attenuation of 0.07 1/m.
const clearestHalfDepthM = 10

func (r *reader) halfDepth(f document.Fields) {
	n := f.Get("half_depth")
	if !n.Exists() {
		return
	}
	w := &r.scene.Tank.Water
	w.HalfDepthM = n.Quantity(unit.Length, document.Range{Low: 0.001, High: 1000})
	for _, key := range []string{"colour_440", "colour_slope", "particle_absorption", "particle_scattering", "asymmetry"} {
		if f.Get(key).Exists() {
			n.Faultf("half_depth and %s exclude each other; give the measured depth or the water's numbers", key)
		}
	}
	if w.HalfDepthM > clearestHalfDepthM {
		n.Warnf("%s is clearer than pure water, where half of white light is left at about %d m", say(w.HalfDepthM), clearestHalfDepthM)
	}
}

func readCover(n document.Node) *Cover {
	if !n.Exists() {
		return nil
	}
	f := n.Fields("material", "thickness", "above_water")
	c := &Cover{}
	switch f.WithHint("glass, low-iron glass or acrylic").Require("material").OneOf("glass", "low-iron glass", "acrylic") {
	case "low-iron glass":
		c.Material = LowIronGlass
	case "acrylic":
		c.Material = Acrylic
	}
	c.ThicknessM = f.WithHint("the pane's thickness such as 4 mm").Require("thickness").
		Quantity(unit.Length, document.Range{Low: 0.0001, High: 0.1})
	above := f.WithHint("the height of the pane's underside such as 30 mm").Require("above_water")
	c.AboveWaterM = above.Quantity(unit.Length, document.Range{Low: 0, High: MaxSideM})
	if c.AboveWaterM == 0 {
		above.Warnf("the cover touches the water")
	}
	return c
}

func (r *reader) obstacles(n document.Node) {
	items := n.Items()
	if !n.Exists() {
		return
	}
	if len(items) > MaxObstacles {
		n.Faultf("%d obstacles are too many; at most %d serve", len(items), MaxObstacles)
		return
	}
	for i, item := range items {
		r.scene.Tank.Obstacles = append(r.scene.Tank.Obstacles, r.obstacle(item, i))
	}
}

func (r *reader) obstacle(n document.Node, i int) Obstacle {
	f := n.Fields("name", "from", "to", "opaque").WithHint("a corner such as [560 mm, 0 mm, 470 mm]")
	o := Obstacle{Name: fmt.Sprintf("obstacle %d", i+1)}
	if name := f.Get("name"); name.Exists() {
		o.Name = name.Text()
	}
	from, ok1 := readPoint(f.Require("from"))
	to, ok2 := readPoint(f.Require("to"))
	if opaque := f.Get("opaque"); opaque.Exists() && !opaque.Flag() && opaque.IsScalar() {
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
		n.Faultf("the box has no volume; its corners must differ in x, y and z")
	case o.Box.Max.X <= 0 || o.Box.Max.Y <= 0 || o.Box.Min.X >= t.LengthM || o.Box.Min.Y >= t.WidthM:
		n.Warnf("the box stands outside the tank")
	}
	return o
}

// readPoint reads the three lengths of a point; ok is false where one of them is wrong.
func readPoint(n document.Node) (p space.Point, ok bool) {
	items := n.Items()
	if len(items) != 3 {
		if n.IsSequence() {
			n.Faultf("a point has three lengths: x, y and z")
		}
		return p, false
	}
	for i, c := range []*float64{&p.X, &p.Y, &p.Z} {
		*c = items[i].Quantity(unit.Length, anywhere)
		ok = (i == 0 || ok) && items[i].IsScalar()
	}
	return p, ok
}

// say writes a length for a message.
func say(m float64) string { return unit.Length.Say(m) }
