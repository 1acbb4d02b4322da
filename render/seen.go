package render

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene/colour"
)

// Exposure says how the light of a view becomes colours of a screen.
type Exposure struct {
	WhiteCd float64            // luminance that is shown as white, cd/m2; 0 for one at which the tank's lit parts show well
	Adapted colour.Tristimulus // the white that the eye is used to; zero for that of the light on the floor

	Luminance bool // colours stand for luminances, as those of maps do for light
}

// The usual exposure shows the luminance that so many pixels of the water stay below as so much of white.
const (
	exposedShare = 0.97
	exposedAs    = 0.85
)

// Usual fills in what an exposure leaves open.
func (e Exposure) Usual(v *result.Seen) Exposure {
	if e.WhiteCd == 0 {
		var lit []float64
		for i, c := range v.Light {
			if v.IntoTank[i] {
				lit = append(lit, c.Y)
			}
		}
		slices.Sort(lit)
		e.WhiteCd = 1
		if n := len(lit); n > 0 && lit[int(exposedShare*float64(n-1))] > 0 {
			e.WhiteCd = lit[int(exposedShare*float64(n-1))] / exposedAs
		}
	}
	if e.Adapted.Y == 0 {
		e.Adapted = v.White
	}
	return e
}

// seenPicture is a view as a picture with words around it.
type seenPicture struct {
	pixels *image.NRGBA
	page   fig.Page
	key    *fig.Block // of luminances; nil for none
}

// View draws what an eye sees of a lit tank; words tell from where.
func View(ctx context.Context, v *result.Seen, name, title, words string, e Exposure, look Look) ([]Picture, error) {
	pixels, notes := ViewPixels(v, e)
	p := seenPicture{pixels: pixels, page: look.page(title, words, "", notes...)}
	if e.Luminance {
		key := fig.Key("Luminance", "cd/m²", e.scale(), 0, luminances(v))
		p.key = &key
	}
	return finish(ctx, []drawing{{name, p}}, look, 1)
}

// luminances are those of all pixels, cd/m2.
func luminances(v *result.Seen) []float64 {
	list := make([]float64, len(v.Light))
	for i, c := range v.Light {
		list[i] = c.Y
	}
	return list
}

// decades is how many powers of ten the scale of luminances spans.
const decades = 3

// scale is that of luminances: up to what would be drawn as white, and on to a round number.
func (e Exposure) scale() style.Scale { return style.NewLogScale(e.WhiteCd, decades) }

// ViewPixels is what an eye sees of a lit tank, pixel by pixel, and notes about it.
func ViewPixels(v *result.Seen, e Exposure) (*image.NRGBA, []string) {
	img, outside := image.NewNRGBA(image.Rect(0, 0, v.Width, v.Height)), 0
	scale, degree := e.scale(), 1.0
	if e.Adapted != colour.D65 {
		degree = colour.Adapting(e.WhiteCd / whiteOverMean)
	}
	for i, light := range v.Light {
		x, y := i%v.Width, i/v.Width
		if e.Luminance {
			img.SetNRGBA(x, y, color.NRGBA(style.Light().At(scale.Share(light.Y))))
			continue
		}
		c, out := onScreen(light, e, degree)
		if img.SetNRGBA(x, y, c); out {
			outside++
		}
	}
	return img, viewNotes(v, e, degree, float64(outside)/float64(len(v.Light)))
}

// whiteOverMean is the luminance of white over that of the field of view. Source: CIE 159:2004, a grey world of 20 %.
const whiteOverMean = 5

