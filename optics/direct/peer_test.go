package direct

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

	"fathomlux/optics/result"
)

// Ways to build the peer: for this very machine, and for it without AVX-512.
var (
	peerNative = []string{"-O3", "-march=native", "-ffast-math", "-mprefer-vector-width=512"}
	peerAVX2   = []string{"-O3", "-march=native", "-mno-avx512f", "-ffast-math"}
)

// layouts is the number of ways in which the peer lays its table out.
const layouts = 3

// peer is the sum of testdata/peer/sum.c and the plane that it works on.
type peer struct {
	program string
	grid    result.Grid
	track   *track
	sources []peerSource
	problem []byte
}

type peerSource struct{ x, y, lumens float64 }

// newPeer builds the peer; it skips where there is no compiler for it.
func newPeer(tb testing.TB, flags []string) *peer {
	tb.Helper()
	compiler, err := exec.LookPath("gcc")
	if err != nil {
		tb.Skip("there is no gcc here to build the peer with")
	}
	s := quads(tb, 6)
	p := &peer{program: filepath.Join(tb.TempDir(), "sum"), grid: result.NewGrid(s.LengthM, s.WidthM, 0.005)}
	source := filepath.Join("testdata", "peer", "sum.c")
	if out, err := exec.Command(compiler, append(flags, "-o", p.program, source)...).CombinedOutput(); err != nil {
		tb.Skipf("gcc does not build the peer here: %v\n%s", err, out)
	}
	p.track = engine(tb, s).prepare(s.DepthM).track(&s.Sources[0])
	for _, src := range s.Sources {
		p.sources = append(p.sources, peerSource{src.Position.X, src.Position.Y, src.LeavingLm})
	}
	g, t := p.grid, p.track
	numbers := []float64{float64(g.NX), float64(g.NY), float64(len(p.sources)), float64(len(t.pairs)), t.apparent,
		g.CentreX(0), g.StepXM, g.CentreY(0), g.StepYM}
	for _, src := range p.sources {
		numbers = append(numbers, src.x, src.y, src.lumens)
	}
	for _, v := range t.pairs {
		numbers = append(numbers, v.lux, v.luxRise, v.ppfd, v.ppfdRise)
	}
	var b bytes.Buffer
	if err := binary.Write(&b, binary.NativeEndian, numbers); err != nil {
		tb.Fatal(err)
	}
	p.problem = b.Bytes()
	return p
}

// run calls the peer.
func (p *peer) run(tb testing.TB, arguments ...string) []byte {
	tb.Helper()
	cmd := exec.Command(p.program, arguments...)
	cmd.Stdin = bytes.NewReader(p.problem)
	out, err := cmd.Output()
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

// pass is the peer's work by our own sum.
func (p *peer) pass(f result.Field) {
	g := p.grid
	clear(f.Illuminance)
	clear(f.PPFD)
	for iy := range g.NY {
		from, to := iy*g.NX, (iy+1)*g.NX
		for _, s := range p.sources {
			dy := g.CentreY(iy) - s.y
			addPlain(f.Illuminance[from:to], f.PPFD[from:to], p.track.pairs,
				p.track.row(plainRow{first: g.CentreX(0) - s.x, step: g.StepXM, fixed2: dy * dy, lumens: s.lumens}))
		}
	}
}

// TestPeerSumsTheSame: the peer does our work. It may fuse and reorder, so that a place among the 4096 cells of the table is off
// by some 1e-12 of a cell, and a cell's light by as much of what changes from one to the next.
func TestPeerSumsTheSame(t *testing.T) {
	p := newPeer(t, peerNative)
	ours := newField(p.grid)
	p.pass(ours)
	want := append(append([]float64(nil), ours.Illuminance...), ours.PPFD...)
	for layout := range layouts {
		got := make([]float64, len(want))
		if err := binary.Read(bytes.NewReader(p.run(t, "sum", strconv.Itoa(layout))), binary.NativeEndian, got); err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for i := range want {
			worst = math.Max(worst, math.Abs(got[i]-want[i])/math.Abs(want[i]))
		}
		if !(worst < 1e-10) {
			t.Errorf("layout %d is off by %.2g", layout, worst)
		}
	}
}

// passes is how often either side does its work at a time; the shortest counts, as what else runs on a machine only adds.
const passes = 50

// BenchmarkPeer measures our sum in each form that this machine can do against the peer, turn by turn within one minute: once
// built for this very machine, once for it without AVX-512. A form's figure "of-C" is its speed over that of the peer's fastest
// layout: above 1 we are faster.
func BenchmarkPeer(b *testing.B) {
	b.Run("native", func(b *testing.B) { againstPeer(b, peerNative) })
	b.Run("noAVX512", func(b *testing.B) { againstPeer(b, peerAVX2) })
}

func againstPeer(b *testing.B, flags []string) {
	p := newPeer(b, flags)
	field, ours, theirs := newField(p.grid), map[plainForm]float64{}, map[string]float64{}
	for b.Loop() {
		inEachForm(func(f plainForm) {
			for range passes {
				start := time.Now()
				p.pass(field)
				ours[f] = shorter(ours[f], time.Since(start).Seconds())
			}
		})
		p.time(b, theirs)
	}
	pairs, best := float64(p.grid.Cells()*len(p.sources)), math.Inf(1)
	for layout, s := range theirs {
		best = math.Min(best, s)
		b.ReportMetric(pairs/s/1e6, "C-"+layout+"-Mpair/s")
	}
	for f, s := range ours {
		name := [...]string{"go", "avx2", "avx512"}[f]
		b.ReportMetric(pairs/s/1e6, name+"-Mpair/s")
		b.ReportMetric(best/s, name+"-of-C")
	}
}

// shorter is the least of two times; a best of 0 counts as none yet.
func shorter(best, took float64) float64 {
	if best == 0 || took < best {
		return took
	}
	return best
}

// time adds the peer's shortest times to best, by layout.
func (p *peer) time(tb testing.TB, best map[string]float64) {
	tb.Helper()
	for line := range strings.Lines(string(p.run(tb, "time", strconv.Itoa(passes)))) {
		name, text, _ := strings.Cut(strings.TrimSpace(line), " ")
		s, err := strconv.ParseFloat(text, 64)
		if err != nil {
			tb.Fatal(err)
		}
		best[name] = shorter(best[name], s)
	}
}
