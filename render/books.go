package render

import (
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/stream"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// leastLoss is the share of the light below which a loss is not drawn.
const leastLoss = 0.0005

// booksDrawing prepares the picture of where the lumens end.
func booksDrawing(m *result.Map, sc *scene.Scene, look Look) drawing {
	p := booksPage(m, sc, look)
	return drawing{name: "books", title: p.Title + ", " + p.Subtitle, draw: func() (*style.Canvas, error) { return stream.Draw(p) }}
}

// booksPage puts each entry of the flux balance on the side of the water surface where it is lost, or most of it.
func booksPage(m *result.Map, sc *scene.Scene, look Look) stream.Page {
	b := m.Balance
	p := stream.Page{Title: m.Title, Subtitle: fmt.Sprintf("where the %.0f lm of the dies end; widths are to scale", b.Emitted), Emitted: b.Emitted, Floor: b.Floor,
		Footer: footer(m, look), PixelFactor: look.PixelFactor}
	p.Above = losses(b.Emitted, stream.Loss{Name: "lost in the lenses", Lumens: b.Optic}, stream.Loss{Name: "past the tank (spill)", Lumens: b.Spill},
		stream.Loss{Name: "taken by the cover pane", Lumens: b.Cover}, stream.Loss{Name: "thrown back by the water surface", Lumens: b.Surface})
	p.Below = losses(b.Emitted, stream.Loss{Name: "absorbed in the water", Lumens: b.Water}, stream.Loss{Name: "through the walls, or absorbed by them", Lumens: b.Walls},
		stream.Loss{Name: "back out of the water", Lumens: b.Returned}, stream.Loss{Name: "bounced on: this engine does not follow it", Lumens: b.Unfollowed, Strange: true})
	shade := losses(b.Emitted, stream.Loss{Name: "stopped by braces, stones, rim", Lumens: b.Obstacles})
	if blocksHangAbove(sc) {
		p.Above = append(p.Above, shade...)
	} else {
		p.Below = append(shade, p.Below...)
	}
	p.Notes = append(p.Notes, "Light is counted where it ends at last, wherever it was before: what the cover takes or what leaves the water may have been down at the floor, and walls take light above the surface, too.")
	return p
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
