package study

import (
	"context"
	"fmt"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// feed leaves out the currents that no driver gives, the scene's own where it names one, and notes them.
func (a *arranger) feed() {
	var kept []float64
	var out finding.List
	var why finding.Finding
	for _, amps := range a.options.Currents {
		if sc, err := edit.With(a.scene, currentChange(amps)); err == nil { // what the parts refuse is told in its place
			if unfed := wiring.Unfed(sc); unfed.Any() {
				out, why = append(out, finding.Amount{Of: unit.Current, Value: amps}), unfed
				continue
			}
		}
		kept = append(kept, amps)
	}
	if a.options.Currents = kept; len(out) > 0 {
		a.notes = append(a.notes, finding.CurrentsUnfed.Of(out, why))
	}
}

// tight says which boards of the scene as it is are closer than the gap asked for, if some are.
func (a *arranger) tight() (f finding.Finding) {
	for _, r := range a.scene.Rails {
		for i := 1; i < len(r.Modules); i++ {
			left, right := r.Modules[i-1], r.Modules[i]
			if gap := right.XM - left.XM - (left.Part.BoardLengthM+right.Part.BoardLengthM)/2; gap < a.options.GapM-1e-9 {
				return finding.BoardsTight.Of(finding.Text(scene.RailWord(r.Name)), finding.Length(gap))
			}
		}
	}
	return f
}

// variants lists the combinations of optics and values that may be chosen, and computes the scene as it is. Values that
// the scene refuses are left out.
func (a *arranger) variants(ctx context.Context) (list []variant, err error) {
	optics := a.options.Optics
	if len(optics) == 0 {
		optics = []parts.Optic{{}}
	}
	total := len(optics)
	for _, axis := range a.options.Axes {
		total *= len(axis.Values)
	}
	if total > MaxCombinations {
		return nil, fmt.Errorf("%d combinations of optics and values are more than the limit of %d; use larger steps", total,
			MaxCombinations)
	}
	var refused error
	for _, optic := range optics {
		for _, values := range a.options.combinations() {
			if v, err := a.variant(ctx, optic, values); err != nil {
				refused = err
			} else {
				list = append(list, v)
			}
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("no combination can be built: %w", refused)
	}
	return list, a.asItIs(ctx)
}

// variant makes one combination, at the highest current that may be chosen and does not make it too hot; at the lowest
// where all do.
func (a *arranger) variant(ctx context.Context, optic parts.Optic, values []float64) (v variant, err error) {
	base := a.scene
	v = variant{words: a.options.named(values), currents: a.options.Currents}
	if optic.Name != "" {
		base = WithOptic(base, optic)
		v.words = strings.TrimSuffix("optic "+optic.Name+", "+v.words, ", ")
	}
	for {
		var current []edit.Change
		if n := len(v.currents); n > 0 {
			current = append(current, currentChange(v.currents[n-1]))
		}
		if v.scene, err = a.options.with(base, values, current...); err != nil || len(v.currents) < 2 {
			return v, err
		}
		_, junctions, err := a.light.Warm(ctx, v.scene)
		if err != nil || !junctions[0].TooHot.Any() {
			return v, err
		}
		v.currents = v.currents[:len(v.currents)-1]
	}
}

func currentChange(amps float64) edit.Change {
	v, _ := edit.VariableNamed("current") // exists
	return edit.Change{Variable: v, Value: amps}
}
