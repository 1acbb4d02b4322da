// Package section draws a vertical slice through the tank: the light in the water as colours, the surface, the cover,
// the walls and the rim, the rails in the air above, and the edges of the beams on their way down.
// It computes no light. Lengths are metres: along the slice from the tank's inside edge (left, or front), heights z
// from the floor in the result's rays, above the water surface in rails and cover. Light is illuminance in lx.
// Next: package heatmap for the plan, package style for the pieces both are made of.
package section

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Rail is a rail's outline in the slice, from FromM to ToM along it: its whole length in a long section, its
// profile's width in a cross section. HeightM is the middle of the emitting face above the water surface; the rail
// stands ThicknessM higher. In a cross section TiltRad turns it about that middle, its light towards the back.
type Rail struct {
	FromM, ToM, HeightM, ThicknessM float64
	TiltRad                         float64
	Name                            string
}

// Mark is a module: its middle along the slice, its emitting face above the water surface, its length along
// the slice, and its tilt in a cross section.
type Mark struct {
	AtM, HeightM, LengthM float64
	TiltRad               float64
	Label                 string // empty: no text
}

// Cover is the pane between modules and water.
type Cover struct {
	FromM      float64 // underside above the water surface
	ThicknessM float64
}

// Block is an obstacle's outline in the slice: along it, and heights z from the floor.
type Block struct{ FromM, ToM, BottomM, TopM float64 }

// Slice is all that a section picture shows.
type Slice struct {
	Title, Subtitle string
	Section         result.Section
	LengthM         float64 // of the tank along x, inside
	WidthM          float64 // of the tank along y, inside
	HeightM         float64 // floor to rim
	WaterDepthM     float64
	Cover           *Cover // nil: none
	Rails           []Rail
	Modules         []Mark
	Through         bool // a cross section goes through a module, not between modules
	Blocks          []Block
	Quantity        result.Quantity
	GoalLevel       float64     // of the quantity, drawn as a heavier isoline; 0 where the goal names none
	Scale           style.Scale // zero: from 0 to the highest
	Units           style.Units
	PixelFactor     float64 // 0 is 1; 2 for a sharper picture
	Engine, Footer  string  // small lines at the bottom
}

// The room for the picture and around it, in points.
const (
	tallestView = 900.0
	remarkRoom  = 190.0 // right of the picture, for the heights' names
	longestView = fig.PageWidth - 2*fig.Margin - fig.RulerWidth - remarkRoom
	narrowPage  = 1000.0
	edgeName    = 24.0
)

// Draw draws the slice. Height and length have the same scale; the page is 1400 points wide, less where the tank is
// tall for its length. It refuses sizes that are no sizes, and a section whose values are not as many as its cells.
func Draw(s Slice) (*style.Canvas, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	t, err := style.NewTypesetter(s.PixelFactor)
	if err != nil {
		return nil, err
	}
	if !s.Scale.Usable() {
		s.Scale = style.ScaleFor(s.values())
	}
	view := s.view()
	perM := math.Min(longestView/(view.right-view.left), tallestView/(view.top-view.bottom))
	wide, high := math.Max(1, perM*(view.right-view.left)), math.Max(1, perM*(view.top-view.bottom))
	pageWidth := math.Max(narrowPage, fig.PageWidth-longestView+wide)
	textWidth := pageWidth - 2*fig.Margin
	return fig.DrawPage(t, pageWidth, []fig.Block{
		fig.Heading(t, s.Title, s.Subtitle, textWidth),
		{HeightPt: high + fig.RulerHeight + wallPt + edgeName, Draw: func(c *style.Canvas, box style.Box) {
			frame := style.Box{Left: box.Left + fig.RulerWidth, Top: box.Top}
			frame.Right, frame.Bottom = frame.Left+wide, frame.Top+high
			drawing{Slice: s, Canvas: c, frame: frame, view: view, perM: perM}.slice()
		}},
		fig.BarFor(s.Quantity.Name(), s.Quantity.Unit(), s.Scale, s.GoalLevel, s.values()).Block(),
		fig.Paragraph(t, s.notes(), style.TextFont, textWidth),
		fig.Paragraph(t, []string{s.Engine, s.Footer}, style.SmallFont, textWidth),
	})
}

func (s Slice) check() error {
	cells := s.Section.N * s.Section.NZ
	switch {
	case !positive(s.LengthM, s.WidthM, s.HeightM, s.WaterDepthM):
		return fmt.Errorf("section: a tank of %g by %g by %g m with %g m of water cannot be drawn; all must be above 0",
			s.LengthM, s.WidthM, s.HeightM, s.WaterDepthM)
	case s.Section.N < 1 || s.Section.NZ < 1:
		return fmt.Errorf("section: a grid of %d by %d cells holds nothing", s.Section.N, s.Section.NZ)
	case len(s.values()) != cells:
		return fmt.Errorf("section: %d values for %d by %d cells", len(s.values()), s.Section.N, s.Section.NZ)
	}
	return nil
}

func positive(sizes ...float64) bool {
	for _, v := range sizes {
		if !(v > 0) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// along returns the tank's inside length along the slice.
func (s Slice) along() float64 {
	if s.Section.Axis == result.AcrossY {
		return s.WidthM
	}
	return s.LengthM
}

// extent is the part of the slice's plane that is shown, in metres: along the slice, and z above the floor.
type extent struct{ left, right, bottom, top float64 }

// view returns what is shown: the tank with its rim, the rails wholly as far as they stand out by at most half the
// tank's length, and some air above.
func (s Slice) view() extent {
	long := s.along()
	v := extent{right: long, top: math.Max(s.HeightM, s.WaterDepthM)}
	for _, r := range s.Rails {
		top := s.WaterDepthM + r.HeightM + math.Max(r.ThicknessM, 0) + math.Abs(math.Sin(r.TiltRad)*(r.ToM-r.FromM))/2
		if sum := r.FromM + r.ToM + top; sum-sum != 0 {
			continue
		}
		v.left = math.Max(math.Min(v.left, r.FromM), -long/2)
		v.right = math.Min(math.Max(v.right, r.ToM), 1.5*long)
		v.top = math.Max(v.top, top)
	}
	if s.Cover != nil {
		if top := s.WaterDepthM + s.Cover.FromM + s.Cover.ThicknessM; top-top == 0 {
			v.top = math.Max(v.top, top)
		}
	}
	margin := 0.02 * math.Max(v.right-v.left, v.top)
	v.left, v.right, v.bottom = v.left-margin, v.right+margin, v.bottom-margin/2
	v.top += 0.07*(v.top-v.bottom) + margin
	return v
}

func (s Slice) values() []float64 { return s.Section.Light(s.Quantity) }

// notes returns what the picture needs in words.
func (s Slice) notes() []string {
	note := s.Quantity.Name() + " of horizontal planes"
	if len(s.Section.Rays) > 0 {
		note += "; thin lines are the edges of the beams"
	}
	notes := []string{strings.ToUpper(note[:1]) + note[1:] + "."}
	if s.Section.Axis == result.AcrossY && len(s.Modules) > 0 {
		words := "The slice lies where it is darkest between modules; the nearest module of each rail is drawn."
		if s.Through {
			words = "The slice goes through a module."
			if len(s.Modules) > 1 {
				words = "The slice goes through a module; the nearest one of each rail is drawn."
			}
		}
		notes = append(notes, words)
	}
	if _, high, ok := style.Range(s.values()); !ok {
		notes = append(notes, "No cell of this slice has a value.")
	} else if high == 0 {
		notes = append(notes, "No light reaches the water in this slice.")
	}
	return notes
}
