package optics

import (
	"cmp"
	"context"
	"math"
	"slices"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/photometry"
)

// FacesOptions say how the light on the faces of a tank is computed.
type FacesOptions struct {
	StepM   float64 // cells, about
	Photons int64   // traced for what does not come straight to the walls; 0 for the usual number
	Workers int
	Seed    uint64 // 0 for the usual one
	Cold    bool   // see Options

	Even       bool    // photons start at even points, for less grain; standard errors are too large then
	ThingStepM float64 // cells of things, about; 0 where their light is not wanted
	WaterStepM float64 // cells of the water, about; 0 where the light in it is not wanted
}

// facePhotons are traced where no number is given, shapedPhotons of all light in a tank that is no upright box; faceBlurM
// is how wide, as a standard deviation, what they count is spread, so that it carries no grain. faceError is the standard
// error on the floor of such a tank, as a share of the mean, that an eye does not see; of fewer photons it is larger.
const (
	faceError     = 0.015
	facePhotons   = 1 << 20
	shapedPhotons = 1 << 22
	faceBlurM     = 0.016
)

// Faces is the light that lands on the faces of a tank's inside under water, at operating temperature.
type Faces struct {
	Model *model.Model // with sources
	Kinds []Kind
	Walls [][]result.Field // by side of the tank and kind, see OnWall
	Floor []result.Field   // by kind: over x and y

	Skins  []*form.Skin      // by the model's solids
	Things [][][]float64     // by solid and kind: illuminance of the cells of the skin, lx
	Water  *trace.Lattice    // nil where the light in it is not wanted
	Flows  [][2][]trace.Flow // by kind: of the straight light, and of the rest

	sides []side
}

// Kind is one spectrum of a tank's modules, and its spectrum as it is on the floor.
type Kind struct {
	Name    string
	OnFloor photometry.Spectrum
}

// LightFaces computes the light on the floor, as Map has it, and that on the walls.
func LightFaces(ctx context.Context, sc *scene.Scene, o FacesOptions) (*Faces, error) {
	warm, _ := Warmed(sc, o.Cold)
	t := &warm.Tank
	m, err := newModel(warm)
	if err != nil {
		return nil, err
	}
	e, err := newEngine(ctx, m, Full, direct.Options{Workers: o.Workers})
	if err != nil {
		return nil, err
	}
	f := &Faces{Model: m}
	if f.Floor, err = lightFloor(ctx, warm, e, o); err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, rm := range Modules(warm) {
		name := rm.Module.Part.Spectrum
		if known[name] {
			continue
		}
		known[name] = true
		floor := f.Floor[len(f.Kinds)]
		all := result.Summarise(floor.Illuminance, 0).Mean
		f.Kinds = append(f.Kinds, Kind{name, arriving(m.Spectra[len(f.Kinds)], m, t.Water.DepthM,
			result.Summarise(floor.PPFD, 0).Mean, all)})
	}
	f.sides = sidesOf(warm, m)
	var grids []result.Grid
	for _, s := range f.sides {
		grids = append(grids, s.grid(m, o.StepM))
	}
	lights, err := e.onSides(ctx, f.sides, grids, o, len(f.Kinds))
	for _, l := range lights {
		f.Walls = append(f.Walls, l.kinds)
	}
	if err != nil {
		return nil, err
	}
	return f, f.lightInside(ctx, t, o)
}

// OnWall is the illuminance of a kind at a place of a wall under water: of the model's face of that number, after some
// way from its first corner and at some height over the floor.
func (f *Faces) OnWall(face, kind int, alongM, heightM float64) float64 {
	for i, s := range f.sides {
		if at := slices.Index(s.faces, face); at >= 0 {
			field := &f.Walls[i][kind]
			long := field.Grid.StepXM * float64(field.Grid.NX)
			if alongM += float64(at) * long / float64(len(s.faces)); s.runsBack(f.Model) {
				alongM = long - alongM
			}
			return field.Grid.Between(field.Illuminance, alongM, heightM)
		}
	}
	return 0
}

// lightFloor computes the light of each kind on the floor.
func lightFloor(ctx context.Context, sc *scene.Scene, e *engine, o FacesOptions) ([]result.Field, error) {
	t, m := &sc.Tank, e.model
	mapped := Options{StepM: o.StepM, Workers: o.Workers, Seed: cmp.Or(o.Seed, usualSeed),
		Error: faceError * math.Sqrt(max(1, facePhotons/float64(cmp.Or(o.Photons, facePhotons))))}
	grid, err := chooseGrid(*t, mapped)
	if err != nil {
		return nil, err
	}
	request := planeRequest{ref: scene.PlaneRef{Name: "floor", DepthM: t.Water.DepthM}, grid: grid}
	if len(m.Spectra) > 1 {
		request.kinds = len(m.Spectra)
	}
	light, err := e.planes(ctx, sc, []planeRequest{request}, mapped)
	if err != nil {
		return nil, err
	}
	if kinds := light.planes[0].kinds; kinds != nil {
		return kinds, nil
	}
	return []result.Field{light.planes[0].field}, nil
}

// blur gives each cell the mean of those about it, weighed by a bell of faceBlurM.
func blur(g result.Grid, values []float64) {
	row := make([]float64, max(g.NX, g.NY))
	along := func(n, from, step int, stepM float64) {
		reach := int(3 * faceBlurM / stepM)
		for i := range n {
			row[i] = values[from+i*step]
		}
		for i := range n {
			sum, all := 0.0, 0.0
			for d := max(-reach, -i); d <= min(reach, n-1-i); d++ {
				weight := math.Exp(-0.5 * math.Pow(float64(d)*stepM/faceBlurM, 2))
				sum, all = sum+float64(weight*row[i+d]), all+weight
			}
			values[from+i*step] = sum / all
		}
	}
	for j := range g.NY {
		along(g.NX, j*g.NX, 1, g.StepXM)
	}
	for i := range g.NX {
		along(g.NY, i, g.NX, g.StepYM)
	}
}
