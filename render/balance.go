package render

import (
	"fmt"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/stream"
	"fathomlux/scene"
)

// leastLoss is the share of the light below which a loss is not drawn.
const leastLoss = 0.0005

// balanceDrawing prepares the picture of the luminous flux balance: where the lumens end. Where no module shines a
// page that says so takes the place of one that an earlier map may have left in the folder.
func balanceDrawing(m *result.Map, sc *scene.Scene, look Look) drawing {
	b := m.Balance
	if !(b.Emitted > 0) {
		return drawing{"balance", stream.Page{Page: mapPage(m, look,
			"no module is on, so there is no light to account for")}}
	}
	p := stream.Page{Emitted: b.Emitted, Floor: b.Floor,
		Page: mapPage(m, look,
			fmt.Sprintf("luminous flux balance: where the %.0f lm of the LEDs end up; widths are to scale", b.Emitted))}
	loss := func(name string, lumens float64) stream.Loss { return stream.Loss{Name: name, Lumens: lumens} }
	unfollowed := loss("reflected, not followed by this engine", b.Unfollowed)
	unfollowed.Strange = true
	p.Above = []stream.Loss{loss("lost in the lenses", b.Optic), loss("past the tank (spill)", b.Spill),
		loss("reflected or absorbed by the cover", b.Cover), loss("reflected by the water surface", b.Surface)}
	p.Below = []stream.Loss{loss("absorbed in the water", b.Water),
		loss("through the walls, or absorbed by them", b.Walls), loss("back out of the water", b.Returned), unfollowed}
	shade := loss("stopped by obstacles and the rim", b.Obstacles)
	if inWater := func(o scene.Obstacle) bool { return o.Box.Min.Z < sc.Tank.Water.DepthM }; !slices.ContainsFunc(
		sc.Tank.Obstacles, inWater) {
		p.Above = append(p.Above, shade)
	} else {
		p.Below = append([]stream.Loss{shade}, p.Below...)
	}
	unseen := func(l stream.Loss) bool { return !(l.Lumens >= leastLoss*b.Emitted) }
	p.Above, p.Below = slices.DeleteFunc(p.Above, unseen), slices.DeleteFunc(p.Below, unseen)
	p.Notes = []string{"Light is counted where it finally ends up: what the cover absorbs, or " +
		"what leaves the water, may have reached the floor first; walls also take light above the surface."}
	return drawing{"balance", p}
}
