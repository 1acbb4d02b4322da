package sheet

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/heatmap"
	"fathomlux/render/style"
)

var longName = strings.Repeat("\u00dcbergro\u00dfes Aquarium, \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u706f ", 12)

// candidate returns one with f as its light, in a tank of the given size.
func candidate(name string, lengthM, widthM float64, f func(x, y float64) float64) Candidate {
	g := result.Grid{NX: 40, NY: 16}
	g.StepXM, g.StepYM = lengthM/40, widthM/16
	c := Candidate{Name: name, LengthM: lengthM, WidthM: widthM, Figures: []string{"1234", "0.52"}}
	for iy := range g.NY {
		for ix := range g.NX {
			c.Field.Illuminance = append(c.Field.Illuminance, f(g.CentreX(ix), g.CentreY(iy)))
		}
	}
	c.Field.Grid, c.Field.PPFD = g, c.Field.Illuminance
	c.Rails = []heatmap.Rail{{LeftM: 0.05, RightM: lengthM - 0.05, YM: widthM / 2, WidthM: 0.04}}
	c.Modules = []heatmap.Mark{{XM: lengthM / 4, YM: widthM / 2}, {XM: lengthM * 3 / 4, YM: widthM / 2}}
	return c
}

// sheetOf returns a sheet of n candidates; every third meets the goal.
func sheetOf(n int) Sheet {
	s := Sheet{
		Title: "Library foyer", Subtitle: "floor, 420 mm under the surface: illuminance", Columns: []string{"mean, lx", "min/mean"},
		GoalAsked: true, GoalLevel: 900, Verdict: "Number 3 is the evenest of those that meet the goal.", Footer: "computed, not measured",
	}
	for i := range n {
		c := candidate(fmt.Sprintf("round-%d", 20+i), 1.18, 0.43, func(x, y float64) float64 {
			return 300 + 900*math.Exp(-math.Pow((x-0.59)/(0.2+0.01*float64(i)), 2)-math.Pow((y-0.2)/0.2, 2))
		})
		c.Met, c.Statistics.MinOverMean = i%3 == 2, 0.3+math.Mod(float64(i)*0.3819, 0.5)
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
		c.Name, c.Note, c.Figures = longName, longName, []string{longName, longName}
	}
	mixed := sheetOf(2)
	mixed.Units, mixed.Quantity, mixed.GoalAsked, mixed.GoalLevel = style.US, result.PPFD, false, 0
	for _, size := range [][2]float64{{0.2, 0.2}, {0.4, 1.2}, {20, 0.3}} {
		mixed.Candidates = append(mixed.Candidates, candidate("other", size[0], size[1], func(x, _ float64) float64 { return 500 + x }))
	}
	holes := sheetOf(3)
	for k := range holes.Candidates[1].Field.Illuminance {
		holes.Candidates[1].Field.Illuminance[k] = math.NaN()
	}
	crowd := sheetOf(3)
	for k := range 40 {
		crowd.Columns = append(crowd.Columns, fmt.Sprintf("figure %d", k))
		for i := range crowd.Candidates {
			crowd.Candidates[i].Figures = append(crowd.Candidates[i].Figures, "123456")
		}
	}
	tall := Sheet{Candidates: []Candidate{candidate("tall", 0.3, 1.2, func(_, y float64) float64 { return y }), candidate("tall", 0.3, 1.2, func(_, y float64) float64 { return 2 * y })}}
	tall.Columns = []string{"mean, lx", "min/mean"}
	g := map[string]Sheet{"wordy": wordy, "mixed": mixed, "holes": holes, "crowd": crowd, "tall": tall}
	for _, n := range []int{1, 2, 3, 8, 9, 12, 25, 60} {
		g[fmt.Sprint(n)] = sheetOf(n)
	}
	return g
}

func TestNoTextIsCutOrCovered(t *testing.T) {
	for name, s := range gallery() {
		for _, factor := range []float64{1, 2} {
			if s.PixelFactor = factor; factor == 2 && len(s.Candidates) > 12 {
				continue // the layout is the same, and the pictures are large
			}
			c, err := Draw(s)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			for _, fault := range c.Collisions() {
				t.Errorf("%s at %g: %s", name, factor, fault)
			}
		}
	}
}

