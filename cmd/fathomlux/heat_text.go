package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/heat"
	"fathomlux/scene/unit"
)

// touchHeat cautions about what burns a hand, by the one limit of heat.TouchC in every answer: rails above it, or the boards alone
// where their rail stays below; nothing where neither is. nil stands for rails whose heat is not known.
func touchHeat(o *scene.Operating) []string {
	if o == nil {
		return []string{"hot rail: how hot is not known, as there is no balance of heat: let it cool before it is touched"}
	}
	var lines []string
	for _, r := range o.Rails {
		boardC := hottestBoardC(r)
		switch {
		case r.HottestRailC > heat.TouchC:
			lines = append(lines, fmt.Sprintf("hot rail: %s reaches %s C at x = %.0f mm; bare metal above %d C burns a hand within seconds: guard it, and let it cool before you touch it",
				scene.RailWord(r.Name), aboveTouch(r.HottestRailC), 1000*(r.LeftM+r.HottestRailM), heat.TouchC))
		case boardC > heat.TouchC:
			lines = append(lines, fmt.Sprintf("hot boards: on %s they reach %s C, above the %d C that a hand bears, though the rail does not: let them cool before you touch them",
				scene.RailWord(r.Name), aboveTouch(boardC), heat.TouchC))
		}
	}
	return lines
}

// hottestBoardC returns the temperature of a rail's hottest board.
func hottestBoardC(r scene.RailOperating) float64 {
	highest := math.Inf(-1)
	for _, m := range r.Modules {
		highest = math.Max(highest, m.BoardC)
	}
	return highest
}

// aboveTouch writes a temperature above heat.TouchC so that it is seen to be above.
func aboveTouch(c float64) string {
	if math.Round(c) <= heat.TouchC {
		return fmt.Sprintf("%.2f", c)
	}
	return fmt.Sprintf("%.0f", c)
}

// modulesCSV is one line a module.
func modulesCSV(a heatAnswer) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "module,part,x_mm,rail_c,board_c,junction_c,margin_k,electrical_w,light_w,heat_w,flux_lm,relative_flux")
	for ri, r := range a.op.Rails {
		for mi, m := range r.Modules {
			own := a.scene.Rails[ri].Modules[mi]
			fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s\n", csvWord(a.scene.SeatName(scene.Seat{Rail: ri, Module: mi})), csvWord(own.Part.Name),
				g7(millimetres(own.XM)), g7(m.RailC), g7(m.BoardC), g7(m.JunctionC), g7(m.MarginK), g7(m.ElectricalW), g7(m.LightW), g7(m.HeatW),
				g7(m.ColdFluxLm*m.RelativeFlux), g7(m.RelativeFlux))
		}
	}
	return b.Bytes()
}

// alongCSV is the temperature along each rail.
func alongCSV(a heatAnswer) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "rail,x_mm,from_left_mm,rail_c")
	for _, r := range a.op.Rails {
		for i, at := range r.Line.XM {
			fmt.Fprintf(&b, "%s,%s,%s,%s\n", csvWord(r.Name), g7(millimetres(r.LeftM+at)), g7(millimetres(at)), g7(r.Line.TC[i]))
		}
	}
	return b.Bytes()
}

// verdict says in one sentence whether the parts bear the heat, and what it takes of the light.
func (a heatAnswer) verdict() string {
	o := a.op
	if o.ColdLm == 0 {
		return "No module is on."
	}
	lost := fmt.Sprintf("heat takes %.1f %% of the light, %s of %s lm", 100*(1-o.RelativeFlux()), unit.Figure(o.ColdLm-o.FluxLm, 0), unit.Figure(o.ColdLm, 0))
	if why := o.TooHot(); why != "" {
		return "Too hot: " + why + "; " + lost + "."
	}
	at := o.Tightest
	m := o.Rails[at.Rail].Modules[at.Module]
	return fmt.Sprintf("The junctions stay below their highest temperature: the tightest, of module %s, reaches %.0f C, %.0f K below its %.0f C; %s.",
		o.SeatName(at), m.JunctionC, m.MarginK, m.JunctionC+m.MarginK, lost)
}

