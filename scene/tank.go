package scene

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/form"
	"fathomlux/scene/key"
	"fathomlux/scene/unit"
)

func (r *reader) tank(f key.Fields) {
	t := &r.scene.Tank
	t.FloorReflectance, t.LeafShare = 0.2, 1
	f.Fill(t)
	walls := f.Open("walls")
	walls.Fill(&t.Walls)
	t.Walls.Front, t.Walls.Back = readWall(walls.Get("front")), readWall(walls.Get("back"))
	t.Walls.Left, t.Walls.Right = readWall(walls.Get("left")), readWall(walls.Get("right"))
	r.outline(f)
	r.edgeWalls(walls)
	r.water(f.Open("water"))
	if t.Cover != nil && t.Cover.AboveWaterM == 0 {
		f.Open("cover").Get("above_water").Warn(finding.CoverTouchesWater.Of())
	}
	if t.Cover != nil {
		t.Cover.aside(f.Open("cover"))
	}
	for i, one := range f.Rows("plants") {
		t.Plants = append(t.Plants, r.plant(one, i))
	}
	if t.Floating != nil {
		r.floating(f.Open("floating"))
	}
	for i, one := range f.Rows("obstacles") {
		t.Obstacles = append(t.Obstacles, r.obstacle(one, i))
	}
	r.ground(f.Open("floor"))
	r.frame(f)
	r.things(f)
}

// wallShape is what a wall may be, a word or a mapping.
var wallShape = key.Tank.Row("walls").Shape.Keys.Row("front").Shape

func readWall(n document.Node) Wall {
	if !n.IsMapping() {
		if n.Exists() {
			return Wall{Kind: map[string]WallKind{"acrylic": AcrylicWall,
				"low-iron glass": LowIronWall}[n.OneOf(wallShape.Of[0].Words...)]}
		}
		return Wall{}
	}
	f, w := wallShape.Of[1].Keys.Of(n), Wall{Kind: PaintWall}
	f.Fill(&w)
	if given := f.Given(); len(given) > 0 {
		w.Kind = map[string]WallKind{"film": FilmWall, "paint": PaintWall, "diffuse": PaintWall,
			"mirror": MirrorWall}[given[0]]
		w.Reflectance = f.Value(given[0], 0)
	}
	if n := f.Get("diffuse"); n.Exists() {
		n.Warn(finding.DiffuseIsPaint.Of())
	}
	return w
}

// checkHood adds faults to a hood that reflects but does not stand over tank and rails as light is computed.
func (r *reader) checkHood(f key.Fields) {
	s, h := r.scene, r.scene.Ambient.Hood
	if h == nil || h.Inside == 0 || s.Tank.LengthM == 0 || s.Tank.WidthM == 0 {
		return
	}
	if h.LengthM < s.Tank.LengthM-SlackM || h.WidthM < s.Tank.WidthM-SlackM {
		f.Get("length").Faultf("the hood is smaller than the tank; one that reflects covers at least the tank's inside, "+
			"%s x %s; leave inside out for this one", say(s.Tank.LengthM), say(s.Tank.WidthM))
	}
	if top := s.Tank.topM(); h.AboveWaterM > 0 && h.AboveWaterM < top-SlackM {
		f.Get("above_water").Faultf("the hood's lower edge is below rim or cover, which end %s above the water; "+
			"give that or more", say(top))
	}
	for _, rail := range s.Rails {
		if top := s.HoodEdgeM() + h.HeightM; rail.AboveWaterM > top {
			f.Get("height").Faultf("the hood ends %s above the water, below the emitting face of %s at %s; make it higher or "+
				"leave inside out", say(top), rail.Name, say(rail.AboveWaterM))
			return
		}
	}
}

func (r *reader) obstacle(f key.Fields, i int) Obstacle {
	in := struct {
		Name     string
		From, To []float64 // x, y and z
	}{Name: fmt.Sprintf("obstacle %d", i+1)}
	told := r.report.Told()
	f.Fill(&in)
	if opaque := f.Get("opaque"); opaque.Exists() && opaque.OneOf("true", "false") == "false" {
		opaque.Faultf("only opaque boxes are supported; write true or remove the box")
	}
	o := Obstacle{Name: in.Name}
	if r.report.Told() > told || f.At().Spoilt() || !f.At().IsMapping() {
		return o
	}
	o.Box = boxOf(in.From, in.To)
	t := r.scene.Tank
	switch {
	case o.Box.Empty():
		f.At().Faultf("the box has no volume; its corners must differ in x, y and z")
	case o.Box.Max.X <= 0 || o.Box.Max.Y <= 0 || o.Box.Min.X >= t.LengthM || o.Box.Min.Y >= t.WidthM:
		f.At().Warn(finding.BoxOutsideTank.Of())
	}
	return o
}

func say(m float64) string { return unit.Length.Say(m) }