func TestSheetSaysWhatItIsGiven(t *testing.T) {
	for name, wants := range map[string][]string{
		"1":     {"round-20", "from the left, mm"},
		"3":     {"3 round-22", "not met", "illuminance, lx", "goal 900", "min/mean", "0.52", "Number 3 is the evenest", "lowest over the width"},
		"60":    {"60 round-79", "Shown are the 6 of 60 candidates with the highest min/mean, those that meet the goal first; the table has all."},
		"mixed": {"46.46 \u00d7 16.93 in", "PPFD, \u00b5mol/m\u00b2/s", "along the longer side, in", "in their own scale of lengths"},
		"holes": {"no value"},
		"crowd": {"The table has no room for its last"},
		"tall":  {"from the front, mm"},
	} {
		c, err := Draw(gallery()[name])
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		for _, text := range c.Texts() {
			b.WriteString(text.Text + "\n")
		}
		for _, want := range wants {
			if !strings.Contains(b.String(), want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, b.String())
			}
		}
	}
}

// frames returns where the maps lie in the picture of s at factor 1.
func frames(s Sheet) []image.Rectangle {
	s = s.filled()
	l := newLayout(s)
	top := fig.Margin + style.TitleFont.LineHeight() + style.SubtitleFont.LineHeight() + 16 + verdictFont.LineHeight() + 16 + nameRow
	var all []image.Rectangle
	for i, c := range s.Candidates {
		wide, high := l.size(c)
		x := fig.Margin + float64(i%l.columns)*(l.cellWidth+cellGapX)
		y := top + float64(i/l.columns)*l.rowHeight()
		all = append(all, image.Rect(int(x), int(math.Round(y)), int(x+wide), int(math.Round(y+high))))
	}
	return all
}

func TestEqualValuesHaveEqualColours(t *testing.T) {
	s := sheetOf(0)
	for _, high := range []float64{600, 2000} { // by itself each would fill the scale
		s.Candidates = append(s.Candidates, candidate("c", 1, 0.5, func(x, _ float64) float64 {
			if x < 0.5 {
				return 500
			}
			return high
		}))
	}
	img, err := picture(Draw(s))
	if err != nil {
		t.Fatal(err)
	}
	scale := style.ScaleFor(s.values()...)
	var got [2]any
	for i, f := range frames(s) {
		at := image.Pt(f.Min.X+20, f.Min.Y+20)
		got[i] = img.RGBAAt(at.X, at.Y)
		if want := style.Light().At(scale.Share(500)); got[i] != want {
			t.Errorf("500 lx of candidate %d is %v; want %v", i+1, got[i], want)
		}
	}
	if got[0] != got[1] {
		t.Errorf("500 lx is %v and %v", got[0], got[1])
	}
}

func TestMapsKeepTheTanksProportion(t *testing.T) {
	for name, s := range gallery() {
		s = s.filled()
		l := newLayout(s)
		for i, c := range s.Candidates {
			wide, high := l.size(c)
			if ratio := wide / high * c.WidthM / c.LengthM; math.Abs(ratio-1) > 1e-9 {
				t.Errorf("%s: map %d is %g by %g points for %g by %g m", name, i+1, wide, high, c.LengthM, c.WidthM)
			}
			if share := math.Max(wide/l.room.Width(), high/l.room.Height()); share < leastShare-1e-9 {
				t.Errorf("%s: map %d of %g by %g points is too small to be seen", name, i+1, wide, high)
			}
			if wide > l.cellWidth+1e-9 || high > l.mapHeight+1e-9 {
				t.Errorf("%s: map %d of %g by %g points in a cell of %g by %g", name, i+1, wide, high, l.cellWidth, l.mapHeight)
			}
		}
		if l.columns*l.rows < len(s.Candidates) || l.columns*(l.rows-1) >= len(s.Candidates) {
			t.Errorf("%s: %d by %d places for %d maps", name, l.columns, l.rows, len(s.Candidates))
		}
	}
}

