package operating

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/heat"
	"fathomlux/scene/parts"
)

// Instant is a scene in its balance of heat at a time of the day, as if the levels of that time had held for long.
type Instant struct {
	AtH    float64   // hours from midnight
	Levels []float64 // of the channels, as a share of full light
	Share  []float64 // of the channels' rated flux
	Point  *Point
}

// Days finds a scene through days of light, and keeps the balances that it found.
type Days struct {
	scene *scene.Scene
	kept  map[string]Instant // by levels
}

// NewDays readies a scene, which stays as it is.
func NewDays(s *scene.Scene) *Days { return &Days{s, map[string]Instant{}} }

// levelStep is the change of a level within which figures are taken as straight.
const levelStep = 0.125

// Instants returns a day by programs of the channels, in the order of the clock: each knot, on both sides of it where
// the light jumps, and between knots at even steps of the level that changes most.
func (d *Days) Instants(ctx context.Context, programs []scene.Program) (list []Instant, err error) {
	times := []float64{0, 24}
	for _, p := range programs {
		for _, k := range p {
			times = append(times, k.AtH)
		}
	}
	slices.Sort(times)
	times = slices.Compact(times)
	for i := 1; i < len(times); i++ {
		fromH, toH := times[i-1], times[i]
		most := 0.0
		for _, p := range programs {
			most = max(most, math.Abs(p.Level(toH, true)-p.Level(fromH, false)))
		}
		steps := max(1, int(math.Ceil(most/levelStep-1e-9)))
		for k := range steps + 1 {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			atH := fromH + (toH-fromH)*float64(k)/float64(steps)
			if k == steps {
				atH = toH
			}
			levels := make([]float64, len(programs))
			for c, p := range programs {
				levels[c] = p.Level(atH, k == steps)
			}
			m, err := d.at(levels)
			if err != nil {
				return nil, fmt.Errorf("at %s h: %w", hoursText(atH), err)
			}
			if m.AtH = atH; len(list) == 0 || k > 0 || jumps(list[len(list)-1].Levels, levels) {
				list = append(list, m)
			}
		}
	}
	return list, nil
}

// jumps tells whether levels differ by more than rounding.
func jumps(a, b []float64) bool {
	return !slices.EqualFunc(a, b, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
}

func hoursText(h float64) string {
	return fmt.Sprintf("%d:%02.0f", int(h), math.Floor((h-math.Floor(h))*60))
}

// at returns the scene at levels of its channels.
func (d *Days) at(levels []float64) (Instant, error) {
	key := fmt.Sprintf("%.9f", levels)
	if m, ok := d.kept[key]; ok {
		return m, nil
	}
	s := d.scene.Copy()
	for c, level := range levels {
		s.SetLevel(c, level)
	}
	op, err := Of(s)
	if err != nil {
		return Instant{}, err
	}
	m := Instant{Levels: levels, Share: make([]float64, len(levels)), Point: op}
	rated := make([]float64, len(levels))
	for _, at := range s.Seats() {
		one, state := s.Rails[at.Rail].Modules[at.Module], op.Rails[at.Rail].Modules[at.Module]
		m.Share[one.Channel] += state.RatedLm * state.RelativeFlux
		rated[one.Channel] += fullLm(one)
	}
	for c := range rated {
		if rated[c] > 0 {
			m.Share[c] /= rated[c]
		}
	}
	d.kept[key] = m
	return m, nil
}

// fullLm is the rated flux of a module at full light, 0 of a dead one.
func fullLm(m scene.Module) float64 {
	m.Draw, m.Dim = nil, parts.Dim{}
	return m.FluxLm()
}

// Over sums a figure up over the instants of a day, in its unit times hours; it runs straight between them.
func Over[T any](list []T, atH, of func(T) float64) (sum float64) {
	for i := 1; i < len(list); i++ {
		sum += (of(list[i-1]) + of(list[i])) / 2 * (atH(list[i]) - atH(list[i-1]))
	}
	return sum
}

// DayLm returns the mean flux of each module over the day of a scene, by rail and module; nil where it has no day, or
// gets too hot at some time of it.
func DayLm(s *scene.Scene) [][]float64 {
	if s.Day == nil {
		return nil
	}
	list, err := NewDays(s).Instants(context.Background(), s.Day)
	if err != nil {
		return nil
	}
	all := make([][]float64, len(s.Rails))
	for i, r := range s.Rails {
		for _, m := range r.Modules {
			fullH := Over(list, func(at Instant) float64 { return at.AtH },
				func(at Instant) float64 { return at.Share[m.Channel] })
			all[i] = append(all[i], fullLm(m)*fullH/24)
		}
	}
	return all
}

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
