package direct

import "unsafe"

// ViewBytes predicts the memory that the image strips of all sources take for one plane, in bytes. It grows with the square
// of the orders, and with obstacles with their fourth power, for each strip keeps the boxes of all strips on its way.
func (e *Engine) ViewBytes() int64 {
	var one view
	const crossing = 16 // a distance and a wall
	x, y := int64(e.orders.X), int64(e.orders.Y)
	images := (2*x + 1) * (2*y + 1)
	crossings := x*(x+1)*(2*y+1) + y*(y+1)*(2*x+1) // summed over the images
	strips := (x*x + 3*x + 1) * (y*y + 3*y + 1)    // between each image and the tank, summed over the images
	boxes := strips * int64(len(e.stage.Boxes)) * int64(unsafe.Sizeof(one.boxes[0]))
	all := images*int64(unsafe.Sizeof(one)) + crossings*crossing + boxes
	return int64(len(e.stage.Sources)) * all * 3 / 2 // lists that grow have half as much room again
}
