package parts

import (
	"math"

	"fathomlux/scene/unit"
)

// profile reads a profile whose missing values p holds.
func (d *draft) profile(p Profile) Profile {
	p.Name = d.name
	p.About = d.String("about", p.About)
	p.WidthM = d.Value("width", p.WidthM)
	p.HeightM = d.Value("height", p.HeightM)
	p.MetalM2 = d.Value("metal", p.MetalM2)
	p.PerimeterM = d.Value("perimeter", p.PerimeterM)
	p.ConductivityWPerMK = d.Value("conductivity", p.ConductivityWPerMK)
	p.Emissivity = d.Value("emissivity", p.Emissivity)
	if d.Has("slots") {
		p.Slots = nil
	}
	for _, f := range d.Rows("slots") {
		p.Slots = append(p.Slots, Slot{AcrossM: f.Value("across", 0), WidthM: f.Value("width", 0)})
	}
	d.price(&p.PricePerM)
	d.checkProfile(p)
	return p
}

// checkProfile complains about values that do not go together.
func (d *draft) checkProfile(p Profile) {
	if p.WidthM == 0 || p.HeightM == 0 {
		return
	}
	for i, s := range p.Slots {
		if runsOver(s.AcrossM, s.WidthM, p.WidthM) {
			d.item("slots", i).Faultf("the slot runs over the edge of a bar that is %s wide; places are counted from the "+
				"middle line", unit.Length.Say(p.WidthM))
		}
	}
	if most := p.WidthM * p.HeightM; p.MetalM2 > most*(1+1e-9) {
		d.Get("metal").Faultf("%s of metal do not fit into %s by %s", unit.Area.Say(p.MetalM2), unit.Length.Say(p.WidthM),
			unit.Length.Say(p.HeightM))
	}
	if least := 2 * math.Max(p.WidthM, p.HeightM); p.PerimeterM > 0 && p.PerimeterM < least*(1-1e-9) {
		d.Get("perimeter").Warnf("%s is less than both sides of a bar of %s by %s; is one side covered?",
			unit.Length.Say(p.PerimeterM), unit.Length.Say(p.WidthM), unit.Length.Say(p.HeightM))
	}
}
