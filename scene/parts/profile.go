package parts

import (
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

func profiles(r *reader) kind[Profile] {
	return kind[Profile]{
		key: keyProfiles, parts: r.lib.Profiles,
		fields: []string{"about", "based_on", "width", "height", "metal", "perimeter", "conductivity", "emissivity", "slots", "price"},
		build:  func(d *draft, p Profile, _ *table[Profile]) Profile { return d.profile(p) },
	}
}

// profile reads a profile whose missing values p holds.
func (d *draft) profile(p Profile) Profile {
	p.Name = d.name
	d.about(&p.About)
	d.quantity("width", "the outer width, across the rail, such as 40 mm", &p.WidthM, unit.Length, anyLengthM)
	d.quantity("height", "the outer height, such as 20 mm", &p.HeightM, unit.Length, anyLengthM)
	d.quantity("metal", "the cross-section of metal, such as 260 mm2", &p.MetalM2, unit.Area, document.UpTo(unit.Area, 1))
	d.quantity("perimeter", "the outline that the air can reach, such as 180 mm", &p.PerimeterM, unit.Length, document.UpTo(unit.Length, 30))
	d.quantity("conductivity", "the metal's thermal conductivity, such as 200 W/m/K", &p.ConductivityWPerMK, unit.Conductivity, document.UpTo(unit.Conductivity, 1000))
	d.number("emissivity", "how well the surface radiates heat, such as 0.85", &p.Emissivity, anyShare)
	d.readSlots(&p)
	if n := d.Get("price"); n.Exists() {
		p.PricePerM.Amount, p.PricePerM.Currency = n.MoneyPer("m")
	}
	d.checkProfile(p)
	return p
}

func (d *draft) readSlots(p *Profile) {
	n := d.Get("slots")
	if !n.Exists() {
		return
	}
	p.Slots = nil
	for _, item := range n.Items() {
		f := item.Fields("across", "width")
		s := Slot{
			AcrossM: f.WithHint("the place of the slot's middle from the bar's middle line, such as 0 mm").Require("across").Quantity(unit.Length, document.Range{Low: -3, High: 3}),
			WidthM:  f.WithHint("the slot's width, such as 8 mm").Require("width").Quantity(unit.Length, anyLengthM),
		}
		p.Slots = append(p.Slots, s)
	}
}

// checkProfile complains about values that do not go together.
func (d *draft) checkProfile(p Profile) {
	if p.WidthM == 0 || p.HeightM == 0 {
		return
	}
	for i, s := range p.Slots {
		if runsOver(s.AcrossM, s.WidthM, p.WidthM) {
			d.item("slots", i).Faultf("the slot runs over the edge of a bar that is %s wide; places are counted from the middle line", unit.Length.Say(p.WidthM))
		}
	}
	if most := p.WidthM * p.HeightM; p.MetalM2 > most*(1+1e-9) {
		d.Get("metal").Faultf("%s of metal do not fit into %s by %s", unit.Area.Say(p.MetalM2), unit.Length.Say(p.WidthM), unit.Length.Say(p.HeightM))
	}
	if least := 2 * math.Max(p.WidthM, p.HeightM); p.PerimeterM > 0 && p.PerimeterM < least*(1-1e-9) {
		d.Get("perimeter").Warnf("%s is less than both sides of a bar of %s by %s; is one side covered?",
			unit.Length.Say(p.PerimeterM), unit.Length.Say(p.WidthM), unit.Length.Say(p.HeightM))
	}
}
