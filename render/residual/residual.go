// Package residual draws the plan of a tank with a sign for each reading: by how much it lies above or below what was
// computed for its place. One plan a depth, on one page and one scale. It computes nothing.
// Lengths are metres in the tank's axes, residuals are shares.
// Next: package chart for measured over computed, package heatmap for the plan of the light itself.
package residual

import (
	"fmt"
	"image/color"
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/heatmap"
	"fathomlux/render/style"
)

// Reading is one place with its residual, measured over computed less 1. Out marks one that was left out of the fit.
type Reading struct {
	XM, YM, Share float64
	Out           bool
}

// Plan is the readings of one depth.
type Plan struct {
	Name     string // such as "floor, 420 mm"
	Readings []Reading
}

// Page is all that the picture shows.
type Page struct {
	Title, Subtitle string
	LengthM, WidthM float64
	Rails           []heatmap.Rail
	Modules         []heatmap.Mark
	Obstacles       []heatmap.Rect
	Plans           []Plan
	Notes           []string
	Footer          string
	Units           style.Units
	PixelFactor     float64
}

// MostPlans is how many plans a page has at most.
const MostPlans = 4

// The looks, in points.
const (
	tallest   = 420.0
	longest   = fig.PageWidth - 2*fig.Margin - fig.RulerWidth - 34
	largest   = 26.0 // radius of the largest sign
	smallest  = 2.0
	headRoom  = 30.0
	legendRow = 64.0
)

var (
	above  = color.NRGBA{R: 196, G: 92, B: 0, A: 200}
	below  = color.NRGBA{R: 28, G: 58, B: 128, A: 255}
	ground = color.NRGBA{R: 240, G: 241, B: 240, A: 255}
	faint  = color.NRGBA{R: 176, G: 180, B: 184, A: 255}
)

// Draw draws the page, 1400 points wide or less where the tank is not long for its width.
func Draw(p Page) (*style.Canvas, error) {
	floor := fig.Floor{LengthM: p.LengthM, WidthM: p.WidthM}
	if !floor.Sound() {
		return nil, fmt.Errorf("residuals: a tank of %g by %g m has no plan; both must be above 0", p.LengthM, p.WidthM)
	}
	t, err := style.NewTypesetter(p.PixelFactor)
	if err != nil {
		return nil, err
	}
	wide, high := floor.Size(longest, tallest)
	pageWidth := math.Max(1000, fig.PageWidth-longest+wide)
	unit := p.unit()
	blocks := []fig.Block{fig.Heading(t, p.Title, p.Subtitle, pageWidth-2*fig.Margin)}
	for _, one := range p.Plans[:min(len(p.Plans), MostPlans)] {
		blocks = append(blocks, fig.Block{HeightPt: headRoom + high + fig.RulerHeight + 4, Draw: func(c *style.Canvas, box style.Box) {
			frame := style.Box{Left: box.Left + fig.RulerWidth, Top: box.Top + headRoom}
			frame.Right, frame.Bottom = frame.Left+wide, frame.Top+high
			c.Write(style.Text{Text: c.Shorten(one.Name, style.TextFont, wide), At: style.Pt(frame.Left, frame.Top-10), Anchor: style.BottomLeft, Font: style.TextFont})
			drawing{Page: p, Canvas: c, floor: fig.Floor{LengthM: p.LengthM, WidthM: p.WidthM, Frame: frame}, unit: unit}.plan(one)
		}})
	}
	blocks = append(blocks,
		fig.Block{HeightPt: legendRow, Draw: func(c *style.Canvas, box style.Box) { drawing{Page: p, Canvas: c, unit: unit}.legend(box) }},
		fig.Paragraph(t, p.Notes, style.TextFont, pageWidth-2*fig.Margin),
		fig.Paragraph(t, []string{p.Footer}, style.SmallFont, pageWidth-2*fig.Margin))
	return fig.DrawPage(t, pageWidth, blocks)
}

// unit is the round residual whose sign is as large as signs get: that of the readings that were kept.
func (p Page) unit() float64 {
	most := 0.01
	for _, one := range p.Plans {
		for _, r := range one.Readings {
			if a := math.Abs(r.Share); !r.Out && a-a == 0 {
				most = math.Max(most, a)
			}
		}
	}
	return style.RoundStep(most)
}

