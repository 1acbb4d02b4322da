package section

import (
	"bytes"
	"image"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene/space"
)

// sliceOf returns a slice of a tank 0.43 m wide with f as its light at a place along it and a depth.
func sliceOf(axis result.SectionAxis, lengthM, depthM float64, f func(along, depth float64) float64) Slice {
	s := Slice{
		Title: "Library foyer, planted tank", Subtitle: "long section", Engine: "engine full", Footer: "computed, not measured",
		LengthM: lengthM, WidthM: 0.43, HeightM: depthM + 0.06, WaterDepthM: depthM,
	}
	const n, nz = 80, 40
	long := lengthM
	if axis == result.AcrossY {
		long = s.WidthM
	}
	s.Section = result.Section{Axis: axis, N: n, NZ: nz, StepM: long / n, StepZM: depthM / nz}
	for iz := range nz {
		for i := range n {
			s.Section.Illuminance = append(s.Section.Illuminance, f((float64(i)+0.5)*s.Section.StepM, (float64(iz)+0.5)*s.Section.StepZM))
		}
	}
	return s
}

func fading(_, depth float64) float64 { return 3000 * math.Exp(-3*depth) }

// foyer is a slice with all that a slice can have.
func foyer() Slice {
	s := sliceOf(result.AlongX, 1.18, 0.42, func(x, d float64) float64 { return fading(x, d) * (1 + 0.5*math.Cos(35*x)) })
	s.Cover = &Cover{FromM: 0.03, ThicknessM: 0.004}
	s.Rails = []Rail{{FromM: 0.04, ToM: 1.14, HeightM: 0.16, ThicknessM: 0.02, Name: "main"}}
	for i := range 6 {
		x := 0.14 + 0.18*float64(i)
		s.Modules = append(s.Modules, Mark{AtM: x, HeightM: 0.16, LengthM: 0.03, Label: strconv.Itoa(i + 1)})
		s.Section.Rays = append(s.Section.Rays, result.Ray{Points: []space.Point{
			{X: x, Y: 0.2, Z: 0.58}, {X: x + 0.06, Y: 0.2, Z: 0.42}, {X: x + 0.17, Y: 0.2, Z: 0},
		}})
	}
	s.Blocks = []Block{{FromM: 0.56, ToM: 0.62, BottomM: 0.47, TopM: 0.48}, {FromM: 0.2, ToM: 0.3, BottomM: 0, TopM: 0.1}}
	s.GoalLevel = 2500
	return s
}

func gallery() map[string]Slice {
	cross := sliceOf(result.AcrossY, 1.18, 0.42, fading)
	cross.Units, cross.PixelFactor = style.US, 2
	cross.Rails = []Rail{{FromM: 0.08, ToM: 0.12, HeightM: 0.16, ThicknessM: 0.02}, {FromM: 0.31, ToM: 0.35, HeightM: 0.165, ThicknessM: 0.02}}
	deep := sliceOf(result.AlongX, 0.6, 2.9, fading)
	deep.Rails = []Rail{{FromM: -0.2, ToM: 0.8, HeightM: 1.8, ThicknessM: 0.02, Name: "high"}}
	wide := sliceOf(result.AlongX, 20, 0.9, fading)
	for i := range 120 {
		wide.Modules = append(wide.Modules, Mark{AtM: float64(i) / 6, HeightM: 0.4, LengthM: 0.03, Label: strconv.Itoa(i + 1)})
	}
	wide.Rails = []Rail{{ToM: 20, HeightM: 0.4, ThicknessM: 0.02, Name: strings.Repeat("a very long name ", 9)}}
	odd := foyer()
	odd.Title, odd.Footer = strings.Repeat("\u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 ", 60), strings.Repeat("footer ", 200)
	odd.Rails = append(odd.Rails, Rail{FromM: math.NaN()}, Rail{FromM: -9, ToM: 9, HeightM: 0.2, ThicknessM: -1})
	odd.Modules = append(odd.Modules, Mark{AtM: math.Inf(1)}, Mark{AtM: 77})
	odd.Section.Rays = append(odd.Section.Rays, result.Ray{}, result.Ray{Points: []space.Point{{X: math.NaN()}, {X: 1}}},
		result.Ray{Points: []space.Point{{X: -1e9, Z: 1e9}, {X: 1e9, Z: -1e9}}})
	many := foyer()
	for i := range 20 {
		many.Rails = append(many.Rails, Rail{FromM: 0.1, ToM: 0.2, HeightM: 0.16 + 0.001*float64(i), ThicknessM: 0.02, Name: "rail " + strconv.Itoa(i)})
	}
	return map[string]Slice{
		"foyer": foyer(), "cross": cross, "deep": deep, "wide": wide, "odd": odd, "many": many,
		"tiny":    sliceOf(result.AlongX, 0.2, 0.1, fading),
		"even":    sliceOf(result.AlongX, 1, 0.5, func(_, _ float64) float64 { return 700 }),
		"zero":    sliceOf(result.AlongX, 1, 0.5, func(_, _ float64) float64 { return 0 }),
		"nothing": sliceOf(result.AlongX, 1, 0.5, func(_, _ float64) float64 { return math.NaN() }),
	}
}

