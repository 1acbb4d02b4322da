package scene

import (
	"fmt"
	"math"
	"sort"
	"strings"

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
	set       func(*Scene, *Rail, float64) error
	get       func(*Scene, *Rail) float64
}

// Change sets one variable, in SI units, on the rail named Rail, or on all rails where Rail is empty.
type Change struct {
	Rail     string
	Variable Variable
	Value    float64
}

// variables in the order in which changes are made: what others build on comes first.
var variables = []Variable{
	variable("depth", "depth of the water", key.Water.Row("depth"), setDepth,
		func(s *Scene, _ *Rail) float64 { return s.Tank.Water.DepthM }),
	variable("height", "emitting face above the water", key.Rail.Row("above_water"), setHeight,
		func(_ *Scene, r *Rail) float64 { return r.AboveWaterM }),
	variable("y", "rail's middle from the front", key.Rail.Row("y"),
		func(_ *Scene, r *Rail, v float64) error { r.YM = v; return nil },
		func(_ *Scene, r *Rail) float64 { return r.YM }),
	variable("tilt", "turn about the rail's own axis", key.Rail.Row("tilt"), setTilt,
		func(_ *Scene, r *Rail) float64 { return r.TiltRad }),
	variable("beam", "beam angle of the optics, field angle and oval shape in proportion", key.Optic.Row("beam"),
		setBeam, func(_ *Scene, r *Rail) float64 { return r.first().Optic.BeamRad }),
	variable("current", "current through each module", key.Group.Row("current"),
		setCurrent, func(_ *Scene, r *Rail) float64 { return r.first().CurrentA }),
	variable("count", "modules on the rail, spread as before", key.Group.Row("count"), setCount,
		func(_ *Scene, r *Rail) float64 { return float64(len(r.Modules)) }),
	variable("spacing", "middle to middle of neighbouring modules, about the same middle", key.Group.Row("spacing"),
		func(_ *Scene, r *Rail, v float64) error { r.spread(v); return nil },
		func(_ *Scene, r *Rail) float64 { return r.spacing() }),
}

// variable is the variable of a key.
func variable(name, about string, row key.Row, set func(*Scene, *Rail, float64) error,
	get func(*Scene, *Rail) float64) Variable {
	v := Variable{Name: name, About: about, Dimension: row.Shape.Dimension, key: row, set: set, get: get}
	switch v.Dimension {
	case nil:
		v.example = "4:8:1"
	case unit.Angle:
		v.example = "20deg:60deg:10deg"
	case unit.Current:
		v.example = "200mA:500mA:50mA"
	default:
		v.example = "120mm:260mm:20mm"
	}
	return v
}

// span returns the lowest and the highest value that serve.
func (v Variable) span() (low, high float64) { return v.key.Shape.Range.Low, v.key.Shape.Range.High }

// first returns the first module of the rail, or one of no light where it has none.
func (r *Rail) first() Module {
	if len(r.Modules) == 0 {
		return Module{}
	}
	return r.Modules[0]
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
	if near := document.Suggest(name, names); near != "" {
		return Variable{}, fmt.Errorf("unknown variable %q; did you mean %q?", name, near)
	}
	return Variable{}, fmt.Errorf("unknown variable %.40q; there are %s", name, strings.Join(names, ", "))
}

// Value returns what the scene itself has of a variable: that of the named rail, or of the first one.
func (s *Scene) Value(rail string, v Variable) float64 {
	for i := range s.Rails {
		if rail == "" || s.Rails[i].Name == rail {
			return v.get(s, &s.Rails[i])
		}
	}
	return 0
}

// With returns a copy of the scene with the changes made, cold. Parts and files stay shared. It refuses values outside
// a variable's range or a part's tables, and rails that do not exist; warnings of the file are not renewed.
func (s *Scene) With(changes ...Change) (*Scene, error) {
	c := s.bare()
	for _, v := range variables {
		for _, change := range changes {
			if change.Variable.Name != v.Name {
				continue
			}
			if err := c.change(v, change); err != nil {
				return nil, fmt.Errorf("%s: %w", v.Name, err)
			}
		}
	}
	return c, nil
}

func (s *Scene) change(v Variable, change Change) error {
	if low, high := v.span(); !(change.Value >= low && change.Value <= high) {
		return fmt.Errorf("%s is outside %s to %s", v.Say(change.Value), v.Say(low), v.Say(high))
	}
	found := false
	for i := range s.Rails {
		if change.Rail != "" && s.Rails[i].Name != change.Rail {
			continue
		}
		found = true
		if err := v.set(s, &s.Rails[i], change.Value); err != nil {
			return err
		}
	}
	if !found {
		return fmt.Errorf("there is no rail %q", change.Rail)
	}
	return nil
}

