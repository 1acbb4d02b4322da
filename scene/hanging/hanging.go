// Package hanging tells how a rail hangs: what it weighs, what each hanger bears, how far the bar sags between and
// beyond them, and how far it is from bending for good.
//
// The bar is an Euler-Bernoulli beam on hangers that do not give: it carries its own mass and that of the wires evenly,
// and each module with its optic at its middle. Places are metres from the rail's left end. Holes, which weaken the bar
// where they are, and the twist of a tilted one are left out. It does not choose places for holes.
// Next: package drilling, which does.
package hanging

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fathomlux/scene"
	"fathomlux/scene/parts"
)

const (
	// gravityMPerS2 is the standard acceleration. Exact: 3rd CGPM, 1901.
	gravityMPerS2 = 9.80665
	// wireKgPerM is what the wires along a rail weigh: two insulated leads of 0.75 mm2. Assumed.
	wireKgPerM = 0.03
	// EndShare is the share of the length between each end and its hanger at which an evenly loaded bar sags least: its
	// ends then hang as low as its middle. Root of the beam equation, which the tests solve.
	EndShare = 0.22315
	// TestTimes is how many times its load each hanger has to bear: IEC 60598-1, 4.14.1, hangs four times the weight of a
	// luminaire on it in addition; not checked against the print.
	TestTimes = 5
)

// Hanger is one place where the rail hangs, or stands. LoadN is negative where the bar would lift off.
type Hanger struct{ AtM, LoadN float64 }

// Hang is a rail as it hangs.
type Hang struct {
	BarKg, ModulesKg, WiresKg float64 // the modules with their optics
	Hangers                   []Hanger
	SagM, SagAtM              float64 // how far the bar comes below its hangers at most, and where
	Safety                    float64 // proof stress of the metal over the highest bending stress, at least; +Inf unbent
	Guessed                   bool    // the profile names no second moment of area: the sag is an upper bound
}

// Kg returns the mass of the whole rail.
func (h Hang) Kg() float64 { return h.BarKg + h.ModulesKg + h.WiresKg }

// HangerN returns what each hanger, and what holds it, must bear.
func (h Hang) HangerN() (n float64) {
	for _, one := range h.Hangers {
		n = max(n, TestTimes*one.LoadN)
	}
	return n
}

// metal is what bars are made of: density, modulus of elasticity, and the proof or yield stress of a common soft kind.
type metal struct{ kgPerM3, youngPa, proofPa float64 }

// metals hold aluminium (EN 1999-1-1, EN AW-6060 T5), steel (EN 1993-1-1, S235; density EN 1991-1-1) and stainless
// steel (EN 1993-1-4, 1.4301); not checked against the print.
var metals = map[parts.Metal]metal{
	parts.Aluminium:      {2700, 70e9, 100e6},
	parts.Steel:          {7850, 210e9, 235e6},
	parts.StainlessSteel: {7900, 200e9, 190e6},
}

// Of hangs a rail at two places or more, rising.
func Of(r scene.Rail, atM []float64) Hang {
	of := metals[r.Profile.Metal]
	h := Hang{BarKg: of.kgPerM3 * r.Profile.MetalM2 * r.LengthM, WiresKg: wireKgPerM * r.LengthM}
	b := beam{lengthM: r.LengthM, evenN: (h.BarKg + h.WiresKg) * gravityMPerS2 / r.LengthM}
	for _, m := range r.Modules {
		kg := m.Part.MassKg + m.Optic.MassKg
		h.ModulesKg += kg
		b.loads = append(b.loads, Hanger{min(max(m.XM-r.LeftM, 0), r.LengthM), kg * gravityMPerS2})
	}
	for _, at := range atM {
		h.Hangers = append(h.Hangers, Hanger{AtM: min(max(at, 0), r.LengthM)})
	}
	secondM4, fibreM, guessed := bending(r.Profile)
	h.Guessed = guessed
	b.solve(h.Hangers)
	momentNm := 0.0
	for _, x := range b.places(h.Hangers) {
		if sagM := b.bent(h.Hangers, x) / (of.youngPa * secondM4); sagM > h.SagM*(1+1e-9) {
			h.SagM, h.SagAtM = sagM, x
		}
		momentNm = max(momentNm, math.Abs(b.momentNm(h.Hangers, x)))
	}
	h.Safety = of.proofPa * secondM4 / (momentNm * fibreM)
	return h
}

