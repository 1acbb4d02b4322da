package result

import "fmt"

// Bounced is the light that an answer of straight light alone leaves out, as a share of what lands on floor, walls and
// obstacles: what these throw back, and what particles scatter back. Some of it lands again, so it is the most that is
// missing but for light that bounces several times. 0 where nothing is left out.
type Bounced float64

// Words says beside a verdict what it leaves out, empty where that is nothing.
func (b Bounced) Words() string {
	if b < 0.0005 {
		return ""
	}
	decimals := 0
	if b < 0.0095 {
		decimals = 1
	}
	return fmt.Sprintf("Only unscattered light is counted: what floor, walls and water reflect or scatter, up to %.*f %% "+
		"of the light that lands, is missing; the command map includes it.", decimals, 100*b)
}

// Bounced returns how much of the light that lands on floor, walls and obstacles is thrown back, which sums of straight
// light do not follow.
func (b FluxBalance) Bounced() Bounced {
	if b.Unfollowed <= 0 {
		return 0
	}
	return Bounced(b.Unfollowed / (b.Floor + b.Walls + b.Obstacles + b.Unfollowed))
}
