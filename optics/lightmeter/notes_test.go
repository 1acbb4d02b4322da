package lightmeter

import (
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene/unit"
)

// TestSmallAbsorptionIsNotRoundedUp: five thousandths stay five, in the sentence as in the table.
func TestSmallAbsorptionIsNotRoundedUp(t *testing.T) {
	t.Parallel()
	said := verdict(&result.Fit{Absorption: true, ExtraPerM: result.Interval{Value: -0.005, Low: -0.005, High: 1.679}})
	text := said.Words(unit.Metric)
	if !strings.Contains(text, " 0.0050 1/m less (extra absorption -0.0050, from -0.0050 to 1.68 1/m)") {
		t.Error(text)
	}
}
