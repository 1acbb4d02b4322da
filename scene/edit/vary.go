// Package edit changes a scene that was read: variables that a sweep takes through ranges, the setting of a page,
// modules that are dead, what a meter found; and it writes what was changed back into the text of the scene's file.
// Every change is made on a copy; parts and files stay shared.
// Next: package scene for what is changed, package key for the ranges.
package edit

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/unit"
)

// Variable is a quantity of a scene that a sweep may change.
type Variable struct {
	Name      string
	Dimension *unit.Dimension // nil for a plain whole number
	About     string
	key       key.Row // which has the range
	example   string  // of a range
	Channels  bool    // it belongs to channels in place of rails
	set       func(*scene.Scene, *scene.Rail, float64) error
	get       func(*scene.Scene, *scene.Rail) float64
}

// Change sets one variable, in SI units, on the rail, or channel, named Rail, or on all where Rail is empty.
type Change struct {
	Rail     string
	Variable Variable
	Value    float64
}

// variables in the order in which changes are made: what others build on comes first.
var variables = []Variable{
	variable("depth", "depth of the water", key.Water.Row("depth"), setDepth,
		func(s *scene.Scene, _ *scene.Rail) float64 { return s.Tank.Water.DepthM }),
	variable("height", "emitting face above the water", key.Rail.Row("above_water"),
		func(s *scene.Scene, r *scene.Rail, v float64) error { r.AboveWaterM = v; return above(s, r) },
		func(_ *scene.Scene, r *scene.Rail) float64 { return r.AboveWaterM }),
	variable("y", "distance of the rail's centre line from the front", key.Rail.Row("y"),
		func(_ *scene.Scene, r *scene.Rail, v float64) error { r.YM = v; return nil },
		func(_ *scene.Scene, r *scene.Rail) float64 { return r.YM }),
	variable("tilt", "rotation about the rail's own axis", key.Rail.Row("tilt"),
		func(s *scene.Scene, r *scene.Rail, v float64) error { r.TiltRad = v; return above(s, r) },
		func(_ *scene.Scene, r *scene.Rail) float64 { return r.TiltRad }),
	variable("beam", "beam angle of the optics, field angle and oval shape in proportion", key.Optic.Row("beam"),
		setBeam, func(_ *scene.Scene, r *scene.Rail) float64 { return first(r).Optic.BeamRad }),
	variable("current", "current through each module", key.Group.Row("current"),
		setCurrent, func(_ *scene.Scene, r *scene.Rail) float64 { return first(r).CurrentA }),
	variable("count", "modules on the rail, spread as before", key.Group.Row("count"), setCount,
		func(_ *scene.Scene, r *scene.Rail) float64 { return float64(len(r.Modules)) }),
	variable("spacing", "centre to centre of neighbouring modules, about the same centre", key.Group.Row("spacing"),
		func(_ *scene.Scene, r *scene.Rail, v float64) error { spread(r, v); return nil },
		func(_ *scene.Scene, r *scene.Rail) float64 { return spacing(r) }),
	variable("leaves", "what is there of the leaf area of plants", key.Tank.Row("leaves"), setLeaves, leaves),
	{Name: "level", About: "of full light: level.NAME for one channel", Dimension: unit.Level, Channels: true,
		key: key.Channel.Row("level"), example: "10%:100%:10%"},
}

// examples are ranges of variables, by their dimension; a length where there is none.
var examples = map[*unit.Dimension]string{nil: "4:8:1", unit.Angle: "20deg:60deg:10deg",
	unit.Current: "200mA:500mA:50mA", unit.Level: "0%:100%:25%"}

func variable(name, about string, row key.Row, set func(*scene.Scene, *scene.Rail, float64) error,
	get func(*scene.Scene, *scene.Rail) float64) Variable {
	d := row.Shape.Dimension
	return Variable{Name: name, About: about, Dimension: d, key: row, set: set, get: get,
		example: cmp.Or(examples[d], "120mm:260mm:20mm")}
}

// Span returns the lowest and the highest value that serve, in SI units.
func (v Variable) Span() (low, high float64) { return v.key.Shape.Range.Low, v.key.Shape.Range.High }

// first returns the first module of the rail, or one of no light where it has none.
func first(r *scene.Rail) (m scene.Module) {
	if len(r.Modules) > 0 {
		m = r.Modules[0]
	}
	return m
}

// Variables lists what a sweep may change.
func Variables() []Variable { return append([]Variable(nil), variables...) }

// VariableNamed returns the variable of that name; the error names a near one, or all.
func VariableNamed(name string) (Variable, error) {
	var names []string
	for _, v := range variables {
		if v.Name == name {
			return v, nil
		}
		names = append(names, v.Name)
	}
	return Variable{}, errors.New(document.Unknown("variable", name, names))
}

// Value returns what the scene itself has of a variable: that of the named rail or channel, or of the first one.
func Value(s *scene.Scene, on string, v Variable) float64 {
	if v.Channels {
		for _, c := range s.Wiring.Channels {
			if on == "" || c.Name == on {
				return c.Level
			}
		}
		return 1
	}
	for i := range s.Rails {
		if on == "" || s.Rails[i].Name == on {
			return v.get(s, &s.Rails[i])
		}
	}
	return 0
}

