package view

import (
	"math"

	"fathomlux/optics"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/space"
)

// sight is a lit tank made ready to be looked at.
type sight struct {
	model.Tank
	depthM, rimM, index float64
	roomCd              float64
	grey                colour.Tristimulus // of the room: that of the tank's own light
	faces               *optics.Faces
	matt                [model.Ground]*walls.Matt
	boxes, bars         model.Obstacles // nil for none
	dies                []die
	cover               *model.Cover
	pane                stack.Pane
	hues                [][]colour.Tristimulus // by kind and way in the water: of 1 lm that sets out
}

// die is one bright disc.
type die struct {
	source  *model.Source
	cd      func(space.Vector) float64 // luminous intensity in a direction of the world
	hue     colour.Tristimulus
	radiusM float64
}

// dieRadiusM is the radius of the opening that a die is seen as. Common practice, no published source: lenses for single
// dies are 10 to 20 mm wide, and light up in their middle.
const dieRadiusM = 0.004

// Ways in the water for which hues are kept.
const (
	hueStepM = 0.1
	hueSteps = 40
)

func newSight(sc *scene.Scene, f *optics.Faces, o Options) (*sight, error) {
	tank, err := f.Model.Tank()
	if err != nil || f.Model.Shaped() {
		return nil, errShaped
	}
	w := &sight{Tank: tank, depthM: f.Model.DepthM, rimM: f.Model.DepthM + tank.RimM, index: f.Model.Water.Index(),
		roomCd: o.RoomCd, faces: f, cover: f.Model.Cover, boxes: model.NewObstacles(f.Model.BoxesFrom())}
	for i := range w.matt {
		w.matt[i] = tank.Walls[i].NewMatt(w.index)
	}
	if c := w.cover; c != nil {
		w.pane = stack.Pane{ThicknessM: c.ThicknessM, Index: c.Index, AbsorbPerM: c.AbsorbPerM(550)}
	}
	for _, k := range f.Kinds {
		var list []colour.Tristimulus
		for i := range hueSteps {
			left := func(nm float64) float64 {
				return math.Exp(-f.Model.Water.AttenuationPerM(nm, water.Direct) * hueStepM * float64(i))
			}
			list = append(list, colour.Of(k.OnFloor.Filtered(left)).Times(k.OnFloor.LuminousShare(left)))
		}
		w.hues = append(w.hues, list)
	}
	for i := range f.Model.Sources {
		src := &f.Model.Sources[i]
		beam := f.Model.Beams[src.Beam]
		w.dies = append(w.dies, die{source: src, radiusM: dieRadiusM, hue: w.hues[src.Spectrum][0].Times(1),
			cd: func(d space.Vector) float64 {
				local := src.Frame.Local(d)
				if local.Z <= 0 {
					return 0
				}
				return src.LeavingLm * beam.PerLumen(local)
			}})
	}
	var bars []space.Box
	for _, r := range sc.Rails {
		low := w.depthM + r.AboveWaterM + 0.001
		bars = append(bars, space.Box{Min: space.Point{X: r.LeftM, Y: r.YM - r.Profile.WidthM/2, Z: low},
			Max: space.Point{X: r.LeftM + r.LengthM, Y: r.YM + r.Profile.WidthM/2, Z: low + r.Profile.HeightM}})
	}
	w.bars = model.NewObstacles(bars)
	w.grey = w.white().Times(1)
	return w, nil
}

// white is the colour of the light on the floor, Y its mean illuminance.
func (w *sight) white() (all colour.Tristimulus) {
	for k := range w.faces.Kinds {
		lux := result.Summarise(w.faces.Floor[k].Illuminance, 0).Mean
		all = all.Plus(w.hues[k][0].Times(lux))
	}
	return all
}

// hue is the colour of light of a kind after a way in the water, Y the share of the lumens that is left.
func (w *sight) hue(kind int, wayM float64) colour.Tristimulus {
	at := min(wayM/hueStepM, hueSteps-1.001)
	i := int(at)
	a, b, k := w.hues[kind][i], w.hues[kind][i+1], at-math.Floor(at)
	return colour.Tristimulus{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y), Z: a.Z + k*(b.Z-a.Z)}
}

// lux is the illuminance at a place of a face.
func lux(f *result.Field, u, v float64) float64 { return f.Grid.Between(f.Illuminance, u, v) }
