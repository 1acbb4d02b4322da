package parts

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// The ranges of a module's values: far beyond any die that is made, so that a slip of a unit is found.
var (
	anyLengthM     = document.UpTo(unit.Length, 3)
	anyCurrentA    = document.UpTo(unit.Current, 50)
	anyJunctionC   = document.Range{Low: -50, High: 250}
	anyShare       = document.Range{Low: document.LeastShare, High: 1, Percent: true}
	anyLightShare  = document.Range{Low: document.LeastShare, High: 0.95, Percent: true}
	anyFluxPerK    = document.Range{Low: -0.03, High: 0.01}
	anyVoltsPerK   = document.Range{Low: -0.02, High: 0.02}
	maxDiesPerSide = 100
)

func modules(r *reader) kind[Module] {
	return kind[Module]{
		key: keyModules, parts: r.lib.Modules,
		fields: []string{
			"about", "based_on", "dies", "parallel", "output", "holds_at", "flux_drift", "voltage_drift", "thermal_resistance",
			"highest_current", "highest_junction", "light_share", "spectrum", "board", "holes", "maintenance", "price",
		},
		build: func(d *draft, m Module, _ *table[Module]) Module { return r.module(d, m) },
	}
}

// module reads a module whose missing values m holds.
func (r *reader) module(d *draft, m Module) Module {
	m.Name = d.name
	d.about(&m.About)
	d.readDies(&m)
	d.readOutput(&m)
	d.quantity("holds_at", "the junction temperature at which output holds, such as 25 C", &m.ReferenceC, unit.Temperature, anyJunctionC)
	d.quantity("flux_drift", "the change of flux per kelvin, such as -0.25 %/K", &m.FluxPerK, unit.RelativePerKelvin, anyFluxPerK)
	d.quantity("voltage_drift", "the change of a die's voltage per kelvin, such as -2 mV/K", &m.VoltsPerK, unit.VoltagePerKelvin, anyVoltsPerK)
	d.quantity("thermal_resistance", "junctions to the board's back, such as 5 K/W", &m.ResistanceKPerW, unit.ThermalResistance, document.UpTo(unit.ThermalResistance, 1000))
	d.quantity("highest_current", "the highest current of the module, such as 700 mA", &m.HighestA, unit.Current, anyCurrentA)
	d.quantity("highest_junction", "the highest junction temperature, such as 125 C", &m.HighestJunctionC, unit.Temperature, anyJunctionC)
	d.number("light_share", "the share of the electrical power that leaves as light, such as 0.35", &m.LightShare, anyLightShare)
	r.readSpectrumName(d, &m)
	d.readBoard(&m)
	d.readHoles(&m)
	d.readMaintenance(&m)
	d.price(&m.Price)
	d.checkModule(m)
	return m
}

// readDies reads how many dies sit on the board, and how far apart.
func (d *draft) readDies(m *Module) {
	if n := d.find("dies", "the dies on the board, such as {along: 2, across: 2, pitch: 6 mm}"); n.Exists() {
		f := n.Fields("along", "across", "pitch", "pitch_along", "pitch_across")
		m.DiesAlong = f.WithHint("the dies along the rail, such as 2").Require("along").Integer(1, maxDiesPerSide)
		m.DiesAcross = f.WithHint("the dies across the rail, such as 2").Require("across").Integer(1, maxDiesPerSide)
		m.PitchAlongM = pitch(f, "pitch_along", m.DiesAlong)
		m.PitchAcrossM = pitch(f, "pitch_across", m.DiesAcross)
	}
	if n := d.Get("parallel"); n.Exists() {
		m.ParallelPaths = n.Integer(1, maxDiesPerSide*maxDiesPerSide)
	} else if !d.based {
		m.ParallelPaths = 1
	}
}

