package parts

import (
	"slices"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

func drivers(r *reader) kind[Driver] {
	return kind[Driver]{
		key: keyDrivers, parts: r.lib.Drivers,
		fields: []string{"about", "based_on", "currents", "voltage", "rated", "efficiency", "ip", "price"},
		build:  func(d *draft, v Driver, _ *table[Driver]) Driver { return d.driver(v) },
	}
}

// driver reads a driver whose missing values v holds.
func (d *draft) driver(v Driver) Driver {
	v.Name = d.name
	d.about(&v.About)
	d.readCurrents(&v)
	d.readVoltage(&v)
	d.quantity("rated", "the rated output power, such as 33.6 W", &v.RatedW, unit.Power, document.UpTo(unit.Power, 1e4))
	d.readEfficiency(&v)
	d.readIP(&v)
	d.price(&v.Price)
	return v
}

func (d *draft) readCurrents(v *Driver) {
	n := d.find("currents", "the output currents, such as [350 mA] or [350 mA, 500 mA, 700 mA]")
	if !n.Exists() {
		return
	}
	v.CurrentsA = nil
	for _, item := range n.Items() {
		a := item.Quantity(unit.Current, anyCurrentA)
		if a > 0 && slices.Contains(v.CurrentsA, a) {
			item.Faultf("%s is given twice", unit.Current.Say(a))
		}
		v.CurrentsA = append(v.CurrentsA, a)
	}
	if n.IsSequence() && len(v.CurrentsA) == 0 {
		n.Faultf("the list is empty; give a current, such as 350 mA")
	}
	slices.Sort(v.CurrentsA)
}

func (d *draft) readVoltage(v *Driver) {
	n := d.find("voltage", "the output voltage, such as {low: 9 V, high: 48 V}")
	if !n.Exists() {
		return
	}
	f := n.Fields("low", "high")
	v.LowestV = f.WithHint("the lowest output voltage, such as 9 V").Require("low").Quantity(unit.Voltage, document.Range{Low: 0, High: 1000})
	v.HighestV = f.WithHint("the highest output voltage, such as 48 V").Require("high").Quantity(unit.Voltage, document.UpTo(unit.Voltage, 1000))
	if v.HighestV > 0 && v.LowestV >= v.HighestV {
		f.Get("low").Faultf("the lowest voltage, %s, is not below the highest, %s", unit.Voltage.Say(v.LowestV), unit.Voltage.Say(v.HighestV))
	}
}

// mostLoad is the load, as a share of the rated power, up to which an efficiency without a load is taken to hold.
const mostLoad = 2

// readEfficiency reads one share for any load, or a table of shares against load.
func (d *draft) readEfficiency(v *Driver) {
	n := d.find("efficiency", "the share of the mains power that comes out, such as 0.85 or [{load: 0.5, share: 0.82}, ...]")
	if !n.Exists() {
		return
	}
	if !n.IsSequence() {
		if share := n.Number(anyShare); share > 0 {
			v.Efficiency, _ = curve.Linear([]float64{0, mostLoad}, []float64{share, share}) // two fixed rows always serve
		}
		return
	}
	var loads, shares []float64
	for _, item := range n.Items() {
		f := item.Fields("load", "share")
		load := f.WithHint("the load as a share of the rated power, such as 0.5").Require("load")
		loads = append(loads, load.Number(document.Range{High: mostLoad, Percent: true}))
		shares = append(shares, f.WithHint("the efficiency at that load, such as 0.82").Require("share").Number(anyShare))
		if last := len(loads) - 1; last > 0 && loads[last] > 0 && loads[last] <= loads[last-1] {
			load.Faultf("the load does not rise over the row before; order the rows from light load to full load")
			return
		}
	}
	if slices.Contains(shares, 0) {
		return // complained about above
	}
	if len(loads) < 2 {
		n.Faultf("a table needs two or more rows; one plain number holds for any load")
		return
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
