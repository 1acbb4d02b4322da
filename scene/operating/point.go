// Package operating finds the operating point of a whole scene: the balance between electrical power, light and heat of
// all its rails, with what would make them cooler and how long their light lasts. It holds no formula of heat.
// Next: package heat for one rail.
package operating

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/parts"
)

// hoodEmissivity is that of a hood's outside: wood, paint and plastics, common practice, no published source.
const hoodEmissivity = 0.9

// Point is a scene at work, in balance between electrical power, light and heat. Sums run over all rails.
type Point struct {
	AirC              float64 // of the room
	HoodAirC          float64 // around the rails; as AirC where there is no hood
	HoodWallC         float64
	Rails             []RailPoint // in the scene's order
	ElectricalW       float64
	LightW, HeatW     float64           // behind the optics; their sum is ElectricalW
	DriversW          float64           // what the drivers inside the hood lose there, beside the rails
	LossW             float64           // what the rails give to the air; HeatW but for the error of the numbers
	RatedLm, FluxLm   float64           // of the dies: at the parts' reference temperatures, and in balance
	HottestRail       int               // the one with the hottest place that a hand can touch
	Hottest, Tightest scene.Seat        // with the highest junction and the smallest margin; -1, -1 where there is none
	Notes             []finding.Finding // where places were moved; a junction that passes its limit stands in TooHot
	Stretched         []finding.Finding // formulas, face by face with figures; Trust says it in a sentence
}

// RailPoint is one rail in balance with what it was balanced from.
type RailPoint struct {
	Name  string
	LeftM float64 // x of the rail's left end
	Input heat.Input
	heat.Result
	stretched []heat.Stretch // faces whose formulas are stretched
}

// RelativeFlux returns the share of the rated flux that is left, 1 where there is none.
func (o *Point) RelativeFlux() float64 {
	if o.RatedLm == 0 {
		return 1
	}
	return o.FluxLm / o.RatedLm
}

// HottestJunctionC returns the highest junction temperature; that of the room where there is no module.
func (o *Point) HottestJunctionC() float64 {
	if o.Hottest.Rail < 0 {
		return o.AirC
	}
	return o.Rails[o.Hottest.Rail].Modules[o.Hottest.Module].JunctionC
}

// JunctionsC returns the lowest and the highest junction temperature of the modules that are on; ok is false where none
// is.
func (o *Point) JunctionsC() (lowC, highC float64, ok bool) {
	lowC, highC = math.Inf(1), math.Inf(-1)
	for _, r := range o.Rails {
		for _, m := range r.Modules {
			if m.ElectricalW > 0 {
				lowC, highC = math.Min(lowC, m.JunctionC), math.Max(highC, m.JunctionC)
			}
		}
	}
	return lowC, highC, lowC <= highC
}

// TooHot says which junction passes its part's highest temperature by most, if one does.
func (o *Point) TooHot() (why finding.Finding) {
	at := o.Tightest
	if at.Rail < 0 || o.Rails[at.Rail].Modules[at.Module].MarginK >= 0 {
		return why
	}
	m := o.Rails[at.Rail].Modules[at.Module]
	return finding.JunctionTooHot.Of(finding.Text(o.Rails[at.Rail].Input.Modules[at.Module].Name),
		finding.Celsius(m.JunctionC), finding.Celsius(m.JunctionC+m.MarginK))
}

// Of balances every rail of the scene in its air. Rails under one hood share its warmth. Dead modules take no
// current. Where a module's middle lies beyond its rail's end, its heat is taken to enter at the end. Errors name the
// rail; they wrap heat.ErrTooHot where no balance exists.
func Of(s *scene.Scene) (*Point, error) {
	inputs := heatInputs(s)
	results, err := balance(s, inputs)
	if err != nil {
		return nil, err
	}
	o := &Point{AirC: s.Ambient.AirC, HoodAirC: s.Ambient.AirC, HoodWallC: s.Ambient.AirC,
		Hottest:  scene.Seat{Rail: -1, Module: -1},
		Tightest: scene.Seat{Rail: -1, Module: -1}}
	o.DriversW = driversW(s, electrical(results))
	for i, r := range results {
		rail, stray := s.Rails[i], 0
		for _, m := range rail.Modules {
			if at := m.XM - rail.LeftM; at < -scene.SlackM || at > rail.LengthM+scene.SlackM {
				stray++
			}
		}
		if stray > 0 {
			o.Notes = append(o.Notes, finding.HeatBeyondEnds.Of(finding.Text(scene.RailWord(rail.Name)),
				finding.Value{V: float64(stray)}))
		}
		o.add(RailPoint{Name: rail.Name, LeftM: rail.LeftM, Input: inputs[i], Result: r,
			stretched: heat.Bar{Profile: rail.Profile, AirC: r.AirC}.Stretched(r.HottestRailC)})
	}
	return o, nil
}

