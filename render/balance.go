package render

import (
	"fmt"
	"math"

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
		return drawing{"balance", stream.Page{Page: mapPage(m, look, m.Engine,
			"no module shines, so there are no lumens to follow")}}
	}
	p := stream.Page{Emitted: b.Emitted, Floor: b.Floor,
		Page: mapPage(m, look, m.Engine,
			fmt.Sprintf("luminous flux balance: where the %.0f lm of the LEDs end; widths are to scale", b.Emitted))}
	p.Above = losses(b.Emitted, stream.Loss{Name: "lost in the lenses", Lumens: b.Optic},
		stream.Loss{Name: "past the tank (spill)", Lumens: b.Spill},
		stream.Loss{Name: "reflected or absorbed by the cover", Lumens: b.Cover},
		stream.Loss{Name: "reflected by the water surface", Lumens: b.Surface})
	p.Below = losses(b.Emitted, stream.Loss{Name: "absorbed in the water", Lumens: b.Water},
		stream.Loss{Name: "through the walls, or absorbed by them", Lumens: b.Walls},
		stream.Loss{Name: "back out of the water", Lumens: b.Returned},
		stream.Loss{Name: "reflected further: not followed by this engine", Lumens: b.Unfollowed, Strange: true})
	shade := losses(b.Emitted, stream.Loss{Name: "stopped by braces, stones, rim", Lumens: b.Obstacles})
	if blocksHangAbove(sc) {
		p.Above = append(p.Above, shade...)
	} else {
		p.Below = append(shade, p.Below...)
	}
	p.Notes = []string{"Light is counted where it finally ends, wherever it was before: what the cover absorbs or " +
		"what leaves the water may have been down at the floor, and walls take light above the surface, too."}
	return drawing{"balance", p}
}

// losses leaves out what is too little to see.
func losses(emitted float64, list ...stream.Loss) []stream.Loss {
	var kept []stream.Loss
	for _, l := range list {
		if l.Lumens >= leastLoss*emitted && !math.IsNaN(l.Lumens) {
			kept = append(kept, l)
		}
	}
	return kept
}

// blocksHangAbove tells whether what stands in the way does so in the air.
func blocksHangAbove(sc *scene.Scene) bool {
	for _, o := range sc.Tank.Obstacles {
		if o.Box.Min.Z < sc.Tank.Water.DepthM {
			return false
		}
	}
	return true
}
