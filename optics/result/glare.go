package result

// Glare is what dazzles an eye, and what light of the tank comes to it.
type Glare struct {
	Modules []SeenModule // in sight, in the scene's order
	All     int          // modules of the scene
	Screens []Screen     // that would hide the modules of a rail, of rails with modules in sight
	DiesLx  float64      // straight from the dies in sight, on a face at the eye that looks where the eye looks
	TankLx  float64      // from all else that is lit by them, the room left dark
}

// SeenModule is a module of which dies are in sight.
type SeenModule struct {
	Module      int
	DistanceM   float64
	LuminanceCd float64 // of its brightest die, cd/m2: its intensity towards the eye over its opening
}

// Screen is an opaque strip along the long edge of a rail that faces the eye, down from the emitting face. HeightM is how
// far below that it has to reach; 0 where no screen at that edge is between.
type Screen struct {
	Rail    int
	HeightM float64
}
