package polar

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// gaussian is a beam of the given full beam angles. Its field is 1.82 times as
// wide, as that of a Gaussian is: sqrt(ln 10/ln 2).
func gaussian(alongDeg, acrossDeg float64) *result.Beam {
	b := &result.Beam{Name: "own", Round: alongDeg == acrossDeg, CentreCd: 1234, PeakCd: 1234, InBeam: 0.5, InField: 0.9}
	edges := func(share float64) result.Edges {
		along, across := alongDeg*degree/2*share, acrossDeg*degree/2*share
		limit := func(v float64) float64 { return math.Min(v, math.Pi/2) }
		return result.Edges{RightRad: limit(along), LeftRad: limit(along), BackRad: limit(across), FrontRad: limit(across)}
	}
	b.BeamEdge, b.FieldEdge = edges(1), edges(math.Sqrt(math.Ln10/math.Ln2))
	at := func(rad, fullDeg float64) float64 { return 1234 * math.Exp2(-math.Pow(rad/(fullDeg*degree/2), 2)) }
	for deg := -90.0; deg <= 90; deg += 0.5 {
		b.AngleRad = append(b.AngleRad, deg*degree)
		b.AlongCd, b.AcrossCd = append(b.AlongCd, at(deg*degree, alongDeg)), append(b.AcrossCd, at(deg*degree, acrossDeg))
	}
	for m := 0.1; m < 0.55; m += 0.1 {
		b.Cone = append(b.Cone, result.ConeRow{DistanceM: m, CentreLx: 1234 / m / m, EdgeAlongLx: 500 / m / m, EdgeAcrossLx: 400 / m / m,
			SpotAlongM: 2 * m * math.Tan(alongDeg*degree/2), SpotAcrossM: 2 * m * math.Tan(acrossDeg*degree/2)})
	}
	return b
}

// leaning shifts the edges of a beam along the rail to the right.
func leaning() *result.Beam {
	b := gaussian(40, 40)
	b.Round = false
	b.BeamEdge.RightRad, b.BeamEdge.LeftRad = 45*degree, 10*degree
	b.FieldEdge.RightRad, b.FieldEdge.LeftRad = 70*degree, 12*degree
	b.PeakCd, b.Behind = 2000, 0.1
	return b
}

func beams() map[string]*result.Beam {
	all := map[string]*result.Beam{"leaning": leaning()}
	for _, a := range []float64{2, 10, 15, 25, 40, 60, 90, 120, 150, 175} {
		all[fmt.Sprintf("round %g", a)] = gaussian(a, a)
		all[fmt.Sprintf("oval %g x 25", a)] = gaussian(a, 25.5)
		all[fmt.Sprintf("oval %g x %g", a, a+1)] = gaussian(a, a+1)
	}
	return all
}

// checkTexts holds that no text is cut by the page or laid over another.
func checkTexts(t *testing.T, name string, c *style.Canvas) {
	t.Helper()
	texts := c.Texts()
	for i, a := range texts {
		if !c.Page().Contains(a.Box) {
			t.Errorf("%s: %q reaches beyond the page", name, a.Text)
		}
		for _, b := range texts[:i] {
			if a.Box.Meets(b.Box) {
				t.Errorf("%s: %q lies on %q", name, a.Text, b.Text)
			}
		}
	}
}

func holds(c *style.Canvas, part string) bool {
	for _, text := range c.Texts() {
		if strings.Contains(text.Text, part) {
			return true
		}
	}
	return false
}

func TestNoTextMeetsAnother(t *testing.T) {
	page := fig.Page{Title: "Optic own: with a long description that takes the whole line", Subtitle: "Intensity", Footer: "footer", Notes: []string{"a note"}}
	for name, b := range beams() {
		for _, u := range []style.Units{style.Metric, style.US} {
			page.Units = u
			c, err := Curve{page, b}.Draw()
			if err != nil {
				t.Fatal(err)
			}
			checkTexts(t, name+", curve", c)
			if c, err = (Cone{page, b}).Draw(); err != nil {
				t.Fatal(err)
			}
			checkTexts(t, name+", cone", c)
		}
	}
}

// TestCurveNamesItsEdges: beam and field stand at the right edge of an even beam, on both sides of a leaning one.
func TestCurveNamesItsEdges(t *testing.T) {
	for name, want := range map[string][]string{
		"round 40":     {"half 20°", "tenth 36.5°", "all planes"},
		"oval 60 x 25": {"half 30°", "half 12.8°", "tenth 54.7°", "along the rail", "across the rail", "60° × 25.5°"},
		"leaning":      {"half 45°", "half 10°", "tenth 70°", "tenth 12°", "backward flux (spill)", "highest, cd"},
	} {
		c, err := (Curve{fig.Page{}, beams()[name]}).Draw()
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range want {
			if !holds(c, text) {
				t.Errorf("%s: no text %q", name, text)
			}
		}
	}
	c, err := (Curve{fig.Page{}, gaussian(175, 175)}).Draw()
	if err != nil {
		t.Fatal(err)
	}
	if holds(c, "tenth 90") {
		t.Error("the rim is named as a field edge")
	}
}

