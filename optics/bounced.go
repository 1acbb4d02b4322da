package optics

import (
	"context"

	"fathomlux/optics/direct"
	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene"
)

// bouncedRays is how many rays the flux balance of one scene takes where one figure of it is told: enough for whole percents.
const bouncedRays = 20000

// BouncedOf returns how much of the light that lands on floor, walls and obstacles is thrown back, which sums of straight light
// do not follow. The scene is a warm one.
func BouncedOf(ctx context.Context, sc *scene.Scene, workers int) (result.Bounced, error) {
	st, err := NewModel(sc)
	if err != nil {
		return 0, err
	}
	e, err := direct.New(ctx, st, direct.Options{Workers: workers, Attenuation: water.Direct, Rays: bouncedRays})
	if err != nil {
		return 0, err
	}
	return BouncedShare(e.Books()), nil
}

func BouncedShare(b result.Books) result.Bounced {
	if b.Unfollowed <= 0 {
		return 0
	}
	return result.Bounced(b.Unfollowed / (b.Floor + b.Walls + b.Obstacles + b.Unfollowed))
}
