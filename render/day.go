package render

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/gif"
	"math"
	"slices"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/plan"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Day draws the levels of the channels and the mean PPFD of the goal's plane against the clock, and the daily light
// integral of each plane from above. notes are the sentences below the chart.
func Day(ctx context.Context, d *result.Day, sc *scene.Scene, notes []string, look Look, workers int) ([]Picture,
	error) {
	list := []drawing{clockDrawing(d, sc, notes, look)}
	for i := range d.Planes {
		p := &d.Planes[i]
		page := look.page(sc.Title, PlaneWords(&p.Plane, look.Units)+": "+result.DailyLight.Name()+" of the whole day", "")
		goal := d.Goal.On(p.DepthM)
		goal.Shown = result.DailyLight
		one := plan.Plan{Page: page, Scene: sc, Plane: &p.Plane, Quantity: result.DailyLight, Goal: goal}
		if part, alone := sc.Goal.On(p.DepthM); alone && goal.Asked {
			one.Goal.Level = part.DLI
		}
		switch {
		case !d.Goal.Asked:
			one.GoalNote = "none set for the day"
		case !goal.Asked:
			one.GoalNote = "set for " + strings.Join(planesOf(d.Goal), ", ")
		}
		list = append(list, drawing{"dli-" + PlaneFileName(p.Name), one})
	}
	return finish(ctx, list, look, workers)
}

func clockDrawing(d *result.Day, sc *scene.Scene, notes []string, look Look) drawing {
	hours := chart.Axis{Label: "time of the day, h", High: 24, Tight: true, At: []float64{0, 3, 6, 9, 12, 15, 18, 21, 24}}
	plane := d.Planes[0]
	levels := chart.Panel{X: hours, Y: chart.Axis{Label: "level of the channel, %", High: 100, Zero: true}}
	light := chart.Panel{X: hours, Y: chart.Axis{Label: "mean PPFD, " + PlaneWords(&plane.Plane, look.Units) + ", " +
		result.PPFD.Unit(), Zero: true}}
	all := chart.Series{Name: "all channels together"}
	all.Pen, _ = chart.Look(len(d.Channels), 2.4)
	for _, m := range d.Moments {
		all.X, all.Y = append(all.X, m.AtH), append(all.Y, plane.Sum(m))
	}
	for c, name := range d.Channels {
		level := chart.Series{Name: name, X: all.X}
		level.Pen, _ = chart.Look(c, 2)
		share := chart.Series{X: all.X, Pen: level.Pen}
		for _, m := range d.Moments {
			level.Y, share.Y = append(level.Y, 100*m.Levels[c]), append(share.Y, plane.PPFD(m, c))
		}
		levels.Series, light.Series = append(levels.Series, level), append(light.Series, share)
	}
	if len(d.Channels) > 1 {
		light.Series = append(light.Series, all)
	}
	if sc.Goal.PPFD > 0 {
		light.Limits = []chart.Limit{{At: sc.Goal.PPFD, Label: "goal " + style.FourDigits(sc.Goal.PPFD)}}
	}
	subtitle := fmt.Sprintf("levels and light by the clock; daily light integral %s %s", style.Number(plane.DLI),
		result.DailyLight.Unit())
	return drawing{"day", chart.Chart{Page: look.page(sc.Title, subtitle, "", notes...),
		Panels: []chart.Panel{levels, light}}}
}

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

// Choice is lights of a tank by what their parts cost and how even they are.
type Choice struct {
	Title, Currency string
	Quantity        result.Quantity // of the uniformity
	Uniformity      float64         // that the goal asks for; 0 for none
	Computed        Places          // of lights that meet all, the proposals among them
	Front           Places          // of those that none beats in both, by rising money
	Estimates       Places          // of lights at a first look, which may fall
	Answers         []ChoiceAnswer
}

// Places are points by what a light costs and how even it is.
type Places struct{ Money, Even []float64 }

// Add adds a point.
func (p *Places) Add(money, even float64) {
	p.Money, p.Even = append(p.Money, money), append(p.Even, even)
}

// upTo are those that cost no more than some money.
func (p Places) upTo(money float64) (out Places) {
	for i, m := range p.Money {
		if m <= money {
			out.Add(m, p.Even[i])
		}
	}
	return out
}

// ChoiceAnswer is a light that is proposed.
type ChoiceAnswer struct {
	Name        string
	Money, Even float64
}

// guessColour is that of what was not computed.
var guessColour = color.NRGBA{R: 196, G: 203, B: 214, A: 255}

// dearestShown is up to which price lights are drawn, over that of the dearest proposal.
const dearestShown = 1.5

// Proposals draws money against uniformity, with the frontier and the answers; nothing where no price is known.
func Proposals(ctx context.Context, c Choice, look Look) ([]Picture, error) {
	if len(c.Answers) == 0 {
		return nil, nil
	}
	panel := chart.Panel{X: chart.Axis{Label: "parts, " + c.Currency, Zero: true},
		Y: chart.Axis{Label: "uniformity U0 (min/mean) of " + c.Quantity.Name(), Zero: true}}
	dearest := 0.0
	for i, a := range c.Answers {
		pen, mark := chart.Look(i+1, 0)
		panel.Series = append(panel.Series, chart.Series{Name: fmt.Sprintf("%d  %s", i+1, a.Name), Mark: mark, Radius: 8,
			Pen: pen, X: []float64{a.Money}, Y: []float64{a.Even}, Labels: []string{fmt.Sprint(i + 1)}})
		dearest = max(dearest, a.Money)
	}
	guessed, computed := c.Estimates.upTo(dearestShown*dearest), c.Computed.upTo(dearestShown*dearest)
	front := c.Front.upTo(dearestShown * dearest)
	if c.Uniformity > 0 {
		panel.Limits = []chart.Limit{{At: c.Uniformity, Label: "goal " + style.FourDigits(c.Uniformity)}}
	}
	panel.Series = append([]chart.Series{
		{Name: "estimate of a first look: may fail, or cost more", Mark: fig.Disc, Radius: 1.5,
			Pen: style.Pen{Colour: guessColour}, X: guessed.Money, Y: guessed.Even},
		{Name: "computed, meets the goal", Mark: fig.Ring, Radius: 3, Pen: style.Pen{Colour: plainColour},
			X: computed.Money, Y: computed.Even},
		{Name: "frontier of the computed: none is cheaper and more even", Pen: style.SeriesPen(0, 1.6), Steps: true,
			X: front.Money, Y: front.Even}}, panel.Series...)
	page := look.page(c.Title, fmt.Sprintf("%d computed lights by what their parts cost and how even they are, and %d "+
		"estimates", len(computed.Money), len(guessed.Money)), "; estimates have the goal's mean on coarse cells, "+
		"without heat and wiring; lights of more than 1.5 times the money of the dearest proposal are left out")
	return finish(ctx, []drawing{{"money", chart.Chart{Page: page, HeightPt: 700, Panels: []chart.Panel{panel}}}}, look, 1)
}
