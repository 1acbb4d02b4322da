package render

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/gif"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/plan"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// How a net of light is shown: where its colours end, in parts of the cells, since single points are much brighter;
// how wide a film is at least, in pixels; and how long it takes, in hundredths of a second.
const (
	netEnd     = 0.997
	filmPixels = 480
	filmTicks  = 400
)

// FilmS is how long a film takes, s.
const FilmS = filmTicks / 100.0

// Shimmer draws a net of light at its first moment, and all moments as a film that begins anew where it ends; both in
// the same colours. figures are those below the picture, notes the sentences.
func Shimmer(ctx context.Context, s *result.Shimmer, sc *scene.Scene, figures []fig.Figure, notes []string, look Look) (
	[]Picture, error) {
	scale := netScale(s.Frames)
	field := result.Field{Grid: s.Grid, Illuminance: s.Frames[0], PPFD: s.Frames[0]}
	at := result.Plane{Name: s.Plane, DepthM: s.DepthM}
	page := look.page(s.Title, PlaneWords(&at, look.Units)+": "+s.Shown.Name()+" at one moment", ", "+s.Junctions.Words(),
		notes...)
	list, err := finish(ctx, []drawing{{"shimmer", plan.Net{Page: page, Scene: sc, Field: field, Quantity: s.Shown,
		Scale: scale, Figures: figures}}}, look, 1)
	if err != nil || len(s.Frames) < 2 {
		return list, err
	}
	film, err := filmOf(ctx, s, scale)
	return append(list, Picture{Name: "shimmer.gif", Data: film}), err
}

// netScale is a scale for all moments together.
func netScale(frames [][]float64) style.Scale {
	ends := make([]float64, len(frames))
	for i, f := range frames {
		sorted := slices.Sorted(slices.Values(f))
		ends[i] = sorted[int(netEnd*float64(len(sorted)-1))]
	}
	return style.NewScale(0, slices.Max(ends))
}

// filmOf is a GIF in which each colour of the map is one of its palette.
func filmOf(ctx context.Context, s *result.Shimmer, scale style.Scale) ([]byte, error) {
	table := style.Light().Table()
	palette := make(color.Palette, min(len(table), 256))
	for i := range palette {
		palette[i] = table[i*(len(table)-1)/(len(palette)-1)]
	}
	k := max(1, int(math.Ceil(filmPixels/float64(s.Grid.NX))))
	film := gif.GIF{Config: image.Config{Width: k * s.Grid.NX, Height: k * s.Grid.NY}}
	for i, f := range s.Frames {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		img := image.NewPaletted(image.Rect(0, 0, k*s.Grid.NX, k*s.Grid.NY), palette)
		for y := range k * s.Grid.NY {
			atY := (float64(k*s.Grid.NY-1-y) + 0.5) / float64(k) * s.Grid.StepYM
			for x := range k * s.Grid.NX {
				share := min(max(scale.Share(s.Grid.Between(f, (float64(x)+0.5)/float64(k)*s.Grid.StepXM, atY)), 0), 1)
				img.Pix[y*img.Stride+x] = uint8(share * float64(len(palette)-1))
			}
		}
		film.Image = append(film.Image, img)
		film.Delay = append(film.Delay, (i+1)*filmTicks/len(s.Frames)-i*filmTicks/len(s.Frames))
	}
	var b bytes.Buffer
	err := gif.EncodeAll(&b, &film)
	return b.Bytes(), err
}
