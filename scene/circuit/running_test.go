package circuit

import (
	"fmt"
	"testing"

	"fathomlux/scene/parts"
)

// ExampleRunningOf is two lamps of 80 W with 25 % loss beside them, 2500 hours a year at 0.30 a kilowatt-hour: 500 kWh,
// 150. Source: Theraja, A Textbook of Electrical Technology, example 49.5, p. 1901 (H3).
func Example_runningOf() {
	r := runningOf(2*80, 1/1.25, Use{HoursPerDay: 2500. / 365, TariffPerKWh: parts.Money{Amount: 0.30, Currency: "EUR"}})
	fmt.Printf("%.1f W, %.1f kWh, %.2f %s\n", r.MainsW, r.KWhPerYear, r.CostPerYear.Amount, r.CostPerYear.Currency)
	// Output: 200.0 W, 500.0 kWh, 150.00 EUR
}

// TestRunningOfTheFoyer: 29.4 W at 85 % are 34.6 W, and 6 x 556 lm of them 96.4 lm/W.
func TestRunningOfTheFoyer(t *testing.T) {
	r := runningOf(29.4, 0.85, foyerJob().Use)
	if !near(r.MainsW, 34.588, 5e-4) || !near(r.LmPerMainsW, 96.45, 5e-3) || r.HoursPerYear != 9*365 { // last digit written
		t.Errorf("%+v", r)
	}
	if want := 0.0345882 * 9 * 365 * 0.28; !near(r.CostPerYear.Amount, want, 1e-4) {
		t.Errorf("%g EUR, want %g", r.CostPerYear.Amount, want)
	}
	if r = runningOf(29.4, 0.85, Use{}); r.KWhPerYear != 0 || r.LmPerMainsW != 0 || r.CostPerYear != (parts.Money{}) {
		t.Errorf("without use: %+v", r)
	}
}
