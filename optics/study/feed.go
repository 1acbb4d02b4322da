package study

import (
	"fmt"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// feed leaves out the currents that no driver gives, the scene's own where it names one, and notes them.
func (a *arranger) feed() {
	var kept []float64
	var out []string
	why := ""
	for _, amps := range a.options.Currents {
		sc, err := edit.With(a.scene, currentChange(amps))
		if err == nil { // what the parts refuse is told where it is tried
			if unfed := wiring.Unfed(sc); unfed != "" {
				out, why = append(out, unit.Current.Say(amps)), unfed
				continue
			}
		}
		kept = append(kept, amps)
	}
	if len(out) == 0 {
		return
	}
	whose := "no driver at hand gives"
	if name := a.scene.Wiring.Driver.Name; name != "" {
		whose = "driver " + name + " does not give"
	}
	a.options.Currents = kept
	note := fmt.Sprintf("%s these modules %s; left out of the currents to choose among", whose, strings.Join(shortList(out), ", "))
	if len(kept) == 0 {
		note = fmt.Sprintf("%s these modules any of the currents to choose among, so theirs stay; at %s: %s", whose, out[len(out)-1], why)
	}
	a.notes = append(a.notes, note)
}

// shortList keeps the ends of a long list.
func shortList(words []string) []string {
	if len(words) <= 6 {
		return words
	}
	return []string{words[0], words[1], "...", words[len(words)-1]}
}

// tight says which boards of the scene as it is are closer than the gap asked for, empty where none are.
func (a *arranger) tight() string {
	for _, r := range a.scene.Rails {
		for i := 1; i < len(r.Modules); i++ {
			left, right := r.Modules[i-1], r.Modules[i]
			if gap := right.XM - left.XM - (left.Part.BoardLengthM+right.Part.BoardLengthM)/2; gap < a.options.GapM-1e-9 {
				return fmt.Sprintf("boards of %s are %s apart", scene.RailWord(r.Name), a.options.Units.Length(gap))
			}
		}
	}
	return ""
}