// drawing is one plan that is being drawn into a frame.
type drawing struct {
	Page
	*style.Canvas
	floor fig.Floor
	unit  float64
}

// plan draws the tank, faintly what hangs over it, and the signs.
func (d drawing) plan(p Plan) {
	d.FillBox(d.floor.Frame, ground)
	pen := style.Pen{Width: 1, Colour: faint}
	outline := func(left, front, right, back float64) {
		if b := d.floor.Area(left, front, right, back); !b.Empty() {
			d.StrokeBox(b, pen)
			d.ClaimEdges(b)
		}
	}
	for _, r := range d.Rails {
		outline(r.LeftM, r.YM-r.WidthM/2, r.RightM, r.YM+r.WidthM/2)
	}
	for _, m := range d.Modules {
		outline(m.XM-m.LengthM/2, m.YM-m.WidthM/2, m.XM+m.LengthM/2, m.YM+m.WidthM/2)
	}
	for _, o := range d.Obstacles {
		outline(o.LeftM, o.FrontM, o.RightM, o.BackM)
	}
	d.floor.Edges(d.Canvas, d.Units)
	for _, r := range p.Readings {
		d.sign(d.floor.At(r.XM, r.YM), r)
	}
	d.figures(p)
}

// sign draws a disc for more light than computed, a ring for less, its area in proportion; a cross through one left out.
func (d drawing) sign(at style.Point, r Reading) {
	size := math.Max(smallest, largest*math.Sqrt(math.Min(1, math.Abs(r.Share)/d.unit)))
	if r.Share > 0 {
		d.Dot(at, size, above)
	} else {
		d.Ring(at, math.Max(1, size-1.3), style.Pen{Width: 2.6, Colour: below})
	}
	d.Claim(style.Box{Left: at.X, Right: at.X, Top: at.Y, Bottom: at.Y}.Grown(size * 0.75))
	if r.Out {
		pen := style.Pen{Width: 2, Colour: style.Ink}
		d.Line(style.Pt(at.X-7, at.Y-7), style.Pt(at.X+7, at.Y+7), pen)
		d.Line(style.Pt(at.X-7, at.Y+7), style.Pt(at.X+7, at.Y-7), pen)
	}
}

// figures writes the residual in percent beside each sign where there is room.
func (d drawing) figures(p Plan) {
	for _, r := range p.Readings {
		at := d.floor.At(r.XM, r.YM)
		size := math.Max(smallest, largest*math.Sqrt(math.Min(1, math.Abs(r.Share)/d.unit)))
		text := style.Text{Text: percent(r.Share), Font: style.SmallFont, Colour: style.SoftInk}
		for _, place := range []style.Text{
			{At: style.Pt(at.X, at.Y+size+3), Anchor: style.TopMiddle}, {At: style.Pt(at.X, at.Y-size-3), Anchor: style.BottomMiddle},
			{At: style.Pt(at.X+size+4, at.Y), Anchor: style.MiddleLeft}, {At: style.Pt(at.X-size-4, at.Y), Anchor: style.MiddleRight},
		} {
			text.At, text.Anchor = place.At, place.Anchor
			if d.floor.Frame.Contains(d.Box(text).Grown(1)) && d.TryWrite(text) {
				break
			}
		}
	}
}

// percent writes a share with its sign, and what rounds to nothing without one.
func percent(share float64) string {
	if text := fmt.Sprintf("%+.1f", 100*share); text != "-0.0" && text != "+0.0" {
		return text
	}
	return "0.0"
}

// legend shows the signs of round residuals.
func (d drawing) legend(box style.Box) {
	x, y := box.Left+largest, box.Centre().Y
	for _, share := range []float64{d.unit, d.unit / 4, -d.unit / 4, -d.unit} {
		d.sign(style.Pt(x, y), Reading{Share: share})
		text := style.Text{Text: fmt.Sprintf("%+.3g %%", 100*share), At: style.Pt(x+largest+6, y), Anchor: style.MiddleLeft, Font: style.TextFont}
		d.Write(text)
		x = d.Box(text).Right + 24 + largest
	}
	text := d.Shorten("disc: brighter than the fit, ring: darker; crossed: left out of the fit", style.SmallFont, box.Right-x+largest)
	d.Write(style.Text{Text: text, At: style.Pt(x-largest, y), Anchor: style.MiddleLeft, Font: style.SmallFont, Colour: style.SoftInk})
}
