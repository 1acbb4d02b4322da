package style

import (
	"fmt"
	"testing"
)

// TestSeriesPensAreToldApart: of the first lines no two share colour and dash, and each stands out against the page.
func TestSeriesPensAreToldApart(t *testing.T) {
	seen := map[string]int{}
	for i := range 3 * len(series) {
		p := SeriesPen(i, 2)
		key := fmt.Sprint(p.Colour, p.Dash)
		if other, ok := seen[key]; ok {
			t.Errorf("lines %d and %d look alike", other, i)
		}
		seen[key] = i
		if p.Width != 2 {
			t.Errorf("line %d is %g wide", i, p.Width)
		}
		y := func(r, g, b uint8) float64 { return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b) }
		if contrast := (y(Paper.R, Paper.G, Paper.B) + 0.05) / (y(p.Colour.R, p.Colour.G, p.Colour.B) + 0.05); contrast < 3 { // WCAG 2.2, 1.4.11
			t.Errorf("line %d stands out by %.2f to 1", i, contrast)
		}
	}
}
