package study

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/optics/search"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/parts"
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
	note := fmt.Sprintf("%s these modules %s; left out of the currents to choose among", whose,
		strings.Join(shortList(out), ", "))
	if len(kept) == 0 {
		note = fmt.Sprintf("%s these modules any of the currents to choose among, so theirs stay; at %s: %s", whose,
			out[len(out)-1], why)
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

// variants lists the combinations of optics and values that may be chosen. Values that the scene refuses are left out.
func (a *arranger) variants(ctx context.Context) ([]variant, error) {
	optics := []parts.Optic{{}}
	if len(a.options.Optics) > 0 {
		optics = a.options.Optics
	}
	lists := make([][]float64, len(a.options.Axes))
	total := len(optics)
	for i, axis := range a.options.Axes {
		lists[i] = axis.Values
		total *= len(axis.Values)
	}
	if total > MaxCombinations {
		return nil, fmt.Errorf("%d combinations of optics and values are more than the limit of %d; wider steps serve", total,
			MaxCombinations)
	}
	var list []variant
	var refused error
	for _, optic := range optics {
		for _, values := range search.Product(lists) {
			v, err := a.variant(ctx, optic, values)
			if err != nil {
				refused = err
				continue
			}
			list = append(list, v)
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("no combination can be built: %w", refused)
	}
	return list, a.own(ctx)
}

// variant makes one combination, at the highest current that may be chosen and does not make it too hot; at the lowest
// where all do.
func (a *arranger) variant(ctx context.Context, optic parts.Optic, values []float64) (variant, error) {
	var changes []edit.Change
	var words []string
	if optic.Name != "" {
		words = append(words, "optic "+optic.Name)
	}
	for i, axis := range a.options.Axes {
		changes = append(changes, edit.Change{Rail: axis.Rail, Variable: axis.Variable, Value: values[i]})
		words = append(words, CandidateName([]result.Axis{resultAxis(axis)}, result.Candidate{Values: values[i : i+1]},
			a.options.Units))
	}
	base := a.scene
	if optic.Name != "" {
		base = WithOptic(base, optic)
	}
	v := variant{words: strings.Join(words, ", "), currents: a.options.Currents}
	var err error
	for {
		all := changes
		if n := len(v.currents); n > 0 {
			all = append(slices.Clone(changes), currentChange(v.currents[n-1]))
		}
		if v.scene, err = edit.With(base, all...); err != nil || len(v.currents) < 2 || a.tooHot(ctx, v.scene) == "" {
			return v, err
		}
		v.currents = v.currents[:len(v.currents)-1]
	}
}

func currentChange(amps float64) edit.Change {
	v, _ := edit.VariableNamed("current") // exists
	return edit.Change{Variable: v, Value: amps}
}
