package direct

import (
	"math"

	"fathomlux/optics/beam"
	"fathomlux/optics/stack"
	"fathomlux/optics/water"
	"fathomlux/scene/space"
)

// A track is everything about rays from one height down to one plane that depends on the horizontal distance rho
// alone, tabulated over w = rho^2/(rho^2 + H^2), where H is the apparent height of the column. In w the table is even
// at the axis, as fine as an angle everywhere, and reaches to infinity with its last node.
type track struct {
	nodes    []node
	pairs    []pair // lux and PPFD of nodes, laid out for the innermost sum
	scale    float64
	apparent float64 // H squared, m2
	farthest float64 // squared distance beyond which there is less than negligible of the highest value, m2
	heightM  float64
	baked    bool // whether lux and ppfd of the nodes contain the intensity of a round beam that looks straight down
}

// node is one row of a track. lux and ppfd are per lumen that leaves the source (baked) or per candela.
type node struct {
	lux, ppfd float64
	sin       float64 // sin(theta)/rho in air, 1/m
	tan       float64 // tan(theta)/rho in air, 1/m
	water     float64 // share of the horizontal way that is done when the ray meets the water
}

// pair is lux and PPFD at a node and their rise to the next.
type pair struct{ lux, luxRise, ppfd, ppfdRise float64 }

// fineness says how closely a track is tabulated: the intervals are doubled from the first number until the middle of
// none is off by more than missShare of the highest value, or lastNodes is reached. Beyond solved intervals all but
// the beam's intensity, which alone can be that narrow, is read off between nodes instead of solved.
type fineness struct {
	first, solved int
	missShare     float64
}

// How closely tracks are tabulated. A section has a track for each of its depths and is looked at, not measured: a
// quarter of a step of a map of 256 colours is 0.1 % of the highest value.
var (
	measured = fineness{first: 512, solved: lastNodes, missShare: 3e-6}
	lookedAt = fineness{first: 64, solved: 128, missShare: 1e-4}
)

const (
	lastNodes  = 65536
	negligible = 1e-9
)

// trackMaker makes the nodes of one track.
type trackMaker struct {
	luminous, photon stack.Column
	kept             *water.Table
	ppfdPerLux       float64
	round            *beam.Beam // nil where intensity is not baked in
}

// make tabulates as closely as asked.
func (m trackMaker) make(f fineness) *track {
	bare := m.fill(f.first)
	nodes := m.withBeam(bare, nil, false)
	for n := f.first; n < lastNodes; n *= 2 {
		solved := n < f.solved
		bare = m.between(bare, solved)
		nodes = m.withBeam(bare, nodes, !solved)
		if worstMiddle(nodes) < f.missShare {
			break
		}
	}
	h := m.luminous.ApparentM()
	return newTrack(nodes, h*h, m.luminous.AirM+m.luminous.Pane.ThicknessM, m.round != nil)
}

// newTrack makes a track of nodes.
func newTrack(nodes []node, apparent, heightM float64, baked bool) *track {
	n := len(nodes) - 1
	t := &track{nodes: append(nodes, nodes[n]), scale: float64(n), apparent: apparent, baked: baked, heightM: heightM}
	t.farthest = t.last()
	t.pairs = pairsOf(nodes)
	return t
}

// pairsOf lays out the light of nodes; it rises no more beyond the last.
func pairsOf(nodes []node) []pair {
	pairs := make([]pair, len(nodes))
	for i, a := range nodes {
		b := nodes[min(i+1, len(nodes)-1)]
		pairs[i] = pair{lux: a.lux, luxRise: b.lux - a.lux, ppfd: a.ppfd, ppfdRise: b.ppfd - a.ppfd}
	}
	return pairs
}

// fill computes n+1 nodes for w = 0 to 1, without a beam.
func (m trackMaker) fill(n int) []node {
	nodes := make([]node, n+1)
	tan := 0.0
	for i := range n {
		nodes[i], tan = m.at(float64(i)/float64(n), tan)
	}
	nodes[n] = m.horizon()
	return nodes
}

// between returns the nodes with new ones in the middle of each interval, solved or read off the parabola or cubic
// through their neighbours.
func (m trackMaker) between(nodes []node, solve bool) []node {
	n := 2 * (len(nodes) - 1)
	fine := make([]node, n+1, n+2)
	tan := 0.0
	for i := range nodes {
		fine[2*i] = nodes[i]
	}
	for i := 1; i < n; i += 2 {
		switch {
		case solve:
			fine[i], tan = m.at(float64(i)/float64(n), tan)
		case i < 3:
			fine[i] = mixed(&fine[0], &fine[2], &fine[4], &fine[4], [4]float64{3. / 8, 6. / 8, -1. / 8, 0})
		case i > n-3:
			fine[i] = mixed(&fine[n], &fine[n-2], &fine[n-4], &fine[n-4], [4]float64{3. / 8, 6. / 8, -1. / 8, 0})
		default:
			fine[i] = mixed(&fine[i-3], &fine[i-1], &fine[i+1], &fine[i+3], [4]float64{-1. / 16, 9. / 16, 9. / 16, -1. / 16})
		}
	}
	return fine
}

