package live

import (
	"slices"
	"strconv"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
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
	list = append(list, thing{"wiring", "Wiring", []any{"wiring"}, key.Wiring, []string{"drivers", "channels"}, wiring, false},
		thing{"ambient", "Air around the rails", []any{"ambient"}, key.Scene.Row("ambient").Shape.Keys, nil,
			of(root, "ambient"), false})
	return each(list, func(t thing) object { return t.object(sc.Catalogue) })
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
		"removable": t.removable}
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
