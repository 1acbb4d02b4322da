package result

// Shimmer is the light on a plane while the water's surface moves, in the quantity Shown. Frames are moments of PeriodS,
// the time after which the surface is as it was, by cell of Grid.
type Shimmer struct {
	Title     string
	Plane     string
	DepthM    float64
	Shown     Quantity
	Grid      Grid
	Frames    [][]float64
	PeriodS   float64
	RestMean  float64    // of the light that is taken as still: mirrored by walls, scattered, bounced
	Rays      int        // that are followed at each moment
	Contrasts []Contrast // by depth, that of the plane last
	Junctions Junctions
}

// Contrast is how far the light of one depth sways: the standard deviation over time, over the mean over time, of each
// square of SquareM. All is the mean of the plane, the next are those of its thirds, and Highest that of one square.
type Contrast struct {
	DepthM, SquareM, Mean                 float64
	All, Left, Middle, Right, Front, Back float64
	Highest, HighestXM, HighestYM         float64
}