// With returns a copy of the scene with the changes made, cold. Parts and files stay shared. It refuses values outside
// a variable's range or a part's tables, and rails that do not exist; warnings of the file are not renewed.
func With(s *scene.Scene, changes ...Change) (*scene.Scene, error) {
	c := s.Copy()
	for _, v := range variables {
		for _, change := range changes {
			if change.Variable.Name != v.Name {
				continue
			}
			if err := apply(c, v, change); err != nil {
				return nil, fmt.Errorf("%s: %w", v.Name, err)
			}
		}
	}
	return c, nil
}

func apply(s *scene.Scene, v Variable, change Change) error {
	if low, high := v.Span(); !(change.Value >= low && change.Value <= high) {
		return fmt.Errorf("%s is outside %s to %s", v.Say(change.Value), v.Say(low), v.Say(high))
	}
	if err := v.Has(s, change.Rail); err != nil {
		return err
	}
	for i, c := range s.Wiring.Channels {
		if v.Channels && (change.Rail == "" || c.Name == change.Rail) {
			s.SetLevel(i, change.Value)
		}
	}
	for i := range s.Rails {
		if r := &s.Rails[i]; !v.Channels && (change.Rail == "" || r.Name == change.Rail) {
			if err := v.set(s, r, change.Value); err != nil {
				return err
			}
		}
	}
	return nil
}

// Has returns an error where the scene has no rail, or channel, of the name; the empty one stands for all.
func (v Variable) Has(s *scene.Scene, on string) (err error) {
	switch {
	case on == "":
	case v.Channels:
		_, err = s.Channel(on)
	default:
		_, err = s.Rail(on)
	}
	return err
}

// Say writes a value of the variable for people.
func (v Variable) Say(value float64) string {
	if v.Dimension == nil {
		return fmt.Sprintf("%.6g", value)
	}
	return v.Dimension.Say(value)
}

// above returns the error of a rail that is not above the water and the cover.
func above(s *scene.Scene, r *scene.Rail) error {
	_, err := s.CheckAbove(r)
	return err
}

// setBeam gives each optic the beam angle v along the rail; its angles across, and field angles, keep proportion.
func setBeam(_ *scene.Scene, r *scene.Rail, v float64) error {
	for i := range r.Modules {
		o := r.Modules[i].Optic
		if o.File != "" {
			return fmt.Errorf("optic %s is a measured one, whose beam cannot be changed; compare several optics instead", o.Name)
		}
		scale := v / o.BeamRad
		o.BeamOf = cmp.Or(o.BeamOf, o.Name)
		o.Name = fmt.Sprintf("%s at %.6g deg", o.BeamOf, unit.Angle.In(v, "deg")) // a name that any keyboard types
		o.BeamRad, o.BeamAcrossRad = v, o.BeamAcrossRad*scale
		o.FieldRad, o.FieldAcrossRad = o.FieldRad*scale, o.FieldAcrossRad*scale
		if widest := math.Max(math.Max(o.BeamAcrossRad, o.FieldRad), o.FieldAcrossRad); widest > math.Pi*0.999 {
			return fmt.Errorf("%s would reach beyond 180° with it", o.Name)
		}
		r.Modules[i].Optic = o
	}
	return nil
}

func setCurrent(_ *scene.Scene, r *scene.Rail, v float64) error {
	for i := range r.Modules {
		m := &r.Modules[i]
		if err := m.Part.CheckCurrent(v); err != nil {
			return err
		}
		m.CurrentA = v
	}
	return nil
}

// setCount puts v modules on the rail, about the same middle and as far apart; unlike modules keep taking turns.
func setCount(_ *scene.Scene, r *scene.Rail, v float64) error {
	n := int(v)
	if float64(n) != v {
		return fmt.Errorf("%g is not a whole number", v)
	}
	if len(r.Modules) == 0 {
		return fmt.Errorf("rail %q has no module to repeat", r.Name)
	}
	r.SortModules()
	step, middle := spacing(r), middle(r)
	if step == 0 {
		step = r.LengthM / v // a single module says nothing of a spacing; then the rail is filled
	}
	pattern := r.Modules
	r.Modules = make([]scene.Module, n)
	for i, x := range scene.Spaced(n, middle, step) {
		r.Modules[i] = pattern[i%len(pattern)]
		r.Modules[i].XM = x
	}
	return nil
}

// spread puts the modules of a rail at equal distances about their middle, in their order.
func spread(r *scene.Rail, step float64) {
	r.SortModules()
	for i, x := range scene.Spaced(len(r.Modules), middle(r), step) {
		r.Modules[i].XM = x
	}
}

// middle returns the middle between the outermost modules.
func middle(r *scene.Rail) float64 {
	low, high := ends(r)
	return (low + high) / 2
}

