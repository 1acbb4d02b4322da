package optics

import (
	"fmt"

	"fathomlux/optics/beam"
	"fathomlux/optics/stack"
	"fathomlux/optics/stage"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// newStage makes a stage of a scene: each die of each module becomes a source at its pitch, with the beam of its optic
// and the flux of its current, warm where the scene is. A source's module is its index over all rails, in the order of Scene.Seats.
func newStage(sc *scene.Scene) (*stage.Stage, error) {
	b := newBuilder(emptyStage(sc), sc)
	for i, rm := range modulesOf(sc) {
		sources, err := b.sources(i, rm, rm.module.FluxLm())
		if err != nil {
			return nil, fmt.Errorf("%s: module %s: %w", sc.File, sc.SeatName(sc.Seats()[i]), err)
		}
		b.stage.Sources = append(b.stage.Sources, sources...)
	}
	return b.stage, nil
}

// emptyStage makes a stage of a scene's tank, without any source.
func emptyStage(sc *scene.Scene) *stage.Stage {
	t := sc.Tank
	st := &stage.Stage{
		LengthM: t.LengthM, WidthM: t.WidthM, DepthM: t.Water.DepthM, RimM: t.RimAboveWaterM(),
		Cover: cover(t.Cover), Water: body(t.Water), FloorReflectance: t.FloorReflectance,
	}
	for side, w := range map[stage.Side]scene.Wall{stage.Left: t.Walls.Left, stage.Right: t.Walls.Right, stage.Front: t.Walls.Front, stage.Back: t.Walls.Back} {
		st.Walls[side] = wall(w)
	}
	for _, o := range t.Obstacles {
		st.Boxes = append(st.Boxes, o.Box)
	}
	return st
}

// builder adds modules to a stage and shares beams and spectra among them.
type builder struct {
	stage          *stage.Stage
	library        *parts.Catalogue
	open           scene.Opener // for measured distributions
	beams, spectra map[string]int
}

func newBuilder(st *stage.Stage, sc *scene.Scene) builder {
	return builder{stage: st, library: sc.Catalogue, open: sc.Open, beams: map[string]int{}, spectra: map[string]int{}}
}

// sources returns the dies of one module, whose flux together is fluxLm.
func (b *builder) sources(number int, rm railModule, fluxLm float64) ([]stage.Source, error) {
	m := rm.module
	shape, err := b.beam(m.Optic)
	if err != nil {
		return nil, err
	}
	light, err := b.spectrum(m.Part.Spectrum)
	if err != nil {
		return nil, err
	}
	frame := space.Tilted(rm.rail.TiltRad)
	emitted := fluxLm / float64(m.Part.Dies())
	var list []stage.Source
	for iy := range m.Part.DiesAcross {
		for ix := range m.Part.DiesAlong {
			along := (float64(ix) - float64(m.Part.DiesAlong-1)/2) * m.Part.PitchAlongM
			across := (float64(iy) - float64(m.Part.DiesAcross-1)/2) * m.Part.PitchAcrossM
			list = append(list, stage.Source{
				Module: number, Frame: frame, Beam: shape, Spectrum: light,
				EmittedLm: emitted, LeavingLm: emitted * m.Optic.Efficiency,
				Position: space.Point{
					X: m.XM + along*frame.Along.X,
					Y: rm.rail.YM + across*frame.Across.Y,
					Z: b.stage.DepthM + rm.rail.AboveWaterM + across*frame.Across.Z,
				},
			})
		}
	}
	return list, nil
}

// beam returns the index of an optic's beam, made once.
func (b *builder) beam(o parts.Optic) (int, error) {
	if i, ok := b.beams[o.Name]; ok {
		return i, nil
	}
	shape, err := newBeam(o, b.open)
	if err != nil {
		return 0, fmt.Errorf("optic %s: %w", o.Name, err)
	}
	b.stage.Beams = append(b.stage.Beams, shape)
	b.beams[o.Name] = len(b.stage.Beams) - 1
	return b.beams[o.Name], nil
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
	return beam.New(beam.Shape{BeamRad: o.BeamRad, BeamAcrossRad: across, FieldRad: o.FieldRad, FieldAcrossRad: fieldAcross, StrayShare: o.StrayShare})
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
	horizontal, candela := f.Unfolded()
	b, err := beam.Measured(beam.Table{VerticalDeg: f.Vertical, HorizontalDeg: horizontal, Candela: candela, StrayShare: o.StrayShare})
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
	b.stage.Spectra = append(b.stage.Spectra, s)
	b.spectra[name] = len(b.stage.Spectra) - 1
	return b.spectra[name], nil
}

func cover(c *scene.Cover) *stage.Cover {
	if c == nil {
		return nil
	}
	material := stack.ClearGlass()
	switch c.Material {
	case scene.LowIronGlass:
		material = stack.LowIronGlass()
	case scene.Acrylic:
		material = stack.Acrylic()
	}
	return &stage.Cover{UndersideM: c.AboveWaterM, ThicknessM: c.ThicknessM, Index: material.Index, AbsorbPerM: material.AbsorbPerM}
}

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

func wall(w scene.Wall) walls.Wall {
	switch w.Kind {
	case scene.AcrylicWall:
		return walls.Wall{Kind: walls.Glass, Index: stack.AcrylicIndex}
	case scene.DiffuseWall:
		return walls.Wall{Kind: walls.Diffuse, Reflectance: w.Reflectance}
	case scene.MirrorWall:
		return walls.Wall{Kind: walls.Mirror, Reflectance: w.Reflectance}
	default:
		return walls.Wall{Kind: walls.Glass, Index: stack.GlassIndex}
	}
}
