package parts

import (
	"math"
	"slices"
	"strings"

	"fathomlux/scene/curve"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/unit"
)

// module finishes a module. Reports of lumen maintenance print a rate of decay without a unit: so it may be written.
func (r *reader) module(d *draft, m *Module, _ Module) {
	if m.ParallelPaths == 0 && !d.Has("parallel") {
		m.ParallelPaths = 1
	}
	if f := d.Open("dies"); f.At().Exists() {
		m.PitchAlongM = pitch(f, "pitch_along", m.DiesAlong)
		m.PitchAcrossM = pitch(f, "pitch_across", m.DiesAcross)
	}
	d.readOutput(m)
	if !d.Has("case_resistance") && (!d.Based || d.Has("thermal_resistance")) {
		m.CaseResistanceKPerW = caseShare * m.ResistanceKPerW
	}
	if !d.Has("mass") && (!d.Based || d.Has("board")) {
		m.MassKg = boardKgPerM2 * m.BoardLengthM * m.BoardWidthM
	}
	if n := d.Get("spectrum"); n.Exists() {
		s, ok := LookUp(r.lib, r.lib.Spectra, n)
		m.LmPerW = s.LmPerW
		d.lost = d.lost || !ok
	}
	if !d.Based && !d.Has("radiant_efficiency") {
		m.RadiantEfficiency = m.lightShare()
	}
	d.checkModule(*m)
}

// lightShare is the share of the electrical power that leaves as light at the lowest current of the table, by flux and
// spectrum; 0 where one of them is not known.
func (m Module) lightShare() float64 {
	rowsA, lm := m.FluxLm.Points()
	if m.LmPerW == 0 || len(rowsA) == 0 {
		return 0
	}
	return lm[0] / m.LmPerW / (rowsA[0] * m.ForwardV.AtOrZero(rowsA[0]))
}

// pitch reads the distance of the dies in one direction, which only one die there can do without.
func pitch(f key.Fields, own string, dies int) float64 {
	if dies > 1 && !f.Has(own) {
		f.Demand("pitch")
	}
	return f.Value(own, f.Value("pitch", 0))
}

// checkModule complains about values that do not go together.
func (d *draft) checkModule(m Module) {
	dies := m.Dies()
	if dies > 0 && m.ParallelPaths > 0 && dies%m.ParallelPaths != 0 {
		d.Get("parallel").Faultf("%d dies do not split into %d equal paths", dies, m.ParallelPaths)
	}
	if m.HighestJunctionC != 0 && m.ReferenceC > m.HighestJunctionC {
		d.Get("test_temperature").Faultf("%g °C is above the highest junction temperature, %g °C", m.ReferenceC,
			m.HighestJunctionC)
	}
	if m.ResistanceKPerW > 0 && m.CaseResistanceKPerW > m.ResistanceKPerW {
		d.Get("case_resistance").Faultf("%s is more than the whole thermal resistance, %s",
			unit.ThermalResistance.Say(m.CaseResistanceKPerW), unit.ThermalResistance.Say(m.ResistanceKPerW))
	}
	firstA, lastA := m.FluxLm.Domain()
	if paths := float64(m.ParallelPaths); m.HighestA > 0 && m.HighestA < firstA*paths*(1-1e-9) {
		d.Get("highest_current").Faultf("%s is below the first row of output, %s a die: nothing is known of the module "+
			"at currents that it may carry", unit.Current.Say(m.HighestA), unit.Current.Say(firstA))
	} else if lastA > 0 && m.ParallelPaths > 0 && m.HighestA > lastA*paths*(1+1e-9) {
		d.Get("highest_current").Warn(finding.OutputEndsEarly.Of(finding.Amount{Of: unit.Current, Value: lastA},
			finding.Amount{Of: unit.Current, Value: m.HighestA}))
	}
	switch row, odd := m.LightWarning(); {
	case d.lost || !odd.Any():
	case row < 0:
		d.Get("radiant_efficiency").Warn(odd)
	default:
		d.Item("output", row).Warn(odd)
	}
	for i, h := range m.Holes { // one that runs over the edge is a notch
		if runsOver(h.AlongM, 0, m.BoardLengthM) || runsOver(h.AcrossM, 0, m.BoardWidthM) {
			d.Item("holes", i).Faultf("the hole's middle is beyond the board's edge; places are counted from the board's middle")
		}
	}
	overhangs := func(count int, pitchM, boardM float64) bool { return boardM > 0 && float64(count-1)*pitchM > boardM }
	if overhangs(m.DiesAlong, m.PitchAlongM, m.BoardLengthM) || overhangs(m.DiesAcross, m.PitchAcrossM, m.BoardWidthM) {
		d.Get("dies").Faultf("the dies reach beyond the board, which is %s by %s", unit.Length.Say(m.BoardLengthM),
			unit.Length.Say(m.BoardWidthM))
	}
}