// Say writes a value of the variable for people.
func (v Variable) Say(value float64) string {
	if v.Dimension == nil {
		return fmt.Sprintf("%.6g", value)
	}
	return v.Dimension.Say(value)
}

func setDepth(s *Scene, _ *Rail, v float64) error {
	if v > s.Tank.HeightM {
		return fmt.Errorf("%s of water is above the rim at %s", say(v), say(s.Tank.HeightM))
	}
	switch plane := &s.Goal.Plane; {
	case plane.Name == "floor":
		plane.DepthM = v
	case plane.Name == "mid":
		plane.DepthM = v / 2
	case s.Goal.Set() && plane.DepthM > v:
		return fmt.Errorf("the goal's plane, %s under the surface, is below the floor of %s of water", say(plane.DepthM),
			say(v))
	}
	s.Tank.Water.DepthM = v
	return nil
}

func setHeight(s *Scene, r *Rail, v float64) error {
	r.AboveWaterM = v
	if err := s.underLight(v); err != nil {
		return err
	}
	return s.lowestDie(r)
}

func setTilt(s *Scene, r *Rail, v float64) error {
	r.TiltRad = v
	return s.lowestDie(r)
}

// underLight refuses a height above the water that is not above the cover.
func (s *Scene) underLight(heightM float64) error {
	if c := s.Tank.Cover; c != nil && heightM <= c.topM() {
		return fmt.Errorf("%s is not above the cover, whose top is at %s", say(heightM), say(c.topM()))
	}
	return nil
}

func (c *Cover) topM() float64 { return c.AboveWaterM + c.ThicknessM }

// lowestDie refuses a rail whose turned boards reach down to the water or the cover.
func (s *Scene) lowestDie(r *Rail) error {
	below, topM := "the water", 0.0
	if c := s.Tank.Cover; c != nil {
		below, topM = "the cover's top", c.topM()
	}
	for _, m := range r.Modules {
		reachM := float64(m.Part.DiesAcross-1) / 2 * m.Part.PitchAcrossM * math.Abs(math.Sin(r.TiltRad))
		if m.Part.DiesAcross > 1 && r.AboveWaterM-reachM <= topM {
			return fmt.Errorf("the lowest dies of %s would stand at %s, not above %s; lift the rail or tilt it less",
				m.Part.Name, say(r.AboveWaterM-reachM), below)
		}
	}
	return nil
}

// setBeam gives each optic the beam angle v along the rail. Across, and at the tenth of the intensity, it keeps
// proportion.
func setBeam(_ *Scene, r *Rail, v float64) error {
	for i := range r.Modules {
		o := r.Modules[i].Optic
		if o.File != "" {
			return fmt.Errorf("optic %s is a measured one, whose beam cannot be changed; compare several optics instead", o.Name)
		}
		scale := v / o.BeamRad
		o.Name = beamName(o.Name, v)
		o.BeamRad, o.BeamAcrossRad = v, o.BeamAcrossRad*scale
		o.FieldRad, o.FieldAcrossRad = o.FieldRad*scale, o.FieldAcrossRad*scale
		if widest := math.Max(math.Max(o.BeamAcrossRad, o.FieldRad), o.FieldAcrossRad); widest > math.Pi*0.999 {
			return fmt.Errorf("%s would reach beyond 180 deg with it", o.Name)
		}
		r.Modules[i].Optic = o
	}
	return nil
}

func setCurrent(_ *Scene, r *Rail, v float64) error {
	for i := range r.Modules {
		m := &r.Modules[i]
		if err := m.outsideTable(v); err != nil {
			return err
		}
		m.CurrentA = v
	}
	return nil
}

// outsideTable refuses a current that the part's tables do not cover.
func (m Module) outsideTable(a float64) error {
	if low, high := m.CurrentRange(); !(a >= low && a <= high) {
		return fmt.Errorf("%s is outside the table of %s, which runs from %s to %s", unit.Current.Say(a), m.Part.Name,
			unit.Current.Say(low), unit.Current.Say(high))
	}
	return nil
}

// CurrentRange returns the lowest and highest current that the part's tables of flux and voltage both cover, in A.
func (m Module) CurrentRange() (low, high float64) {
	low, high = m.Part.FluxLm.Domain()
	if lowV, highV := m.Part.ForwardV.Domain(); !m.Part.ForwardV.Empty() {
		low, high = math.Max(low, lowV), math.Min(high, highV)
	}
	paths := float64(m.Part.ParallelPaths)
	return low * paths, high * paths
}

