package live

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// thing is a mapping of the scene file that a page shows with its values as they are written there.
type thing struct {
	id, title string
	path      []any
	table     *key.Table
	without   []string // keys that stand elsewhere on the page, or in its text alone
	node      document.Node
	removable bool
}

// clock are the keys of a day's program that its points stand in place of.
var clock = []string{"on", "off", "ramp", "level"}

// thingsOf are the things of a scene that have no sliders: each key with what it means, what it may be, and its text in
// the file, empty where it is not given.
func thingsOf(sc *scene.Scene) []object {
	root, _ := document.Read(sc.File, sc.Source(), &document.Report{}) // it was read before, without a fault
	of := func(n document.Node, name string) document.Node { return n.Child(name) }
	tank, wiring, goal := of(root, "tank"), of(root, "wiring"), of(root, "goal")
	walls, cover := key.Tank.Row("walls").Shape.Keys, key.Tank.Row("cover").Shape.Keys
	list := []thing{
		{"tank", "Tank", []any{"tank"}, key.Tank, []string{"water", "walls", "floor", "cover", "obstacles"}, tank, false},
		{"walls", "Walls", []any{"tank", "walls"}, walls, nil, of(tank, "walls"), false},
		{"floor", "Floor", []any{"tank", "floor"}, key.Tank.Row("floor").Shape.Keys, nil, of(tank, "floor"), false},
		{"cover", "Cover", []any{"tank", "cover"}, cover, nil, of(tank, "cover"), true},
		{"water-more", "More of the water", []any{"tank", "water"}, key.Water, []string{"depth", "kind", "extra_absorption"},
			of(tank, "water"), false},
	}
	obstacle := key.Tank.Row("obstacles").Shape.Of[0].Keys
	for i, n := range of(tank, "obstacles").Items() {
		list = append(list, thing{"obstacle-" + strconv.Itoa(i), "Obstacle " + document.Visible(sc.Tank.Obstacles[i].Name),
			[]any{"tank", "obstacles", i}, obstacle, []string{"opaque"}, n, true})
	}
	for i, n := range of(root, "rails").Items() {
		list = append(list, thing{"bar-" + strconv.Itoa(i), "Bar of rail " + document.Visible(sc.Rails[i].Name),
			[]any{"rails", i}, key.Rail, []string{"y", "above_water", "tilt", "modules"}, n, len(sc.Rails) > 1})
	}
	if goal.IsSequence() {
		for i, n := range goal.Items() {
			list = append(list, thing{"goal-" + strconv.Itoa(i), "Goal, " + document.Visible(sc.Goal.Parts()[i].Label()),
				[]any{"goal", i}, key.Goal, nil, n, len(goal.Items()) > 1})
		}
	} else {
		list = append(list, thing{"goal", "Goal", []any{"goal"}, key.Goal, nil, goal, false})
	}
	list = append(list, thing{"wiring", "Wiring", []any{"wiring"}, key.Wiring, []string{"drivers", "channels"}, wiring, false})
	for i, n := range of(wiring, "drivers").Items() {
		list = append(list, thing{"driver-" + strconv.Itoa(i), titled("Driver", sc.Wiring.Supplies[i].Name),
			[]any{"wiring", "drivers", i}, key.Supply, nil, n, true})
	}
	for i, n := range of(wiring, "channels").Items() {
		list = append(list, thing{"channel-" + strconv.Itoa(i), titled("Channel", of(n, "name").Text()),
			[]any{"wiring", "channels", i}, key.Channel, []string{"level"}, n, true})
	}
	for i, n := range of(root, "day").Items() {
		list = append(list, dayThing(i, n))
	}
	list = append(list, thing{"ambient", "Air around the rails", []any{"ambient"}, key.Scene.Row("ambient").Shape.Keys, nil,
		of(root, "ambient"), false})
	return each(list, func(t thing) object { return t.object(sc.Catalogue) })
}

// titled names a thing by what it is, said once.
func titled(what, name string) string {
	if strings.HasPrefix(strings.ToLower(name), strings.ToLower(what)) {
		return what + document.Visible(name[len(what):])
	}
	return what + " " + document.Visible(name)
}

// dayThing is the program of a channel, or of all channels that have none of their own.
func dayThing(i int, n document.Node) thing {
	title, without := "Day of all other channels", []string{"points"}
	if channel := n.Child("channel"); channel.Exists() {
		title = "Day of channel " + document.Visible(channel.Text())
	} else if i == 0 {
		title = "Day"
	}
	if n.Child("points").Exists() {
		without = append(without, clock...)
	}
	return thing{"day-" + strconv.Itoa(i), title, []any{"day", i}, key.Scene.Row("day").Shape.Of[0].Keys, without, n, true}
}

// knotsOf are the programs of a day as points, one a channel, in the words of a scene file.
func knotsOf(sc *scene.Scene) [][]object {
	all := make([][]object, len(sc.Day))
	for i, p := range sc.Day {
		all[i] = each(p, func(k scene.Knot) object {
			minutes := int(math.Round(k.AtH * 60))
			return object{"at": fmt.Sprintf("%d:%02d", minutes/60, minutes%60), "level": unit.Level.Say(k.Level)}
		})
	}
	return all
}

// object is a thing on the wire.
func (t thing) object(c *parts.Catalogue) object {
	rows := []object{}
	for _, r := range t.table.Rows {
		if slices.Contains(t.without, r.Name) {
			continue
		}
		words, examples := wordsOf(r.Shape, c)
		rows = append(rows, object{"key": r.Name, "about": r.Meaning, "must": r.Must, "words": words, "examples": examples,
			"only": r.Shape.Kind == key.Choice || r.Shape.Kind == key.Name, "text": r.Shape.Kind == key.Text,
			"value": document.Visible(t.node.Child(r.Name).Flow())})
	}
	return object{"id": t.id, "title": t.title, "path": t.path, "rows": rows, "there": t.node.Exists(),
		"removable": t.removable, "points": each(t.node.Child("points").Items(), func(n document.Node) object {
			return object{"at": document.Visible(n.Child("at").Flow()), "level": document.Visible(n.Child("level").Flow())}
		})}
}

// wordsOf are the words that a value may be, and examples of others.
func wordsOf(s key.Shape, c *parts.Catalogue) (words, examples []string) {
	words, examples = append([]string{}, s.Words...), append([]string{}, s.Examples...)
	switch s.Word {
	case "module":
		words = parts.Names(c.Modules)
	case "optic":
		words = parts.Names(c.Optics)
	case "driver":
		words = parts.Names(c.Drivers)
	case "profile":
		words = parts.Names(c.Profiles)
	}
	for _, one := range s.Of {
		if s.Kind == key.Either {
			w, e := wordsOf(one, c)
			words, examples = append(words, w...), append(examples, e...)
		}
	}
	return words, examples
}
