package direct

import (
	"unsafe"

	"fathomlux/scene/space"
)

// Work returns what one cell costs at most: one for each source in each of its image strips, and one for each wall
// that is crossed on the way from there.
func (e *Engine) Work() int64 {
	images, crossings := e.strips()
	return int64(len(e.model.Sources)) * (images + crossings)
}

// strips returns the number of image strips of one source, and that of the walls crossed on the ways from all of them.
func (e *Engine) strips() (images, crossings int64) {
	x, y := int64(e.orders.X), int64(e.orders.Y)
	return (2*x + 1) * (2*y + 1), x*(x+1)*(2*y+1) + y*(y+1)*(2*x+1)
}

// ViewBytes predicts the memory that the image strips of all sources take for one plane, in bytes. It grows with the
// square of the orders, and with obstacles with their fourth power, for each strip keeps the boxes of all strips on
// its way.
func (e *Engine) ViewBytes() int64 {
	var one view
	const crossing = 16 // a distance and a wall
	x, y := int64(e.orders.X), int64(e.orders.Y)
	images, _ := e.strips()
	// between each image and the tank, summed over the images, and each by itself
	strips := (x*x+3*x+1)*(y*y+3*y+1) + images
	var box space.Box
	boxes := strips * int64(len(e.model.BoxesFrom())) * int64(unsafe.Sizeof(box))
	// lists that grow have half as much room again
	own := images*int64(unsafe.Sizeof(one)) + (x*(x+1)+y*(y+1))*crossing*3/2
	return int64(len(e.model.Sources))*own + boxes*3/2
}
