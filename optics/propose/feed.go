package propose

import (
	"cmp"
	"math"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/circuit"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
)

// feed is one driver with the strings of modules of one part that it feeds.
type feed struct {
	module             int
	driver             parts.Driver
	currentA           float64 // of each module
	strings, perString int
	mainsW, highestV   float64
}

func (f feed) modules() int { return f.strings * f.perString }

// most is how many modules of a part a string, and how many strings a driver may have.
const most = 24

// feeds lists how drivers feed a module's part: isolated ones whose output stays at or below a voltage whatever
// happens, where no first fault overloads a module.
func (s *seeker) feeds(module int) (list []feed) {
	part, given := s.modules[module], circuit.Usual(s.scene.Ambient.AirC)
	least, highest := part.CurrentRange()
	highest = min(highest, cmp.Or(part.HighestA, highest))
	for _, name := range parts.Names(s.parts.Drivers) {
		d := s.parts.Drivers[name]
		if !d.Isolated || max(d.OpenV, d.HighestV) > s.options.VoltsAtMost+1e-9 {
			continue
		}
		for _, outA := range d.CurrentsA {
			for strings := 1; strings <= most && outA/float64(strings) >= least*(1-1e-9); strings++ {
				amps := outA / float64(strings)
				if amps > highest*(1+1e-9) {
					continue
				}
				amps = min(max(amps, least), highest)
				if strings > 1 && outA > highest*(1+1e-9) {
					continue // one string takes about all where a module of it is bridged
				}
				v := part.Voltage(amps, part.ReferenceC)
				highV := max(v, part.Voltage(amps, given.ColdC))
				for n := max(1, int(math.Ceil(d.LowestV/v-1e-9))); n <= most && float64(n)*highV <= d.HighestV &&
					n*strings <= s.options.MaxModules && float64(n)*v*outA*(1+given.MarginShare) <= d.RatedW; n++ {
					if _, known := d.Efficiency.At(float64(n) * v * outA / d.RatedW); !known {
						continue
					}
					if f, ok := s.feed(module, d, amps, strings, n); ok {
						list = append(list, f)
					}
				}
			}
		}
	}
	return list
}

// feed holds one driver against strings.
func (s *seeker) feed(module int, d parts.Driver, amps float64, strings, perString int) (f feed, ok bool) {
	part := s.modules[module]
	job := circuit.Job{RailLengthsM: []float64{1}, Drivers: map[string]parts.Driver{d.Name: d}, NearWater: true,
		Request: circuit.Request{Strings: strings, Driver: d.Name}, Given: circuit.Usual(s.scene.Ambient.AirC)}
	for i := range strings * perString {
		job.Modules = append(job.Modules, parts.Mounted{Part: part, CurrentA: amps, JunctionC: part.ReferenceC, Number: i + 1,
			AlongM: float64(i)})
	}
	for i := range strings { // modules are alike, so that it does not matter which string has which
		job.Dealt = append(job.Dealt, job.Modules[i*perString:(i+1)*perString])
	}
	plan, err := circuit.Choose(job)
	if err != nil || !plan.Chosen.Fed() || plan.Chosen.Harm {
		return f, false
	}
	fit := plan.Chosen.Fit
	v := max(fit.Verdict.WorkV, fit.Verdict.OpenV)
	if fit.Exposed || fit.Verdict.Pulsed || v > s.options.VoltsAtMost+1e-9 {
		return f, false
	}
	return feed{module, d, amps, strings, perString, fit.MainsW, v}, true
}

// build is all of a light but how its modules stand and with which optic: what is fed by how many drivers, on how many
// bars of which profile, with what that makes about of light, power and money.
type build struct {
	feed
	drivers, bars  int
	profile        parts.Profile
	lumens, mainsW float64 // of one module, and of all
	money          float64 // without optics and wire; NaN where a price is not known
}

func (b build) perBar() int { return b.drivers * b.feed.modules() / b.bars }

func (b build) all() int { return b.perBar() * b.bars }

// builds lists all of them, by the number of bars.
func (s *seeker) builds() (list []build) {
	bars := map[int]hung{}
	for _, h := range s.hangs {
		bars[len(h)] = h
	}
	for n := 1; n <= scene.MaxRails; n++ {
		h, ok := bars[n]
		if !ok {
			continue
		}
		rises := s.rises(h)
		for _, f := range s.fed {
			for drivers := 1; drivers*f.modules() <= s.options.MaxModules; drivers++ {
				if drivers*f.modules()%n != 0 {
					continue
				}
				if b, ok := s.build(build{feed: f, drivers: drivers, bars: n}, rises); ok {
					list = append(list, b)
				}
			}
		}
	}
	return list
}

