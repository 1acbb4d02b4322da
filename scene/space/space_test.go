package space_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/space"
)

// rounding is the tolerance for a few products of sines and cosines, each exact to half a unit of the last place.
const rounding = 1e-15

func cross(v, w space.Vector) space.Vector {
	return space.Vector{X: v.Y*w.Z - v.Z*w.Y, Y: v.Z*w.X - v.X*w.Z, Z: v.X*w.Y - v.Y*w.X}
}

func TestTiltedIsRightHandedAndOrthonormal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := space.Tilted(rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "tilt"))
		for name, v := range map[string]space.Vector{"along": f.Along, "across": f.Across, "aim": f.Aim} {
			if math.Abs(v.Length()-1) > rounding {
				t.Errorf("%s has length %.17g", name, v.Length())
			}
		}
		if d := math.Abs(f.Along.Dot(f.Across)) + math.Abs(f.Across.Dot(f.Aim)) + math.Abs(f.Aim.Dot(f.Along)); d > rounding {
			t.Errorf("the directions are not at right angles: %g", d)
		}
		// Aim looks down, so it is across times along, and along, aim, across go round to the right.
		if got := cross(f.Across, f.Along); got.Dot(f.Aim) < 1-rounding {
			t.Errorf("across x along = %v is not the aim %v", got, f.Aim)
		}
	})
}

func TestTiltTurnsTheAimTowardsTheBack(t *testing.T) {
	f := space.Tilted(math.Pi / 6)
	if want := (space.Vector{Y: 0.5, Z: -math.Sqrt(3) / 2}); math.Abs(f.Aim.Y-want.Y)+math.Abs(f.Aim.Z-want.Z) > rounding {
		t.Errorf("aim of a rail tilted by 30 deg is %v, not %v", f.Aim, want)
	}
	if f.Across.Z <= 0 {
		t.Errorf("the back edge of a rail that looks back must rise, got across %v", f.Across)
	}
	if space.Tilted(0) != space.Down {
		t.Errorf("an untilted frame is %v, not %v", space.Tilted(0), space.Down)
	}
}

func TestLocalKeepsLengthsAndFindsTheAim(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := space.Tilted(rapid.Float64Range(-1.4, 1.4).Draw(t, "tilt"))
		part := rapid.Float64Range(-10, 10)
		v := space.Vector{X: part.Draw(t, "x"), Y: part.Draw(t, "y"), Z: part.Draw(t, "z")}
		if got := f.Local(v).Length(); math.Abs(got-v.Length()) > 1e-14*(1+v.Length()) { // a rotation
			t.Errorf("local length %.17g, was %.17g", got, v.Length())
		}
		if got := f.Local(f.Aim); math.Abs(got.Z-1) > rounding || math.Abs(got.Y) > rounding {
			t.Errorf("the aim in its own frame is %v", got)
		}
	})
}

func TestVectorArithmetic(t *testing.T) {
	v := space.Vector{X: 2, Y: 3, Z: 6}
	if v.Length() != 7 { // 4 + 9 + 36 = 49
		t.Errorf("length of %v is %g, not 7", v, v.Length())
	}
	if got := v.Dot(space.Vector{X: 1, Y: -1, Z: 0.5}); got != 2 {
		t.Errorf("dot product is %g, not 2", got)
	}
}

func TestClipZ(t *testing.T) {
	box := space.Box{Max: space.Point{X: 1, Y: 2, Z: 3}}
	tests := []struct {
		name            string
		low, high       float64
		wantLow, wantUp float64
		empty           bool
	}{
		{"wholly inside", -1, 9, 0, 3, false},
		{"cut below and above", 1, 2, 1, 2, false},
		{"cut above", -1, 0.5, 0, 0.5, false},
		{"beside", 4, 5, 4, 3, true},
		{"touching", 3, 5, 3, 3, true},
	}
	for _, test := range tests {
		got := box.ClipZ(test.low, test.high)
		if got.Min.Z != test.wantLow || got.Max.Z != test.wantUp || got.Empty() != test.empty {
			t.Errorf("%s: got %v, empty %v", test.name, got, got.Empty())
		}
		if got.Max.X != 1 || got.Max.Y != 2 || got.Min.X != 0 || got.Min.Y != 0 {
			t.Errorf("%s: the plan changed: %v", test.name, got)
		}
	}
	if box.Max.Z != 3 {
		t.Error("ClipZ changed the box it was called on")
	}
}

func TestEmptyInEachAxis(t *testing.T) {
	full := space.Box{Max: space.Point{X: 1, Y: 1, Z: 1}}
	if full.Empty() {
		t.Error("a box of one cubic metre is empty")
	}
	flatX, flatY, flatZ := full, full, full
	flatX.Max.X, flatY.Max.Y, flatZ.Max.Z = 0, -1, 0
	for name, b := range map[string]space.Box{"x": flatX, "y": flatY, "z": flatZ} {
		if !b.Empty() {
			t.Errorf("a box without extent in %s is not empty", name)
		}
	}
}
