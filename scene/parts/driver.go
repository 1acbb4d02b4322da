package parts

import (
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
