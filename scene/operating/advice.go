package operating

import (
	"math"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/heat"
)

// Advise returns advice for each rail whose junctions do not all keep marginK below their highest temperature, alone
// with the heat that the other rails give under a common hood. o is the balance, nil where there is none.
func Advise(s *scene.Scene, o *Point, marginK float64) (list []heat.Advice) {
	for i, in := range heatInputs(s) {
		if o != nil {
			in = o.Rails[i].Input
		}
		if a := heat.Advise(in, marginK, s.Catalogue.Profiles); a != nil {
			list = append(list, *a)
		}
	}
	return list
}

// waterJPerM3K is the heat that a cubic metre of fresh water takes for a kelvin, and waterSaltShare by how much less it
// is for each g/kg of salt: 997 kg/m3 times 4.18 kJ/kg/K at 25 °C, and 1023 times 3.99 at 35 g/kg. Not
// checked against the print.
const (
	waterJPerM3K   = 4.17e6
	waterSaltShare = 0.0006
)

// WaterHeat returns the light that can get into the water, where it ends as heat, at most: all that leaves the optics.
// By so many kelvins a day it warms the whole tank if none of it is lost; 0 where the scene gives no hours.
func WaterHeat(s *scene.Scene, o *Point) (lightW, kPerDay float64) {
	t := s.Tank
	jPerK := t.LengthM * t.WidthM * t.Water.DepthM * waterJPerM3K * (1 - waterSaltShare*t.Water.SalinityGPerKg)
	return o.LightW, o.LightW * s.Wiring.HoursPerDay * 3600 / jPerK
}

// Life is how long the light of one part lasts, by its own maintenance tests, where its LED cases are hottest.
type Life struct {
	Part     string
	At       scene.Seat // the module with the hottest case of this part
	CaseC    float64    // of its LEDs, the solder point
	TestC    float64    // the temperature that was judged by: CaseC, or the lowest tested one where that is higher
	TestedH  float64
	Untested string // why nothing can be said, empty where it can
	Hours    float64
	Beyond   bool    // the true life is longer than Hours: write "> Hours"
	Years    float64 // of Hours at the scene's hours of light, 0 where it gives none
}

const daysPerYear = 365.25 // Julian year

// Lives returns for each part with maintenance tests, in the order of first use, when share of the first light is left,
// from tests of that many samples.
func Lives(s *scene.Scene, o *Point, share float64, samples int) (list []Life) {
	for ri, r := range o.Rails {
		for mi, m := range r.Modules {
			part := s.Rails[ri].Modules[mi].Part
			if len(part.Maintenance) == 0 || m.ElectricalW == 0 {
				continue
			}
			at := slices.IndexFunc(list, func(l Life) bool { return l.Part == part.Name })
			if at < 0 {
				at, list = len(list), append(list, Life{Part: part.Name, CaseC: math.Inf(-1)})
			}
			if m.CaseC > list[at].CaseC {
				list[at].At, list[at].CaseC = scene.Seat{Rail: ri, Module: mi}, m.CaseC
			}
		}
	}
	for i := range list {
		l := &list[i]
		decay, err := heat.DecayAt(s.Rails[l.At.Rail].Modules[l.At.Module].Part.Maintenance, l.CaseC)
		l.TestC, l.TestedH = decay.CaseC, decay.TestedHours
		if err != nil {
			l.Untested = err.Error()
			continue
		}
		l.Hours, l.Beyond = heat.Until(decay, share, samples)
		if day := s.Wiring.HoursPerDay; day > 0 {
			l.Years = l.Hours / (day * daysPerYear)
		}
	}
	return list
}
