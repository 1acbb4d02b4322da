package render

import (
	"context"
	"fmt"
	"image/color"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

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
