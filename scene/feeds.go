package scene

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// kindWord names modules by what they are, in place of a rail.
const kindWord = "kind"

// Named returns the modules that a text names: a rail, "back"; modules on it, counted from 1 in the order of the file,
// "front:1-4,7"; on the only rail the numbers alone; or "kind:blue", those whose part or spectrum has that name, or
// that word in its name. A rail that is named kind comes first.
func (s *Scene) Named(text string) ([]Seat, error) {
	name, list := s.Rails[0].Name, text
	at := slices.IndexFunc(s.Rails, func(r Rail) bool { return r.Name == text })
	switch colon := strings.LastIndex(text, ":"); {
	case at >= 0:
		return s.seatsOf(at), nil
	case colon >= 0:
		name, list = text[:colon], text[colon+1:]
	case len(s.Rails) > 1:
		if _, err := strconv.Atoi(text[:min(len(text), 1)]); err != nil {
			_, err = s.Rail(text)
			return nil, err
		}
		return nil, fmt.Errorf("%.60q names no module; write a rail and a number such as %s:1", text, name)
	}
	at = slices.IndexFunc(s.Rails, func(r Rail) bool { return r.Name == name })
	if at < 0 && name == kindWord {
		return s.ofKind(list)
	}
	if _, err := s.Rail(name); err != nil {
		return nil, err
	}
	all := s.seatsOf(at)
	numbers, err := Numbers(list, "module", name, RailWord(name), len(all))
	seats := make([]Seat, len(numbers))
	for i, n := range numbers {
		seats[i] = all[n-1]
	}
	return seats, err
}

// seatsOf returns the places on one rail.
func (s *Scene) seatsOf(rail int) (seats []Seat) {
	for m := range s.Rails[rail].Modules {
		seats = append(seats, Seat{Rail: rail, Module: m})
	}
	return seats
}

// Numbers reads numbers from 1 to most with commas between, ranges too: "2,5-7". name stands before the colon, of what
// has them is said where they are beyond.
func Numbers(list, what, name, of string, most int) (numbers []int, err error) {
	for word := range strings.SplitSeq(list, ",") {
		from, to, isRange := strings.Cut(word, "-")
		if !isRange {
			to = from
		}
		first, errFirst := strconv.Atoi(strings.TrimSpace(from))
		last, errLast := strconv.Atoi(strings.TrimSpace(to))
		switch {
		case errFirst != nil || errLast != nil:
			return nil, fmt.Errorf("%.20q is not a number of a %s; write %s:1, %[3]s:2,5 or %[3]s:1-3", word, what, name)
		case first < 1 || last > most || last < first:
			return nil, fmt.Errorf("%s has %ss 1 to %d, not %.20s", of, what, most, word)
		case len(numbers) > MaxModules:
			return nil, fmt.Errorf("%.20q names more modules than there are", list)
		}
		for n := first; n <= last; n++ {
			numbers = append(numbers, n)
		}
	}
	return numbers, nil
}

// ofKind returns the modules of a kind.
func (s *Scene) ofKind(kind string) (seats []Seat, err error) {
	var names []string
	for _, at := range s.Seats() {
		p := s.Rails[at.Rail].Modules[at.Module].Part
		for _, name := range []string{p.Name, p.Spectrum} {
			names = append(names, name)
			if name == kind || slices.Contains(strings.Split(name, "-"), kind) {
				seats = append(seats, at)
				break
			}
		}
	}
	if len(seats) == 0 {
		slices.Sort(names)
		return nil, errors.New(document.Unknown("kind of module", kind, slices.Compact(names)))
	}
	return seats, nil
}

// Runs writes places as Named takes them: "front:1-8,11 and middle:1".
func (s *Scene) Runs(seats []Seat) string { return strings.Join(s.RunsByRail(seats), " and ") }

// RunsByRail is Runs as one text a rail.
func (s *Scene) RunsByRail(seats []Seat) (list []string) {
	numbers := make([][]int, len(s.Rails))
	for _, at := range seats {
		numbers[at.Rail] = append(numbers[at.Rail], at.Module+1)
	}
	for i, r := range s.Rails {
		if len(numbers[i]) > 0 {
			slices.Sort(numbers[i])
			list = append(list, r.Name+":"+unit.Runs(numbers[i], "-", ","))
		}
	}
	return list
}

// Fed returns the places of the modules that a driver of the scene feeds.
func (s *Scene) Fed(supply int) []Seat {
	return slices.DeleteFunc(s.Seats(), func(at Seat) bool { return s.Rails[at.Rail].Modules[at.Module].Supply != supply })
}

// Dimmed returns the places of the modules of a channel.
func (s *Scene) Dimmed(channel int) []Seat {
	return slices.DeleteFunc(s.Seats(), func(at Seat) bool {
		return s.Rails[at.Rail].Modules[at.Module].Channel != channel
	})
}

// Channel returns the index of the channel of that name; the error names a near one, or all.
func (s *Scene) Channel(name string) (int, error) {
	var names []string
	for i, c := range s.Wiring.Channels {
		if c.Name == name {
			return i, nil
		}
		names = append(names, c.Name)
	}
	return 0, errors.New(document.Unknown("channel", name, names))
}

