package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// outlines are the forms of a new tank as seen from above. measure is the one length that a form asks for, empty where it
// asks for none: how far the middle of a bow front is before its ends, what a corner is cut by, how wide a round tank is;
// usualMM is one to begin with. In text its value stands for %s.
var outlines = []struct {
	name, says, measure, text string
	usualMM                   int
}{
	{name: "rectangle", says: "rectangle"},
	{"bow-front", "bowed front", "bow of the front", "{bow-front: {sagitta: %s}}", 60},
	{"corner", "one front corner cut off", "cut off both sides", "{corner: {cut: %s}}", 250},
	{"round", "round", "diameter", "round", 500},
	{name: "hexagon", says: "hexagon", text: "hexagon"}}

// outlineNames are the names of outlines.
func outlineNames() (list []string) {
	for _, o := range outlines {
		list = append(list, o.name)
	}
	return list
}

// outlineText is the outline of a scene file for a form and its measure as it was typed; empty for a rectangle.
func outlineText(name, measure string) string {
	for _, o := range outlines {
		if o.name == name && strings.Contains(o.text, "%s") {
			return fmt.Sprintf(o.text, typedValue(measure))
		} else if o.name == name {
			return o.text
		}
	}
	return ""
}

// shapedStarter is the starter scene with an outline in the words of the command line: a name, and its measure where the
// form asks for one. A round tank is as long and wide as that says. The rail is fitted to the tank.
func shapedStarter(words string) (string, error) {
	name, measure, _ := strings.Cut(strings.TrimSpace(words), " ")
	if err := oneOf("--outline", name, outlineNames()...); err != nil {
		return "", err
	}
	of := outlines[slices.Index(outlineNames(), name)]
	if of.measure == "" && measure != "" {
		return "", fmt.Errorf("--outline: a %s takes no measure; give the name alone", name)
	}
	if of.measure != "" {
		if _, err := unit.Length.Parse(measure); err != nil {
			return "", fmt.Errorf("--outline: %s needs a length (%s), such as \"%s %d mm\"", name, of.measure, name, of.usualMM)
		}
	}
	if of.text == "" {
		return scene.Starter(), nil
	}
	length, width := starterLength, starterWidth
	if name == "round" {
		length, width = measure, measure
	}
	swaps := []string{"length: " + starterLength, "length: " + length, "width: " + starterWidth, "width: " + width,
		starterOutline, "outline: " + outlineText(name, measure) + "   # seen from above"}
	if roomM := room(name, measure, length, width); roomM > 0 {
		widthM, _ := unit.Length.Parse(width)
		f, middle := fitted(roomM), "y: "+unit.Length.Say(widthM/2)
		swaps = append(swaps, starterRail, "length: "+unit.Length.Say(f.railM), starterRow, f.row, starterY, middle,
			starterStrings, fmt.Sprintf("strings: %d,", f.strings))
	}
	text := strings.NewReplacer(swaps...).Replace(scene.Starter())
	if _, err := scene.Parse("scene.yaml", []byte(text), nil); err != nil {
		return "", fmt.Errorf("--outline: %w", err)
	}
	return text, nil
}

// What the starter scene has of tank and rail.
const (
	starterLength  = "900 mm"
	starterWidth   = "400 mm"
	starterOutline = "# outline: {bow-front: {sagitta: 60 mm}}   # seen from above; or {corner: {cut: 250 mm}}, round, hexagon, " +
		"or a list of points"
	starterRail    = "length: 840 mm"
	starterRow     = "count: 4, spacing: 200 mm"
	starterY       = "y: 200 mm"
	starterStrings = "strings: 2,"
)

// room is how long a rail about the middle of a new tank may be until it meets the walls, in metres; 0 where what was typed
// makes no tank.
func room(name, measure, length, width string) float64 {
	lengthM, err := unit.Length.Parse(length)
	widthM, wrong := unit.Length.Parse(width)
	sizeM, _ := unit.Length.Parse(measure)
	if err != nil || wrong != nil || !(lengthM > 0 && widthM > 0) {
		return 0
	}
	var points []form.Point
	switch name {
	case "bow-front":
		points = form.BowFront(lengthM, widthM, sizeM)
	case "corner":
		points = form.CutCorner(lengthM, widthM, sizeM, 1)
	case "round":
		points = form.Round(lengthM)
	case "hexagon":
		points = form.Hexagon(lengthM, widthM)
	default:
		return lengthM
	}
	o, _, err := form.Draw(points)
	if err != nil {
		return 0
	}
	halfM := lengthM / 2
	for _, off := range []float64{-0.5, 0.5} { // both edges of the bar
		for _, x := range o.Spans(widthM/2 + off*parts.Builtin().Profiles["bar-40x20"].WidthM) {
			halfM = min(halfM, math.Abs(x-lengthM/2))
		}
	}
	return 2 * halfM
}