func TestProfileIsMeanAndLowestAcross(t *testing.T) {
	s := Sheet{Candidates: []Candidate{
		candidate("left to right", 1.2, 0.4, func(x, y float64) float64 { return 1000*x + 100*y }),
		candidate("front to back", 0.4, 1.2, func(x, y float64) float64 { return 1000*y + 100*x }),
	}}
	for i := range s.Candidates { // mean across 0.4 m: 20 more than at its edge
		c, line := s.Candidates[i], s.line(i)
		for k := range line.X {
			along := line.X[k] / 1000
			lowest := 1000*along + 50*c.Field.Grid.StepYM
			if c.upright() {
				lowest = 1000*along + 50*c.Field.Grid.StepXM
			}
			if math.Abs(line.Y[k]-(1000*along+20)) > 1e-6 || math.Abs(line.Low[k]-lowest) > 1e-6 {
				t.Fatalf("%s at %g mm: mean %g, lowest %g; want %g, %g", c.Name, line.X[k], line.Y[k], line.Low[k], 1000*along+20, lowest)
			}
		}
	}
	s.Units = style.US
	if line := s.line(0); math.Abs(line.X[0]-0.015/0.0254) > 1e-9 {
		t.Errorf("the first cell stands at %g in; want that of 15 mm", line.X[0])
	}
	if mean, low := over(3, func(j int) float64 { return []float64{math.NaN(), 4, 2}[j] }); mean != 3 || low != 2 {
		t.Errorf("over 4 and 2: %g, %g", mean, low)
	}
}

func TestLargeSheetsShowTheBestProfiles(t *testing.T) {
	s := sheetOf(12)
	for i := range s.Candidates {
		s.Candidates[i].Statistics.MinOverMean, s.Candidates[i].Met = 0.05*float64(i), i < 2
	}
	s.Candidates[11].Statistics.MinOverMean = math.NaN()
	if got, want := fmt.Sprint(s.best()), "[0 1 7 8 9 10]"; got != want {
		t.Errorf("best %s; want %s: those that meet the goal, then the evenest", got, want)
	}
	s.GoalAsked = false
	if got, want := fmt.Sprint(s.best()), "[5 6 7 8 9 10]"; got != want {
		t.Errorf("best %s without a goal; want %s", got, want)
	}
	if got := len(sheetOf(8).best()); got != 8 {
		t.Errorf("%d of 8 profiles", got)
	}
}

func TestSheetsAreTheSameEachTime(t *testing.T) {
	var files [2]bytes.Buffer
	for i := range files {
		img, err := picture(Draw(sheetOf(9)))
		if err != nil {
			t.Fatal(err)
		}
		if err := style.EncodePNG(&files[i], img, style.Meta{Title: "x"}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
		t.Error("two pictures of one sheet differ")
	}
}

func TestDrawRefusesWhatIsNoSheet(t *testing.T) {
	for name, spoil := range map[string]func(*Sheet){
		"nobody":       func(s *Sheet) { s.Candidates = nil },
		"too many":     func(s *Sheet) { *s = sheetOf(mostCandidates + 1) },
		"no length":    func(s *Sheet) { s.Candidates[1].LengthM = 0 },
		"no tank":      func(s *Sheet) { s.Candidates[1].LengthM, s.Candidates[1].WidthM = 0, 0 },
		"few values":   func(s *Sheet) { s.Candidates[2].Field.Illuminance = s.Candidates[2].Field.Illuminance[1:] },
		"no PPFD":      func(s *Sheet) { s.Quantity, s.Candidates[0].Field.PPFD = result.PPFD, nil },
		"few figures":  func(s *Sheet) { s.Candidates[0].Figures = nil },
		"large factor": func(s *Sheet) { s.PixelFactor = 50 },
	} {
		s := sheetOf(3)
		spoil(&s)
		if _, err := Draw(s); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
	s := sheetOf(2)
	s.LengthM, s.WidthM = 1.18, 0.43
	s.Candidates[0].LengthM, s.Candidates[0].WidthM = 0, 0
	if _, err := Draw(s); err != nil {
		t.Errorf("a candidate in the sheet's tank: %v", err)
	}
}

// picture returns the pixels of a page.
func picture(c *style.Canvas, err error) (*image.RGBA, error) {
	if err != nil {
		return nil, err
	}
	return c.Image(), nil
}