// SetLevel dims a channel with all its modules to a share of full light; it changes the scene.
func (s *Scene) SetLevel(channel int, level float64) {
	c := &s.Wiring.Channels[channel]
	c.Level = level
	for i := range s.Rails {
		for k := range s.Rails[i].Modules {
			if m := &s.Rails[i].Modules[k]; m.Channel == channel {
				m.Dim = parts.Dim{Below: 1 - level, By: c.Dimming}
			}
		}
	}
}

// claims are who has which module already.
type claims map[Seat]document.Node

// take takes the modules that a list names; those that another one has, it leaves and adds a fault. Where the rails
// were not sound it only looks for rails that do not exist.
func (r *reader) take(f key.Fields, taken claims, sound bool, take func(*Module)) {
	s := r.scene
	mine := map[Seat]bool{}
	for _, n := range f.Items("modules") {
		text := n.Text()
		if text == "" || len(s.Rails) == 0 {
			continue
		}
		seats, err := s.Named(text)
		var double []Seat
		for _, at := range seats {
			if _, has := taken[at]; has && !mine[at] {
				double = append(double, at)
				continue
			}
			mine[at], taken[at] = true, n
			take(&s.Rails[at.Rail].Modules[at.Module])
		}
		switch {
		case err != nil && (sound || unknownRail(s, text)):
			n.Faultf("%v", err)
		case len(double) > 0:
			n.Faultf("%s: line %d claims the same already; leave them out of one of the two", s.Runs(double),
				taken[double[0]].Place().Line)
		}
	}
}

// unknownRail tells whether a text names a rail, and one that does not exist.
func unknownRail(s *Scene, text string) bool {
	name, _, numbered := strings.Cut(text, ":")
	_, err := s.Rail(name)
	return numbered && name != kindWord && err != nil
}

// supplies reads the drivers with what each feeds.
func (r *reader) supplies(f key.Fields, sound bool) {
	w, taken, lines := &r.scene.Wiring, claims{}, map[string]int{}
	if !f.Has("drivers") {
		return
	}
	for i, one := range f.Rows("drivers") {
		v := Supply{Name: fmt.Sprintf("driver %d", i+1)}
		v.Driver, _ = named(r, one, "driver", r.scene.Catalogue.Drivers, parts.Driver{})
		one.Fill(&v)
		if line, taken := lines[v.Name]; taken {
			one.Get("name").Faultf("%q is the name of the driver on line %d already; give each driver its own", v.Name, line)
		}
		lines[v.Name] = one.At().Place().Line
		if v.Channel == "" {
			v.Channel = v.Name
		}
		if one.Has("at") {
			v.Site = map[string]Site{"hood": HoodSite, "wall": WallSite, "outside": OutsideSite}[one.Word("at")]
		}
		if v.Site == HoodSite && r.scene.Ambient.Hood == nil {
			one.Get("at").Faultf("there is no hood; give ambient.hood, or wall or outside here")
		}
		r.take(one, taken, sound, func(m *Module) { m.Supply = i })
		w.Supplies = append(w.Supplies, v)
	}
	var unfed []Seat
	for _, at := range r.scene.Seats() {
		if _, fed := taken[at]; !fed {
			unfed = append(unfed, at)
		}
	}
	if sound && len(unfed) > 0 && len(w.Supplies) > 0 {
		f.Get("drivers").Faultf("no driver feeds %s; add them to the modules of one, or give another driver",
			r.scene.Runs(unfed))
	}
}

// channels reads what dims together. Modules that no channel claims belong to the channel of their driver, or to one
// with the name of their part where no drivers are given.
func (r *reader) channels(f key.Fields, sound bool) {
	s, w, taken := r.scene, &r.scene.Wiring, claims{}
	var given []Channel
	rows, names := []key.Fields{}, map[*Module]string{}
	if f.Has("channels") {
		rows = f.Rows("channels")
	}
	for _, one := range rows {
		c := Channel{Level: 1}
		one.Fill(&c)
		if n := one.Get("modules"); n.Exists() {
			for _, item := range n.Items() {
				c.Claims = append(c.Claims, item.Text())
			}
			r.take(one, taken, sound, func(m *Module) { names[m] = c.Name })
		}
		if k := slices.IndexFunc(given, func(o Channel) bool { return o.Name == c.Name }); k >= 0 && c.Name != "" {
			one.Get("name").Faultf("%q is the name of the channel on line %d already; give each channel its own", c.Name,
				rows[k].At().Place().Line)
		}
		given = append(given, c)
	}
	for i := range s.Rails {
		for k := range s.Rails[i].Modules {
			m := &s.Rails[i].Modules[k]
			name, claimed := names[m]
			switch {
			case claimed:
			case len(w.Supplies) > 0:
				name = w.Supplies[min(m.Supply, len(w.Supplies)-1)].Channel
			default:
				name = m.Part.Name
			}
			m.Channel = slices.IndexFunc(w.Channels, func(c Channel) bool { return c.Name == name })
			if m.Channel < 0 {
				m.Channel = len(w.Channels)
				w.Channels = append(w.Channels, Channel{Name: name, Level: 1})
			}
		}
	}
	for k, c := range given {
		i, err := s.Channel(c.Name)
		switch {
		case err == nil:
			w.Channels[i] = c
			s.SetLevel(i, c.Level)
		case sound && c.Name != "":
			rows[k].Get("name").Faultf("%v; or give the modules of this channel", err)
		}
	}
}