// Plane returns the plane that text names: "surface" (just under the water surface), "mid" (half the depth), "floor",
// or a depth below the surface such as "200 mm", from 0 to the water's depth.
func (t Tank) Plane(text string) (PlaneRef, error) {
	text = strings.TrimSpace(text)
	named := map[string]float64{"surface": 0, "mid": t.Water.DepthM / 2, "floor": t.Water.DepthM}
	if depthM, ok := named[text]; ok {
		return PlaneRef{Name: text, DepthM: depthM}, nil
	}
	near := document.Suggest(text, []string{"surface", "mid", "floor"})
	depthM, err := unit.Length.Parse(text)
	switch {
	case near != "":
		err = fmt.Errorf("%q is not a plane; did you mean %q?", text, near)
	case text == "" || !strings.ContainsAny(text[:1], "+-.0123456789"):
		err = fmt.Errorf("%.60q is not a plane; use surface, mid, floor or a depth such as 200 mm", text)
	case err == nil && (depthM < 0 || depthM > t.Water.DepthM):
		err = fmt.Errorf("%s is out of range; a plane lies from 0 mm to %s below the surface", text, say(t.Water.DepthM))
	}
	if err != nil {
		return PlaneRef{}, err
	}
	return PlaneRef{Name: text, DepthM: depthM}, nil
}

// The ranges of the flux factor and of extra absorption, 1/m; see package key.
var (
	LowestFluxFactor, HighestFluxFactor = key.Scene.Ends("flux_factor")
	_, HighestExtraPerM                 = key.Water.Ends("extra_absorption")
)

// SetFluxFactor gives all modules a flux factor.
func (s *Scene) SetFluxFactor(factor float64) {
	s.FluxFactor = factor
	for i := range s.Rails {
		for k := range s.Rails[i].Modules {
			s.Rails[i].Modules[k].FluxFactor = factor
		}
	}
}

// SlackPerM is how far below the lowest value an extra absorption may be by rounding.
const SlackPerM = 1e-6

func (r *reader) water(f key.Fields) {
	t := &r.scene.Tank
	w := &t.Water
	w.Kind, _ = named(r, f, "kind", r.scene.Catalogue.Waters, r.scene.Catalogue.Waters["clear"])
	w.Kind.Read(f)
	w.TemperatureC = 25
	f.Fill(w)
	w.Ripple = r.ripple(f)
	switch free := t.RimAboveWaterM(); {
	case w.DepthM == 0 || t.HeightM == 0: // complained about
	case free < 0:
		f.Get("depth").Faultf("%s of water would stand above the rim; the tank is %s high", say(w.DepthM), say(t.HeightM))
	case free < 0.02*t.HeightM:
		f.Get("depth").Warn(finding.WaterNearRim.Of(finding.Length(free)))
	}
	if w.HalfDepthM > clearestHalfDepthM {
		f.Get("half_depth").Warn(finding.WaterTooClear.Of(finding.Amount{Of: unit.Cable, Value: w.HalfDepthM},
			finding.Amount{Of: unit.Cable, Value: clearestHalfDepthM}))
	}
	if low := w.LowestExtraPerM(); w.ExtraAbsorbPerM < low-SlackPerM {
		f.Get("extra_absorption").Faultf("%s is out of range; with less than %s the water would be clearer than pure water",
			unit.Attenuation.Say(w.ExtraAbsorbPerM), unit.Attenuation.Say(low))
		w.ExtraAbsorbPerM = 0
	}
}

const (
	// clearestHalfDepthM is about the depth at which pure water has halved white light: ln 2 over an attenuation of 0.07
	// 1/m.
	clearestHalfDepthM = 10
	// pureGreenPerM is what pure water absorbs at 550 nm, 1/m. Source: Pope & Fry 1997, Applied Optics 36, 8710-8723.
	pureGreenPerM = 0.0565
	greenNm       = 550.0
	reddestNm     = 780.0 // of the light that anything here counts
	colourNm      = 440.0 // reference wavelength of dissolved colour
)

// LowestExtraPerM returns the lowest extra absorption, 0 or below, with which the water still absorbs at every
// wavelength what pure water does, 1/m. Water of a measured half depth, whose loss is grey, is held against pure water
// at 550 nm.
func (w Water) LowestExtraPerM() float64 {
	if w.HalfDepthM > 0 {
		return math.Min(0, pureGreenPerM-math.Ln2/w.HalfDepthM)
	}
	return 0 - w.ownPerM(reddestNm) // not minus that, which for pure water is minus zero
}

// ownPerM is what the kind of water absorbs more than pure water at a wavelength, 1/m.
func (w Water) ownPerM(nm float64) float64 {
	k := w.Kind
	return k.ParticleAbsorbPerM + k.CDOM440PerM*math.Exp(-k.CDOMSlopePerNm*(nm-colourNm))
}

// AbovePurePerM returns what the water, extra absorption included, absorbs more than pure water at 550 nm, 1/m: the
// middle of the light that an eye sees. Stained water absorbs much more there, though at the red end hardly more.
func (w Water) AbovePurePerM() float64 {
	if w.HalfDepthM > 0 {
		return math.Ln2/w.HalfDepthM - pureGreenPerM + w.ExtraAbsorbPerM
	}
	return w.ownPerM(greenNm) + w.ExtraAbsorbPerM
}

