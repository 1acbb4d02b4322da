package fig

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/render/style"
)

func TestRulerShowsRoundTicksAndTheWholeLength(t *testing.T) {
	for _, c := range []struct {
		ruler Ruler
		want  []string
	}{
		{Ruler{LengthM: 1.18}, []string{"1180 mm", "0", "200", "400", "600", "800", "1000"}},
		{Ruler{LengthM: 1.18, Units: style.US}, []string{"46.46 in", "0", "6", "12", "18", "24", "30", "36", "42"}},
		{Ruler{LengthM: 0.43, Upright: true}, []string{"430 mm", "0", "100", "200", "300", "400"}},
		{Ruler{LengthM: 0.42, Upright: true, FromTop: true}, []string{"420 mm", "0", "100", "200", "300"}}, // 400 would meet 420
		{Ruler{LengthM: 0}, nil},
	} {
		p := newCanvas(t, 700, 400, 1)
		c.ruler.Frame = style.Box{Left: 100, Top: 20, Right: 660, Bottom: 220}
		c.ruler.Draw(p)
		var got []string
		for _, text := range p.Texts() {
			got = append(got, text.Text)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("ruler of %g m shows %q; want %q", c.ruler.LengthM, got, c.want)
		}
	}
}

func TestRulerRunsAsAsked(t *testing.T) {
	frame := style.Box{Left: 100, Top: 20, Right: 660, Bottom: 220}
	up := Ruler{Frame: frame, LengthM: 1, Upright: true}
	down := Ruler{Frame: frame, LengthM: 1, Upright: true, FromTop: true}
	across := Ruler{Frame: frame, LengthM: 1, OffPt: 3}
	if y := up.at(0.25, 0).Y; y != 170 {
		t.Errorf("a quarter up stands at y = %g; want 170", y)
	}
	if y := down.at(0.25, 0).Y; y != 70 {
		t.Errorf("a quarter down stands at y = %g; want 70", y)
	}
	if p := across.at(0.25, 2); p.X != 240 || p.Y != 220+rulerGap+3+2 {
		t.Errorf("a quarter across stands at %v", p)
	}
}

func TestPageStacksItsBlocks(t *testing.T) {
	setter, _ := style.NewTypesetter(1)
	c, err := drawPage(setter, 600, Margin, []Block{
		lines(setter, 516, style.Text{Text: strings.Repeat("a long title ", 30), Font: style.TitleFont}, style.Text{Text: "second line", Font: style.SubtitleFont}), {},
		Figures(setter, []Figure{{Label: "mean", Value: "2140 lx"}, {Label: "goal", Value: "met", Mark: Disc}, {Label: "goal", Value: "not met", Mark: Ring}}, 516),
		Key("illuminance", "lx", style.NewScale(0, 2000), 1900, []float64{math.NaN()}),
		Paragraph(setter, []string{strings.Repeat("a footer that wraps ", 20), "", "x"}, style.SmallFont, 516),
	})
	if err != nil {
		t.Fatal(err)
	}
	texts := c.Texts()
	for i, a := range texts {
		if !c.Page().Grown(-8).Contains(a.Box) {
			t.Errorf("%q leaves the page", a.Text)
		}
		for _, b := range texts[:i] {
			if a.Box.Meets(b.Box) {
				t.Errorf("%q and %q meet", a.Text, b.Text)
			}
		}
	}
	joined := ""
	for _, p := range texts {
		joined += p.Text + "\n"
	}
	for _, want := range []string{"illuminance, lx", "goal 1900", "no value", "2140 lx", "not met", "1500"} {
		if !strings.Contains(joined, want) {
			t.Errorf("%q is not on the page:\n%s", want, joined)
		}
	}
}

// TestNothingIsCutOnANarrowPage: long titles and notes wrap, figures that have no room beside each other take more rows.
func TestNothingIsCutOnANarrowPage(t *testing.T) {
	setter, _ := style.NewTypesetter(1)
	figures := []Figure{{Label: "mean", Value: "21.9 \u00b5mol/m\u00b2/s"}, {Label: "min", Value: "19.8 \u00b5mol/m\u00b2/s"}, {Label: "max", Value: "26.1 \u00b5mol/m\u00b2/s"},
		{Label: "min/mean", Value: "0.90"}, {Label: "area at or above 30 \u00b5mol/m\u00b2/s", Value: "0 %"}, {Label: "goal", Value: "not met", Mark: Ring}}
	title := "A tall narrow cube on the sideboard in the hall beside the stairs, " + strings.Repeat("W", 120)
	note := strings.Repeat("dark at the front, ", 60) + "and at the back"
	c, err := drawPage(setter, 1000, Margin, []Block{lines(setter, 916, style.Text{Text: title, Font: style.TitleFont}), Figures(setter, figures, 916), Paragraph(setter, []string{note}, style.TextFont, 916)})
	if err != nil {
		t.Fatal(err)
	}
	all := ""
	for _, p := range c.Texts() {
		all += p.Text + " "
	}
	if strings.Contains(all, "\u2026") || len(c.Collisions()) > 0 {
		t.Errorf("cut or met (%v):\n%s", c.Collisions(), all)
	}
	if got := strings.ReplaceAll(all, " ", ""); !strings.HasPrefix(got, strings.ReplaceAll(title, " ", "")) || !strings.HasSuffix(got, "andattheback") {
		t.Errorf("the title or the note is not whole:\n%s", all)
	}
	for _, f := range figures {
		if !strings.Contains(all, f.Label) || !strings.Contains(all, f.Value) {
			t.Errorf("%v is not on the page:\n%s", f, all)
		}
	}
}

func TestRowLength(t *testing.T) {
	for _, c := range [][3]int{{6, 5, 3}, {6, 6, 6}, {5, 4, 3}, {7, 0, 1}, {3, 9, 3}, {8, 7, 4}, {0, 3, 0}} {
		if got := rowLength(c[0], c[1]); got != c[2] {
			t.Errorf("%d with room for %d: rows of %d; want %d", c[0], c[1], got, c[2])
		}
	}
}

func TestBarPaintsTheWholeMap(t *testing.T) {
	setter, _ := style.NewTypesetter(1)
	c, err := drawPage(setter, 1000, Margin, []Block{Key("", "lx", style.NewScale(0, 10), 0)})
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	y := int(Margin + barTop + barThick/2)
	for x := range 1000 {
		p := c.Image().RGBAAt(x, y)
		seen[string([]byte{p.R, p.G, p.B})] = true
	}
	missing := 0
	for _, p := range style.Light().Table() {
		if !seen[string([]byte{p.R, p.G, p.B})] {
			missing++
		}
	}
	if missing > 4 { // the two ends lie under the outline
		t.Errorf("%d colours of the map are not in the bar", missing)
	}
}

// TestKeysTicksAreAlike: the figures below a scale of colours have as many decimals as their step: 0.10 beside 0.12.
func TestKeysTicksAreAlike(t *testing.T) {
	t.Parallel()
	setter, _ := style.NewTypesetter(1)
	c, err := drawPage(setter, 600, Margin, []Block{Key("uniformity", "", style.Scale{Low: 0.07, High: 0.13,
		Ticks: []float64{0.08, 0.1, 0.12}}, 0)})
	if err != nil {
		t.Fatal(err)
	}
	said := ""
	for _, p := range c.Texts() {
		said += p.Text + " "
	}
	if want := "0.08 0.10 0.12"; !strings.Contains(said, want) {
		t.Errorf("%q, want %q", said, want)
	}
}
