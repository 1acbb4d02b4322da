package optics

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fathomlux/optics/beam"
	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/stack"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// newModel makes an optical model of a scene: each die of each module becomes a source at its pitch, with the beam of
// its optic and the flux of its current, warm where the scene is. A source's module is its index over all rails, in the
// order of Scene.Seats.
func newModel(sc *scene.Scene) (*model.Model, error) {
	b := newBuilder(emptyModel(sc), sc)
	for i, rm := range Modules(sc) {
		sources, err := b.sources(i, rm, rm.Module.FluxLm())
		if err != nil {
			return nil, fmt.Errorf("%s: module %s: %w", sc.File, sc.SeatName(sc.Seats()[i]), err)
		}
		b.model.Sources = append(b.model.Sources, sources...)
	}
	return b.model, nil
}

// engineOf readies an engine for a scene's light.
func engineOf(ctx context.Context, sc *scene.Scene, name Engine, o direct.Options) (*engine, error) {
	m, err := newModel(sc)
	if err != nil {
		return nil, err
	}
	return newEngine(ctx, m, name, o)
}

// emptyModel makes a model of a scene's tank, without any source.
func emptyModel(sc *scene.Scene) *model.Model {
	t := sc.Tank
	tank := model.Tank{LengthM: t.LengthM, WidthM: t.WidthM, RimM: t.RimAboveWaterM(),
		FloorReflectance: t.FloorReflectance,
		Walls: [4]walls.Wall{model.Left: wall(t.Walls.Left, t.Walls), model.Right: wall(t.Walls.Right, t.Walls),
			model.Front: wall(t.Walls.Front, t.Walls), model.Back: wall(t.Walls.Back, t.Walls)}}
	st := &model.Model{Faces: tank.Faces(t.Water.DepthM), DepthM: t.Water.DepthM, Cover: cover(t.Cover),
		Water: body(t.Water), Hood: hoodOf(sc)}
	if !t.Outline.Empty() {
		st.Faces = model.Upright(t.Outline, t.HeightM, t.FloorReflectance,
			func(edge int) walls.Wall { return wall(t.Wall(edge), t.Walls) })
	}
	st.Boxes = boxesOf(sc)
	addForms(st, tank, t)
	addLeaves(st, t)
	return st
}

// boxesOf are the opaque boxes of a scene: obstacles, and bars that hang lower than the light of another.
func boxesOf(sc *scene.Scene) (list []space.Box) {
	for _, o := range sc.Tank.Obstacles {
		list = append(list, o.Box)
	}
	for i := range sc.Rails {
		r := &sc.Rails[i]
		if slices.ContainsFunc(sc.Rails, func(o scene.Rail) bool { return o.AboveWaterM > r.AboveWaterM+barOverDiesM }) {
			list = append(list, barOf(r, sc.Tank.Water.DepthM)...)
		}
	}
	return list
}

// barOverDiesM is how far above the emitting face a bar begins: boards and lenses are between. Common practice, no
// published source: 5 to 20 mm.
const barOverDiesM = 0.01

// barOf is a rail's bar; a turned one is cut into upright boxes half as long as it is wide, of the same area.
func barOf(r *scene.Rail, depthM float64) (list []space.Box) {
	n, low, wide := 1, depthM+r.AboveWaterM+barOverDiesM, r.Profile.WidthM
	sin, cos := math.Sincos(r.TurnRad)
	if r.TurnRad != 0 {
		n = max(1, int(math.Ceil(2*r.LengthM/wide)))
	}
	step := r.LengthM / float64(n)
	halfX, halfY := step/2*math.Abs(cos), wide/2/math.Abs(cos)
	if math.Abs(sin) > math.Abs(cos) {
		halfX, halfY = wide/2/math.Abs(sin), step/2*math.Abs(sin)
	}
	for i := range n {
		x, y := r.At(r.LeftM + (float64(i)+0.5)*step)
		list = append(list, space.Box{Min: space.Point{X: x - halfX, Y: y - halfY, Z: low},
			Max: space.Point{X: x + halfX, Y: y + halfY, Z: low + r.Profile.HeightM}})
	}
	return list
}

// addForms adds a ground that is not level, things and a bare bottom pane to the model of a tank.
func addForms(st *model.Model, tank model.Tank, t scene.Tank) {
	if !t.Ground.Level() {
		st.Ground = &t.Ground
	}
	if t.FloorPane && t.Outline.Empty() {
		st.Faces = tank.Upright(t.Water.DepthM)
	}
	if t.FloorPane {
		st.Faces[len(st.Faces)-1].Material = wall(scene.Wall{Kind: scene.FilmWall, Reflectance: t.FloorReflectance}, t.Walls)
	}
	for _, one := range t.Things {
		st.Solids = append(st.Solids, model.Solid{Pile: form.NewPile(one.Solids), Reflectance: one.Reflectance})
	}
}