func TestNoTextIsCutOrCovered(t *testing.T) {
	for name, s := range gallery() {
		c, err := Draw(s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, fault := range c.Collisions() {
			t.Errorf("%s: %s", name, fault)
		}
	}
}

// TestLongNamesOfRailsAreWhole: they take several lines beside the picture.
func TestLongNamesOfRailsAreWhole(t *testing.T) {
	c, err := Draw(gallery()["wide"])
	if err != nil {
		t.Fatal(err)
	}
	all := ""
	for _, p := range c.Texts() {
		all += p.Text + " "
	}
	if want := strings.Repeat("a very long name ", 9) + "400 mm"; !strings.Contains(all, want) || strings.Contains(all, "\u2026") {
		t.Errorf("%q is not on the page:\n%s", want, all)
	}
}

func TestSliceSaysWhatItIsGiven(t *testing.T) {
	for name, wants := range map[string][]string{
		"foyer": {
			"Library foyer", "420 mm", "1180 mm", "left\n", "right\n", "water surface", "cover 30 mm", "rim 60 mm", "main 160 mm",
			"\n1\n", "\n6\n", "illuminance, lx", "goal 2500", "edges of the beams", "engine full",
		},
		"cross":   {"16.54 in", "16.93 in", "front\n", "back\n", "rail 6.3 in", "rail 6.5 in"},
		"zero":    {"No light reaches the water in this slice."},
		"nothing": {"No cell of this slice has a value.", "no value"},
	} {
		c, err := Draw(gallery()[name])
		if err != nil {
			t.Fatal(err)
		}
		text := ""
		for _, p := range c.Texts() {
			text += p.Text + "\n"
		}
		for _, want := range wants {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, text)
			}
		}
	}
}

// layout returns the drawing that draw makes of s at factor 1, without a canvas, for its coordinates.
func layout(s Slice) drawing {
	v := s.view()
	perM := math.Min(longestView/(v.right-v.left), tallestView/(v.top-v.bottom))
	left := fig.Margin + fig.RulerWidth
	top := fig.Margin + 16 + style.TitleFont.LineHeight() + style.SubtitleFont.LineHeight()
	frame := style.Box{Left: left, Top: top, Right: left + perM*(v.right-v.left), Bottom: top + perM*(v.top-v.bottom)}
	return drawing{Slice: s, view: v, perM: perM, frame: frame}
}

func pixel(p style.Point) image.Point { return image.Pt(int(p.X), int(p.Y)) }

func TestLightFadesDownwards(t *testing.T) {
	s := sliceOf(result.AlongX, 1.18, 0.42, fading)
	s.Scale = style.NewScale(0, 3000)
	img, err := picture(Draw(s))
	if err != nil {
		t.Fatal(err)
	}
	d := layout(s)
	for _, depth := range []float64{0.05, 0.2, 0.35} {
		at := pixel(d.place(0.213, 0, s.WaterDepthM-depth))
		got, last := img.RGBAAt(at.X, at.Y), math.Inf(1)
		share := s.Scale.Share(fading(0, depth))
		for k := -0.02; k <= 0.02; k += 0.002 { // half a pixel of depth, and isolines are not asked about
			c := style.Light().At(share + k)
			last = math.Min(last, math.Abs(float64(c.R)-float64(got.R))+math.Abs(float64(c.G)-float64(got.G))+math.Abs(float64(c.B)-float64(got.B)))
		}
		if last > 6 {
			t.Errorf("depth %g m is %v; want about %v", depth, got, style.Light().At(share))
		}
	}
}

func TestSliceRunsFromLeftAndFront(t *testing.T) {
	for _, axis := range []result.SectionAxis{result.AlongX, result.AcrossY} {
		s := sliceOf(axis, 1.18, 0.42, func(along, _ float64) float64 {
			if along < 0.1 {
				return 1000
			}
			return 0
		})
		img, err := picture(Draw(s))
		if err != nil {
			t.Fatal(err)
		}
		d := layout(s)
		first, last := pixel(style.Pt(d.x(0.03), d.y(0.2))), pixel(style.Pt(d.x(d.along()-0.03), d.y(0.2)))
		if img.RGBAAt(first.X, first.Y) != style.Light().At(1) || img.RGBAAt(last.X, last.Y) != style.Light().At(0) {
			t.Errorf("axis %d: the slice does not run from the left, or from the front", axis)
		}
	}
}

