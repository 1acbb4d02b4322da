package render

import (
	"context"
	"fmt"

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
	Money, Even     []float64       // of all that reach the goal's mean, at a first look
	FrontMoney      []float64       // rising, of those that none beats in both, the proposals among them
	FrontEven       []float64
	Answers         []ChoiceAnswer
}

// ChoiceAnswer is a light that is proposed.
type ChoiceAnswer struct {
	Name        string
	Money, Even float64
}

// dearestShown is up to which price lights are drawn, over that of the dearest proposal.
const dearestShown = 1.5

// Proposals draws money against uniformity, with the frontier and the answers; nothing where no price is known.
func Proposals(ctx context.Context, c Choice, look Look) ([]Picture, error) {
	if len(c.Answers) == 0 {
		return nil, nil
	}
	panel := chart.Panel{X: chart.Axis{Label: "parts, " + c.Currency, Zero: true},
		Y: chart.Axis{Label: "uniformity U0 (min/mean) of " + c.Quantity.Name(), Zero: true}}
	dots := chart.Series{Name: "reaches the goal's mean", Mark: fig.Ring, Radius: 2, Pen: style.Pen{Colour: plainColour}}
	dearest := 0.0
	for i, a := range c.Answers {
		pen, mark := chart.Look(i+1, 0)
		panel.Series = append(panel.Series, chart.Series{Name: fmt.Sprintf("%d  %s", i+1, a.Name), Mark: mark, Radius: 8,
			Pen: pen, X: []float64{a.Money}, Y: []float64{a.Even}, Labels: []string{fmt.Sprint(i + 1)}})
		dearest = max(dearest, a.Money)
	}
	for i, m := range c.Money {
		if m <= dearestShown*dearest {
			dots.X, dots.Y = append(dots.X, m), append(dots.Y, c.Even[i])
		}
	}
	front := chart.Series{Name: "frontier: none is cheaper and more even", Pen: style.SeriesPen(0, 1.6), Steps: true,
		X: c.FrontMoney, Y: c.FrontEven}
	if c.Uniformity > 0 {
		panel.Limits = []chart.Limit{{At: c.Uniformity, Label: "goal " + style.FourDigits(c.Uniformity)}}
	}
	panel.Series = append([]chart.Series{dots, front}, panel.Series...)
	page := look.page(c.Title, fmt.Sprintf("%d lights by what their parts cost and how even they are", len(dots.X)),
		"; dots are from a first look on coarse cells and leave out light that costs more than 1.5 "+
			"times the dearest proposal; the proposals are computed in full")
	return finish(ctx, []drawing{{"money", chart.Chart{Page: page, HeightPt: 700, Panels: []chart.Panel{panel}}}}, look, 1)
}