// heatInputs returns what heat.Balance and heat.Advise take of each rail, also of those that have no balance: the other
// rails under the hood give then the heat that they would give with junctions at the air's temperature.
func heatInputs(s *scene.Scene) []heat.Input {
	list := make([]heat.Input, len(s.Rails))
	coolW, totalW := make([]float64, len(s.Rails)), driversW(s, func(rail, module int, m parts.Mounted) float64 {
		return m.Draw(s.Ambient.AirC).ElectricalW
	})
	for i, modules := range s.Mounted() {
		r := s.Rails[i]
		for k := range modules {
			m := &modules[k]
			m.AlongM = min(max(m.AlongM, 0), r.LengthM)
			if r.Modules[k].Dead {
				m.CurrentA = 0
			}
			coolW[i] += m.Draw(s.Ambient.AirC).HeatW
		}
		totalW += coolW[i]
		list[i] = heat.Input{Rail: r.Name, Profile: r.Profile, LengthM: r.LengthM, AirC: s.Ambient.AirC, Modules: modules}
	}
	if h := s.Ambient.Hood; h != nil {
		for i := range list {
			list[i].Hood = &heat.Hood{LengthM: h.LengthM, WidthM: h.WidthM, HeightM: h.HeightM, Emissivity: hoodEmissivity,
				OtherHeatW: math.Max(totalW-coolW[i], 0)}
		}
	}
	return list
}

// Rails under one hood are balanced in turn until the heat of none moves by more than settledShare of all heat. Each
// round brings them nearer by a factor of tens, for the heat hardly depends on the air.
const (
	settledShare = 1e-7
	mostRounds   = 30
)

// balance balances all rails. It sets the heat of the others in the hoods of inputs.
func balance(s *scene.Scene, inputs []heat.Input) ([]heat.Result, error) {
	results := make([]heat.Result, len(inputs))
	inHood := slices.ContainsFunc(s.Wiring.Supplies, func(v scene.Supply) bool { return v.Site == scene.HoodSite })
	for round := 0; round < mostRounds; round++ {
		var moved, totalW float64
		for i := range inputs {
			if round > 0 {
				inputs[i].Hood.OtherHeatW = driversW(s, electrical(results))
				for k, other := range results {
					if k != i {
						inputs[i].Hood.OtherHeatW += other.HeatW
					}
				}
			}
			r, err := heat.Balance(inputs[i])
			if err != nil {
				return nil, fmt.Errorf("%s: %w", scene.RailWord(s.Rails[i].Name), err)
			}
			moved = math.Max(moved, math.Abs(r.HeatW-results[i].HeatW))
			totalW += r.HeatW
			results[i] = r
		}
		if s.Ambient.Hood == nil || len(inputs) < 2 && !inHood || moved <= settledShare*totalW {
			return results, nil
		}
	}
	return nil, fmt.Errorf("the rails under the hood do not settle: %w", heat.ErrTooHot)
}

// electrical returns the electrical power of the modules in balance.
func electrical(results []heat.Result) func(rail, module int, _ parts.Mounted) float64 {
	return func(rail, module int, _ parts.Mounted) float64 { return results[rail].Modules[module].ElectricalW }
}

// driversW returns what the drivers inside the hood lose, W, while each module takes powerW: their losses at the load,
// and their stand-by, which counts all day.
func driversW(s *scene.Scene, powerW func(rail, module int, m parts.Mounted) float64) (sumW float64) {
	loads := make([]float64, len(s.Wiring.Supplies))
	if len(loads) == 0 || s.Ambient.Hood == nil {
		return 0
	}
	for i, rail := range s.Mounted() {
		for k, m := range rail {
			if one := s.Rails[i].Modules[k]; !one.Dead {
				loads[one.Supply] += powerW(i, k, m)
			}
		}
	}
	for i, v := range s.Wiring.Supplies {
		d := v.Driver
		if v.Site == scene.HoodSite {
			if d.Name == "" {
				d = worst(s.Catalogue.Drivers, loads[i])
			}
			lossW, _ := d.LossW(loads[i])
			sumW += lossW + d.StandbyW
		}
	}
	return sumW
}

// worst returns the driver that is assumed where the scene leaves it open: the one at hand that would lose most if the
// load were its rated power, the first by name.
func worst(drivers map[string]parts.Driver, loadW float64) (d parts.Driver) {
	mostW := -1.0
	for _, name := range parts.Names(drivers) {
		other := drivers[name]
		other.RatedW = loadW
		if lossW, _ := other.LossW(loadW); lossW > mostW {
			mostW, d = lossW, other
		}
	}
	return d
}