// pitch reads the distance of the dies in one direction, which only one die there can do without.
func pitch(f document.Fields, key string, dies int) float64 {
	own, common := f.Get(key), f.Get("pitch")
	switch {
	case own.Exists() && common.Exists():
		own.Faultf("pitch is given already; give pitch, or pitch_along and pitch_across")
	case own.Exists():
		return own.Quantity(unit.Length, anyLengthM)
	case common.Exists():
		return common.Quantity(unit.Length, anyLengthM)
	case dies > 1:
		common.Faultf("missing; give the distance between the middles of the dies, such as 6 mm")
	}
	return 0
}

// readSpectrumName reads the name of the module's spectrum, which must be in the library.
func (r *reader) readSpectrumName(d *draft, m *Module) {
	n := d.find("spectrum", "the name of a spectrum, such as white-4000")
	if !n.Exists() {
		return
	}
	m.Spectrum = n.Text()
	s, ok := r.lib.Spectrum(n)
	if m.LmPerW = s.LmPerW; !ok {
		d.lost = true
	}
}

func (d *draft) readBoard(m *Module) {
	if n := d.find("board", "the board's size, such as {length: 30 mm, width: 30 mm}"); n.Exists() {
		f := n.Fields("length", "width")
		m.BoardLengthM = f.WithHint("the board's size along the rail, such as 30 mm").Require("length").Quantity(unit.Length, anyLengthM)
		m.BoardWidthM = f.WithHint("the board's size across the rail, such as 30 mm").Require("width").Quantity(unit.Length, anyLengthM)
	}
}

func (d *draft) readHoles(m *Module) {
	n := d.Get("holes")
	if !n.Exists() {
		return
	}
	m.Holes = nil
	place := document.Range{Low: -3, High: 3}
	for _, item := range n.Items() {
		f := item.Fields("along", "across", "diameter")
		h := Hole{
			AlongM:    f.WithHint("the place along the rail from the board's middle, such as 12 mm").Require("along").Quantity(unit.Length, place),
			AcrossM:   f.WithHint("the place across the rail from the board's middle, such as 12 mm").Require("across").Quantity(unit.Length, place),
			DiameterM: f.WithHint("the hole's diameter, such as 3.2 mm").Require("diameter").Quantity(unit.Length, document.UpTo(unit.Length, 0.05)),
		}
		m.Holes = append(m.Holes, h)
	}
}

func (d *draft) readMaintenance(m *Module) {
	n := d.Get("maintenance")
	if !n.Exists() {
		return
	}
	m.Maintenance = nil
	for _, item := range n.Items() {
		f := item.Fields("case", "alpha", "b", "tested")
		m.Maintenance = append(m.Maintenance, Maintenance{
			CaseC:        f.WithHint("the case temperature of the test, such as 55 C").Require("case").Quantity(unit.Temperature, anyJunctionC),
			AlphaPerHour: decay(f.WithHint("the rate of decay, such as 1.684e-6 1/h").Require("alpha")),
			B:            f.WithHint("the factor B of the fit, such as 0.9639").Require("b").Number(document.Range{Low: 0.5, High: 1.5}),
			TestedHours:  f.WithHint("how long the test ran, such as 10000 h").Require("tested").Quantity(unit.Duration, document.UpTo(unit.Duration, 1e6*3600)) / 3600,
		})
	}
}

// decay reads a rate of decay in 1/h. Test reports print it without a unit, and so it may be written.
func decay(n document.Node) float64 {
	const highest = 1e-3 // half of the light in a month
	if n.IsScalar() && strings.Contains(n.Text(), "/") {
		return n.Quantity(unit.DecayRate, document.UpTo(unit.DecayRate, highest))
	}
	return n.Number(document.UpTo(unit.DecayRate, highest))
}