// bending returns the second moment of a profile's area about its level axis, and how far its outermost metal is from
// that axis at most. Of one that does not say, and is not solid, it is that of a strip as wide with the same metal,
// which bends more than any bar of it that is higher.
func bending(p parts.Profile) (secondM4, fibreM float64, guessed bool) {
	if p.SecondMomentM4 > 0 {
		return p.SecondMomentM4, p.HeightM, false
	}
	highM := p.MetalM2 / p.WidthM
	return p.WidthM * math.Pow(highM, 3) / 12, highM / 2, !p.Solid()
}

// beam is a bar under its loads: evenN in N/m, and single ones.
type beam struct {
	lengthM, evenN float64
	loads          []Hanger
	liftNm, tiltN  float64 // constants of integration, over the beam's stiffness
}

// solve finds what the hangers bear, and the constants, from the balance of forces and moments about the right end and
// from no deflection at any hanger. Lengths go in over the beam's own and forces over all of the load, so that the
// equations are of one size.
func (b *beam) solve(hangers []Hanger) {
	n := len(hangers)
	a, y := mat.NewDense(n+2, n+2, nil), mat.NewVecDense(n+2, nil)
	allN := b.evenN * b.lengthM
	turnNm := allN * b.lengthM / 2
	for _, l := range b.loads {
		allN += l.LoadN
		turnNm += l.LoadN * (b.lengthM - l.AtM)
	}
	cubeNm3 := allN * math.Pow(b.lengthM, 3)
	b.liftNm, b.tiltN = 0, 0
	for i, h := range hangers {
		a.Set(n, i, 1)
		a.Set(n+1, i, 1-h.AtM/b.lengthM)
		for k, other := range hangers {
			a.Set(i, k, -math.Pow(max(h.AtM-other.AtM, 0)/b.lengthM, 3)/6)
		}
		a.Set(i, n, 1)
		a.Set(i, n+1, h.AtM/b.lengthM)
		y.SetVec(i, -b.bent(nil, h.AtM)/cubeNm3)
	}
	y.SetVec(n, 1)
	y.SetVec(n+1, turnNm/allN/b.lengthM)
	var x mat.VecDense
	if x.SolveVec(a, y) != nil {
		return // hangers in one place: nothing is borne
	}
	for i := range hangers {
		hangers[i].LoadN = x.AtVec(i) * allN
	}
	b.liftNm, b.tiltN = x.AtVec(n)*cubeNm3, x.AtVec(n+1)*cubeNm3/b.lengthM
}

// bent returns the deflection downwards times the stiffness E I, N m3: the load integrated four times from the free
// left end.
func (b *beam) bent(hangers []Hanger, x float64) float64 {
	sum := b.liftNm + b.tiltN*x + b.evenN*math.Pow(x, 4)/24
	for _, l := range b.loads {
		sum += l.LoadN * math.Pow(max(x-l.AtM, 0), 3) / 6
	}
	for _, h := range hangers {
		sum -= h.LoadN * math.Pow(max(x-h.AtM, 0), 3) / 6
	}
	return sum
}

// momentNm returns the bending moment at a place.
func (b *beam) momentNm(hangers []Hanger, x float64) float64 {
	sum := b.evenN * x * x / 2
	for _, l := range b.loads {
		sum += l.LoadN * max(x-l.AtM, 0)
	}
	for _, h := range hangers {
		sum -= h.LoadN * max(x-h.AtM, 0)
	}
	return sum
}

// gridPlaces is how many parts the bar is looked at in; beside these, every load and hanger is.
const gridPlaces = 400

// places are where the bar is looked at.
func (b *beam) places(hangers []Hanger) (list []float64) {
	for i := range gridPlaces + 1 {
		list = append(list, b.lengthM*float64(i)/gridPlaces)
	}
	for _, l := range append(hangers[:len(hangers):len(hangers)], b.loads...) {
		list = append(list, l.AtM)
	}
	return list
}

// HeldKg returns the mass that weighs as much as a force.
func HeldKg(forceN float64) float64 { return forceN / gravityMPerS2 }