// add adds a rail to the sums and extremes. Of places that are equal within heat.TieK the first counts.
func (o *Point) add(r RailPoint) {
	at := len(o.Rails)
	o.Rails = append(o.Rails, r)
	o.HoodAirC, o.HoodWallC = r.AirC, r.HoodWallC
	o.ElectricalW += r.ElectricalW
	o.LightW += r.LightW
	o.HeatW += r.HeatW
	o.LossW += r.LossW
	o.RatedLm += r.RatedLm
	o.FluxLm += r.FluxLm
	if r.HottestRailC > o.Rails[o.HottestRail].HottestRailC+heat.TieK {
		o.HottestRail = at
	}
	if r.Hottest >= 0 && (o.Hottest.Rail < 0 || r.HottestJunctionC > o.HottestJunctionC()+heat.TieK) {
		o.Hottest = scene.Seat{Rail: at, Module: r.Hottest}
	}
	if r.Tightest >= 0 &&
		(o.Tightest.Rail < 0 || r.SmallestMarginK < o.Rails[o.Tightest.Rail].SmallestMarginK-heat.TieK) {
		o.Tightest = scene.Seat{Rail: at, Module: r.Tightest}
	}
	for _, f := range r.stretched {
		o.Stretched = append(o.Stretched, finding.FormulaStretched.Of(finding.Text(scene.RailWord(r.Name)),
			finding.Text(f.Face), finding.Text(fmt.Sprintf("%.2g", f.Rayleigh)),
			finding.Text(fmt.Sprintf("%.0g to %.0g", f.Lowest, f.Most))))
	}
}

// stretchShare is by how much a formula may be off outside the range in which it was measured. Assumed: nearby
// measurements differ by a tenth (see package heat), and this is twice that.
const stretchShare = 0.2

// Trust says how far the temperatures of rails lean on formulas outside the range in which they were measured; nothing
// where they do not. With a share of the heat as uncertain, a bar's rise over the air is off by about that share.
func (o *Point) Trust() finding.Finding {
	var faces []string
	var names finding.List
	offK := 0.0
	for _, r := range o.Rails {
		share := 0.0
		for _, f := range r.stretched {
			share, faces = share+f.Share, append(faces, f.Face)
		}
		if share > 0 {
			names = append(names, finding.Text(scene.RailWord(r.Name)))
			offK = math.Max(offK, stretchShare*share*(r.HottestRailC-r.AirC))
		}
	}
	if len(names) == 0 {
		return finding.Finding{}
	}
	slices.Sort(faces)
	return finding.NarrowBars.Of(names, finding.Text(strings.Join(slices.Compact(faces), " and ")),
		finding.Percent(stretchShare), finding.Value{V: math.Ceil(offK), Unit: "K"})
}

// JunctionC returns the junction temperature of a module of the scene.
func (o *Point) JunctionC(m parts.Mounted) float64 {
	return o.Rails[m.Rail].Modules[m.Number-1].JunctionC
}

// WorkingJunctions returns the junction temperature of each module in the balance of heat, and that balance; where
// there is none, the highest temperatures that the parts allow, and nil.
func WorkingJunctions(s *scene.Scene) (junctionC func(parts.Mounted) float64, o *Point, err error) {
	o, err = Of(s)
	switch {
	case errors.Is(err, heat.ErrTooHot):
		return func(m parts.Mounted) float64 { return m.Part.HighestJunctionC }, nil, nil
	case err != nil:
		return nil, nil, err
	}
	return o.JunctionC, o, nil
}

// Draws returns what each module takes and gives, by rail and module.
func (o *Point) Draws() [][]parts.Draw {
	all := make([][]parts.Draw, len(o.Rails))
	for i, r := range o.Rails {
		for _, m := range r.Modules {
			all[i] = append(all[i], m.Draw)
		}
	}
	return all
}

// Key returns a text, not for people, that is equal for those copies of one scene that have the same balance of
// heat: wherever rails hang and optics point. Places count in nanometres.
func Key(s *scene.Scene) string {
	var b []byte
	for _, r := range s.Rails {
		b = fmt.Appendf(b, "%q %x\n", r.Profile.Name, r.LengthM)
		for _, m := range r.Modules {
			b = fmt.Appendf(b, "%q %x %x %d %v %x %d %d\n", m.Part.Name, m.CurrentA, m.Optic.Efficiency,
				int64(math.Round((m.XM-r.LeftM)*1e9)), m.Dead, m.Dim.Below, m.Dim.By, m.Supply)
		}
	}
	return string(b)
}
