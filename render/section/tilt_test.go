package section

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/style"
	"fathomlux/scene/space"
)

// hung is a cross section with one rail and its module above the middle.
func hung(tiltRad float64) Slice {
	s := sliceOf(result.AcrossY, 1.18, 0.42, fading)
	s.Rails = []Rail{{FromM: 0.165, ToM: 0.265, HeightM: 0.16, ThicknessM: 0.02, TiltRad: tiltRad, Name: "main"}}
	s.Modules = []Mark{{AtM: 0.215, HeightM: 0.16, LengthM: 0.05, TiltRad: tiltRad}}
	return s
}

// TestTiltedRailStandsTilted: a positive tilt turns the light towards the back, so the rail's back edge rises.
func TestTiltedRailStandsTilted(t *testing.T) {
	const tilt = 0.4
	s := hung(tilt)
	c, err := Draw(s)
	if err != nil {
		t.Fatal(err)
	}
	d := layout(s)
	sin, cos := math.Sincos(tilt)
	// body is a place in the rail: along its width from the middle of the face, and above the face.
	body := func(acrossM, aboveM float64) color.RGBA {
		return c.ColourAt(style.Pt(d.x(0.215+acrossM*cos-aboveM*sin), d.air(0.16+acrossM*sin+aboveM*cos)))
	}
	for _, across := range []float64{-0.045, 0.045} {
		if got := body(across, 0.01); got != color.RGBA(railColour) {
			t.Errorf("%g m from its middle the rail is %v; want %v", across, got, railColour)
		}
	}
	if got := body(0, 1.5/d.perM); got != color.RGBA(lampColour) {
		t.Errorf("the module is %v; want %v", got, lampColour)
	}
	if got := c.ColourAt(style.Pt(d.x(0.26), d.air(0.165))); got != color.RGBA(style.Paper) {
		t.Errorf("where a level rail would be stands %v", got)
	}
}

// TestBeamsBesideTheTankRunOn: an edge that misses the tank goes on beside the picture, down to the level of the water.
func TestBeamsBesideTheTankRunOn(t *testing.T) {
	with, without := hung(0), hung(0)
	from, to := space.Point{Y: 0.215, Z: 0.58}, space.Point{Y: 0.5, Z: 0.42}
	with.Section.Rays = []result.Ray{{Points: []space.Point{from, to, {Y: 0.7, Z: 0}}}}
	a, err := Draw(with)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Draw(without)
	if err != nil {
		t.Fatal(err)
	}
	d := layout(with)
	differ := func(share float64) (found bool) {
		at := d.place(0, from.Y+share*(to.Y-from.Y), from.Z+share*(to.Z-from.Z))
		for _, off := range []float64{-1, 0, 1} {
			p := style.Pt(at.X, at.Y+off)
			found = found || a.ColourAt(p) != b.ColourAt(p)
		}
		return found
	}
	drawn := 0
	for _, share := range []float64{0.84, 0.88, 0.92, 0.96, 0.99} { // texts may stand on some of these places
		if x := d.x(from.Y + share*(to.Y-from.Y)); x <= d.frame.Right {
			t.Fatalf("%g of the way lies inside the picture's frame", share)
		}
		if differ(share) {
			drawn++
		}
	}
	if drawn < 2 {
		t.Errorf("the beam's edge is seen in %d places beside the tank", drawn)
	}
	if at := d.place(0, 0.6, 0.2); a.ColourAt(at) != b.ColourAt(at) {
		t.Error("an edge is drawn beside the tank below the water's level")
	}
}

// TestSliceSaysWhereItLies: between modules, or through one where there is no place between.
func TestSliceSaysWhereItLies(t *testing.T) {
	s := hung(0)
	between := strings.Join(s.notes(), " ")
	s.Through = true
	through := strings.Join(s.notes(), " ")
	s.Modules = append(s.Modules, s.Modules[0])
	both := strings.Join(s.notes(), " ")
	for got, want := range map[string]string{
		between: "lies where it is darkest between modules", through: "The slice goes through a module.", both: "through a module; the nearest one of each rail is drawn.",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q does not say %q", got, want)
		}
	}
}
