package main

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"

	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// offered is one that the form of a new tank offers: what it says, and the value of the scene file.
type offered struct{ name, says, yaml string }

var walls = []offered{{"glass", "clear glass", "glass"}, {"acrylic", "clear acrylic", "acrylic"},
	{"dark", "dark film behind (reflects 8 %)", "{film: 0.08}"},
	{"white", "white film or card behind the glass (reflects 80 %)", "{film: 0.8}"},
	{"paint", "dark paint on the glass (reflects 8 %)", "{paint: 0.08}"}, {"mirror", "mirror (reflects 90 %)", "{mirror: 0.9}"}}

// forms are what the form offers, by the key of live.Tank. The goals are invented examples, and say so on the page.
var forms = map[string][]offered{
	"back": walls, "sides": walls,
	"lid": {{"glass", "glass lid, 4 mm, on the rim", ""}, {"none", "no lid", ""}},
	"floor": {{"gravel", "mixed gravel (reflects 25 %)", "{diffuse: 0.25}"}, {"dark", "dark soil or gravel (10 %)",
		"{diffuse: 0.1}"}, {"sand", "pale sand (40 %)", "{diffuse: 0.4}"}},
	"goal": {
		{"view", "to look at: 2500 lx on the floor, uniformity 0.3", "{plane: floor, illuminance: 2500 lx, uniformity: 0.3}"},
		{"plants", "plants on the floor: PPFD 40, uniformity 0.4", "{plane: floor, ppfd: 40 umol/m2/s, uniformity: 0.4}"},
		{"corals", "a rack at half depth: PPFD 120, uniformity 0.4", "{plane: mid, ppfd: 120 umol/m2/s, uniformity: 0.4}"}},
}

func formChoices() map[string][]live.Choice {
	all := map[string][]live.Choice{}
	for key, list := range forms {
		for _, c := range list {
			all[key] = append(all[key], live.Choice{Name: c.name, Says: c.says})
		}
	}
	for _, o := range outlines {
		all["outline"] = append(all["outline"], live.Choice{Name: o.name, Says: o.says, Measure: o.measure, UsualMM: o.usualMM})
	}
	return all
}

// chosenIn returns the value of a choice.
func chosenIn(key, name string) (string, error) {
	for _, c := range forms[key] {
		if c.name == name {
			return c.yaml, nil
		}
	}
	return "", fmt.Errorf("%s: %.20q is none of the choices", key, name)
}

// Create writes the scene of a new tank: the starter of the command new, with the tank and the goal of the form.
func (f *folder) Create(t live.Tank) (name string, marks []live.Mark, err error) {
	text := []byte(scene.Starter())
	if t.Example {
		t.Title = "example"
	} else if text, err = tankText(t); err != nil {
		return "", nil, err
	}
	name, err = draftName(strings.Trim(strings.ToLower(noFileName.ReplaceAllString(t.Title, "-")), "-."))
	if err != nil {
		name = "tank.yaml"
	}
	if _, err := f.Text(name); err == nil || strings.HasPrefix(name, ".") {
		name = f.Free(name)
	}
	sc, _, marks := f.Parse(name, text)
	if sc == nil {
		return "", marks, nil
	}
	name, err = saveDraft(f.path(name), live.Draft{Name: name, Scene: sc, Text: text})
	return name, nil, err
}

// noFileName is what a title may hold and the name of a file should not.
var noFileName = regexp.MustCompile(`[^\p{L}\p{N}._-]+`)

// tankText is the scene of a new tank as text. What was typed stands in it as it was typed: reading it finds the faults.
func tankText(t live.Tank) ([]byte, error) {
	var errs [7]error
	value := func(i int, key, name string) (text string) {
		text, errs[i] = chosenIn(key, name)
		return text
	}
	back, sides, floor := value(0, "back", t.Back), value(1, "sides", t.Sides), value(2, "floor", t.Floor)
	_, errs[3] = chosenIn("lid", t.Lid)
	if t.Outline != "" {
		errs[6] = oneOf("outline", t.Outline, outlineNames()...)
	}
	goal := ""
	if t.Goal != "" {
		goal = value(4, "goal", t.Goal)
	} else {
		goal = ownGoal(t)
	}
	if t.Title == "" {
		errs[5] = errors.New("give the tank a name")
	}
	if err := errors.Join(errs[:]...); err != nil {
		return nil, plainly(err)
	}
	var list []document.Edit
	put := func(value string, path ...any) { list = append(list, document.Edit{Path: path, Value: value}) }
	put(document.Quote(t.Title), "title")
	for key, typed := range map[string]string{"length": t.Length, "width": t.Width, "height": t.Height} {
		put(typedValue(typed), "tank", key)
	}
	put(typedValue(t.Depth), "tank", "water", "depth")
	if text := outlineText(t.Outline, t.Measure); text != "" {
		put(text, "tank", "outline")
	}
	for _, side := range []string{"left", "right"} {
		put(sides, "tank", "walls", side)
	}
	put(back, "tank", "walls", "back")
	put(floor, "tank", "floor")
	put(lidText(t), "tank", "cover")
	put(goal, "goal")
	return document.Apply([]byte(scene.Starter()), append(list, railEdits(t)...))
}

