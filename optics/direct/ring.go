package direct

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/optics/model"
)

// ring is a board whose dies may be summed as one in their middle, with the light of rings through the dies: a board
// that looks the same after a quarter turn, of dies with round lenses that look straight down. Light on a plane is then
// off by the fourth power of the dies' distance from the middle, in parts of the spot. Edges at which a wall begins or
// ends to count lie elsewhere for each die; near them, and in shadows, light is that of the dies.
type ring struct {
	source  *model.Source
	radiusM float64   // of the widest ring
	radiiM  []float64 // of each die
}

// ringShare is the widest ring, in parts of the spot: light is off by 4e-5 or less.
const ringShare = 0.15

// ring returns a board as a ring, nil where it is none.
func (s *sum) ring(board []model.Source) *ring {
	if len(board) < 2 || s.engine.key(board[0]).beam < 0 {
		return nil
	}
	one, t := middle(board), s.engine.tank
	r := &ring{source: &one}
	for _, d := range board {
		x, y := d.Position.X-one.Position.X, d.Position.Y-one.Position.Y
		turned := slices.ContainsFunc(board, func(o model.Source) bool {
			return math.Hypot(o.Position.X-one.Position.X+y, o.Position.Y-one.Position.Y-x) < 1e-9 &&
				o.LeavingLm == d.LeavingLm
		})
		inside := d.Position.X >= 0 && d.Position.X <= t.LengthM && d.Position.Y >= 0 && d.Position.Y <= t.WidthM
		if !turned || !inside {
			return nil
		}
		r.radiiM = append(r.radiiM, math.Hypot(x, y))
	}
	r.radiusM = slices.Max(r.radiiM)
	wayM := one.Position.Z + s.depthM - s.engine.model.DepthM
	if !(r.radiusM <= ringShare*min(wayM, s.engine.model.Beams[one.Beam].SpotM(wayM))) {
		return nil
	}
	return r
}

// ringAngles is at how many places on half a ring light is taken.
const ringAngles = 8

// ringTrack returns the track of a ring: that of its dies' kind, with the mean light of rings around each place.
func (s *sum) ringTrack(r *ring) *track {
	k := s.engine.key(*r.source)
	k.ring = fmt.Sprintf("%.9f", r.radiiM)
	return s.kept(k, func() *track {
		one := s.track(r.source)
		n := int(one.scale)
		nodes := slices.Clone(one.nodes[:n+1])
		for i := range n {
			w, lux, ppfd := float64(i)/one.scale, 0.0, 0.0
			rho := math.Sqrt(one.apparent * w / (1 - w))
			for _, radius := range r.radiiM {
				for a := range ringAngles {
					cos := math.Cos((float64(a) + 0.5) / ringAngles * math.Pi)
					at := one.look(rho*rho + radius*radius + 2*rho*radius*cos)
					lux, ppfd = lux+at.lux(), ppfd+at.ppfd()
				}
			}
			share := 1 / float64(ringAngles*len(r.radiiM))
			nodes[i].lux, nodes[i].ppfd = share*lux, share*ppfd
		}
		return newTrack(nodes, one.apparent, one.heightM, true)
	})
}

// diesOf returns the images of the dies that the image stands for.
func (im *image) diesOf() []image {
	if im.apart == nil {
		im.apart = make([]image, len(im.dies))
		for i := range im.dies {
			im.apart[i] = im.sum.image(&im.dies[i], im.row)
		}
	}
	return im.apart
}

// atEdge tells whether the dies that the image stands for may differ in which walls count for a ray that lands at
// signed distance d along the row.
func (im *image) atEdge(d float64, r wallRay) bool {
	return len(im.dies) > 0 && (im.edgeOf(im.run, d, nil, r) || im.edgeOf(im.fix, im.fixed, im.meetings(), r))
}