// rise is how warm bars of one profile get, over the air of the room, by the heat that each takes, and what they cost.
type rise struct {
	profile parts.Profile
	money   float64 // NaN where it is not known
	heatW   []float64
	riseK   []float64
}

// of is the bars of a profile; kept ones stay as they are.
func (h hung) of(p parts.Profile, keep bool) []scene.Rail {
	rails := slices.Clone(h)
	for i := range rails {
		if !keep {
			rails[i].Profile = p
		}
	}
	return rails
}

// rises are those of the profiles at hand in which the bars are sold, the cheapest first.
func (s *seeker) rises(h hung) (list []rise) {
	profiles := map[string]parts.Profile{"": h[0].Profile}
	if !s.options.KeepRails {
		profiles = s.parts.Profiles
	}
	for _, name := range parts.Names(profiles) {
		p, bare := profiles[name], s.empty.Copy()
		bare.Rails = h.of(p, s.options.KeepRails)
		bought := bill.Of(bare, nil, 0)
		if unsold := func(l bill.Line) bool { return l.Note.Code == finding.NoStockHolds }; !s.options.KeepRails &&
			slices.ContainsFunc(bought.Lines, unsold) {
			continue
		}
		r := rise{profile: p, money: s.price(s.moneyOf(bought)), heatW: []float64{0}, riseK: []float64{0}}
		for _, n := range []int{1, 2, 4, 8, 16, 32} {
			sc := s.scene.Copy()
			sc.Wiring.Supplies, sc.Rails = nil, nil
			for _, rail := range bare.Rails {
				for _, xM := range scene.Spaced(n, rail.LengthM/2, rail.LengthM/float64(n)) {
					rail.Modules = append(rail.Modules, scene.Module{Part: s.die, Optic: s.optics[0], XM: rail.LeftM + xM,
						CurrentA: s.dieA})
				}
				sc.Rails = append(sc.Rails, rail)
			}
			o, err := operating.Of(sc)
			if err != nil {
				break
			}
			hottest := 0.0
			for _, one := range o.Rails {
				hottest = max(hottest, one.HottestRailC)
			}
			r.heatW, r.riseK = append(r.heatW, o.HeatW/float64(len(h))), append(r.riseK, hottest-o.AirC)
		}
		list = append(list, r)
	}
	slices.SortStableFunc(list, func(a, b rise) int { return cmp.Compare(orEnd(a.money), orEnd(b.money)) })
	return list
}

// orEnd is money that is not known as without end.
func orEnd(v float64) float64 {
	if math.IsNaN(v) {
		return math.Inf(1)
	}
	return v
}

// at interpolates; what is beyond the last is as steep as there.
func (r rise) at(heatW float64) float64 {
	n := len(r.heatW)
	if n < 2 {
		return math.Inf(1)
	}
	i := 1
	for i < n-1 && r.heatW[i] < heatW {
		i++
	}
	return r.riseK[i-1] + (r.riseK[i]-r.riseK[i-1])*(heatW-r.heatW[i-1])/(r.heatW[i]-r.heatW[i-1])
}

// build chooses the cheapest profile that keeps rail and junctions below their limits, and adds up.
func (s *seeker) build(b build, rises []rise) (build, bool) {
	part := s.modules[b.module]
	m := parts.Mounted{Part: part, CurrentA: b.currentA, OpticLoss: 0.1}
	for _, r := range rises {
		if r.profile.WidthM < part.BoardWidthM-1e-9 && !s.options.KeepRails {
			continue
		}
		junctionC, railC := 50.0, 0.0
		draw := m.Draw(junctionC)
		for range 4 {
			railC = s.scene.Ambient.AirC + r.at(draw.HeatW*float64(b.perBar()))
			junctionC = railC + draw.HeatW*part.ResistanceKPerW
			if !(junctionC < 300) {
				break
			}
			draw = m.Draw(junctionC)
		}
		if railC > heat.TouchC+2 || junctionC > part.HighestJunctionC {
			continue
		}
		b.profile, b.lumens = r.profile, part.RatedFlux(b.currentA)*draw.RelativeFlux*cmp.Or(s.scene.FluxFactor, 1)
		cold := m.Draw(part.ReferenceC)
		b.mainsW = b.feed.mainsW * float64(b.drivers) * draw.ElectricalW / cold.ElectricalW
		b.money = s.price(part.Price)*withSpares(b.all()) + s.price(b.driver.Price)*float64(b.drivers) + r.money
		return b, true
	}
	return b, false
}

// withSpares is how many of n a bill counts.
func withSpares(n int) float64 { return float64(n) + math.Ceil(float64(n)*spareShare-1e-9) }

// price is an amount in the currency of the search; NaN where it is not known in that.
func (s *seeker) price(m parts.Money) float64 {
	if m.Currency == "" || m.Currency != s.currency {
		return math.NaN()
	}
	return m.Amount
}