// setCount puts that many modules on the rail, about the same middle and as far apart as before. Unlike modules keep
// taking turns.
func setCount(_ *Scene, r *Rail, v float64) error {
	n := int(v)
	if float64(n) != v {
		return fmt.Errorf("%g is no whole number", v)
	}
	if len(r.Modules) == 0 {
		return fmt.Errorf("rail %q has no module to repeat", r.Name)
	}
	r.sort()
	step, middle := r.spacing(), r.middle()
	if step == 0 {
		step = r.LengthM / v // a single module says nothing of a spacing; then the rail is filled
	}
	pattern := r.Modules
	r.Modules = make([]Module, n)
	for i, x := range spaced(n, middle, step) {
		r.Modules[i] = pattern[i%len(pattern)]
		r.Modules[i].XM = x
	}
	return nil
}

// spread puts the modules of a rail at equal distances about their middle, in their order.
func (r *Rail) spread(step float64) {
	r.sort()
	for i, x := range spaced(len(r.Modules), r.middle(), step) {
		r.Modules[i].XM = x
	}
}

func (r *Rail) sort() {
	sort.SliceStable(r.Modules, func(i, j int) bool { return r.Modules[i].XM < r.Modules[j].XM })
}

// middle returns the middle between the outermost modules.
func (r *Rail) middle() float64 {
	low, high := r.ends()
	return (low + high) / 2
}

// spacing returns the mean distance between neighbours, 0 for a single module.
func (r *Rail) spacing() float64 {
	if len(r.Modules) < 2 {
		return 0
	}
	low, high := r.ends()
	return (high - low) / float64(len(r.Modules)-1)
}

// ends returns the least and the greatest x of the rail's modules.
func (r *Rail) ends() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, m := range r.Modules {
		low, high = math.Min(low, m.XM), math.Max(high, m.XM)
	}
	return low, high
}

// Misfit says why the modules of a rail cannot be mounted where they are, empty where they can: a board reaches beyond
// the rail's end or into a keep-out, or lies on its neighbour.
func (r Rail) Misfit() string {
	r.Modules = append([]Module(nil), r.Modules...)
	r.sort()
	for i, m := range r.Modules {
		left, right := m.XM-m.Part.BoardLengthM/2, m.XM+m.Part.BoardLengthM/2
		if left < r.LeftM-slackM || right > r.LeftM+r.LengthM+slackM {
			return fmt.Sprintf("the module at x = %s is beyond the end of rail %s", say(m.XM), r.Name)
		}
		if i > 0 && m.XM-r.Modules[i-1].XM < (m.Part.BoardLengthM+r.Modules[i-1].Part.BoardLengthM)/2-slackM {
			return fmt.Sprintf("the boards at x = %s and %s of rail %s lie on each other", say(r.Modules[i-1].XM), say(m.XM),
				r.Name)
		}
		for _, k := range r.KeepOuts {
			if right > k.FromM+slackM && left < k.ToM-slackM {
				return fmt.Sprintf("the module at x = %s is in the keep-out from x = %s to %s of rail %s", say(m.XM), say(k.FromM),
					say(k.ToM), r.Name)
			}
		}
	}
	return ""
}

// Misfit says why the modules of the scene cannot be mounted where they are, empty where they can: that of a rail, or bars in
// one space.
func (s *Scene) Misfit() string {
	for i, r := range s.Rails {
		if why := r.Misfit(); why != "" {
			return why
		}
		for _, other := range s.Rails[:i] {
			if inOneSpace(r, other) {
				return fmt.Sprintf("the bars of the rails %s and %s lie in one space", other.Name, r.Name)
			}
		}
	}
	return ""
}

// PowerW returns the electrical power of the module at its current, W: at the reference junction temperature, or warm
// where the scene is; see Warm.
func (m Module) PowerW() float64 {
	if m.Dead {
		return 0
	}
	if m.Warmth != nil {
		return m.Warmth.VoltageV * m.CurrentA
	}
	paths := float64(m.Part.ParallelPaths)
	v, _ := m.Part.ForwardV.At(m.CurrentA / paths) // range was checked when the scene was read
	return v * float64(m.Part.Dies()) / paths * m.CurrentA
}

// PowerW returns the electrical power of all modules, without the driver's loss, W.
func (s *Scene) PowerW() float64 {
	var w float64
	for _, r := range s.Rails {
		for _, m := range r.Modules {
			w += m.PowerW()
		}
	}
	return w
}
