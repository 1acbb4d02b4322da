package trace

import (
	"cmp"
	"context"
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// TransferOptions say how a Transfer is made.
type TransferOptions struct {
	DepthsM  []float64 // of the planes to be lit
	Spectrum int       // of the light, in the model's list
	Batches  int       // independent parts of the photons, from which standard errors come; 0 for one
	Photons  int       // from all patches together; 0 for the usual number
	Workers  int
	Seed     uint64
}

// Transfer is how light of one spectrum goes on from the matt faces of a tank, from each patch of them to all patches
// and to planes: straight, or by way of mirrors, surface, cover and scattering. Light leaves a matt face without memory
// of how it came, so a Transfer holds for all lamps. It is not changed once it is made, and is for any number of
// goroutines.
type Transfer struct {
	Histories int64 // traced
	world     *world
	model     *model.Model
	options   TransferOptions
	patches   *patches
	boxes     []space.Box
	cellM     float64 // of the soft screens
	soft      screens
	mean      table
	batches   []table // as many as the options say, where they are more than one
	bouncedM  float64 // way of light in the water between its first and its last matt face
	lock      sync.Mutex
	fine      map[int]screens
	lenses    map[*beam.Beam]*lens
	palettes  map[int][]colour
}

// table is what becomes of light that lands on patches: lumens and photons on patches and in the cells of soft screens
// after one flight, for each lumen or photon that lands, and the lumens of the balance. Cells are as fine as is sure.
type table struct {
	toPatches [2]*mat.Dense // of lumens, of photons; from by to
	toCells   [2][]float32
	all       [2]mat.LU // of 1 - toPatches
	balance   []result.FluxBalance
}

// Sizes of patches, as a share of the water's depth and within limits, and how many there are at most.
const (
	patchShare  = 0.3
	leastPatchM = 0.04
	mostPatchM  = 0.14
	mostPatches = 640
	mostNumbers = 8_000_000 // from all patches to all cells

	cellsOfPatch = 3 // soft cells along the side of one
)

// Photons from all patches together, and from each at least. Patches that reflect less than paleShare get as many less,
// for their light is as much less of all. Batches, of which there are wholeBatches at most or a divisor
// of it, do not change their number.
const (
	wholeBatches = 16

	usualPhotonsOfAll   = 1 << 20
	leastPhotonsOfPatch = 1 << 8
	paleShare           = 0.5
)

// NewTransfer traces the light from all patches of the matt faces of a model, whose sources do not count.
func NewTransfer(ctx context.Context, m *model.Model, o TransferOptions) (*Transfer, error) {
	dark := *m
	dark.Sources = nil
	planes := make([]Plane, len(o.DepthsM))
	for i, depth := range o.DepthsM {
		planes[i].DepthM = depth
	}
	w, err := newWorld(&dark, planes)
	if err != nil {
		return nil, err
	}
	o.Batches = max(1, o.Batches)
	t := &Transfer{world: w, model: m, options: o, boxes: m.BoxesFrom(o.DepthsM...), fine: map[int]screens{},
		lenses: map[*beam.Beam]*lens{}, palettes: map[int][]colour{}}
	sideM := min(mostPatchM, max(leastPatchM, patchShare*w.depthM))
	for t.patches = newPatches(w, sideM, t.boxes); t.tooMany(len(t.patches.list), sideM) > 1 && sideM < 10; {
		sideM *= max(1.05, math.Sqrt(t.tooMany(len(t.patches.list), sideM)))
		t.patches = newPatches(w, sideM, t.boxes)
	}
	t.cellM = sideM / cellsOfPatch
	t.soft = t.newScreens(t.cellM, softReach)
	t.pilot()
	return t, t.trace(ctx)
}

// tooMany tells by which factor patches of some size are too many, or the numbers in their tables; 1 or less where they
// are not.
func (t *Transfer) tooMany(patches int, sideM float64) float64 {
	cells := float64(len(t.options.DepthsM)) * t.world.LengthM * t.world.WidthM / math.Pow(sideM/cellsOfPatch, 2)
	return max(float64(patches)/mostPatches, math.Sqrt(float64(patches)*cells/mostNumbers))
}

// trace traces from all patches and adds up the batches.
func (t *Transfer) trace(ctx context.Context) error {
	n, nb := len(t.patches.list), t.options.Batches
	tables := make([]table, nb)
	for b := range tables {
		tables[b] = newTable(n, t.soft.cells)
	}
	most := float64(cmp.Or(t.options.Photons, usualPhotonsOfAll)) / float64(max(1, n))
	photons := make([]int, n)
	for j, p := range t.patches.list {
		if p.reflect > 0 {
			photons[j] = wholeHistories(max(leastPhotonsOfPatch, most*min(1, p.reflect/paleShare)))
			t.Histories += int64(photons[j])
		}
	}
	err := parallel.ForEach(ctx, max(1, t.options.Workers), n, func(j int) { t.from(j, photons[j], tables) })
	if err != nil {
		return err
	}
	t.mean = tables[0]
	if nb > 1 {
		t.batches, t.mean = tables, averaged(tables)
	}
	return parallel.ForEach(ctx, max(1, t.options.Workers), 2*(1+len(t.batches)), func(i int) {
		one := &t.mean
		if i > 1 {
			one = &t.batches[i/2-1]
		}
		one.factorise(i % 2)
	})
}

func newTable(patches, cells int) table {
	var t table
	t.balance = make([]result.FluxBalance, patches)
	for q := range t.toPatches {
		if patches > 0 {
			t.toPatches[q] = mat.NewDense(patches, patches, nil)
			t.toCells[q] = make([]float32, patches*cells)
		}
	}
	return t
}

// averaged is the mean of some tables.
func averaged(tables []table) table {
	n := len(tables[0].balance)
	out := newTable(n, len(tables[0].toCells[0])/max(1, n))
	share := 1 / float64(len(tables))
	for q := range out.toPatches {
		for _, o := range tables {
			if n > 0 {
				out.toPatches[q].Add(out.toPatches[q], o.toPatches[q])
			}
			for i, v := range o.toCells[q] {
				out.toCells[q][i] += v * float32(share)
			}
		}
		if n > 0 {
			out.toPatches[q].Scale(share, out.toPatches[q])
		}
	}
	for j := range out.balance {
		for _, o := range tables {
			out.balance[j] = out.balance[j].Plus(o.balance[j], share)
		}
	}
	return out
}

// factorise readies the sum over all orders of bounces of one quantity: (1 - T)^-1.
func (t *table) factorise(q int) {
	if t.toPatches[q] == nil {
		return
	}
	n, _ := t.toPatches[q].Dims()
	a := mat.NewDense(n, n, nil)
	a.Scale(-1, t.toPatches[q])
	for j := range n {
		a.Set(j, j, 1+a.At(j, j))
	}
	t.all[q].Factorize(a)
}

// arrivals notes what lands on patches, where photons then end.
type arrivals struct {
	patches *patches
	light   []light
	ways    float64 // lumens times metres in the water
}

// land ends a photon on a patch. What the water took on its way is in the balance; what becomes of the rest is not.
func (l *arrivals) land(t *tracer, p *photon, side model.Side) {
	kept := 0.0
	t.lose(p, p.w, &kept)
	l.ways += kept * p.pathM
	l.patches.land(l.light, side, p.in, p.at, light{kept, p.w * p.micro * fade(p.colour.photons*p.pathM)})
	p.in = ended
}

// from traces what leaves patch j, and fills its rows of the tables.
func (t *Transfer) from(j, photons int, tables []table) {
	toPatches, toCells := make([][]light, len(tables)), make([][]light, len(tables))
	trs := make([]*tracer, len(tables))
	for b := range tables {
		toPatches[b], toCells[b] = make([]light, len(t.patches.list)), make([]light, t.soft.cells)
		trs[b] = t.tracer(t.soft.tally(toCells[b], [2]bool{true, true}), toPatches[b])
	}
	spectrum := t.arriving(t.world.placeOn(&t.patches.list[j], 0.5, 0.5).Z)
	started := t.leave(j, photons, spectrum, trs)
	for b := range tables {
		t.patches.fit(toPatches[b])
		t.fill(&tables[b], j, started[b], trs[b].balance, toPatches[b], toCells[b], spectrum.PPFDPerLux())
	}
}

// tracer returns one whose photons end on patches.
func (t *Transfer) tracer(tally tally, onPatches []light) *tracer {
	return &tracer{world: t.world, usual: 1, tally: tally, lands: &arrivals{patches: t.patches, light: onPatches}}
}

// leave traces photons of weight 1 from patch j, in turn by some tracers, and returns how many each has traced. None
// leaves where an obstacle stands on the patch.
func (t *Transfer) leave(j, photons int, spectrum photometry.Spectrum, trs []*tracer) (started []int) {
	p, w := &t.patches.list[j], t.world
	started = make([]int, len(trs))
	if p.reflect == 0 {
		return started
	}
	colours := palette(spectrum, t.model)
	things := [ended]model.Obstacles{above: w.over, under: w.dry, wet: w.wet}[p.in]
	even := newEven(stream(t.options.Seed, int64(j)))
	var ph photon // outside, as it is on the heap
	for k := range photons {
		u := even.next()
		at := w.placeOn(p, u[0], u[1])
		if things != nil && things.Hold(at) {
			continue
		}
		b := k % len(trs)
		started[b]++
		tr := trs[b]
		tr.random = stream(t.options.Seed, int64(j)<<32|int64(k))
		ph = photon{at: at, w: 1, in: p.in, rest: 1, met: p.in != above, entered: p.in == wet,
			colour: &colours[int(u[4]*float64(len(colours)))]}
		ph.micro, ph.thinM = ph.colour.microPerLumen, ph.colour.thinAfterM
		tr.lambertAt(&ph, p.side, u[2], u[3])
		tr.finish(&ph)
	}
	return started
}

// placeOn returns a place of a patch, at shares of its light along both axes.
func (w *world) placeOn(p *patch, u, v float64) space.Point {
	return w.onFace(p.side, p.u.place(u), p.v.place(v))
}

// fill writes the rows of one patch: of what lands there, its reflectance leaves again. The rest of it is in the
// balance.
func (t *Transfer) fill(to *table, j, photons int, balance result.FluxBalance, patches, cells []light, micro float64) {
	p := &t.patches.list[j]
	share := 0.0
	if photons > 0 {
		share = p.reflect / float64(photons)
	}
	for q, k := range [2]float64{share, share / micro} {
		onPatches, onCells := to.toPatches[q].RawRowView(j), to.toCells[q][j*t.soft.cells:][:t.soft.cells]
		for i, l := range patches {
			onPatches[i] = k * [2]float64{l.lux, l.ppfd}[q]
		}
		for i, l := range cells {
			onCells[i] = float32(k * [2]float64{l.lux, l.ppfd}[q])
		}
	}
	one := result.FluxBalance{}.Plus(balance, share)
	taken := 1 - p.reflect
	if photons == 0 {
		taken = 1
	}
	if p.side == model.Ground {
		one.Floor += taken
	} else {
		one.Walls += taken
	}
	to.balance[j] = one
}

// arriving is the spectrum as it is when it arrives at a height on the shortest usual way and the way of what has
// bounced before.
func (t *Transfer) arriving(z float64) photometry.Spectrum {
	way := max(0, t.model.DepthM-z)*obliqueWay + t.bouncedM
	return t.model.Spectra[t.options.Spectrum].Filtered(func(nm float64) float64 {
		md := mediumAt(nm, t.model)
		return math.Exp(-md.pane - md.absorb*way)
	})
}

// obliqueWay is the way of light to a depth, in parts of the depth: rays under water lean by up to 49 deg, most by
// less.
const obliqueWay = 1.1

// pilotPhotons from each patch find how often light bounces in the mean, and how far it goes between.
const pilotPhotons = 64

// pilot finds the mean way in the water of light between the first and the last matt face that it meets: that of one
// flight, as often as light flies on from face to face.
func (t *Transfer) pilot() {
	landed, sentOn, ways, all := 0.0, 0.0, 0.0, 0
	for j, p := range t.patches.list {
		if p.in != wet || p.reflect == 0 {
			continue
		}
		on := make([]light, len(t.patches.list))
		tr := t.tracer(&crossings{screens: &screens{}}, on)
		all += t.leave(j, pilotPhotons, t.arriving(t.world.placeOn(&p, 0.5, 0.5).Z), []*tracer{tr})[0]
		ways += tr.lands.ways
		for i, l := range on {
			landed += l.lux
			sentOn += l.lux * t.patches.list[i].reflect
		}
	}
	if landed > 0 {
		q := sentOn / float64(all)
		t.bouncedM = q / (1 - q) * ways / landed
	}
}

// even are points that fill a box of five dimensions evenly, shifted by chance. Source: M. Roberts 2018, The
// unreasonable effectiveness of quasirandom sequences: Kronecker's sequence with powers of the root of x^6 = x + 1.
type even struct{ at [5]float64 }

// evenRoot is the root of x^6 = x + 1 above 1.
const evenRoot = 1.1347241384015194

var evenSteps = func() (s [5]float64) {
	for i := range s {
		s[i] = math.Pow(evenRoot, -float64(i+1))
	}
	return s
}()

func newEven(r random) *even {
	e := &even{}
	for i := range e.at {
		e.at[i] = r.unit()
	}
	return e
}

func (e *even) next() [5]float64 {
	for i := range e.at {
		if e.at[i] += evenSteps[i]; e.at[i] >= 1 {
			e.at[i]--
		}
	}
	return e.at
}