// shareSlack is by how much the radiant efficiency may miss what flux and spectrum give: a flux is told to about a
// tenth. Common practice, no published source.
const shareSlack = 0.1

// LightWarning holds the flux in watts, by the luminous efficacy of radiation of the spectrum, against the power that
// goes in: no die gives more light than that, and the part's own radiant efficiency should lie within what its table
// gives. It says what is odd, and in which row of the table, -1 for the share.
func (m Module) LightWarning() (row int, odd finding.Finding) {
	rowsA, lm := m.FluxLm.Points()
	if m.LmPerW == 0 || m.RadiantEfficiency == 0 || len(rowsA) == 0 {
		return -1, odd
	}
	low, high := math.Inf(1), 0.0
	for i, a := range rowsA {
		lightW, powerW := lm[i]/m.LmPerW, a*m.ForwardV.AtOrZero(a)
		if lightW > powerW {
			return i, finding.LightAbovePower.Of(finding.Number(lm[i]), finding.Text(m.Spectrum),
				finding.Value{V: m.LmPerW, Unit: "lm/W"}, finding.Watts(lightW), finding.Watts(powerW))
		}
		low, high = math.Min(low, lightW/powerW), math.Max(high, lightW/powerW)
	}
	if m.RadiantEfficiency < low*(1-shareSlack) || m.RadiantEfficiency > high*(1+shareSlack) {
		from, to := finding.Percent(low).Say(unit.Metric), finding.Percent(high).Say(unit.Metric)
		if from != to {
			to = strings.TrimSuffix(from, " %") + " to " + to
		}
		return -1, finding.EfficiencyOff.Of(finding.Percent(m.RadiantEfficiency), finding.Text(m.Spectrum),
			finding.Value{V: m.LmPerW, Unit: "lm/W"}, finding.Text(to))
	}
	return -1, odd
}

// runsOver tells whether a thing of some width, placed from the middle of a whole, crosses the whole's edge.
func runsOver(atM, widthM, wholeM float64) bool {
	return wholeM > 0 && math.Abs(atM)+widthM/2 > wholeM/2*(1+1e-9)
}

// mostLmPerW is the luminous efficacy at 540 THz, the highest there is. Exact: K_cd of the SI, 2019, and V = 1.
const mostLmPerW = 683.002

// readOutput reads the table of one die's flux and voltage against the current through it, all of which rise; figures
// of the whole module are shared out over its dies. It warns where the efficacy does not fall (worked examples of dies:
// common practice, no published source).
func (d *draft) readOutput(m *Module) {
	rows := d.columns("output", 3, "current", "flux", "voltage")
	whole := d.Has("output_of") && d.Word("output_of") == "module"
	if whole && !d.Has("output") {
		d.Get("output_of").Faultf("it says nothing without output")
	}
	if dies, paths := float64(m.Dies()), float64(m.ParallelPaths); whole && rows != nil && dies > 0 && paths > 0 {
		for i := range rows[0] {
			rows[0][i], rows[1][i], rows[2][i] = rows[0][i]/paths, rows[1][i]/dies, rows[2][i]*paths/dies
		}
	}
	if rows == nil || slices.Contains(slices.Concat(rows...), 0) {
		return // complained about above
	}
	was, sound, warned := 0.0, true, false
	for i, a := range rows[0] {
		lmPerW := rows[1][i] / (a * rows[2][i])
		switch at := d.Item("output", i); {
		case lmPerW > mostLmPerW:
			at.Faultf("%.0f lm/W; no light has more than 683 lm/W", lmPerW)
			sound = false
		case lmPerW >= was && was > 0 && !warned:
			warned = true
			at.Warn(finding.EfficacyRises.Of(finding.Value{V: lmPerW, Decimals: 1, Unit: "lm/W"},
				finding.Value{V: was, Decimals: 1, Unit: "lm/W"}))
		}
		was = lmPerW
	}
	if sound { // columns that rise always serve
		m.FluxLm, _ = curve.Monotone(rows[0], rows[1])
		m.ForwardV, _ = curve.Monotone(rows[0], rows[2])
	}
}
