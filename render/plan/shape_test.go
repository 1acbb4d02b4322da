package plan

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// shapedTank is a tank with a bowed front, a slope, a stone, a pipe and two rails, one of them turned.
func shapedTank(t testing.TB, points []form.Point) *scene.Scene {
	t.Helper()
	sc := tankOf(0.9, 0.5, 4)
	outline, _, err := form.Draw(points)
	if err != nil {
		t.Fatal(err)
	}
	sc.Tank.Outline = outline
	sc.Tank.Ground = form.Slope(0.9, 0.5, [4]float64{0, 0.02, 0.08, 0.12})
	sc.Tank.Things = []scene.Thing{
		{Name: "stone", Solids: []form.Solid{form.NewSolid(form.Ellipsoid, space.Point{X: 0.3, Y: 0.25, Z: 0.1}, space.Vector{X: 0.12, Y: 0.07, Z: 0.08}, 0.4)}},
		{Name: "pipe", Solids: []form.Solid{form.NewSolid(form.Cylinder, space.Point{X: 0.75, Y: 0.38, Z: 0.2}, space.Vector{X: 0.02, Y: 0.02, Z: 0.2}, 0)}}}
	turned := sc.Rails[0]
	turned.Name, turned.TurnRad, turned.LengthM, turned.LeftM, turned.AboveWaterM = "turned", 0.7, 0.5, 0.3, 0.2
	turned.Modules = nil
	for i, m := range sc.Rails[0].Modules {
		m.XM, m.Dead = 0.36+0.12*float64(i), i == 3
		turned.Modules = append(turned.Modules, m)
	}
	sc.Rails = append(sc.Rails, turned)
	return sc
}

func bowFront(t testing.TB) *scene.Scene { return shapedTank(t, form.BowFront(0.9, 0.5, 0.12)) }

// shapedPlan is a plan of the tank whose light rises from left to right and from front to back.
func shapedPlan(sc *scene.Scene, cells int) Plan {
	p := planOf(sc, 9*cells/5, cells, func(x, y float64) float64 { return 1000 + 1000*x + 800*y })
	g, f := p.Plane.Field.Grid, &p.Plane.Field
	f.Solid = make(result.Solid, g.Cells())
	for i := range f.Solid {
		x, y := g.CentreX(i%g.NX), g.CentreY(i/g.NX)
		inside, _ := sc.Tank.Outline.Within(space.Area{FromXM: x - g.StepXM/2, ToXM: x + g.StepXM/2, FromYM: y - g.StepYM/2, ToYM: y + g.StepYM/2})
		f.Solid[i] = 1 - inside/(g.StepXM*g.StepYM)
		if f.Solid[i] > 1-1e-9 {
			f.Solid[i], f.Illuminance[i] = 1, 0
		}
	}
	return p
}

func shapedSlice(sc *scene.Scene, axis result.SectionAxis, atM float64) Slice {
	return sliceOf(sc, axis, atM, fading)
}

// TestOutsideIsBlank: colours end at the outline: just inside they are those of the light, however large the cells, just
// outside it is paper; the same in a small plan.
func TestOutsideIsBlank(t *testing.T) {
	t.Parallel()
	for name, points := range map[string][]form.Point{"bow": form.BowFront(0.9, 0.5, 0.12), "cut": form.CutCorner(0.9, 0.5, 0.3, 1), "hexagon": form.Hexagon(0.9, 0.5)} {
		sc := shapedTank(t, points)
		sc.Rails, sc.Tank.Things = nil, nil
		p := shapedPlan(sc, 20)
		_, c := onPage(t, name, p)
		v := viewOf(p)
		o := sc.Tank.Outline
		for i, a := range o.Corners {
			b, n := o.Corners[(i+1)%len(o.Corners)], o.Normal(i)
			for _, share := range []float64{0.13, 0.5, 0.81} {
				x, y := a.XM+share*(b.XM-a.XM), a.YM+share*(b.YM-a.YM)
				const off = 0.004
				if got := c.ColourAt(v.at(x-off*n.X, y-off*n.Y)); y-off*n.Y > 0.002 && y-off*n.Y < 0.498 && x-off*n.X > 0.002 && x-off*n.X < 0.898 && !pale(got) {
					t.Errorf("%s: outside at %.3f, %.3f m is %v", name, x, y, got)
				}
				if got := c.ColourAt(v.at(x+off*n.X, y+off*n.Y)); pale(got) || grey(got) {
					t.Errorf("%s: inside at %.3f, %.3f m is %v", name, x, y, got)
				}
			}
		}
	}
}

// pale tells whether a colour is paper or the line around the tank over it.
func pale(c color.RGBA) bool { return c.R > 225 && c.G > 225 && c.B > 225 }

// grey tells whether it is that of cells without a value.
func grey(c color.RGBA) bool {
	return math.Abs(float64(c.R)-float64(c.G)) < 4 && math.Abs(float64(c.G)-float64(c.B)) < 4
}