// addLeaves adds plants and floating leaves to a model, and how the surface moves.
func addLeaves(st *model.Model, t scene.Tank) {
	st.Slope = t.Water.Ripple.Slope
	plants, floating := t.LeavesNow()
	st.Floating = model.Floating{Share: floating.CoverShare, Area: floating.Area}
	for _, p := range plants {
		if p.DensityPerM > 0 {
			st.Leaves = append(st.Leaves, model.Leaves{Box: p.Box.ClipZ(0, t.Water.DepthM), DensityPerM: p.DensityPerM,
				Reflect: p.Reflectance, Transmit: p.Transmittance})
		}
	}
}

// hoodOf returns the hood of a scene as light sees it, nil where none reflects. It stands over the tank's middle.
func hoodOf(sc *scene.Scene) *model.Hood {
	h, t := sc.Ambient.Hood, sc.Tank
	if h == nil || h.Inside == 0 {
		return nil
	}
	edge := t.Water.DepthM + sc.HoodEdgeM()
	return &model.Hood{Reflectance: h.Inside, Box: space.Box{
		Min: space.Point{X: (t.LengthM - h.LengthM) / 2, Y: (t.WidthM - h.WidthM) / 2, Z: edge},
		Max: space.Point{X: (t.LengthM + h.LengthM) / 2, Y: (t.WidthM + h.WidthM) / 2, Z: edge + h.HeightM}}}
}

// builder adds modules to a model and shares beams and spectra among them.
type builder struct {
	model   *model.Model
	library *parts.Catalogue
	open    scene.Opener // for measured distributions
	beams   map[parts.Optic]int
	spectra map[string]int
}

func newBuilder(st *model.Model, sc *scene.Scene) builder {
	return builder{model: st, library: sc.Catalogue, open: sc.Open, beams: map[parts.Optic]int{},
		spectra: map[string]int{}}
}

// sources returns the dies of one module, whose flux together is fluxLm.
func (b *builder) sources(number int, rm Mounted, fluxLm float64) ([]model.Source, error) {
	m := rm.Module
	shape, err := b.beam(m.Optic)
	if err != nil {
		return nil, err
	}
	light, err := b.spectrum(m.Part.Spectrum)
	if err != nil {
		return nil, err
	}
	frame := rm.Rail.Frame(m)
	xM, yM := rm.Rail.At(m.XM)
	emitted := fluxLm / float64(m.Part.Dies())
	var list []model.Source
	for iy := range m.Part.DiesAcross {
		for ix := range m.Part.DiesAlong {
			along := (float64(ix) - float64(m.Part.DiesAlong-1)/2) * m.Part.PitchAlongM
			across := (float64(iy) - float64(m.Part.DiesAcross-1)/2) * m.Part.PitchAcrossM
			list = append(list, model.Source{
				Module: number, Frame: frame, Beam: shape, Spectrum: light,
				EmittedLm: emitted, LeavingLm: emitted * m.Optic.Efficiency,
				Position: space.Point{
					X: xM + along*frame.Along.X + across*frame.Across.X,
					Y: yM + along*frame.Along.Y + across*frame.Across.Y,
					Z: b.model.DepthM + rm.Rail.AboveWaterM + along*frame.Along.Z + across*frame.Across.Z,
				},
			})
		}
	}
	return list, nil
}

// beam returns the index of an optic's beam, made once.
func (b *builder) beam(o parts.Optic) (int, error) {
	if i, ok := b.beams[o]; ok {
		return i, nil
	}
	shape, err := newBeam(o, b.open)
	if err != nil {
		return 0, fmt.Errorf("optic %s: %w", o.Name, err)
	}
	b.model.Beams = append(b.model.Beams, shape)
	b.beams[o] = len(b.model.Beams) - 1
	return b.beams[o], nil
}

