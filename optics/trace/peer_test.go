package trace

import (
	"bytes"
	"encoding/binary"
	"math"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// peerLens is the number of equal shares of flux by which the peer draws directions.
const peerLens = 8192

// peer is the tracer of testdata/peer/trace.c, and the work that it does.
type peer struct {
	program string
	world   []byte
	run     *run
}

// newPeer builds the peer and lays out the foyer tank for it, with three planes of 10 mm cells; it skips where there is no
// compiler.
func newPeer(tb testing.TB, photons int64) *peer {
	tb.Helper()
	compiler, err := exec.LookPath("gcc")
	if err != nil {
		tb.Skip("there is no gcc here to build the peer with")
	}
	s := foyer(tb)
	p := &peer{program: filepath.Join(tb.TempDir(), "trace")}
	flags := []string{"-O3", "-march=native", "-ffast-math", "-mprefer-vector-width=512", "-o", p.program, filepath.Join("testdata", "peer", "trace.c"), "-lm"}
	if out, err := exec.Command(compiler, flags...).CombinedOutput(); err != nil {
		tb.Skipf("gcc does not build the peer here: %v\n%s", err, out)
	}
	o := Options{Photons: photons, Planes: threePlanes(s, 0.01)}
	p.run = newRun(mustWorld(tb, s, o.Planes), o, s.Modules())
	var b bytes.Buffer
	boxes := s.build().BoxesFrom(0, s.DepthM/2, s.DepthM) // all in the air
	if err := binary.Write(&b, binary.NativeEndian, append(p.run.worldNumbers(len(boxes), 0), p.run.listNumbers(s.Beams[0], boxes)...)); err != nil {
		tb.Fatal(err)
	}
	p.world = b.Bytes()
	return p
}

// worldNumbers are the head of what the peer reads.
func (r *run) worldNumbers(dry, wet int) []float64 {
	w := r.world
	list := []float64{w.LengthM, w.WidthM, w.depthM, w.rimM, w.index, w.FloorReflectance, w.asymmetry, moleculeBend,
		w.cover.bottomM, w.cover.topM, w.cover.thickM, 1 / w.cover.boundary.inverse}
	for _, s := range w.faces[:model.Ground] {
		if s.table != nil {
			list = append(list, glass.Index, 0)
		} else {
			list = append(list, 0, s.matt[wet].Share)
		}
	}
	return append(list, float64(dry), float64(wet), float64(len(w.lamps)), colours, float64(len(r.sheets)), peerLens, float64(r.size))
}

// listNumbers are the rest: boxes, lamps, the colours of the one spectrum, the lens of the one beam, planes.
func (r *run) listNumbers(shape *beam.Beam, boxes []space.Box) []float64 {
	var list []float64
	w := r.world
	for _, b := range boxes {
		list = append(list, b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z)
	}
	for _, l := range w.lamps {
		list = append(list, l.source.Position.X, l.source.Position.Y, l.source.Position.Z)
	}
	for _, c := range w.lamps[0].palette {
		list = append(list, c.absorb, c.scatter, c.photons, c.molecular, c.byMolecule, c.byParticle, c.paneLumens, c.panePhotons, c.microPerLumen)
	}
	list = append(list, cosines(shape)...)
	for _, s := range r.sheets {
		list = append(list, s.heightM, s.perX, s.perY, float64(s.nx), float64(s.ny))
	}
	return list
}

// cosines cuts a round beam into peerLens equal shares of its flux: the cosines of the angles between them, from the aim on.
func cosines(shape *beam.Beam) []float64 {
	const fine = 1 << 18
	sum := make([]float64, fine+1)
	for i := range fine {
		theta := (float64(i) + 0.5) * math.Pi / 2 / fine
		sum[i+1] = sum[i] + shape.PerLumen(space.Vector{X: math.Sin(theta), Z: math.Cos(theta)})*math.Sin(theta)
	}
	list, at := make([]float64, peerLens+1), 0
	for k := range list {
		goal := float64(k) / peerLens * sum[fine]
		for at < fine-1 && sum[at+1] < goal {
			at++
		}
		list[k] = math.Cos((float64(at) + (goal-sum[at])/(sum[at+1]-sum[at])) * math.Pi / 2 / fine)
	}
	return list
}

// call runs the peer.
func (p *peer) call(tb testing.TB, arguments ...string) []byte {
	tb.Helper()
	cmd := exec.Command(p.program, arguments...)
	cmd.Stdin = bytes.NewReader(p.world)
	out, err := cmd.Output()
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

// TestPeerTracesTheSame: the peer follows the same light. Of 2^19 histories on either side a share q of the flux differs by
// chance by sqrt(2 q (1-q)/2^19), below 0.001; entries of the flux balance and the means of planes, in which a photon counts by its
// weight, must agree to five times that of a share of one half.
func TestPeerTracesTheSame(t *testing.T) {
	photons := longtest.Pick[int64](1<<17, 1<<19)
	p := newPeer(t, photons)
	numbers := make([]float64, 2*p.run.cells+8)
	if err := binary.Read(bytes.NewReader(p.call(t, "sum", strconv.FormatInt(p.run.most, 10))), binary.NativeEndian, numbers); err != nil {
		t.Fatal(err)
	}
	p.run.workAll(t.Context())
	tolerance := 5 * math.Sqrt(2*0.25/float64(photons))
	theirs := numbers[2*p.run.cells:]
	for i, got := range balance(p.run.counted()) {
		near(t, "entry "+strconv.Itoa(i), theirs[i]/float64(photons), got/float64(photons), tolerance)
	}
	for i, s := range p.run.sheets {
		var all, peers light
		for c, v := range s.sums {
			all.add(v.value())
			peers.add(light{numbers[2*(s.from+c)], numbers[2*(s.from+c)+1]})
		}
		near(t, "lumens on plane "+strconv.Itoa(i), peers.lux/float64(photons), all.lux/float64(photons), tolerance)
		near(t, "photons on plane "+strconv.Itoa(i), peers.ppfd/all.ppfd, 1, 2*tolerance)
	}
}

// flux balance are the entries in the peer's order.
func balance(b result.Ends[light]) []float64 {
	return []float64{b.Cover.lux, b.Spill.lux, b.Surface.lux, b.Water.lux, b.Walls.lux, b.Floor.lux, b.Obstacles.lux, b.Returned.lux}
}

// BenchmarkPeer measures our tracer against the peer on one core, batch by batch and turn by turn within one minute. Of many
// repeats the shortest counts on either side, as what else runs on a machine only adds. Above 1 "of C" we are faster.
func BenchmarkPeer(b *testing.B) {
	const repeats = 40
	p := newPeer(b, 1<<21)
	t, planes := p.run.tracer()
	var ours, theirs float64
	for b.Loop() {
		for range repeats {
			start := time.Now()
			clear(planes.light)
			t.batch(p.run, 0)
			for i := range p.run.sheets {
				p.run.sheets[i].add(planes.light)
			}
			ours = shorter(ours, time.Since(start).Seconds())
		}
		s, err := strconv.ParseFloat(strings.TrimSpace(string(p.call(b, "time", strconv.Itoa(repeats)))), 64)
		if err != nil {
			b.Fatal(err)
		}
		theirs = shorter(theirs, s)
	}
	b.ReportMetric(float64(p.run.size)/ours/1e6, "Mhistories/s")
	b.ReportMetric(float64(p.run.size)/theirs/1e6, "C-Mhistories/s")
	b.ReportMetric(theirs/ours, "of-C")
}

// shorter is the least of two times; a best of 0 counts as none yet.
func shorter(best, took float64) float64 {
	if best == 0 || took < best {
		return took
	}
	return best
}
