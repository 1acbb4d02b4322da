package heatmap

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene/unit"
)

// mostDark is how many dark corners are told in words and outlined; more are counted.
const mostDark = 6

// figures returns the row of figures below the plan.
func (p Plan) figures() []fig.Figure {
	s, unit := p.Statistics, " "+p.unit()
	if _, _, ok := style.Range(p.values()); !ok {
		s = result.Statistics{Mean: math.NaN(), Min: math.NaN(), Max: math.NaN(), MinOverMean: math.NaN()}
	}
	figures := []fig.Figure{
		{Label: "mean", Value: style.Number(s.Mean) + unit},
		{Label: "min", Value: style.Number(s.Min) + unit},
		{Label: "max", Value: style.Number(s.Max) + unit},
		{Label: "min/mean", Value: ratio(s.MinOverMean)},
	}
	if p.GoalLevel > 0 {
		label := fmt.Sprintf("area at or above %s%s", style.FourDigits(p.GoalLevel), unit)
		figures = append(figures, fig.Figure{Label: label, Value: percent(s.ShareAboveGoal)})
	}
	goal := fig.Figure{Label: "goal", Value: cmp.Or(p.GoalNote, "none set")}
	switch {
	case p.Goal.Asked && p.Goal.Met:
		goal.Value, goal.Mark = "met", fig.Filled
	case p.Goal.Asked:
		goal.Value, goal.Mark = "not met", fig.Hollow
	}
	return append(figures, goal)
}

// notes returns the sentences below the figures: what the goal misses, where the dark corners are, what is not shown.
func (p Plan) notes() []string {
	var notes []string
	if p.Goal.Asked && !p.Goal.Met && len(p.Goal.Missing) > 0 {
		notes = append(notes, "Missing: "+strings.Join(p.Goal.Missing, "; "))
	}
	if _, high, ok := style.Range(p.values()); !ok {
		notes = append(notes, "No cell of this plane has a value.")
	} else if high == 0 {
		notes = append(notes, "No light reaches this plane.")
	}
	notes = append(notes, p.darkNotes()...)
	if p.Signs != "" {
		notes = append(notes, p.Signs)
	}
	if n := p.beyond(); n > 0 {
		notes = append(notes, fmt.Sprintf("Not shown: %d of %d modules, which stand beyond the tank's edges.", n, len(p.Modules)))
	}
	return notes
}

func (p Plan) darkNotes() []string {
	if len(p.Dark) == 0 {
		return nil
	}
	head := "Dark corners"
	unit := p.unit()
	if p.DarkLimit > 0 {
		head += fmt.Sprintf(" (below %s %s)", style.Number(p.DarkLimit), unit)
	}
	var each []string
	for i, d := range p.Dark[:min(len(p.Dark), mostDark)] {
		each = append(each, fmt.Sprintf("%s: %s, lowest %s %s, %s of the area", darkLetter(i), d.Place(p.Units.Span), style.Number(d.Lowest), unit, percent(d.AreaShare)))
	}
	if more := len(p.Dark) - mostDark; more > 0 {
		each = append(each, fmt.Sprintf("and %d more", more))
	}
	return []string{head + ", dashed: " + strings.Join(each, "; ") + "."}
}

func darkLetter(i int) string { return string(rune('A' + i)) }

// beyond returns the number of modules of which no part lies over the tank.
func (p Plan) beyond() int {
	n := 0
	for _, m := range p.Modules {
		if !m.finite() || m.XM+m.LengthM/2 < 0 || m.XM-m.LengthM/2 > p.LengthM || m.YM+m.WidthM/2 < 0 || m.YM-m.WidthM/2 > p.WidthM {
			n++
		}
	}
	return n
}

// percent writes a share: whole percents from 10 % to 99 %, one decimal beyond, so that 99.6 % is not rounded to all
// and little never to nothing.
func percent(share float64) string {
	p := share * 100
	if math.IsNaN(p) {
		return style.Number(p)
	}
	if p == 0 || p == 100 || p >= 10 && p <= 99 {
		return fmt.Sprintf("%.0f %%", p)
	}
	if p < 0.05 && p > 0 {
		return "below 0.1 %"
	}
	if p > 99.9 && p < 100 {
		return "99.9 %"
	}
	return fmt.Sprintf("%.1f %%", p)
}

func ratio(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return style.Number(v)
	}
	return unit.Ratio(v)
}