// outline reads the outline of the tank, whose length and width are known. A rectangle stays without one.
func (r *reader) outline(f key.Fields) {
	t, n := &r.scene.Tank, f.Get("outline")
	if !n.Exists() || t.LengthM == 0 || t.WidthM == 0 {
		return
	}
	var points []form.Point
	told := r.report.Told()
	switch {
	case n.IsMapping():
		points = r.cutOutline(f.Open("outline"))
	case n.IsSequence():
		points = r.drawnOutline(f)
	default:
		switch f.Word("outline") {
		case "round":
			if points = form.Round(t.LengthM); t.LengthM != t.WidthM {
				n.Faultf("a round tank is as wide as long; give its diameter inside as both, not %s x %s", say(t.LengthM),
					say(t.WidthM))
			}
		case "hexagon":
			points = form.Hexagon(t.LengthM, t.WidthM)
		}
	}
	if points == nil || r.report.Told() > told {
		return
	}
	o, at, err := form.Draw(points)
	if err != nil && n.IsSequence() {
		n = n.Items()[at]
	}
	if err != nil {
		n.Faultf("%v", err)
	}
	t.Outline = o
	if lengthM, widthM := o.Size(); lengthM > t.LengthM+SlackM || widthM > t.WidthM+SlackM || o.Lowest() < -SlackM {
		n.Faultf("an arc of the outline bows out of the tank's length and width, %s x %s", say(t.LengthM), say(t.WidthM))
	}
}

// cutOutline reads a rectangle of which an edge or a corner differs; without points where none does.
func (r *reader) cutOutline(f key.Fields) []form.Point {
	t := r.scene.Tank
	given := f.Given()
	if len(given) != 1 {
		return nil
	}
	one := f.Open(given[0])
	if given[0] == "bow-front" {
		sagitta := one.Value("sagitta", 0)
		if most := min(t.WidthM, t.LengthM/2); sagitta > most-SlackM {
			one.Get("sagitta").Faultf("a front that bows out by %s leaves no sides; give less than %s", say(sagitta), say(most))
		}
		if sagitta > 0 {
			return form.BowFront(t.LengthM, t.WidthM, sagitta)
		}
		return nil
	}
	cut, corner := one.Value("cut", 0), 1
	if one.Has("at") {
		corner = slices.Index([]string{"front left", "front right", "back right", "back left"}, one.Word("at"))
	}
	if most := min(t.WidthM, t.LengthM); cut > most-SlackM {
		one.Get("cut").Faultf("a cut of %s leaves nothing of a side; give less than %s", say(cut), say(most))
	}
	if cut > 0 && corner >= 0 {
		return form.CutCorner(t.LengthM, t.WidthM, cut, corner)
	}
	return nil
}

// pointShape is what stands behind each point of an outline.
var pointShape = key.Tank.Row("outline").Shape.Of[2].Of[0]

func (r *reader) drawnOutline(f key.Fields) (list []form.Point) {
	t := r.scene.Tank
	for _, n := range f.Items("outline") {
		var at []float64
		for _, one := range pointShape.Items(n) {
			at = append(at, pointShape.Of[0].Value(one))
		}
		if at = append(at, 0, 0, 0); at[0] < -SlackM || at[0] > t.LengthM+SlackM || at[1] < -SlackM ||
			at[1] > t.WidthM+SlackM {
			n.Faultf("the point is outside the tank's length and width, %s x %s, which are those of a "+
				"rectangle about the outline", say(t.LengthM), say(t.WidthM))
		}
		list = append(list, form.Point{Corner: form.Corner{XM: at[0], YM: at[1]}, SagittaM: at[2]})
	}
	return list
}

func (r *reader) edgeWalls(f key.Fields) {
	t, edges := &r.scene.Tank, 4
	list := f.Items("edges")
	if !t.Outline.Empty() {
		edges = slices.Max(t.Outline.Edges) + 1
	}
	if f.Has("edges") && len(list) != edges {
		f.Get("edges").Faultf("%d walls are given for %d edges; give one for each, in the order of the outline's points, "+
			"or front, right, back and left", len(list), edges)
		return
	}
	for _, n := range list {
		t.EdgeWalls = append(t.EdgeWalls, readWall(n))
	}
	if t.Outline.Empty() && t.EdgeWalls != nil {
		t.Outline, _, _ = form.Draw(form.Rectangle(t.LengthM, t.WidthM))
	}
	if len(t.Outline.Corners) == 4 && t.Outline.AreaM2() > t.LengthM*t.WidthM*(1-1e-9) { // a rectangle after all
		for edge := range 4 {
			*[4]*Wall{&t.Walls.Front, &t.Walls.Right, &t.Walls.Back, &t.Walls.Left}[t.Outline.Side(edge)] = t.Wall(edge)
		}
		t.Outline, t.EdgeWalls = form.Outline{}, nil
	}
}

// Wall returns the wall of an edge of the outline.
func (t *Tank) Wall(edge int) Wall {
	if t.EdgeWalls != nil {
		return t.EdgeWalls[edge]
	}
	return [4]Wall{t.Walls.Front, t.Walls.Right, t.Walls.Back, t.Walls.Left}[t.Outline.Side(edge)]
}