// checkModule complains about values that do not go together.
func (d *draft) checkModule(m Module) {
	dies := m.Dies()
	if dies > 0 && m.ParallelPaths > 0 && dies%m.ParallelPaths != 0 {
		d.Get("parallel").Faultf("%d dies do not split into %d equal paths", dies, m.ParallelPaths)
	}
	if m.HighestJunctionC != 0 && m.ReferenceC > m.HighestJunctionC {
		d.Get("holds_at").Faultf("%g C is above the highest junction temperature, %g C", m.ReferenceC, m.HighestJunctionC)
	}
	if firstA, _ := m.FluxLm.Domain(); m.HighestA > 0 && m.HighestA < firstA*float64(m.ParallelPaths)*(1-1e-9) {
		d.Get("highest_current").Faultf("%s is below the first row of output, %s a die: nothing is known of the module at currents that it may carry",
			unit.Current.Say(m.HighestA), unit.Current.Say(firstA))
	}
	if _, lastA := m.FluxLm.Domain(); lastA > 0 && m.ParallelPaths > 0 && m.HighestA > lastA*float64(m.ParallelPaths)*(1+1e-9) {
		d.Get("highest_current").Warnf("output ends at %s a die; nothing is known of the module up to its highest current, %s",
			unit.Current.Say(lastA), unit.Current.Say(m.HighestA))
	}
	d.checkLight(m)
	for i, h := range m.Holes {
		if runsOver(h.AlongM, h.DiameterM, m.BoardLengthM) || runsOver(h.AcrossM, h.DiameterM, m.BoardWidthM) {
			d.item("holes", i).Faultf("the hole runs over the board's edge; places are counted from the board's middle")
		}
	}
	overhangs := func(count int, pitchM, boardM float64) bool { return boardM > 0 && float64(count-1)*pitchM > boardM }
	if overhangs(m.DiesAlong, m.PitchAlongM, m.BoardLengthM) || overhangs(m.DiesAcross, m.PitchAcrossM, m.BoardWidthM) {
		d.Get("dies").Faultf("the dies reach beyond the board, which is %s by %s", unit.Length.Say(m.BoardLengthM), unit.Length.Say(m.BoardWidthM))
	}
}

// shareSlack is by how much the light share may miss what flux and spectrum give: the flux of dies is told to about a tenth.
// Common practice, no published source.
const shareSlack = 0.1

// checkLight warns of what LightOddity finds.
func (d *draft) checkLight(m Module) {
	row, why := m.LightOddity()
	switch {
	case d.lost || why == "":
	case row < 0:
		d.Get("light_share").Warnf("%s", why)
	default:
		d.item("output", row).Warnf("%s", why)
	}
}

// LightOddity holds the flux in watts, by the luminous efficacy of radiation of the spectrum, against the power that goes in: no
// die gives more light than that, and the part's own light share should lie within what its table gives. It says what is odd,
// empty where nothing is, and in which row of the table, -1 for the share.
func (m Module) LightOddity() (row int, why string) {
	rowsA, lm := m.FluxLm.Points()
	if m.LmPerW == 0 || m.LightShare == 0 || len(rowsA) == 0 {
		return -1, ""
	}
	low, high := math.Inf(1), 0.0
	for i, a := range rowsA {
		lightW, powerW := lm[i]/m.LmPerW, a*m.ForwardV.AtOrZero(a)
		if lightW > powerW {
			return i, fmt.Sprintf("%.4g lm in the colours of %s (%.0f lm/W) are %.3g W of light, more than the %.3g W that a die takes; flux, voltage or spectrum is wrong, and heat comes out too low",
				lm[i], m.Spectrum, m.LmPerW, lightW, powerW)
		}
		low, high = math.Min(low, lightW/powerW), math.Max(high, lightW/powerW)
	}
	if m.LightShare < low*(1-shareSlack) || m.LightShare > high*(1+shareSlack) {
		return -1, fmt.Sprintf("%.3g %% of the power as light does not go with the flux, which in the colours of %s (%.0f lm/W) is %s of it; heat is computed by the flux",
			100*m.LightShare, m.Spectrum, m.LmPerW, percentSpan(low, high))
	}
	return -1, ""
}

