package parts

import "math"

// What parts do not say is assumed, here and nowhere else.
const (
	// caseShare is the share of a module's thermal resistance that lies between the LED cases and the board's back.
	caseShare = 0.5
	// boardKgPerM2 is the mass of a bare board over its area: 1.6 mm of aluminium at 2700 kg/m3.
	boardKgPerM2 = 0.0016 * 2700
)

// FusePrice is that of a fuse with its holder for a wire. Assumed; the figure is invented.
var FusePrice = Money{Amount: 1.35, Currency: "EUR"}

// WirePrice is the price of a metre of single-core copper wire, by its cross-section; none where there is no wire.
// Assumed; both figures are invented.
func WirePrice(areaM2 float64) (m Money) {
	if areaM2 > 0 {
		m = Money{Amount: math.Round(100*(0.11+0.29e6*areaM2)) / 100, Currency: FusePrice.Currency}
	}
	return m
}
