package trace

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// TransferOptions say how a Transfer is made.
type TransferOptions struct {
	DepthsM  []float64 // of the planes to be lit
	Spectrum int       // of the light, in the model's list
	ErrorsOf int       // so many planes, the first, have standard errors
	Photons  int       // from all patches together; 0 for the usual number
	Rough    int       // so many times fewer histories than usual are traced, above 1, for a rough answer
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
	turns     []turn
	boxes     []space.Box
	cellM     float64 // of the soft screens
	soft      *screens
	mean      [2]table // of lumens, of photons
	all       [2]mat.LU
	balance   [][2]result.FluxBalance // by patch, of its lumens and its photons
	batches   []table                 // of lumens, independent of each other, where planes have standard errors
	bouncedM  float64                 // way of light in the water between its first and its last matt face
	lock      sync.Mutex
	fine      map[int]*screens
	lenses    map[*beam.Beam]*lens
	palettes  map[int][]colour
}

// table is what becomes of one lumen or photon that lands on a patch after one flight: on patches and, by plane, in the
// cells of soft screens, from by to. Cells are as fine as is sure.
type table struct {
	toPatches *mat.Dense
	toCells   [][]float32
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
// of it, do not change their number. Standard errors come from as many, or from fewestBatches at least where their
// tables would hold more than mostBatched numbers: what few batches say of errors is uncertain itself.
const (
	wholeBatches  = 16
	fewestBatches = 4
	mostBatched   = 4 * mostNumbers

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
	w := newWorld(&dark, planes)
	o.Workers = max(1, o.Workers)
	t := &Transfer{world: w, model: m, options: o, boxes: m.BoxesFrom(o.DepthsM...), fine: map[int]*screens{},
		lenses: map[*beam.Beam]*lens{}, palettes: map[int][]colour{}, patches: &patches{}}
	sideM := min(mostPatchM, max(leastPatchM, patchShare*w.depthM))
	if w.shaped != nil { // photons are followed to their ends
		t.newSoft(sideM)
		return t, t.trace(ctx)
	}
	for t.patches = newPatches(w, sideM, t.boxes); t.tooMany(len(t.patches.list), sideM) > 1 && sideM < 10; {
		sideM *= max(1.05, math.Sqrt(t.tooMany(len(t.patches.list), sideM)))
		t.patches = newPatches(w, sideM, t.boxes)
	}
	t.newSoft(sideM)
	t.findTurns()
	if err := t.pilot(ctx); err != nil {
		return nil, err
	}
	return t, t.trace(ctx)
}

// tooMany tells by which factor patches of some size are too many, or the numbers in their tables; 1 or less where they
// are not.
func (t *Transfer) tooMany(patches int, sideM float64) float64 {
	cells := float64(len(t.options.DepthsM)) * t.world.LengthM * t.world.WidthM / math.Pow(sideM/cellsOfPatch, 2)
	return max(float64(patches)/mostPatches, math.Sqrt(float64(patches)*cells/mostNumbers))
}

// parts is into how many batches photons are dealt.
func (t *Transfer) parts() int {
	if t.options.ErrorsOf == 0 {
		return 1
	}
	n := wholeBatches
	for n > fewestBatches && n*len(t.patches.list)*t.soft.cells > mostBatched {
		n /= 2
	}
	return n
}

// trace traces from all patches.
func (t *Transfer) trace(ctx context.Context) error {
	n := len(t.patches.list)
	t.balance = make([][2]result.FluxBalance, n)
	for q := range t.mean {
		t.mean[q] = t.newTable(len(t.options.DepthsM))
	}
	if t.options.ErrorsOf > 0 {
		t.batches = make([]table, t.parts())
		for b := range t.batches {
			t.batches[b] = t.newTable(t.options.ErrorsOf)
		}
	}
	most := float64(cmp.Or(t.options.Photons, usualPhotonsOfAll)) / float64(max(1, n)*max(1, t.options.Rough))
	photons := make([]int, n)
	var firsts []int
	for j, p := range t.patches.list {
		all := t.orbit(j)
		if slices.Min(all) < j {
			continue
		}
		if firsts = append(firsts, j); p.reflect > 0 {
			own := max(leastPhotonsOfPatch, most*min(1, p.reflect/paleShare))
			photons[j] = wholeHistories(own * float64(len(all)))
			t.Histories += int64(photons[j])
		}
	}
	hues := t.hues()
	err := parallel.ForEach(ctx, t.options.Workers, len(firsts), func(i int) {
		j := firsts[i]
		t.from(j, photons[j], hues[j])
	})
	if err != nil || n == 0 {
		return err
	}
	return parallel.ForEach(ctx, t.options.Workers, len(t.all), func(q int) {
		a := mat.NewDense(n, n, nil)
		a.Scale(-1, t.mean[q].toPatches)
		for j := range n {
			a.Set(j, j, 1+a.At(j, j))
		}
		t.all[q].Factorize(a)
	})
}

// newTable returns an empty one with some planes.
func (t *Transfer) newTable(planes int) (one table) {
	n := len(t.patches.list)
	if n > 0 {
		one.toPatches = mat.NewDense(n, n, nil)
	}
	for plane := range planes {
		one.toCells = append(one.toCells, make([]float32, n*t.soft.on(plane).mesh.cells()))
	}
	return one
}

// fallen is what has landed on patches and in the cells of all screens, and in which cells, rising: of most patches little
// lands in few.
type fallen struct {
	patches, cells []light
	in             []int32
}

// find fills in.
func (f *fallen) find() {
	f.in = f.in[:0]
	for i := range f.cells {
		if f.cells[i].lux != 0 {
			f.in = append(f.in, int32(i))
		}
	}
}

// put writes the rows of a patch and of those onto which it goes, where there is nothing yet: k times the lumens or the
// photons of what has landed.
func (t *Transfer) put(to *table, j int, what *fallen, q int, k float64) {
	k *= float64(len(t.orbit(j))) / float64(len(t.turns))
	for _, turn := range t.turns {
		from := turn.patches[j]
		row := to.toPatches.RawRowView(from)
		for i := range what.patches {
			row[turn.patches[i]] += float64(k * what.patches[i].of(q))
		}
		for plane, table := range to.toCells {
			one := t.soft.on(plane)
			n := one.mesh.cells()
			row := table[from*n:][:n]
			first, _ := slices.BinarySearch(what.in, int32(one.from))
			for _, i := range what.in[first:] {
				if int(i) >= one.from+n {
					break
				}
				row[turn.cells[i]-one.from] += float32(k * what.cells[i].of(q))
			}
		}
	}
}

// arrivals notes what lands on patches, where photons then end.
type arrivals struct {
	patches *patches
	light   []light
	ways    float64 // lumens times metres in the water
}

// land ends a photon on a patch. What the water took on its way is in the balance; what becomes of the rest is not.
func (l *arrivals) land(t *tracer, p *photon, side model.Side) {
	var kept light
	t.lose(p, p.w, &kept)
	l.ways += kept.lux * p.pathM
	if t.row != nil {
		t.row.landOn(p, side, kept)
	} else {
		l.patches.land(l.light, side, p.in, p.at, kept)
	}
	p.in = ended
}

// from traces what leaves patch j, and fills the rows of the tables for it and those onto which it goes: of what lands
// there, its reflectance leaves again. The rest of it is in the balance.
func (t *Transfer) from(j, photons int, leaving hue) {
	crew := t.soft.crew(t, t.world, [2]bool{true, true})
	defer t.soft.release(crew)
	started := t.leave(j, photons, leaving.palette, crew.tracers)
	p := &t.patches.list[j]
	all := fallen{patches: make([]light, len(t.patches.list)), cells: make([]light, t.soft.cells)}
	var one fallen
	taken, parts, perLumen := 1.0, 1/float64(len(started)), [2]float64{1, 1 / leaving.microPerLumen}
	var ends [2]result.FluxBalance
	for b, tr := range crew.tracers {
		if started[b] == 0 {
			continue
		}
		taken -= p.reflect * parts
		share := p.reflect / float64(started[b])
		t.patches.fit(tr.lands.light)
		one.patches, one.cells = tr.lands.light, tr.cells()
		if one.find(); t.batches != nil {
			t.put(&t.batches[b], j, &one, 0, share)
		}
		addTimes(all.patches, one.patches, share*parts)
		for _, i := range one.in {
			all.cells[i].addPart(one.cells[i], share*parts)
		}
		addBalance(&ends, balances(&tr.balance), share*parts)
	}
	all.find()
	for q, k := range perLumen {
		t.put(&t.mean[q], j, &all, q, k)
		var own result.FluxBalance
		if own = own.Plus(ends[q], k); p.side == model.Ground {
			own.Floor += taken
		} else {
			own.Walls += taken
		}
		for _, i := range t.orbit(j) {
			t.balance[i][q] = own
		}
	}
}

// leave traces photons of weight 1 from patch j, shared among some tracers, and returns how many each has traced. None
// leaves where an obstacle stands on the patch.
func (t *Transfer) leave(j, photons int, palette []colour, trs []*tracer) (started []int) {
	p, w := &t.patches.list[j], t.world
	started = make([]int, len(trs))
	if p.reflect == 0 {
		return started
	}
	things := [ended]model.Obstacles{above: w.over, under: w.dry, wet: w.wet}[p.in]
	var ph photon // outside, as it is on the heap
	for b, tr := range trs {
		even := newEven(stream(t.options.Seed, int64(j)), patchDimensions, patchRoot).every(b, len(trs))
		for k := b; k < photons; k += len(trs) {
			u := even.next()
			at := w.placeOn(p, u[0], u[1])
			if things != nil && things.Hold(at) {
				continue
			}
			started[b]++
			tr.random = stream(t.options.Seed, int64(j)<<32|int64(k))
			ph = photon{at: at, w: 1, in: p.in, rest: 1, met: p.in != above, entered: p.in == wet,
				colour: &palette[int(u[4]*float64(len(palette)))]}
			ph.micro, ph.thinM = ph.colour.microPerLumen, ph.colour.thinAfterM
			tr.lambertAt(&ph, p.side, u[2], u[3])
			tr.finish(&ph)
		}
	}
	return started
}

// placeOn returns a place of a patch, at shares of its light along both axes.
func (w *world) placeOn(p *patch, u, v float64) space.Point {
	return w.onFace(p.side, p.u.place(u), p.v.place(v))
}

// hue is the light that leaves a patch.
type hue struct {
	palette       []colour
	microPerLumen float64
}

// hues returns those of all patches: the spectrum as it is when it arrives there on the shortest usual way and the way
// of what has bounced before.
func (t *Transfer) hues() []hue {
	list, known := make([]hue, len(t.patches.list)), map[float64]hue{}
	for j := range list {
		z := t.world.placeOn(&t.patches.list[j], 0.5, 0.5).Z
		way := max(0, t.model.DepthM-z)*obliqueWay + t.bouncedM
		if _, ok := known[way]; !ok {
			s := t.model.Spectra[t.options.Spectrum].Filtered(func(nm float64) float64 {
				md := mediumAt(nm, t.model)
				return math.Exp(-md.pane - md.absorb*way)
			})
			known[way] = hue{palette(s, t.model), s.PPFDPerLux()}
		}
		list[j] = known[way]
	}
	return list
}

// obliqueWay is the way of light to a depth, in parts of the depth: rays under water lean by up to 49 deg, most by
// less.
const obliqueWay = 1.1

// pilotPhotons from each patch find how often light bounces in the mean, and how far it goes between.
const pilotPhotons = 64

// pilot finds the mean way in the water of light between the first and the last matt face that it meets: that of one
// flight, as often as light flies on from face to face.
func (t *Transfer) pilot(ctx context.Context) error {
	hues, n := t.hues(), len(t.patches.list)
	all, trs := make([]int, n), make([]*tracer, n)
	err := parallel.ForEach(ctx, t.options.Workers, n, func(j int) {
		if t.patches.list[j].in == wet {
			trs[j] = t.tracer(t.world, &crossings{screens: &screens{}})
			all[j] = t.leave(j, pilotPhotons, hues[j].palette, trs[j:j+1])[0]
		}
	})
	landed, sentOn, ways, sent := 0.0, 0.0, 0.0, 0
	for j, tr := range trs {
		if sent += all[j]; all[j] == 0 {
			continue
		}
		ways += tr.lands.ways
		for i, l := range tr.lands.light {
			landed += l.lux
			sentOn += l.lux * t.patches.list[i].reflect
		}
	}
	if landed > 0 {
		q := sentOn / float64(sent)
		t.bouncedM = q / (1 - q) * ways / landed
	}
	return err
}

// tracer returns one whose photons end on patches, if there are any.
func (t *Transfer) tracer(w *world, tally tally) *tracer {
	if w.shaped != nil {
		return &tracer{world: w, usual: 1, tally: tally}
	}
	return &tracer{world: w, usual: 1, tally: tally,
		lands: &arrivals{patches: t.patches, light: make([]light, len(t.patches.list))}}
}