// typedValue is what was typed as one value of a scene file, whatever it holds.
func typedValue(typed string) string { return document.Quote(cmp.Or(strings.TrimSpace(typed), "?")) }

// lidText is the cover of a new tank, whose underside lies on the rim.
func lidText(t live.Tank) string {
	if t.Lid == "none" {
		return ""
	}
	above := "40 mm"
	heightM, err := unit.Length.Parse(t.Height)
	if depthM, wrong := unit.Length.Parse(t.Depth); err == nil && wrong == nil && heightM-depthM >= leastAboveM {
		above = unit.Length.Say(heightM - depthM)
	}
	return "{material: low-iron glass, thickness: 4 mm, above_water: " + above + "}"
}

// leastAboveM is the least height of a lid above the water that the form gives.
const leastAboveM = 0.005

// ownGoal is the goal that was typed as numbers.
func ownGoal(t live.Tank) string {
	key, unitName := "illuminance", " lx"
	if t.Photon {
		key, unitName = "ppfd", " umol/m2/s"
	}
	text := "{plane: " + typedValue(t.Plane) + ", " + key + ": " + typedValue(cmp.Or(strings.TrimSpace(t.Amount), "?")+unitName)
	if t.Even != "" {
		text += ", uniformity: " + typedNumber(t.Even)
	}
	return text + "}"
}

// typedNumber is a number as a scene file has it; what is none stands in quotes, and reading it says so.
func typedNumber(typed string) string {
	if typed = strings.TrimSpace(typed); plainNumeral.MatchString(typed) {
		return typed
	}
	return typedValue(typed)
}

var plainNumeral = regexp.MustCompile(`^[0-9]+(\.[0-9]+)?$`)

// railEdits take the starter's rail and drivers out, or fit the rail to the tank.
func railEdits(t live.Tank) (edits []document.Edit) {
	roomM := room(t.Outline, t.Measure, t.Length, t.Width)
	if !t.Rail || !(roomM > 0) {
		return []document.Edit{{Path: []any{"rails"}}, {Path: []any{"wiring", "driver"}}, {Path: []any{"wiring", "strings"}}}
	}
	put := func(value string, path ...any) {
		edits = append(edits, document.Edit{Path: append([]any{"rails", 0}, path...), Value: value})
	}
	f := fitted(roomM)
	put(unit.Length.Say(f.railM), "length")
	put("", "y") // the middle of the tank
	put("{part: "+starterPart+", optic: round-60, "+f.row+", current: 350 mA}", "modules")
	return append(edits, document.Edit{Path: []any{"wiring", "strings"}, Value: fmt.Sprint(f.strings)})
}

// fit is the starter's rail, about the middle of the tank, as there is room for it.
type fit struct {
	railM   float64
	row     string // count and spacing of its modules, as text
	strings int
}

// fitted fits the rail to the length that there is room for.
func fitted(roomM float64) fit {
	board := parts.Builtin().Modules[starterPart].BoardLengthM
	f, count := fit{railM: whole(max(roomM-2*railShorterM, roomM/2))}, 4
	for count > 1 && float64(count)*board > f.railM {
		count /= 2
	}
	if f.row, f.strings = fmt.Sprintf("count: %d", count), max(1, count/2); count > 1 {
		f.row += ", spacing: " + unit.Length.Say(max(board, whole(roomM/float64(count)*starterSpread)))
	}
	return f
}

// whole is a length of whole millimetres, no greater than another one of at least 1 mm.
func whole(m float64) float64 { return math.Floor(1000*m+1e-6) / 1000 }

// The rail of one's own to begin with: that of the starter, in proportion.
const (
	starterPart   = "quad-neutral"
	railShorterM  = 0.03 // than the tank, at each end
	starterSpread = 8. / 9
)