// printHeat prints the answer: JSON, the verdict alone, or the table with all that follows from it.
func printHeat(s streams, o heatOptions, a heatAnswer, dir string, files []style.File) error {
	if o.json {
		return writeHeatJSON(s.Out, o, a, dir)
	}
	var b strings.Builder
	if !o.quiet {
		fmt.Fprintf(&b, "%s\n", titleOr(a.scene.Title))
		writeTable(&b, heatRows(a))
		writeHeatSums(&b, a)
	}
	fmt.Fprintln(&b, a.verdict())
	for _, line := range a.advice {
		fmt.Fprintf(&b, "to keep junctions %s K below their highest: %s\n", number(o.marginK), adviceText(a.scene, line))
	}
	if !o.quiet {
		for _, l := range a.lives {
			fmt.Fprintf(&b, "life: %s\n", lifeText(a.scene, l))
		}
		writeWrote(&b, dir, files)
		for _, f := range oddities(a.scene) {
			fmt.Fprintf(&b, "warning: %s\n", f.Error())
		}
		for _, n := range a.notes() {
			fmt.Fprintf(&b, "note: %s\n", n)
		}
	}
	for _, line := range touchHeat(a.op) {
		fmt.Fprintf(&b, "caution: %s\n", line)
	}
	if !o.quiet {
		writeCautions(&b, a.scene)
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// notes are those for people: how far the figures can be trusted, in one line, and what was moved.
func (a heatAnswer) notes() []string {
	if trust := a.op.Trust(); trust != "" {
		return append([]string{trust}, a.op.Notes...)
	}
	return a.op.Notes
}

// heatRows are the cells of the table.
func heatRows(a heatAnswer) [][]string {
	rows := [][]string{{"module", "x mm", "rail C", "board C", "junction C", "margin K", "W electrical", "W heat", "flux %"}}
	for ri, r := range a.op.Rails {
		for mi, m := range r.Modules {
			own := a.scene.Rails[ri].Modules[mi]
			flux := fmt.Sprintf("%.1f", 100*m.RelativeFlux)
			if own.Dead {
				flux = "dead"
			}
			rows = append(rows, []string{a.scene.SeatName(scene.Seat{Rail: ri, Module: mi}), fmt.Sprintf("%.0f", 1000*own.XM), fmt.Sprintf("%.1f", m.RailC), fmt.Sprintf("%.1f", m.BoardC),
				fmt.Sprintf("%.1f", m.JunctionC), fmt.Sprintf("%.1f", m.MarginK), unit.Figure(m.ElectricalW, 2), unit.Figure(m.HeatW, 2), flux})
		}
	}
	return rows
}

// writeHeatSums writes the books of energy and light, and where the rails are hottest.
func writeHeatSums(w io.Writer, a heatAnswer) {
	o := a.op
	fmt.Fprintf(w, "  power   %s W electrical = %s W light + %s W heat; the air takes %s W\n",
		unit.Figure(o.ElectricalW, 1), unit.Figure(o.LightW, 1), unit.Figure(o.HeatW, 1), unit.Figure(o.LossW, 1))
	fmt.Fprintf(w, "  light   %s lm cold, %s lm warm (%.1f %%), of the dies\n", unit.Figure(o.ColdLm, 0), unit.Figure(o.FluxLm, 0), 100*o.RelativeFlux())
	air := fmt.Sprintf("room of %s C, no hood", tenth(o.AirC))
	if h := a.scene.Ambient.Hood; h != nil {
		air = fmt.Sprintf("room of %s C; %.0f C inside the hood, its wall %.0f C", tenth(o.AirC), o.HoodAirC, o.HoodWallC)
	}
	fmt.Fprintf(w, "  air     %s\n", air)
	for _, r := range o.Rails {
		touch := "may be touched"
		switch boardC := hottestBoardC(r); {
		case r.HottestRailC > heat.TouchC:
			touch = "too hot to touch"
		case boardC > heat.TouchC:
			touch = fmt.Sprintf("may be touched, but not its boards with up to %s C", aboveTouch(boardC))
		}
		fmt.Fprintf(w, "  touch   %s: hottest at x = %.0f mm with %.1f C, %s\n", scene.RailWord(r.Name), 1000*(r.LeftM+r.HottestRailM), r.HottestRailC, touch)
	}
}

// adviceText says what would make a rail cool enough, each way by itself.
func adviceText(sc *scene.Scene, a scene.RailAdvice) string {
	var ways []string
	if l := a.Length; l.Reached {
		words := fmt.Sprintf("a rail of %.0f mm or more with the modules spread in proportion", math.Ceil(1000*l.LengthM-1e-6))
		if l.LengthM > sc.Tank.LengthM {
			words += ", longer than the tank"
		}
		ways = append(ways, words)
	}
	if c := a.Current; c.Reached {
		words := fmt.Sprintf("%.0f %% of the current", math.Floor(100*c.Factor+1e-6))
		if amps, ok := oneCurrent(c.CurrentsA); ok {
			words = unit.Current.Say(math.Floor(1000*amps+1e-6)/1000) + " or less"
		}
		if c.FluxShare > 0 {
			words += fmt.Sprintf(", which leaves %.0f %% of the light", 100*c.FluxShare)
		}
		ways = append(ways, words)
	}
	for _, p := range a.Profiles {
		if !p.Reached {
			break
		}
		words := "profile " + p.Profile.Name
		if m := p.Profile.PricePerM; m.Currency != "" {
			words += fmt.Sprintf(" (%s/m)", moneyText(m))
		}
		ways = append(ways, words)
	}
	if len(ways) == 0 {
		return scene.RailWord(a.Rail) + ": neither a rail of four times the length nor less current within the parts' tables nor a known profile serves by itself"
	}
	return scene.RailWord(a.Rail) + ": " + strings.Join(ways, "; or ")
}

// oneCurrent returns the current that all modules that are on share.
func oneCurrent(list []float64) (amps float64, ok bool) {
	for _, a := range list {
		if a > 0 && amps > 0 && math.Abs(a-amps) > 1e-9 {
			return 0, false
		}
		amps = math.Max(amps, a)
	}
	return amps, amps > 0
}

// lifeText says how long the light of a part lasts.
func lifeText(sc *scene.Scene, l scene.PartLife) string {
	lead := fmt.Sprintf("%s, board at most %.0f C", l.Part, l.BoardC)
	if l.Untested != "" {
		return lead + ": " + l.Untested
	}
	if l.TestC > l.BoardC {
		lead += fmt.Sprintf(" (judged by the test at %.0f C)", l.TestC)
	}
	words := fmt.Sprintf("%s: keeps %.0f %% of its light for %.0f h", lead, 100*lifeShare, l.Hours)
	if l.Beyond {
		words += fmt.Sprintf(" or longer (a test of %.0f h cannot tell how much longer)", l.TestedH)
	}
	if l.Years > 0 {
		words += fmt.Sprintf("; at %s h a day that is %.1f years", number(sc.Wiring.HoursPerDay), l.Years)
	}
	return words
}