// TestFanOpensAsWideAsNeeded: the field and all but a trace of the light lie inside.
func TestFanOpensAsWideAsNeeded(t *testing.T) {
	for name, b := range beams() {
		f := newFan(b)
		widest := math.Min(math.Pi/2, math.Max(b.FieldEdge.RightRad, b.FieldEdge.BackRad))
		if f.span < widest || f.radius > tallest || f.radius*math.Sin(f.span) > (pageWidth-2*fig.Margin)/2 {
			t.Errorf("%s: span %g deg, radius %g", name, f.span/degree, f.radius)
		}
	}
	if a, b := newFan(gaussian(10, 10)).span, newFan(gaussian(120, 120)).span; math.Abs(a-30*degree) > 1e-9 || b != math.Pi/2 {
		t.Errorf("spans %g and %g", a/degree, b/degree)
	}
}

// TestCurveIsDrawnWhereItIs: on the axis the curve's tip lies at the centre intensity; paper beyond it.
func TestCurveIsDrawnWhereItIs(t *testing.T) {
	b := gaussian(40, 40)
	c, err := (Curve{fig.Page{}, b}).Draw()
	if err != nil {
		t.Fatal(err)
	}
	f := newFan(b)
	f.apex = style.Pt(pageWidth/2, fig.Margin+topRoom) // no heading above
	tip := f.at(20*degree, 617)
	if got := c.ColourAt(tip); got.R > 60 || got.B < 100 {
		t.Errorf("no dot at half of the intensity: %v", got)
	}
	beyond := f.off(3*degree, f.scale.Share(1234)*f.radius+8)
	if got := c.ColourAt(beyond); got.R < 240 {
		t.Errorf("ink beyond the curve: %v", got)
	}
}

func TestConeFigures(t *testing.T) {
	b := gaussian(40, 40)
	b.Cone[0].CentreLx = 1234567
	c, err := (Cone{fig.Page{}, b}).Draw()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"100", "72.8", "1235000", "364"} { // 2 d tan(20 deg) at 100 and 500 mm
		if !holds(c, want) {
			t.Errorf("no figure %q", want)
		}
	}
	b.Cone[0].SpotAlongM, b.Cone[0].EdgeAlongLx = 0, 0
	if c, err = (Cone{fig.Page{}, b}).Draw(); err != nil || !holds(c, "\u2013") {
		t.Errorf("a spot that there is none of, %v", err)
	}
}

func TestRefused(t *testing.T) {
	b := gaussian(40, 40)
	b.Cone = nil
	if _, err := (Cone{fig.Page{}, b}).Draw(); err == nil {
		t.Error("a cone without rows was drawn")
	}
	if _, err := (Cone{fig.Page{PixelFactor: 99}, gaussian(40, 40)}).Draw(); err == nil {
		t.Error("a pixel factor of 99 was taken")
	}
}

func TestSameBytesAndTwiceAsSharp(t *testing.T) {
	one, err := picture((Curve{fig.Page{}, gaussian(40, 40)}).Draw())
	if err != nil {
		t.Fatal(err)
	}
	again, err := picture((Curve{fig.Page{}, gaussian(40, 40)}).Draw())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(one.Pix, again.Pix) {
		t.Error("two drawings differ")
	}
	sharp, err := picture((Curve{fig.Page{PixelFactor: 2}, gaussian(40, 40)}).Draw())
	if err != nil {
		t.Fatal(err)
	}
	if sharp.Rect.Dx() != 2*one.Rect.Dx() {
		t.Errorf("%v against %v", sharp.Rect, one.Rect)
	}
}

// picture returns the pixels of a page.
func picture(c *style.Canvas, err error) (*image.RGBA, error) {
	if err != nil {
		return nil, err
	}
	return c.Image(), nil
}

// TestConeIsDrawnWhereItIs: the panel of a plane has the edges of its beam, and spots between them at the distances.
func TestConeIsDrawnWhereItIs(t *testing.T) {
	b := gaussian(60, 20)
	along, across := planes(b)[0], planes(b)[1]
	const half = 400.0
	for _, c := range []struct {
		cut  plane
		want float64 // mm, of the spot at 500 mm to each side
	}{{along, 500 * math.Tan(30*degree)}, {across, 500 * math.Tan(10*degree)}} {
		p := Cone{Beam: b}.panel(c.cut, half)
		last := p.Series[len(b.Cone)-1]
		if math.Abs(last.X[1]-c.want) > 1e-9 || math.Abs(last.X[0]+c.want) > 1e-9 || math.Abs(last.Y[0]-500) > 1e-9 {
			t.Errorf("%s: the last spot reaches from %g to %g at %g", c.cut.name, last.X[0], last.X[1], last.Y[0])
		}
		edge := p.Series[len(p.Series)-1]
		if math.Abs(edge.X[1]/edge.Y[1]-c.want/500) > 1e-12 || !p.Y.Down {
			t.Errorf("%s: the edge ends at %g, %g", c.cut.name, edge.X[1], edge.Y[1])
		}
	}
	wide := Cone{Beam: gaussian(175, 175)}
	for _, s := range wide.panel(planes(wide.Beam)[0], half).Series {
		for i, x := range s.X {
			if math.Abs(x) > half+1e-9 || s.Y[i] > 500+1e-9 {
				t.Errorf("a wide beam reaches to %g, %g; want at most %g to each side", x, s.Y[i], half)
			}
		}
	}
}