// newBeam returns the intensity shape of an optic. open reads the measured distribution that it names; nil serves for
// optics that name none. A measured distribution is normalised to the light of its whole sphere; what it has above the
// module's horizon is spill. Its horizontal angle 0 points along the rail, towards +x, and 90 to the back.
func newBeam(o parts.Optic, open scene.Opener) (*beam.Beam, error) {
	if o.File != "" {
		return measuredBeam(o, open)
	}
	across, fieldAcross := o.BeamAcrossRad, o.FieldAcrossRad
	if across == o.BeamRad && fieldAcross == o.FieldRad {
		across, fieldAcross = 0, 0
	}
	return beam.New(beam.Shape{BeamRad: o.BeamRad, BeamAcrossRad: across, FieldRad: o.FieldRad,
		FieldAcrossRad: fieldAcross, StrayShare: o.StrayShare})
}

func measuredBeam(o parts.Optic, open scene.Opener) (*beam.Beam, error) {
	if open == nil {
		return nil, fmt.Errorf("%s: files cannot be read here", o.File)
	}
	data, err := open(o.File)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", o.File, err)
	}
	f, err := lm63.Read(o.File, data)
	if err != nil {
		return nil, err
	}
	b, err := beam.Measured(f.Distribution, o.StrayShare)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", o.File, err)
	}
	return b, nil
}

// spectrum returns the index of a spectrum, made once.
func (b *builder) spectrum(name string) (int, error) {
	if i, ok := b.spectra[name]; ok {
		return i, nil
	}
	s, err := photometry.NewSpectrum(b.library.Spectra[name].Power)
	if err != nil {
		return 0, fmt.Errorf("spectrum %s: %w", name, err)
	}
	b.model.Spectra = append(b.model.Spectra, s)
	b.spectra[name] = len(b.model.Spectra) - 1
	return b.spectra[name], nil
}

func cover(c *scene.Cover) *model.Cover {
	if c == nil {
		return nil
	}
	material := stack.ClearGlass()
	switch c.Material {
	case scene.LowIronGlass:
		material = stack.LowIronGlass()
	case scene.Acrylic:
		material = stack.Acrylic()
	case scene.Polycarbonate, scene.TwinWall:
		material = stack.Polycarbonate()
	}
	solidM, hollow := c.ThicknessM, c.Material == scene.TwinWall
	if hollow {
		solidM *= 2 * wallOfSheet
	}
	dirtPerM := -math.Log(1-c.DirtShare) / solidM // as if it were in the pane
	return &model.Cover{UndersideM: c.AboveWaterM, ThicknessM: solidM, Index: material.Index, Hollow: hollow,
		Scatter: c.ScatteredShare, Asymmetry: c.Asymmetry,
		AbsorbPerM: func(nm float64) float64 { return material.AbsorbPerM(nm) + dirtPerM }}
}

// wallOfSheet is the thickness of either pane of a twin-wall sheet in parts of the sheet's: 0.5 mm of 10 mm. Common
// practice, no published source. The air between them does not matter to where straight light lands, so both lie on
// each other.
const wallOfSheet = 0.05

func body(w scene.Water) water.Body {
	if w.HalfDepthM > 0 {
		return water.Measured(w.HalfDepthM, w.TemperatureC, w.SalinityGPerKg).WithExtra(w.ExtraAbsorbPerM)
	}
	k := w.Kind
	return water.New(water.Constituents{
		CDOM440PerM: k.CDOM440PerM, CDOMSlopePerNm: k.CDOMSlopePerNm, ParticleAbsorbPerM: k.ParticleAbsorbPerM,
		ParticleScatterPerM: k.ParticleScatterPerM, ParticleExponent: k.ParticleExponent, Asymmetry: k.Asymmetry,
	}, w.TemperatureC, w.SalinityGPerKg).WithExtra(w.ExtraAbsorbPerM)
}

// paneNm is where the absorption of panes of walls is taken: the middle of the light that an eye sees.
const paneNm = 550

// wall returns one of some walls.
func wall(w scene.Wall, of scene.Walls) walls.Wall {
	pane, material := walls.Wall{Kind: walls.Glass, Reflectance: w.Reflectance, Lost: of.DirtShare}, stack.ClearGlass()
	switch w.Kind {
	case scene.AcrylicWall:
		material = stack.Acrylic()
	case scene.LowIronWall:
		material = stack.LowIronGlass()
	case scene.FilmWall:
		pane.Kind = walls.Film
	case scene.PaintWall:
		pane.Kind = walls.Diffuse
	case scene.MirrorWall:
		pane.Kind = walls.Mirror
	}
	if pane.Kind == walls.Glass || pane.Kind == walls.Film {
		pane.Index, pane.Depth = material.Index, of.ThicknessM*material.AbsorbPerM(paneNm)
	} else if w.Gloss {
		pane.Index = material.Index
	}
	return pane
}
