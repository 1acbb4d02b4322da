package residual

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fathomlux/render/fig"
	"fathomlux/render/heatmap"
	"fathomlux/render/style"
)

// page is a tank with two plans; the second reading of the first was left out.
func page() Page {
	return Page{Title: "A tank", Subtitle: "residuals", LengthM: 1.2, WidthM: 0.4, Notes: []string{"a note"}, Footer: "a footer",
		Rails: []heatmap.Rail{{LeftM: 0.1, RightM: 1.1, YM: 0.2, WidthM: 0.04}}, Modules: []heatmap.Mark{{XM: 0.6, YM: 0.2, LengthM: 0.03, WidthM: 0.03}},
		Obstacles: []heatmap.Rect{{LeftM: 0.55, FrontM: 0, RightM: 0.6, BackM: 0.4}},
		Plans: []Plan{{Name: "floor", Readings: []Reading{{XM: 0.2, YM: 0.3, Share: 0.08}, {XM: 0.9, YM: 0.1, Share: -0.5, Out: true}, {XM: 0.2, YM: 0.1, Share: -0.08}}},
			{Name: "mid", Readings: []Reading{{XM: 0, YM: 0, Share: 0.01}, {XM: 1.2, YM: 0.4, Share: math.NaN()}}}}}
}

func TestNothingMeets(t *testing.T) {
	for _, units := range []style.Units{style.Metric, style.US} {
		p := page()
		p.Units = units
		c, err := Draw(p)
		if err != nil {
			t.Fatal(err)
		}
		if faults := c.Collisions(); len(faults) > 0 {
			t.Errorf("%v", faults)
		}
		var all []string
		for _, text := range c.Texts() {
			all = append(all, text.Text)
		}
		for _, want := range []string{"floor", "mid", "+8.0", "-50.0", "+10 %", "-2.5 %", "a note"} {
			if !strings.Contains(strings.Join(all, "|"), want) {
				t.Errorf("no %q on the page: %v", want, all)
			}
		}
	}
}

// TestSignsAreWhereReadingsAre: a disc is filled in its middle, a ring is not, but has its colour at its edge.
func TestSignsAreWhereReadingsAre(t *testing.T) {
	c, err := Draw(page())
	if err != nil {
		t.Fatal(err)
	}
	frame := style.Box{Left: fig.Margin + fig.RulerWidth}
	perM := longest / 1.2
	if tallest/0.4 < perM {
		perM = tallest / 0.4
	}
	top := 0.0
	for _, text := range c.Texts() {
		if text.Text == "floor" {
			top = text.Box.Bottom
		}
	}
	frame.Top = top + 10
	at := func(x, y float64) style.Point {
		return style.Pt(frame.Left+x*perM, frame.Top+(0.4-y)*perM)
	}
	if got := c.ColourAt(at(0.2, 0.3)); got.R < got.B+50 {
		t.Errorf("the middle of a disc is %v", got)
	}
	if got := c.ColourAt(at(0.2, 0.1)); got != color.RGBA(ground) {
		t.Errorf("the middle of a ring is %v", got)
	}
	blue := false
	for dx := 0.0; dx < 40; dx++ {
		p := at(0.2, 0.1)
		got := c.ColourAt(style.Pt(p.X+dx, p.Y))
		blue = blue || got.B > got.R+50
	}
	if !blue {
		t.Error("the ring has no edge")
	}
}

func TestPagesThatCannotBe(t *testing.T) {
	p := page()
	p.LengthM = 0
	if _, err := Draw(p); err == nil || !strings.Contains(err.Error(), "has no plan") {
		t.Errorf("%v", err)
	}
	p = page()
	p.Plans = nil
	if _, err := Draw(p); err != nil {
		t.Error(err)
	}
	p.LengthM, p.WidthM = 0.1, 3
	if _, err := Draw(p); err != nil {
		t.Error(err)
	}
}

func TestPercent(t *testing.T) {
	for share, want := range map[float64]string{0.0312: "+3.1", -0.0312: "-3.1", -0.0004: "0.0", 0.0004: "0.0", 0: "0.0", -0.0006: "-0.1"} {
		if got := percent(share); got != want {
			t.Errorf("percent(%g) is %q, want %q", share, got, want)
		}
	}
}