// TestSlicesOfShapedTanks: outside of the outline and beyond its walls is paper, below a slope there is ground, and a stone
// stands where it is cut, and not where the slice passes it.
func TestSlicesOfShapedTanks(t *testing.T) {
	t.Parallel()
	long := shapedSlice(bowFront(t), result.AlongX, 0.25)
	_, c := onPage(t, "long", long)
	v := drawnIn(long)
	for _, row := range []struct {
		x, z float64
		want color.NRGBA
	}{{0.3, 0.1, stoneColour}, {0.39, 0.12, stoneColour}, {0.1, 0.02, groundColour}, {0.8, 0.02, groundColour}} {
		if got := c.ColourAt(v.at(row.x, row.z)); got != color.RGBA(row.want) {
			t.Errorf("at %g, %g m there is %v, want %v", row.x, row.z, got, row.want)
		}
	}
	passed := shapedSlice(bowFront(t), result.AlongX, 0.45)
	_, c = onPage(t, "passed", passed)
	if got := c.ColourAt(drawnIn(passed).at(0.3, 0.15)); got == color.RGBA(stoneColour) {
		t.Error("a slice that passes a stone shows it")
	}
	near := shapedSlice(bowFront(t), result.AlongX, 0.05) // in front of the ends of the sides: the bow alone
	_, c = onPage(t, "near", near)
	if spans := near.where().Spans(); len(spans) != 2 || spans[0] < 0.1 || math.Abs(spans[0]+spans[1]-0.9) > 1e-9 {
		t.Errorf("the slice runs through the bow from %v", spans)
	}
	if got := c.ColourAt(drawnIn(near).at(0.03, 0.2)); !pale(got) {
		t.Errorf("beside the bow there is %v", got)
	}
	cross := shapedSlice(bowFront(t), result.AcrossY, 0.45)
	if spans := cross.where().Spans(); len(spans) != 2 || spans[0] > 0.001 || math.Abs(spans[1]-0.5) > 1e-9 {
		t.Errorf("the cross slice runs from %v", spans)
	}
	onPage(t, "cross", cross)
}

// TestTurnedRailsAreCut: a rail of 0.5 m, turned by 0.7 about (0.55, 0.25) m, is cut there 40 mm / sin 0.7 wide, and shows no
// module between its modules.
func TestTurnedRailsAreCut(t *testing.T) {
	t.Parallel()
	s := shapedSlice(bowFront(t), result.AlongX, 0.25)
	rails := s.rails()
	if len(rails) != 2 || math.Abs(rails[1].to-rails[1].from-0.04/math.Sin(0.7)) > 1e-9 || math.Abs(rails[1].middle()-0.55) > 1e-9 {
		t.Errorf("%+v", rails)
	}
	s.Section.AtM = 0.25 + 0.05*math.Sin(0.7) // through the third module, off its middle
	if rails = s.rails(); len(rails) != 1 || len(rails[0].modules) != 1 || math.Abs(rails[0].modules[0]-0.55-0.05*math.Cos(0.7)) > 0.01 {
		t.Errorf("%+v", rails)
	}
	plan := shapedPlan(bowFront(t), 40)
	text, _ := onPage(t, "plan", plan)
	for _, want := range []string{"stone", "pipe", "turned:1", "turned:4"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q on the plan: %s", want, text)
		}
	}
	if strings.Contains(text, "no value") {
		t.Error("what is outside of the tank counts as cells without a value")
	}
}

// TestFloatingLeavesAreDrawn: on the line of the surface the leaves take up the share that they hide, where they float; the
// plan names them.
func TestFloatingLeavesAreDrawn(t *testing.T) {
	t.Parallel()
	sc := bowFront(t)
	sc.Tank.LeafShare, sc.Tank.Floating = 0.5, &scene.Floating{CoverShare: 0.6, Area: space.Area{FromXM: 0.1, ToXM: 0.4, FromYM: 0.2, ToYM: 0.6}}
	s := shapedSlice(sc, result.AlongX, 0.25)
	pairs, covered := s.where().Floating(), 0.0
	for i := 0; i+1 < len(pairs); i += 2 {
		covered += pairs[i+1] - pairs[i]
	}
	if math.Abs(covered-0.5*0.6*0.3) > 1e-9 || pairs[0] < 0.1 || pairs[len(pairs)-1] > 0.4 {
		t.Errorf("leaves cover %g m of the slice: %v", covered, pairs)
	}
	_, c := onPage(t, "leaves", s)
	at := drawnIn(s).at((pairs[0]+pairs[1])/2, sc.Tank.Water.DepthM)
	if at.Y--; c.ColourAt(at) != color.RGBA(leafColour) {
		t.Errorf("on the water there is %v", c.ColourAt(at))
	}
	if passed := shapedSlice(sc, result.AlongX, 0.1); passed.where().Floating() != nil {
		t.Error("leaves float where there are none")
	}
	if text, _ := onPage(t, "plan", shapedPlan(sc, 40)); !strings.Contains(text, "floating leaves, 30 %") {
		t.Errorf("the plan does not name the leaves: %s", text)
	}
	sc.Tank.LeafShare = 0
	if text, _ := onPage(t, "bare", shapedPlan(sc, 40)); strings.Contains(text, "floating") {
		t.Error("leaves of another season are named")
	}
}
