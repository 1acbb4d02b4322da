package direct

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
)

// onWall is the lumens that come to a wall, in cells of about 10 mm.
func onWall(t *testing.T, s *setup, e *Engine, side model.Side) float64 {
	t.Helper()
	along := s.LengthM
	if side < model.Front {
		along = s.WidthM
	}
	f, err := e.Wall(context.Background(), side, result.NewGrid(along, s.DepthM, 0.01))
	if err != nil {
		t.Fatal(err)
	}
	return flux(f)
}

// TestWallsAndFloorTakeAllThatEnters: without losses in the water, what enters comes to the floor or is taken by walls:
// conservation of energy. Where the front mirrors nine tenths it takes a tenth of what comes to it.
func TestWallsAndFloorTakeAllThatEnters(t *testing.T) {
	t.Parallel()
	for _, mirrored := range []bool{false, true} {
		s := tank(t)
		hang(s, 0.1, 0.08, 0.15)
		hang(s, 0.7, 0.3, 0.15)
		taken := [4]float64{1, 1, 1, 1}
		if mirrored {
			s.Walls[model.Front], taken[model.Front] = mirrors(0.9)[0], 0.1
			s.Walls[model.Right], taken[model.Right] = mirrors(0.9)[0], 0.1
		}
		e := engine(t, s)
		b := e.Balance()
		walls := 0.0
		for side := model.Left; side <= model.Back; side++ {
			walls += taken[side] * onWall(t, s, e, side)
		}
		floor := flux(plane(t, e, s.DepthM, result.NewGrid(s.LengthM, s.WidthM, 0.005)))
		near(t, "floor and walls of what enters", (floor+walls)/b.Entered, 1, 0.004) // rays of the balance, cells of 10 mm
		if walls < 0.1*floor {
			t.Errorf("%g lm on walls, %g on the floor: a scene that tells nothing", walls, floor)
		}
	}
}

// TestWallByTheLawOfRefraction: one place of the back wall against the light that a ring of directions about the ray
// there carries: I(t) sin(t) dt = E (sin(a) 2 pi rho drho)/(2 pi) for the level plane, by differences, and tan of the
// angle in the water for the wall. Snell's law; without water losses.
func TestWallByTheLawOfRefraction(t *testing.T) {
	t.Parallel()
	s := tank(t)
	const air, depth = 0.1, 0.21
	hang(s, 0.6, 0.15, air)
	e := engine(t, s)
	n, rho := s.Water.Index(), 0.25 // straight to the back from the source
	lands := func(a float64) float64 { return air*math.Tan(a) + depth*math.Tan(math.Asin(math.Sin(a)/n)) }
	low, high := 0.0, 1.5
	for range 60 {
		if m := (low + high) / 2; lands(m) < rho {
			low = m
		} else {
			high = m
		}
	}
	inWater := math.Asin(math.Sin(low) / n)
	level := luxAt(t, e, 0.6, 0.4-1e-9, depth)
	g := result.Grid{NX: 3, NY: 1, StepXM: 0.4, StepYM: 2 * depth}
	f, err := e.Wall(context.Background(), model.Back, g)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "wall over level plane", f.Illuminance[1]/level, math.Tan(inWater), 2e-3) // tables as fine as for pictures
	if f, err = e.Wall(context.Background(), model.Ground, g); err == nil {
		t.Errorf("the ground is no wall: %v", f)
	}
}
