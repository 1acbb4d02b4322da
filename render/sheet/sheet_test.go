package sheet

import (
	"fmt"
	"image/color"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/finding"
)

var longName = strings.Repeat("\u00dcbergro\u00dfes Aquarium, \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u706f ", 12)

// candidate returns one with f as its light, in a tank of the given size.
func candidate(name string, lengthM, widthM float64, f func(x, y float64) float64) Candidate {
	g := result.Grid{NX: 40, NY: 16}
	g.StepXM, g.StepYM = lengthM/40, widthM/16
	sc := &scene.Scene{Tank: scene.Tank{LengthM: lengthM, WidthM: widthM}, Rails: []scene.Rail{{LeftM: 0.05, LengthM: lengthM - 0.1, YM: widthM / 2,
		Modules: []scene.Module{{XM: lengthM / 4}, {XM: lengthM * 3 / 4}}}}}
	c := Candidate{Candidate: result.Candidate{Name: name}, Scene: sc, Plane: &result.Plane{Name: "floor"}, Figures: []string{"1234", "0.52"}}
	for iy := range g.NY {
		for ix := range g.NX {
			c.Plane.Field.Illuminance = append(c.Plane.Field.Illuminance, f(g.CentreX(ix), g.CentreY(iy)))
		}
	}
	c.Plane.Field.Grid, c.Plane.Field.PPFD = g, c.Plane.Field.Illuminance
	return c
}

// sheetOf returns a sheet of n candidates; every third meets the goal.
func sheetOf(n int) Sheet {
	s := Sheet{Page: fig.Page{Title: "Library foyer", Subtitle: "floor, 420 mm under the surface: illuminance", Footer: "computed, not measured"},
		Columns: []string{"mean, lx", "U0"}, Verdict: "Number 3 has the highest uniformity of those that meet the goal."}
	for i := range n {
		c := candidate(fmt.Sprintf("round-%d", 20+i), 1.18, 0.43, func(x, y float64) float64 {
			return 300 + 900*math.Exp(-math.Pow((x-0.59)/(0.2+0.01*float64(i)), 2)-math.Pow((y-0.2)/0.2, 2))
		})
		c.Goal, c.Illuminance.MinOverMean = result.Goal{Asked: true, Met: i%3 == 2, Level: 900}, 0.3+math.Mod(float64(i)*0.3819, 0.5)
		s.Candidates = append(s.Candidates, c)
	}
	return s
}

// gallery is sheets that are hard to lay out.
func gallery() map[string]Sheet {
	wordy := sheetOf(5)
	wordy.Title, wordy.Subtitle, wordy.Verdict, wordy.Footer, wordy.Columns = longName, longName, longName+longName, longName, []string{longName, longName}
	for i := range wordy.Candidates {
		c := &wordy.Candidates[i]
		c.Name, c.Goal.Unbuildable, c.Figures = longName, finding.NotWired.Of(finding.Text(longName)), []string{longName, longName}
	}
	mixed := sheetOf(2)
	mixed.Units, mixed.Quantity = style.US, result.PPFD
	mixed.Candidates[0].Goal, mixed.Candidates[1].Goal = result.Goal{}, result.Goal{}
	for _, size := range [][2]float64{{0.2, 0.2}, {0.4, 1.2}, {20, 0.3}} {
		mixed.Candidates = append(mixed.Candidates, candidate("other", size[0], size[1], func(x, _ float64) float64 { return 500 + x }))
	}
	holes := sheetOf(3)
	for k := range holes.Candidates[1].Plane.Field.Illuminance {
		holes.Candidates[1].Plane.Field.Illuminance[k] = math.NaN()
	}
	crowd := sheetOf(3)
	for k := range 40 {
		crowd.Columns = append(crowd.Columns, fmt.Sprintf("figure %d", k))
		for i := range crowd.Candidates {
			crowd.Candidates[i].Figures = append(crowd.Candidates[i].Figures, "123456")
		}
	}
	tall := Sheet{Columns: []string{"mean, lx", "U0"}}
	for k := range 2 {
		tall.Candidates = append(tall.Candidates, candidate("tall", 0.3, 1.2, func(_, y float64) float64 { return y * float64(k+1) }))
	}
	g := map[string]Sheet{"wordy": wordy, "mixed": mixed, "holes": holes, "crowd": crowd, "tall": tall}
	for _, n := range []int{1, 2, 3, 8, 9, 12, 25, 60} {
		g[fmt.Sprint(n)] = sheetOf(n)
	}
	return g
}

