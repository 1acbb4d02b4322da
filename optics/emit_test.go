package optics

import (
	"bytes"
	"context"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// emitted is a scene as optics/EMIT.md describes it, as far as straight light needs it. What follows uses that page alone.
type emitted struct {
	depth, index          float64
	coverAt, pane, glass  float64
	bands                 [][][]float64 // by spectrum
	turns                 [][]float64   // by beam
	intensity             [][][]float64 // by beam: angle, and candela by turn
	sources               [][]float64
	faces, dark           int
	backwards, floorLevel float64 // share of what particles scatter; height
	whole                 bool
}

func readEmitted(t *testing.T, text string) (e emitted) {
	t.Helper()
	e.glass = 1 // of no thickness, where there is no cover
	for line := range strings.Lines(text) {
		words := strings.Fields(line)
		var v []float64
		for _, w := range words[1:] {
			if f, err := strconv.ParseFloat(w, 64); err == nil {
				v = append(v, f)
			}
		}
		last := len(e.bands) - 1
		switch words[0] {
		case "water":
			e.depth, e.index, e.backwards = v[0], v[1], hgBackwards(v[3])
		case "cover":
			e.coverAt, e.pane, e.glass = v[0], v[1], v[2]
		case "plane":
			e.floorLevel = v[0]
		case "face":
			e.faces++
			if words[1] == "matt" && v[0] == 0 && v[2] == 0 {
				e.dark++
			}
		case "spectrum":
			e.bands = append(e.bands, nil)
		case "band":
			e.bands[last] = append(e.bands[last], v)
		case "beam":
			e.turns, e.intensity = append(e.turns, v[2:]), append(e.intensity, nil)
		case "intensity":
			n := len(e.intensity) - 1
			e.intensity[n] = append(e.intensity[n], v)
		case "source":
			e.sources = append(e.sources, v)
		case "end":
			e.whole = true
		}
	}
	return e
}

// candela is the intensity of one lumen at an angle to the aim and a turn about it, by straight lines.
func (e *emitted) candela(beam int, angle, turn float64) float64 {
	rows, n := e.intensity[beam], len(e.turns[beam])
	i := 0
	for i < len(rows)-2 && rows[i+1][0] < angle {
		i++
	}
	share := (angle - rows[i][0]) / (rows[i+1][0] - rows[i][0])
	at := func(k int) float64 { return rows[i][1+k] + share*(rows[i+1][1+k]-rows[i][1+k]) }
	if n == 1 {
		return at(0)
	}
	place := math.Mod(turn/(2*math.Pi)+1, 1) * float64(n)
	k := int(place) % n
	return at(k) + (place-math.Floor(place))*(at((k+1)%n)-at(k))
}

// passes are the shares of the two polarisations that pass a border between two indices, after Fresnel (Born & Wolf,
// Principles of Optics, 7th ed., section 1.5.2).
func passes(n1, n2, sin1 float64) (s, p float64) {
	cos1, cos2 := math.Sqrt(1-sin1*sin1), math.Sqrt(1-math.Pow(n1*sin1/n2, 2))
	rs, rp := (n1*cos1-n2*cos2)/(n1*cos1+n2*cos2), (n2*cos1-n1*cos2)/(n2*cos1+n1*cos2)
	return 1 - rs*rs, 1 - rp*rp
}

// throughPane is what a plate lets through of one polarisation whose faces pass t, and which loses exp(-depth) on its way: the
// sum of all reflections between the faces (the same book, section 7.6, without interference).
func throughPane(t, depth float64) float64 {
	r, k := 1-t, math.Exp(-depth)
	return t * t * k / (1 - r*r*k*k)
}

// lux is the light of one source on the level z at x and y: the ray that lands there is found by halving, and its light spreads
// as the ring that it belongs to.
func (e *emitted) lux(src []float64, x, y float64) float64 {
	dx, dy := x-src[4], y-src[5]
	distance, above := math.Hypot(dx, dy), src[6]-e.depth
	air, wet := above-e.pane, e.depth-e.floorLevel
	lands := func(sin float64) float64 {
		tan := func(n float64) float64 { return sin / n / math.Sqrt(1-sin*sin/n/n) }
		return air*tan(1) + e.pane*tan(e.glass) + wet*tan(e.index)
	}
	low, high := 0.0, 1.0
	for range 60 {
		if mid := (low + high) / 2; lands(mid) < distance {
			low = mid
		} else {
			high = mid
		}
	}
	sin := math.Max(low, 1e-7)
	distance = lands(sin)
	d := sin * 1e-5
	slope := (lands(sin+d) - lands(sin-d)) / (2 * d)
	cos := math.Sqrt(1 - sin*sin)
	solid := sin / cos / (distance * slope) // of the ring, over its area: sin dtheta = sin dsin/cos
	way := wet / math.Sqrt(1-math.Pow(sin/e.index, 2))
	slant := e.pane / math.Sqrt(1-math.Pow(sin/e.glass, 2))
	down := []float64{sin * dx / math.Max(math.Hypot(dx, dy), 1e-12), sin * dy / math.Max(math.Hypot(dx, dy), 1e-12), -cos}
	aim, along := src[7:10], src[10:13]
	across := []float64{along[1]*aim[2] - along[2]*aim[1], along[2]*aim[0] - along[0]*aim[2], along[0]*aim[1] - along[1]*aim[0]}
	dot := func(a []float64) float64 { return a[0]*down[0] + a[1]*down[1] + a[2]*down[2] }
	if dot(aim) <= 0 {
		return 0
	}
	candela := src[2] * e.candela(int(src[0]), math.Acos(math.Min(1, dot(aim))), math.Atan2(dot(across), dot(along)))
	ss, sp := passes(1, e.index, sin)
	gs, gp := passes(1, e.glass, sin)
	kept := 0.0
	for _, b := range e.bands[int(src[1])] {
		depth := b[6] * slant
		pane := (ss*throughPane(gs, depth) + sp*throughPane(gp, depth)) / 2
		kept += 683 * b[2] * b[1] * pane * math.Exp(-(b[3]+b[4]/2+b[5]*e.backwards)*way)
	}
	return candela * solid * kept
}

// hgBackwards is the share that a Henyey-Greenstein phase function sends backwards: its integral over the hemisphere (Henyey &
// Greenstein 1941), summed here.
func hgBackwards(g float64) (share float64) {
	const n = 20000
	for i := range n {
		mu := -1 + (float64(i)+0.5)/n
		share += (1 - g*g) / 2 / math.Pow(1+g*g-2*g*mu, 1.5) / n
	}
	return share
}

const emittedScene = `title: dark walls
tank: {length: 600 mm, width: 300 mm, height: 360 mm, water: {depth: 300 mm, kind: KIND, temperature: 25 C, salinity: 0 g/kg},
  walls: {front: {paint: 0}, back: {paint: 0}, left: {paint: 0}, right: {paint: 0}}, floor: {diffuse: 0}COVER}
rails: [{name: a, profile: bar-40x20, length: 500 mm, above_water: 120 mm, y: 140 mm, tilt: TILT,
  modules: {part: quad-neutral, optic: OPTIC, count: 2, spacing: 180 mm, current: 350 mA}}]
ambient: {air: 24 C}
`

// TestEmittedSceneGivesTheFloor: a sum of straight light that knows the emitted text and its description alone gets the
// light of map on the floor between dark walls. Map takes cells for the mean of their light and sums from tables, so that
// the mean may differ by 0.2 % and a cell by 1 % of the mean; the light that water throws forwards, which straight light
// counts as kept, spreads in the full map, whose mean may differ by 1.5 %.
func TestEmittedSceneGivesTheFloor(t *testing.T) {
	cases := [][]string{
		{"KIND", "pure", "COVER", "", "TILT", "0 deg", "OPTIC", "round-60"},
		{"KIND", "tinted", "COVER", ", cover: {material: glass, thickness: 6 mm, above_water: 60 mm}", "TILT", "15 deg", "OPTIC", "round-40"},
		{"KIND", "clear", "COVER", "", "TILT", "-10 deg", "OPTIC", "oval-25x60"},
	}
	for _, c := range cases[:longtest.Pick(2, len(cases))] {
		sc := scenetest.Read(t, strings.NewReplacer(c...).Replace(emittedScene))
		for _, engine := range []Engine{Straight, ""} {
			m, err := Map(context.Background(), sc, Options{Planes: planesNamed(t, sc, "floor"), StepM: 0.02, Engine: engine})
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := Emit(&b, sc, false, m.Planes); err != nil {
				t.Fatal(err)
			}
			e := readEmitted(t, b.String())
			if !e.whole || len(e.sources) != 8 || e.faces != 5 || e.dark != 5 || e.floorLevel != 0 {
				t.Fatalf("%d sources, %d faces of which %d are dark, floor at %g, whole: %v", len(e.sources), e.faces, e.dark,
					e.floorLevel, e.whole)
			}
			f := m.Planes[0].Field
			sum, worst := 0.0, 0.0
			for i, has := range f.Illuminance {
				lux := 0.0
				for _, src := range e.sources {
					lux += e.lux(src, f.Grid.CentreX(i%f.Grid.NX), f.Grid.CentreY(i/f.Grid.NX))
				}
				sum, worst = sum+lux, math.Max(worst, math.Abs(lux-has)) // NaN stays
			}
			mean, has := sum/float64(len(f.Illuminance)), m.Planes[0].Illuminance.Mean
			t.Logf("%v, engine %q: mean %.5g of map, %.5g of the text; largest difference %.3g lx", c, engine, has, mean, worst)
			most := 0.002
			if engine == "" {
				most = 0.015
			} else if !(worst <= 0.01*has) {
				t.Errorf("%v: a cell differs by %.3g lx, mean %.4g lx", c, worst, has)
			}
			longtest.Held(t, "mean of the floor, lx", has, mean, most*mean)
			if !(math.Abs(mean/has-1) <= most) {
				t.Errorf("%v, engine %q: mean %.5g lx; map has %.5g", c, engine, mean, has)
			}
		}
	}
}

func planesNamed(t *testing.T, sc *scene.Scene, name string) []scene.PlaneRef {
	p, err := sc.Tank.Plane(name)
	if err != nil {
		t.Fatal(err)
	}
	return []scene.PlaneRef{p}
}

// TestEmittedExamples: each keyword stands in the page that describes the form; the bands of a spectrum are one lumen, and the
// intensities of a beam of the built-in shapes one lumen too, within what straight lines between their nodes miss.
func TestEmittedExamples(t *testing.T) {
	page, err := os.ReadFile("EMIT.md")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, name := range []string{"foyer", "frag", "slope", "bow", "round", "corner"} {
		var b bytes.Buffer
		if err := Emit(&b, scenetest.Example(t, name), false, []result.Plane{{Name: "floor", DepthM: 0.2}}); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(b.String()) {
			word, _, _ := strings.Cut(strings.TrimSpace(line), " ")
			if seen[word] = true; !strings.Contains(string(page), "\n| `"+word+"` |") {
				t.Errorf("%s: %q is not on the page", name, word)
			}
		}
		e := readEmitted(t, b.String())
		for i, bands := range e.bands {
			lumens := 0.0
			for _, band := range bands {
				lumens += 683 * band[2] * band[1]
			}
			if math.Abs(lumens-1) > 1e-6 {
				t.Errorf("%s: spectrum %d has %g lm", name, i, lumens)
			}
		}
		for i := range e.intensity {
			if lumens := e.flux(i); math.Abs(lumens-1) > 0.003 {
				t.Errorf("%s: beam %d sends %g lm", name, i, lumens)
			}
		}
	}
	for _, word := range []string{"cover", "box", "ground", "solid", "leaves", "face", "source", "end"} {
		if !seen[word] {
			t.Errorf("no example has a line %q", word)
		}
	}
}

// flux is what the table of a beam sends into its hemisphere, by the trapezium rule.
func (e *emitted) flux(beam int) (lumens float64) {
	rows := e.intensity[beam]
	ring := func(row []float64) float64 {
		mean := 0.0
		for _, v := range row[1:] {
			mean += v / float64(len(row)-1)
		}
		return mean * 2 * math.Pi * math.Sin(row[0])
	}
	for i := 1; i < len(rows); i++ {
		lumens += (ring(rows[i]) + ring(rows[i-1])) / 2 * (rows[i][0] - rows[i-1][0])
	}
	return lumens
}