// percentSpan writes two shares as a span, or as one number where they look the same.
func percentSpan(low, high float64) string {
	if a, b := fmt.Sprintf("%.0f", 100*low), fmt.Sprintf("%.0f", 100*high); a != b {
		return a + " to " + b + " %"
	}
	return fmt.Sprintf("%.0f %%", 100*low)
}

// runsOver tells whether a thing of some width, placed from the middle of a whole, crosses the whole's edge.
func runsOver(atM, widthM, wholeM float64) bool {
	return wholeM > 0 && math.Abs(atM)+widthM/2 > wholeM/2*(1+1e-9)
}

// readOutput reads the table of one die's flux and voltage against the current through it.
func (d *draft) readOutput(m *Module) {
	n := d.find("output", "one die's light, such as [{current: 350 mA, flux: 139 lm, voltage: 3.5 V}, ...]")
	if !n.Exists() {
		return
	}
	var t output
	for _, item := range n.Items() {
		t.add(item)
	}
	switch {
	case t.faulty || !n.IsSequence():
		return
	case len(t.currentA) < 2:
		n.Faultf("a table needs two or more rows; give them from the lowest current to the highest")
		return
	}
	var err error
	if m.FluxLm, err = curve.Monotone(t.currentA, t.fluxLm); err != nil {
		n.Faultf("flux against current: %s", oneLine(err))
	}
	if m.ForwardV, err = curve.Monotone(t.currentA, t.voltV); err != nil {
		n.Faultf("voltage against current: %s", oneLine(err))
	}
}

// output is the columns of a module's table, with what was found on the way.
type output struct {
	currentA, fluxLm, voltV []float64
	faulty, warned          bool
}

// mostLmPerW is the luminous efficacy of light at 540 THz, the highest there is. Exact: K_cd of the SI, 2019, and V = 1.
const mostLmPerW = 683.002

// add reads one row and holds it against the one before.
func (t *output) add(item document.Node) {
	f := item.Fields("current", "flux", "voltage")
	a := f.WithHint("the current through one die, such as 350 mA").Require("current").Quantity(unit.Current, anyCurrentA)
	lm := f.WithHint("the flux of one die, such as 139 lm").Require("flux").Quantity(unit.LuminousFlux, document.UpTo(unit.LuminousFlux, 1e5))
	v := f.WithHint("the voltage of one die, such as 3.5 V").Require("voltage").Quantity(unit.Voltage, document.UpTo(unit.Voltage, 500))
	if a == 0 || lm == 0 || v == 0 {
		t.faulty = true
		return
	}
	if lm/(a*v) > mostLmPerW {
		item.Faultf("%.0f lm/W; no light has more than 683 lm/W", lm/(a*v))
		t.faulty = true
	}
	if last := len(t.currentA) - 1; last >= 0 {
		t.compare(f, [3]float64{t.currentA[last], t.fluxLm[last], t.voltV[last]}, [3]float64{a, lm, v})
	}
	t.currentA, t.fluxLm, t.voltV = append(t.currentA, a), append(t.fluxLm, lm), append(t.voltV, v)
}

// compare complains where a row of current, flux and voltage does not rise over the row before, and warns where the
// efficacy does not fall (worked examples of dies: common practice, no published source).
func (t *output) compare(f document.Fields, before, row [3]float64) {
	for i, key := range []string{"current", "flux", "voltage"} {
		if row[i] <= before[i] {
			f.Get(key).Faultf("%s does not rise over the row before; order the rows from the lowest current to the highest", key)
			t.faulty = true
			return
		}
	}
	was, is := before[1]/(before[0]*before[2]), row[1]/(row[0]*row[2])
	if is >= was && !t.warned {
		t.warned = true
		f.At().Warnf("%.1f lm/W here and %.1f lm/W in the row before; a die gives less light a watt the more current it takes", is, was)
	}
}