// TestSheetSaysWhatItIsGiven: and no text is cut or covered.
func TestSheetSaysWhatItIsGiven(t *testing.T) {
	t.Parallel()
	wants := map[string][]string{
		"1":     {"round-20", "from the left, mm"},
		"3":     {"3 round-22", "not met", "illuminance, lx", "goal 900", "U0", "0.52", "Number 3 has the highest", "lowest over the width", "\nmet\n"},
		"60":    {"60 round-79", "Shown are the 6 of 60 candidates with the highest uniformity, those that meet the goal first; the table has all."},
		"mixed": {"46.46 \u00d7 16.93 in", "PPFD, \u00b5mol/m\u00b2/s", "along the longer side, in"},
		"holes": {"no value"},
		"crowd": {"The table has no room for its last"},
		"tall":  {"from the front, mm"},
	}
	for name, s := range gallery() {
		for _, factor := range []float64{1, 2} {
			if s.PixelFactor = factor; factor == 2 && len(s.Candidates) > 12 {
				continue // the layout is the same, and the pictures are large
			}
			c, err := s.Draw()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for _, fault := range c.Collisions() {
				t.Errorf("%s at %g: %s", name, factor, fault)
			}
			text := "\n"
			for _, placed := range c.Texts() {
				text += placed.Text + "\n"
			}
			for _, want := range wants[name] {
				if !strings.Contains(text, want) {
					t.Errorf("%s: %q is missing in\n%s", name, want, text)
				}
			}
		}
	}
}

func TestEqualValuesHaveEqualColours(t *testing.T) {
	t.Parallel()
	s := sheetOf(0)
	for _, high := range []float64{600, 2000} { // by itself each would fill the scale
		s.Candidates = append(s.Candidates, candidate("c", 1, 0.5, func(x, _ float64) float64 { return map[bool]float64{true: 500, false: high}[x < 0.5] }))
	}
	c, err := s.Draw()
	if err != nil {
		t.Fatal(err)
	}
	var got []color.RGBA
	for _, text := range c.Texts() {
		if strings.HasSuffix(text.Text, " c") && len(got) < 2 { // above each map
			got = append(got, c.ColourAt(style.Pt(text.Box.Left+10, text.Box.Bottom+30)))
		}
	}
	want := style.Light().At(style.ScaleFor([]float64{2000}).Share(500))
	if len(got) != 2 || got[0] != want || got[1] != want {
		t.Errorf("500 lx is %v; want %v", got, want)
	}
}

// TestMapsHaveRoom: all maps lie in their cells, at one scale, and no row is empty.
func TestMapsHaveRoom(t *testing.T) {
	for name, s := range gallery() {
		l := newLayout(s)
		for i, c := range s.Candidates {
			if wide, high := l.perM*c.Scene.Tank.LengthM, l.perM*c.Scene.Tank.WidthM; wide > l.cellWidth+1e-9 || nameRow+high > l.rowHeight {
				t.Errorf("%s: map %d of %g by %g points in a cell of %g by %g", name, i+1, wide, high, l.cellWidth, l.rowHeight)
			}
		}
		if l.columns*l.rows() < len(s.Candidates) || l.columns*(l.rows()-1) >= len(s.Candidates) {
			t.Errorf("%s: %d by %d places for %d maps", name, l.columns, l.rows(), len(s.Candidates))
		}
	}
}

