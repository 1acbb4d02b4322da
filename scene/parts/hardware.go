package parts

import (
	"math"
	"slices"

	"fathomlux/scene/curve"
	"fathomlux/scene/key"
	"fathomlux/scene/unit"
)

// driver reads a driver whose missing values v holds.
func (d *draft) driver(v Driver) Driver {
	v.Name = d.name
	v.About = d.String("about", v.About)
	d.readCurrents(&v)
	if f := d.Open("voltage"); f.At().Exists() {
		v.LowestV, v.HighestV = f.Value("low", 0), f.Value("high", 0)
		if v.HighestV > 0 && v.LowestV >= v.HighestV {
			f.Get("low").Faultf("the lowest voltage, %s, is not below the highest, %s", unit.Voltage.Say(v.LowestV),
				unit.Voltage.Say(v.HighestV))
		}
	}
	v.RatedW = d.Value("rated", v.RatedW)
	d.readEfficiency(&v)
	d.readIP(&v)
	d.price(&v.Price)
	return v
}

func (d *draft) readCurrents(v *Driver) {
	currents, at := d.Values("currents")
	if d.Has("currents") {
		v.CurrentsA = nil
	}
	for i, a := range currents {
		if a > 0 && slices.Contains(v.CurrentsA, a) {
			at[i].Faultf("%s is given twice", unit.Current.Say(a))
		}
		v.CurrentsA = append(v.CurrentsA, a)
	}
	slices.Sort(v.CurrentsA)
}

// readEfficiency reads one share for any load, or a table of shares against load.
func (d *draft) readEfficiency(v *Driver) {
	n := d.Get("efficiency")
	if !n.IsSequence() {
		if share := d.Value("efficiency", 0); share > 0 {
			v.Efficiency, _ = curve.Linear([]float64{0, key.MostLoad}, []float64{share, share}) // two fixed rows always serve
		}
		return
	}
	var loads, shares []float64
	for _, f := range d.Rows("efficiency") {
		loads, shares = append(loads, f.Value("load", 0)), append(shares, f.Value("share", 0))
		if last := len(loads) - 1; last > 0 && loads[last] > 0 && loads[last] <= loads[last-1] {
			f.Get("load").Faultf("the load does not rise over the row before; order the rows from light load to full load")
			return
		}
	}
	if len(loads) == 0 || slices.Contains(shares, 0) {
		return // complained about above
	}
	var err error
	if v.Efficiency, err = curve.Linear(loads, shares); err != nil {
		n.Faultf("efficiency against load: %s", oneLine(err))
	}
}

// readIP reads a protection code of IEC 60529: IP and two digits, or X where one is not stated.
func (d *draft) readIP(v *Driver) {
	n := d.Get("ip")
	if !n.Exists() {
		return
	}
	v.IP = n.Text()
	if v.IP != "" && !protectionCode(v.IP) {
		n.Faultf("%q is no protection code; write IP and two digits, such as IP67", v.IP)
	}
}

func protectionCode(text string) bool {
	return len(text) == 4 && text[:2] == "IP" &&
		(text[2] == 'X' || text[2] >= '0' && text[2] <= '6') && (text[3] == 'X' || text[3] >= '0' && text[3] <= '9')
}

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
