package render

import (
	"fmt"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/stream"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// leastLoss is the share of the light below which a loss is not drawn.
const leastLoss = 0.0005

// balanceDrawing prepares the picture of the flux balance: where the lumens end or, where the goal counts photons, these.
// Where no module shines a page that says so takes the place of one that an earlier map may have left in the folder.
func balanceDrawing(m *result.Map, sc *scene.Scene, look Look) drawing {
	b, beside, photons := m.Balance, result.FluxBalance{}, m.Goal.Shown == result.PPFD
	p := stream.Page{Say: func(f stream.Flux) (string, string) { return unit.Figure(f.Drawn, 0) + " lm", "" }}
	title := "luminous flux balance: where the %s of the LEDs end up; widths are to scale"
	if photons {
		b, beside, title = m.Photons, m.Balance, "balance of photons: where the %s of the LEDs end up; widths are to scale"
		p.Say = func(f stream.Flux) (string, string) {
			return unit.Figure(f.Drawn, 1) + " µmol/s", unit.Figure(f.Beside, 0) + " lm"
		}
	}
	if !(b.Emitted > 0) {
		return drawing{"balance", stream.Page{Page: mapPage(m, look,
			"no module is on, so there is no light to account for")}}
	}
	p.Emitted, p.Floor = stream.Flux{Drawn: b.Emitted, Beside: beside.Emitted}, stream.Flux{Drawn: b.Floor, Beside: beside.Floor}
	emitted, _ := p.Say(p.Emitted)
	p.Page = mapPage(m, look, fmt.Sprintf(title, emitted))
	loss := func(name string, drawn, beside float64) stream.Loss {
		return stream.Loss{Name: name, Flux: stream.Flux{Drawn: drawn, Beside: beside}}
	}
	unfollowed := loss("reflected, not followed by this engine", b.Unfollowed, beside.Unfollowed)
	unfollowed.Strange = true
	p.Above = []stream.Loss{loss("lost in the lenses", b.Optic, beside.Optic),
		loss("past the tank (spill)", b.Spill, beside.Spill),
		loss("reflected or absorbed by the cover", b.Cover, beside.Cover),
		loss("reflected by the water surface", b.Surface, beside.Surface)}
	p.Below = []stream.Loss{loss("stopped by leaves", b.Leaves, beside.Leaves), loss("absorbed in the water", b.Water, beside.Water),
		loss("through the walls, or absorbed by them", b.Walls, beside.Walls),
		loss("back out of the water", b.Returned, beside.Returned), unfollowed}
	shade := loss("stopped by obstacles and the rim", b.Obstacles, beside.Obstacles)
	if inWater := func(o scene.Obstacle) bool { return o.Box.Min.Z < sc.Tank.Water.DepthM }; !slices.ContainsFunc(
		sc.Tank.Obstacles, inWater) {
		p.Above = append(p.Above, shade)
	} else {
		p.Below = append([]stream.Loss{shade}, p.Below...)
	}
	unseen := func(l stream.Loss) bool { return !(l.Flux.Drawn >= leastLoss*b.Emitted) }
	p.Above, p.Below = slices.DeleteFunc(p.Above, unseen), slices.DeleteFunc(p.Below, unseen)
	p.Notes = []string{"Light is counted where it finally ends up: what the cover absorbs, or " +
		"what leaves the water, may have reached the floor first; a pale floor sends much of it back. Walls also take " +
		"light above the surface."}
	return drawing{"balance", p}
}