func TestProfileIsMeanAndLowestAcross(t *testing.T) {
	s := Sheet{Candidates: []Candidate{
		candidate("left to right", 1.2, 0.4, func(x, y float64) float64 { return 1000*x + 100*y }),
		candidate("front to back", 0.4, 1.2, func(x, y float64) float64 { return 1000*y + 100*x }),
	}}
	for i := range s.Candidates { // mean across 0.4 m: 20 more than at its edge
		c, lines := s.Candidates[i], s.lines(0, i)
		step := c.Plane.Field.Grid.StepYM
		if c.upright() {
			step = c.Plane.Field.Grid.StepXM
		}
		for k, x := range lines[1].X {
			if mean, low := x+20, x+50*step; math.Abs(lines[1].Y[k]-mean) > 1e-6 || math.Abs(lines[0].Y[k]-low) > 1e-6 {
				t.Fatalf("%s at %g mm: mean %g, lowest %g; want %g, %g", c.Name, x, lines[1].Y[k], lines[0].Y[k], mean, low)
			}
		}
	}
	s.Units = style.US
	if line := s.lines(0, 0)[1]; math.Abs(line.X[0]-0.015/0.0254) > 1e-9 {
		t.Errorf("the first cell stands at %g in; want that of 15 mm", line.X[0])
	}
	values := s.Candidates[0].Plane.Field.Illuminance
	values[0], values[40] = math.NaN(), math.Inf(1)
	if lines := s.lines(0, 0); math.IsNaN(lines[1].Y[0]) || lines[0].Y[0] != values[80] {
		t.Errorf("beside what has no value: mean %g, lowest %g", lines[1].Y[0], lines[0].Y[0])
	}
}

func TestLargeSheetsShowTheBestProfiles(t *testing.T) {
	s := sheetOf(12)
	for i := range s.Candidates {
		s.Candidates[i].Illuminance.MinOverMean, s.Candidates[i].Goal.Met = 0.05*float64(i), i < 2
	}
	s.Candidates[11].Illuminance.MinOverMean = math.NaN()
	if got, want := fmt.Sprint(s.best()), "[0 1 7 8 9 10]"; got != want {
		t.Errorf("best %s; want %s: those that meet the goal, then the highest uniformity", got, want)
	}
	for i := range s.Candidates {
		s.Candidates[i].Goal = result.Goal{}
	}
	if got, want := fmt.Sprint(s.best()), "[5 6 7 8 9 10]"; got != want {
		t.Errorf("best %s without a goal; want %s", got, want)
	}
	if got := len(sheetOf(8).best()); got != 8 {
		t.Errorf("%d of 8 profiles", got)
	}
}

func TestDrawRefusesWhatIsNoSheet(t *testing.T) {
	for name, spoil := range map[string]func(*Sheet){
		"nobody":       func(s *Sheet) { s.Candidates = nil },
		"too many":     func(s *Sheet) { *s = sheetOf(mostCandidates + 1) },
		"few figures":  func(s *Sheet) { s.Candidates[0].Figures = nil },
		"large factor": func(s *Sheet) { s.PixelFactor = 50 },
	} {
		s := sheetOf(3)
		spoil(&s)
		if _, err := s.Draw(); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
}

// TestOnlyWhatIsCommonIsMarked: a sheet marks a goal and names a plane in its title only where they are those of all.
func TestOnlyWhatIsCommonIsMarked(t *testing.T) {
	shown := func(plane string, lux, ppfd float64) Candidate {
		goal := result.Goal{Level: lux}
		if lux == 0 {
			goal = result.Goal{Level: ppfd, Shown: result.PPFD}
		}
		return Candidate{Candidate: result.Candidate{Goal: goal}, Plane: &result.Plane{Name: plane}}
	}
	for _, row := range []struct {
		list  []Candidate
		goal  float64
		plane string
	}{
		{[]Candidate{shown("floor", 2000, 0), shown("floor", 2000, 90)}, 2000, "floor"},
		{[]Candidate{shown("floor", 2000, 0), shown("floor", 2500, 0)}, 0, "floor"},
		{[]Candidate{shown("floor", 2000, 0), shown("150 mm", 0, 2000)}, 0, ""},
		{[]Candidate{shown("floor", 2000, 0), shown("floor", 2000, 0), shown("mid", 2000, 0)}, 2000, ""},
	} {
		s := Sheet{Candidates: row.list}
		if goal, plane := s.goalLevel(), s.CommonPlane(); goal != row.goal || plane != row.plane {
			t.Errorf("%+v: goal %g, plane %q; want %g, %q", row.list, goal, plane, row.goal, row.plane)
		}
	}
}