// viewNotes say how a picture is to be read, of which a share has colours that no screen has.
func viewNotes(v *result.Seen, e Exposure, degree, outside float64) (notes []string) {
	room := fmt.Sprintf("the room has %s cd/m² all about.", figure3(v.RoomCd))
	used := "daylight"
	if e.Adapted != colour.D65 {
		used = fmt.Sprintf("the light on the floor of the tank, to %.0f %%", 100*degree)
	}
	if e.Luminance {
		notes = append(notes, "The colours stand for luminances; "+room)
	} else {
		notes = append(notes, fmt.Sprintf("White is %s cd/m², %s The eye is used to %s.", figure3(e.WhiteCd), room, used))
	}
	if outside > 0.001 {
		notes = append(notes, fmt.Sprintf("%.1f %% of the picture has colours that a screen cannot show; they are paler "+
			"here than they look.", 100*outside))
	}
	if v.Leaves {
		notes = append(notes, "Plants have as much leaf area as the scene says; where their leaves are is invented.")
	}
	if v.Stilled {
		notes = append(notes,
			"The surface moves in this scene; it is drawn still, and the light under it is the mean over time.")
	}
	return notes
}

// The ninths of a picture, row by row.
var ninths = [...]string{"the upper left", "the upper middle", "the upper right", "the left", "the middle", "the right",
	"the lower left", "the lower middle", "the lower right"}

// ViewWords says what a view shows, for those who cannot see it: which ninth of the water is the brightest and which
// the darkest, each by the luminance that half of it stays below.
func ViewWords(v *result.Seen) string {
	var seen image.Rectangle
	for i, in := range v.IntoTank {
		if x, y := i%v.Width, i/v.Width; in {
			seen = seen.Union(image.Rect(x, y, x+1, y+1))
		}
	}
	if seen.Empty() {
		return "No water is in sight."
	}
	var lights [len(ninths)][]float64
	for i, in := range v.IntoTank {
		if x, y := i%v.Width-seen.Min.X, i/v.Width-seen.Min.Y; in {
			ninth := 3*(3*y/seen.Dy()) + 3*x/seen.Dx()
			lights[ninth] = append(lights[ninth], v.Light[i].Y)
		}
	}
	low, high := -1, -1
	half := func(ninth int) float64 { return lights[ninth][len(lights[ninth])/2] }
	for i := range lights {
		if len(lights[i]) == 0 {
			continue
		}
		slices.Sort(lights[i])
		if low < 0 || half(i) < half(low) {
			low = i
		}
		if high < 0 || half(i) > half(high) {
			high = i
		}
	}
	return fmt.Sprintf("Of the water in sight %s is the brightest, with %s cd/m², and %s the darkest, with %s cd/m².",
		ninths[high], figure3(half(high)), ninths[low], figure3(half(low)))
}

// figure3 is a figure of about three digits.
func figure3(v float64) string { return fmt.Sprintf("%.3g", v) }

// onScreen is the colour of a screen for light, and whether a screen has it.
func onScreen(c colour.Tristimulus, e Exposure, degree float64) (color.NRGBA, bool) {
	rgb, outside := c.Times(c.Y/e.WhiteCd).AdaptedPartly(e.Adapted.Times(1), colour.D65, degree).Screen()
	of := func(v float64) uint8 { return uint8(math.Round(255 * v)) }
	return color.NRGBA{R: of(rgb[0]), G: of(rgb[1]), B: of(rgb[2]), A: 255}, outside
}

// Draw makes the picture's page.
func (p seenPicture) Draw() (*style.Canvas, error) {
	size := p.pixels.Bounds().Size()
	return p.page.Draw(2*fig.Margin+float64(size.X), func(*style.Typesetter, float64) []fig.Block {
		blocks := []fig.Block{{HeightPt: float64(size.Y), Draw: func(c *style.Canvas, b style.Box) {
			c.Picture(b, p.paint)
		}}}
		if p.key != nil {
			blocks = append(blocks, *p.key)
		}
		return blocks
	})
}

// paint fills an image, which may have more pixels than the view.
func (p seenPicture) paint(img *image.RGBA) {
	r, size := img.Bounds(), p.pixels.Bounds().Size()
	for y := range r.Dy() {
		for x := range r.Dx() {
			img.Set(r.Min.X+x, r.Min.Y+y, p.pixels.NRGBAAt(x*size.X/r.Dx(), y*size.Y/r.Dy()))
		}
	}
}
