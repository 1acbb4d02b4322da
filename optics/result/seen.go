package result

import "fathomlux/scene/colour"

// Seen is what an eye sees of a lit tank, pixel by pixel, row after row from the upper left.
type Seen struct {
	Width, Height int
	Glare         Glare
	Light         []colour.Tristimulus // Y is the luminance, cd/m2
	IntoTank      []bool               // whether the pixel shows what is in the water
	White         colour.Tristimulus   // the mean light on the floor, Y in lx
	RoomCd        float64              // luminance of the room, cd/m2
	Leaves        bool                 // whether leaves are drawn, at places that are invented
	Stilled       bool                 // whether the water is drawn still though its surface moves
}