func TestRaysAreDrawnInAirAndWater(t *testing.T) {
	with, without := foyer(), foyer()
	without.Section.Rays = nil
	a, err := picture(Draw(with))
	if err != nil {
		t.Fatal(err)
	}
	b, err := picture(Draw(without))
	if err != nil {
		t.Fatal(err)
	}
	d := layout(with)
	for _, r := range with.Section.Rays[:5] {
		for i := 1; i < len(r.Points); i++ {
			p, q := r.Points[i-1], r.Points[i]
			found := false
			for _, t := range []float64{0.3, 0.42, 0.55, 0.68} { // one place may lie below a text or the cover
				at := pixel(d.place(p.X+t*(q.X-p.X), 0, p.Z+t*(q.Z-p.Z)))
				found = found || a.RGBAAt(at.X, at.Y) != b.RGBAAt(at.X, at.Y)
			}
			if !found {
				t.Errorf("ray from %v to %v is not drawn", p, q)
			}
		}
	}
}

// TestBlocksStandWhereTheyAre: an obstacle covers what is behind it, in air and in water, and nothing beside it.
func TestBlocksStandWhereTheyAre(t *testing.T) {
	s := foyer()
	with, err := picture(Draw(s))
	if err != nil {
		t.Fatal(err)
	}
	s.Blocks = nil
	without, err := picture(Draw(s))
	if err != nil {
		t.Fatal(err)
	}
	d := layout(foyer())
	for _, row := range []struct {
		x, z float64
		in   bool
	}{{0.59, 0.475, true}, {0.25, 0.05, true}, {0.5, 0.475, false}, {0.59, 0.44, false}, {0.25, 0.15, false}, {0.35, 0.05, false}} {
		p := pixel(style.Pt(d.x(row.x), d.y(row.z)))
		if changed := with.RGBAAt(p.X, p.Y) != without.RGBAAt(p.X, p.Y); changed != row.in {
			t.Errorf("at %g, %g m: covered %v, want %v", row.x, row.z, changed, row.in)
		}
	}
}

func TestTrueAspectAndViews(t *testing.T) {
	for name, s := range gallery() {
		v := s.view()
		if v.left > 0 || v.right < s.along() || v.bottom > 0 || v.top < s.HeightM {
			t.Errorf("%s: the view %v leaves out a part of the tank", name, v)
		}
		d := layout(s)
		if across, up := d.x(0.1)-d.x(0), d.y(0)-d.y(0.1); math.Abs(across-up) > 1e-6*across {
			t.Errorf("%s: 0.1 m is %g points across and %g up", name, across, up)
		}
	}
	if v := gallery()["deep"].view(); v.left > -0.2 || v.right < 0.8 || v.top < 2.9+1.8+0.02 {
		t.Errorf("the view %v leaves out a part of the high rail", v)
	}
}

func TestSlicesAreTheSameEachTime(t *testing.T) {
	var files [2]bytes.Buffer
	for i := range files {
		img, err := picture(Draw(foyer()))
		if err != nil {
			t.Fatal(err)
		}
		if err := style.EncodePNG(&files[i], img, style.Meta{Title: "x"}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
		t.Error("two pictures of one slice differ")
	}
}

func TestDrawRefusesWhatIsNoSlice(t *testing.T) {
	for name, spoil := range map[string]func(*Slice){
		"no length":    func(s *Slice) { s.LengthM = 0 },
		"no depth":     func(s *Slice) { s.WaterDepthM = math.NaN() },
		"endless":      func(s *Slice) { s.HeightM = math.Inf(1) },
		"no cells":     func(s *Slice) { s.Section = result.Section{} },
		"few values":   func(s *Slice) { s.Section.Illuminance = s.Section.Illuminance[1:] },
		"large factor": func(s *Slice) { s.PixelFactor = 50 },
	} {
		s := foyer()
		spoil(&s)
		if _, err := Draw(s); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
}

func BenchmarkDrawAndEncode(b *testing.B) {
	s := foyer()
	for b.Loop() {
		img, err := picture(Draw(s))
		if err != nil {
			b.Fatal(err)
		}
		if err := style.EncodePNG(io.Discard, img, style.Meta{Title: s.Title}); err != nil {
			b.Fatal(err)
		}
	}
}

// picture returns the pixels of a page.
func picture(c *style.Canvas, err error) (*image.RGBA, error) {
	if err != nil {
		return nil, err
	}
	return c.Image(), nil
}