// spacing returns the mean distance between neighbours, 0 for a single module.
func spacing(r *scene.Rail) float64 {
	low, high := ends(r)
	return (high - low) / max(float64(len(r.Modules)-1), 1)
}

// ends returns the least and the greatest x of the rail's modules, 0 where it has none.
func ends(r *scene.Rail) (low, high float64) {
	low, high = first(r).XM, first(r).XM
	for _, m := range r.Modules {
		low, high = math.Min(low, m.XM), math.Max(high, m.XM)
	}
	return low, high
}

// MaxRangeValues is the highest number of values that one range may have.
const MaxRangeValues = 100_000

// Range is one variable with the values that it is to take, in SI units, on one rail or channel, or on all (Rail
// empty).
type Range struct {
	Rail     string
	Variable Variable
	Values   []float64
}

// Name is the variable's name for people, with the rail's before it, or the channel's after it, where there is one.
func (r Range) Name() string {
	if r.Variable.Channels {
		return strings.TrimSuffix(r.Variable.Name+"."+r.Rail, ".")
	}
	return strings.TrimPrefix(r.Rail+"."+r.Variable.Name, ".")
}

// ParseRange reads "spacing=120mm:260mm:20mm" (from, to, step; both ends included), "beam=25deg,40deg,60deg" (a list)
// or "count=6"; a rail's name and a dot before the variable mean that rail alone, and "level.blue" the channel of that
// name. Errors say what would serve.
func ParseRange(text string) (Range, error) {
	name, values, ok := strings.Cut(text, "=")
	if !ok {
		return Range{}, fmt.Errorf("%.60q has no equals sign; write spacing=120mm:260mm:20mm", text)
	}
	var r Range
	var err error
	name = strings.TrimSpace(name)
	first, rest, dotted := strings.Cut(name, ".")
	if r.Variable, err = VariableNamed(first); dotted && err == nil && r.Variable.Channels {
		name, r.Rail = first, rest
	} else if dot := strings.LastIndex(name, "."); dot >= 0 {
		r.Rail, name = name[:dot], name[dot+1:]
	}
	if r.Variable, err = VariableNamed(name); err != nil {
		return Range{}, err
	}
	if strings.Contains(values, ":") {
		r.Values, err = r.Variable.fromTo(values)
	} else {
		r.Values, err = r.Variable.list(values)
	}
	if err != nil {
		return Range{}, fmt.Errorf("%s: %w", name, err)
	}
	return r, nil
}

// fromTo reads "from:to:step".
func (v Variable) fromTo(text string) ([]float64, error) {
	words := strings.Split(text, ":")
	if len(words) != 3 {
		return nil, fmt.Errorf("%.60q is not a range; write from:to:step, such as %s", text, v.example)
	}
	ends, err := v.list(strings.Join(words, ","))
	if err != nil {
		return nil, err
	}
	from, to, step := ends[0], ends[1], ends[2]
	low, high := v.Span()
	n := math.Floor((to-from)/step+1e-9) + 1
	switch {
	case step <= 0:
		return nil, fmt.Errorf("the step %s is not above 0", words[2])
	case to < from:
		return nil, fmt.Errorf("the range is empty: %s is below %s", words[1], words[0])
	case n > MaxRangeValues && (from < low || to > high):
		return nil, fmt.Errorf("the range from %.40s to %.40s is wider than %s to %s, where values must lie",
			words[0], words[1], v.Say(low), v.Say(high))
	case n > MaxRangeValues:
		return nil, fmt.Errorf("the range has %s values, more than the limit of %s; use a larger step than %.40s",
			unit.Count(n), unit.Count(MaxRangeValues), words[2])
	}
	values := make([]float64, int(n))
	for i := range values {
		values[i] = from + float64(i)*step
	}
	return values, nil
}

// list reads values with commas between them.
func (v Variable) list(text string) (values []float64, err error) {
	for word := range strings.SplitSeq(text, ",") {
		word = strings.TrimSpace(word)
		value := 0.0
		low, high := v.Span()
		switch n, errWhole := strconv.Atoi(word); {
		case word == "":
			return nil, fmt.Errorf("a value is missing in %.60q; write %s", text, v.example)
		case v.Dimension != nil:
			value, err = v.Dimension.Parse(word)
		case errWhole != nil || strconv.Itoa(n) != word:
			err = fmt.Errorf("%.40q is not a whole number from %g to %g", word, low, high)
		default:
			value = float64(n)
		}
		if values = append(values, value); len(values) > MaxRangeValues {
			err = fmt.Errorf("the list has %d values or more, above the limit of %s; use a shorter list", len(values),
				unit.Count(MaxRangeValues))
		}
		if err != nil {
			return nil, err
		}
	}
	return values, nil
}

// setLeaves gives all plants and floating leaves a share of their leaf area.
func setLeaves(s *scene.Scene, _ *scene.Rail, v float64) error {
	s.Tank.LeafShare = v
	return nil
}

// leaves is the share of their leaf area that plants and floating leaves have.
func leaves(s *scene.Scene, _ *scene.Rail) float64 { return s.Tank.LeafShare }