// How much the share of the way that is done at the surface or the rim, and the cosine at a wall, may change between
// dies, in parts of their distance from the middle over the apparent height, and of the cosine. Beyond a critical angle
// a wall's share falls so steeply at first that steepCosine times as much counts as near it.
const (
	changeOfWay = 2
	steepCosine = 4
)

// edgeOf is atEdge for the walls across one axis, d the signed distance along it, at which they may be known already.
func (im *image) edgeOf(c *crossings, d float64, known []meeting, r wallRay) bool {
	if len(c.at) == 0 {
		return false
	}
	far := math.Abs(d)
	if far <= im.radiusM {
		return true
	}
	cos := r.sinPerM * far
	for i := range c.at {
		var m meeting
		if known != nil {
			m = known[i]
		} else {
			m = im.meeting(c, i, d)
		}
		switch {
		case m.way < r.below-m.slack:
			return false
		case m.way < r.below+m.slack || math.Abs(m.way-r.surface) < m.slack:
			return true
		case m.way > r.surface && math.Abs(cos-m.critical) < cos*m.blur:
			return true
		}
	}
	return false
}

// meeting is a wall across one axis as the rays to a signed distance along it meet it: at which share of the way, by how
// much of the way dies may differ in that, and at which cosine the wall ends to return totally, give or take a part.
type meeting struct{ way, slack, critical, blur float64 }

// meeting returns one wall across an axis for a signed distance along it, beyond the dies.
func (im *image) meeting(c *crossings, i int, d float64) meeting {
	way, away := c.at[i]/d, math.Abs(d)-im.radiusM
	return meeting{way: way, slack: im.changeOfWay + im.radiusM*(1-way)/away, critical: c.walls[i].Critical(),
		blur: steepCosine * im.radiusM / away}
}

// meetings are the walls across y for the whole row.
func (im *image) meetings() []meeting {
	if im.across == nil {
		im.across = make([]meeting, len(im.fix.at))
		for i := range im.across {
			im.across[i] = im.meeting(im.fix, i, im.fixed)
		}
	}
	return im.across
}

// rim is the height above which no wall holds a ray.
type rim struct {
	heightM    float64 // above the water
	aboveCover bool    // the pane then lies below it whole
}

func (e *Engine) rim() rim {
	c, end := e.model.Cover, e.tank.WallsEndM(e.model.Cover)
	return rim{heightM: end, aboveCover: c != nil && end > c.UndersideM}
}

// way returns the share of the horizontal way at which a ray from heightM sinks below the rim; 0 or less when it
// starts below.
func (r rim) way(heightM float64, p place) float64 {
	if r.aboveCover {
		return (heightM - r.heightM) * p.tan()
	}
	return p.water() - r.heightM*p.tan()
}

// wallRay is what of the ray to a place walls ask for: the shares of its way at which it sinks below the rim and into the
// water, and sin(theta) in air over the way in plan, 1/m.
type wallRay struct{ below, surface, sinPerM float64 }

// ray returns that of a ray from heightM to a place.
func (r rim) ray(heightM float64, p place) wallRay {
	return wallRay{r.way(heightM, p), p.water(), p.sin()}
}

// kept returns the share of a ray that its crossings along one axis leave: none if it crosses above the rim, or enters
// from outside below it. d is the signed distance from source to cell along the axis.
func (c *crossings) kept(d float64, r wallRay) float64 {
	if c.entry != 0 && !(c.entry/d <= r.below) {
		return 0
	}
	if len(c.at) == 0 {
		return 1
	}
	if c.at[0]/d < r.below {
		return 0
	}
	cos := r.sinPerM * math.Abs(d) // of the incidence that the ray has, or would have, in air
	kept := 1.0
	for i, at := range c.at {
		switch way := at / d; {
		case way < r.below:
			return 0
		case way < r.surface:
			kept *= c.walls[i].Air(cos)
		default:
			kept *= c.walls[i].Water(cos)
		}
	}
	return kept
}
