package circuit

import (
	"errors"

	"fathomlux/scene/parts"
)

// Running is what the light costs while nothing is wrong.
type Running struct {
	LoadW, Efficiency, MainsW float64
	HoursPerYear, KWhPerYear  float64
	CostPerYear               parts.Money // without amount where there is no tariff
	LmPerMainsW               float64     // 0 where the light is not known
}

// runningOf returns the running cost of a load on a driver of some efficiency at that load. It refuses an efficiency
// outside 0 to 1, and use that is negative or not finite.
func runningOf(loadW, efficiency float64, u Use) (Running, error) {
	switch {
	case !finite(loadW, efficiency, u.HoursPerDay, u.TariffPerKWh.Amount, u.FluxLm):
		return Running{}, errors.New("load, efficiency, hours, tariff or light is not a finite number")
	case loadW <= 0 || efficiency <= 0 || efficiency > 1:
		return Running{}, errors.New("a load is above 0 W, an efficiency above 0 and at most 1")
	case u.HoursPerDay < 0 || u.HoursPerDay > 24 || u.TariffPerKWh.Amount < 0 || u.FluxLm < 0:
		return Running{}, errors.New("hours a day are from 0 to 24, tariff and light are not negative")
	}
	r := Running{LoadW: loadW, Efficiency: efficiency, MainsW: loadW / efficiency, HoursPerYear: u.HoursPerDay * daysPerYear}
	r.KWhPerYear = r.MainsW / 1000 * r.HoursPerYear
	r.CostPerYear = parts.Money{Amount: r.KWhPerYear * u.TariffPerKWh.Amount, Currency: u.TariffPerKWh.Currency}
	r.LmPerMainsW = u.FluxLm / r.MainsW
	return r, nil
}