// mixed is a weighted sum of nodes.
func mixed(a, b, c, d *node, w [4]float64) node {
	sum := func(a, b, c, d float64) float64 {
		return max(0, float64(w[0]*a)+float64(w[1]*b)+float64(w[2]*c)+float64(w[3]*d))
	}
	return node{lux: sum(a.lux, b.lux, c.lux, d.lux), ppfd: sum(a.ppfd, b.ppfd, c.ppfd, d.ppfd),
		sin: sum(a.sin, b.sin, c.sin, d.sin), tan: sum(a.tan, b.tan, c.tan, d.tan),
		water: sum(a.water, b.water, c.water, d.water)}
}

// withBeam returns bare nodes with the intensity of the round beam, if any. half holds every second of them already.
func (m trackMaker) withBeam(bare, half []node, fast bool) []node {
	if m.round == nil {
		return bare
	}
	intensity := m.round.PerLumen
	if fast {
		intensity = m.round.Fast
	}
	nodes, h := make([]node, len(bare), len(bare)+1), m.luminous.ApparentM()
	copy(nodes, bare)
	for i := range len(nodes) - 1 {
		n := &nodes[i]
		if half != nil && i%2 == 0 {
			n.lux, n.ppfd = half[i/2].lux, half[i/2].ppfd
			continue
		}
		w := float64(i) / float64(len(nodes)-1)
		tan := n.tan * h * math.Sqrt(w/(1-w))
		cos := 1 / math.Sqrt(1+tan*tan)
		v := intensity(space.Vector{X: math.Sqrt(math.Max(0, 1-cos*cos)), Z: cos})
		n.lux *= v
		n.ppfd *= v
	}
	return nodes
}

// worstMiddle returns how far the odd nodes lie from the straight line between their neighbours, in parts of the
// highest value.
func worstMiddle(nodes []node) float64 {
	var worst, peak float64
	for i := range nodes {
		peak = math.Max(peak, nodes[i].lux)
		if i%2 == 1 {
			worst = math.Max(worst, math.Abs(nodes[i].lux-(nodes[i-1].lux+nodes[i+1].lux)/2))
		}
	}
	if peak == 0 {
		return 0
	}
	return worst / peak
}

// at returns the bare node at w, 0 <= w < 1, and the tangent of its ray as a start for the next.
// E/I = T A sin(theta)/(rho drho/dtheta); on the axis T A/H^2.
func (m trackMaker) at(w, startTan float64) (node, float64) {
	h := m.luminous.ApparentM()
	rho := h * math.Sqrt(w/(1-w))
	tan := m.luminous.SolveTan(rho, startTan)
	cos := 1 / math.Sqrt(1+tan*tan)
	spread := m.luminous.Spread(tan)
	path := m.luminous.WaterPathM(tan)
	n := node{
		lux:  spread * m.luminous.Transmittance(tan) * m.kept.Luminous(path),
		ppfd: spread * m.photon.Transmittance(tan) * m.kept.Photons(path) * m.ppfdPerLux,
	}
	if rho == 0 {
		n.sin, n.tan = 1/h, 1/h
		n.water = m.airApparentM() / h
		return n, tan
	}
	n.sin, n.tan = tan*cos/rho, tan/rho
	_, surfaceM := m.luminous.Land(tan)
	n.water = surfaceM / rho
	return n, tan
}

// airApparentM is the apparent height of the air and the pane alone.
func (m trackMaker) airApparentM() float64 {
	air := m.luminous
	air.WaterM = 0
	return air.ApparentM()
}

// horizon is the node at infinite distance, where the ray is level and carries nothing.
func (m trackMaker) horizon() node { return node{tan: 1 / m.luminous.AirM, water: 1} }

// place is one between two nodes of a track, the share of the way from the first to the second.
type place struct {
	nodes *[2]node
	f     float64
}

// nowhere is where no light comes.
var nowhere [2]node

// look returns the place on the track at squared distance u.
func (t *track) look(u float64) place {
	w := u / (u + t.apparent) * t.scale
	at := int(w)
	if uint(at) >= uint(len(t.nodes)-1) {
		return place{nodes: &nowhere}
	}
	return place{(*[2]node)(t.nodes[at:]), w - float64(at)}
}

func (p place) lux() float64 { return p.nodes[0].lux + float64(p.f*(p.nodes[1].lux-p.nodes[0].lux)) }
func (p place) ppfd() float64 {
	return p.nodes[0].ppfd + float64(p.f*(p.nodes[1].ppfd-p.nodes[0].ppfd))
}
func (p place) sin() float64 { return p.nodes[0].sin + float64(p.f*(p.nodes[1].sin-p.nodes[0].sin)) }
func (p place) tan() float64 { return p.nodes[0].tan + float64(p.f*(p.nodes[1].tan-p.nodes[0].tan)) }
func (p place) water() float64 {
	return p.nodes[0].water + float64(p.f*(p.nodes[1].water-p.nodes[0].water))
}

// last returns the squared distance beyond which lux and ppfd stay below negligible of their highest values.
func (t *track) last() float64 {
	var lux, ppfd float64
	for _, n := range t.nodes {
		lux, ppfd = math.Max(lux, n.lux), math.Max(ppfd, n.ppfd)
	}
	i := len(t.nodes) - 1
	for i > 0 && t.nodes[i].lux <= negligible*lux && t.nodes[i].ppfd <= negligible*ppfd {
		i--
	}
	w := float64(i+1) / t.scale
	if w >= 1 {
		return math.Inf(1)
	}
	return t.apparent * w / (1 - w)
}
