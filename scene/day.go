package scene

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"

	"fathomlux/scene/key"
)

// Knot is the level of a channel at a time of the day, a share of full light at hours from midnight.
type Knot struct{ AtH, Level float64 }

// Program is the levels of one channel over a day, in rising times: straight from knot to knot, and off before the
// first and after the last.
type Program []Knot

// Level returns the level at a time, or just before it where before is set: both differ where the light jumps.
func (p Program) Level(atH float64, before bool) float64 {
	i := slices.IndexFunc(p, func(k Knot) bool { return k.AtH > atH || before && k.AtH == atH })
	if i <= 0 {
		return 0
	}
	a, b := p[i-1], p[i]
	return a.Level + (b.Level-a.Level)*(atH-a.AtH)/(b.AtH-a.AtH)
}

// Scaled returns the program with all levels times a factor.
func (p Program) Scaled(factor float64) Program {
	p = slices.Clone(p)
	for i := range p {
		p[i].Level *= factor
	}
	return p
}

// fullH returns the hours at full light that add up to the program.
func (p Program) fullH() (hours float64) {
	for i := 1; i < len(p); i++ {
		hours += (p[i-1].Level + p[i].Level) / 2 * (p[i].AtH - p[i-1].AtH)
	}
	return hours
}

// day reads the programs of the channels. Where the scene gives no hours of light, they are those at full light that
// add up to the longest program.
func (r *reader) day(f key.Fields) {
	if !f.Has("day") {
		return
	}
	s := r.scene
	programs := make([]Program, len(s.Wiring.Channels))
	var others Program // of all channels without a program of their own
	lines := map[string]int{}
	for _, one := range f.Rows("day") {
		p, name := r.program(one), one.Get("channel").Text()
		line := one.At().Place().Line
		if at, taken := lines[name]; taken {
			what := fmt.Sprintf("channel %q has", name)
			if name == "" {
				what = "all other channels have"
			}
			one.At().Faultf("%s a program on line %d already; give each channel one", what, at)
		}
		lines[name] = line
		if name == "" {
			others = p
		} else if i, err := s.Channel(name); err == nil {
			programs[i] = p
		} else if len(programs) > 0 {
			one.Get("channel").Faultf("%v", err)
		}
	}
	for i, c := range s.Wiring.Channels {
		if _, own := lines[c.Name]; !own {
			programs[i] = others
		}
		if _, any := lines[""]; !any && lines[c.Name] == 0 {
			f.Get("day").Faultf("channel %q has no program; give it one, or one without channel for all others", c.Name)
		}
	}
	s.Day = programs
	for _, p := range programs {
		if !r.hours.Exists() {
			s.Wiring.HoursPerDay = max(s.Wiring.HoursPerDay, p.fullH())
		}
	}
}

// program reads one program: points, or times of on and off.
func (r *reader) program(f key.Fields) (p Program) {
	if f.Has("points") {
		for i, one := range f.Rows("points") {
			k := Knot{r.clock(one, "at"), one.Value("level", 0)}
			if i > 0 && k.AtH <= p[i-1].AtH {
				one.Get("at").Faultf("the time is not after the one before it; order the points by the clock")
				return nil
			}
			p = append(p, k)
		}
		return p
	}
	f.Demand("on")
	f.Demand("off")
	on, off, rampH, level := r.clock(f, "on"), r.clock(f, "off"), f.Value("ramp", 0)/3600, f.Value("level", 1)
	switch {
	case !f.Has("on") || !f.Has("off"):
		return nil
	case off <= on:
		f.Get("off").Faultf("the day ends before it begins: %s is not after %s; a light that is on over midnight needs "+
			"points", f.Get("off").Text(), f.Get("on").Text())
	case 2*rampH > off-on:
		f.Get("ramp").Faultf("two ramps are longer than the light is on, which is %s h",
			strconv.FormatFloat(off-on, 'g', 4, 64))
	case rampH == 0:
		return Program{{on, level}, {off, level}}
	case 2*rampH > off-on-1e-9:
		return Program{{on, 0}, {on + rampH, level}, {off, 0}}
	default:
		return Program{{on, 0}, {on + rampH, level}, {off - rampH, level}, {off, 0}}
	}
	return nil
}

var clockTime = regexp.MustCompile(`^([01]?[0-9]|2[0-4]):([0-5][0-9])$`)

// clock reads a time of the day, in hours from midnight.
func (r *reader) clock(f key.Fields, name string) float64 {
	n := f.Need(name)
	if !n.IsScalar() {
		if f.Has(name) {
			n.Faultf("this is no time of the day; write it as in 9:00, from 0:00 to 24:00")
		}
		return 0
	}
	parts := clockTime.FindStringSubmatch(n.Text())
	if parts == nil || parts[1] == "24" && parts[2] != "00" {
		n.Faultf("%q is no time of the day; write it as in 9:00, from 0:00 to 24:00", n.Text())
		return 0
	}
	hours, _ := strconv.Atoi(parts[1])
	minutes, _ := strconv.Atoi(parts[2])
	return float64(hours) + float64(minutes)/60
}
