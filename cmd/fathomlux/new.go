package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/caustic"
	"fathomlux/optics/direct"
	"fathomlux/optics/study"
	"fathomlux/render/answer"
	"fathomlux/render/drill"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/drilling"
	"fathomlux/scene/form"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
	"fathomlux/scene/readings"
	"fathomlux/scene/schema"
	"fathomlux/scene/share"
	"fathomlux/scene/unit"
)

func newNewCommand(s streams) *cobra.Command {
	var o given
	var force bool
	var outline string
	c := &cobra.Command{
		Use:   "new [FILE]",
		Short: "write a commented starter scene",
		Long: `Writes a scene file with comments as a starting point: to scene.yaml where no FILE is named, to standard output
where FILE is "-". An existing file is left alone unless --force is given. The tank is a box, or has the outline that
is asked for: how far the middle of a bowed front is before its ends, what is cut off both sides of a corner, and the
diameter of a round tank stand behind its name.`,
		Example: "fathomlux new scene.yaml\nfathomlux new - | less\nfathomlux new bow.yaml --outline \"bow-front 60 mm\"",
	}
	c.Flags().BoolVar(&force, "force", false, "overwrite a file that exists")
	c.Flags().StringVar(&outline, "outline", "", `rectangle, "bow-front 60 mm", "corner 250 mm", "round 500 mm" or hexagon `+
		"(default rectangle)")
	return command(s, c, &o, func(_ context.Context, s streams) error {
		path, text := append(o.args, "scene.yaml")[0], scene.Starter()
		if outline != "" {
			var err error
			if text, err = shapedStarter(outline); err != nil {
				return err
			}
		}
		return writeStarter(s, path, text, "next: fathomlux check "+path, force)
	})
}

func newNewPartCommand(s streams) *cobra.Command {
	var o given
	var force bool
	c := &cobra.Command{
		Use:   "new-part module|optic|driver|profile FILE",
		Short: "write a commented starter of a part, to be filled in from a data sheet",
		Long: `Writes a file of parts with one part in it, named like the file: each line is a column of data sheets, with
what sheets call it, and what they seldom give has a typical value that says so. A module's columns may be those of the
whole module or of one die. The figures are invented and sound, so that the file is read as it is; put the sheet's in.
FILE "-" is standard output. An existing file is left alone unless --force is given.`,
		Example:   "fathomlux new-part module my-board.yaml\nfathomlux new-part driver -",
		ValidArgs: parts.StarterKinds(),
	}
	c.Flags().BoolVar(&force, "force", false, "overwrite a file that exists")
	return command(s, c, &o, func(_ context.Context, s streams) error {
		kind, path := o.args[0], o.args[1]
		if err := oneOf("the argument", kind, parts.StarterKinds()...); err != nil {
			return err
		}
		name, file := "my-"+kind, "parts.yaml"
		if path != "-" {
			name, file = sceneName(path), filepath.Base(path)
		}
		text, err := parts.Starter(kind, name, file)
		if err != nil {
			return err
		}
		return writeStarter(s, path, text, "next: fill it in; fathomlux parts "+path, force)
	})
}

// writeStarter writes a starter to a path, whole or not at all, or to standard output for "-".
func writeStarter(s streams, path, text, next string, force bool) error {
	if path == "-" {
		_, err := io.WriteString(s.Out, text)
		return err
	}
	switch info, err := os.Stat(path); {
	case err != nil: // there is none, or writing tells what is wrong
	case info.IsDir():
		return fmt.Errorf("%s is a folder; name a file in it, such as %s/scene.yaml", path, path)
	case !force:
		return fmt.Errorf("%s exists; give another name, or --force to overwrite it", path)
	}
	return output.WriteFile(path, []byte(text), func() error {
		_, err := fmt.Fprintf(s.Err, "wrote %s; %s\n", path, next)
		return err
	})
}

func newSchemaCommand(s streams) *cobra.Command {
	var o given
	c := &cobra.Command{
		Use:   "schema [scene|parts]",
		Short: "print the JSON Schema of the scene file, for editors",
		Long: `Prints the JSON Schema (2020-12) of the scene file, or of a file of parts. An editor with a YAML language
server completes and checks with it while you type, if the first line of the scene names it:

  # yaml-language-server: $schema=scene.schema.json

It knows keys, units and built-in parts; faults that only the whole scene shows are found by check.`,
		Example:   "fathomlux schema parts > parts.schema.json\nfathomlux schema > scene.schema.json",
		ValidArgs: []string{"scene", "parts"},
	}
	return command(s, c, &o, func(_ context.Context, s streams) error {
		of := append(o.args, "scene")[0]
		if err := oneOf("the argument", of, c.ValidArgs...); err != nil {
			return err
		}
		text := schema.Scene()
		if of == "parts" {
			text = schema.Parts()
		}
		_, err := s.Out.Write(text)
		return err
	})
}

// limit is one of the limits of the program: of what, how much, and the key of a file or the flag that changes the
// value.
type limit struct {
	of     string
	most   int64
	change string
}

// limits lists what the program takes at most. Each number is that of the code that checks it.
func limits() []limit {
	return []limit{
		{"bytes of a file: scene, parts, spectrum, distribution, readings", document.MaxBytes, "the file"},
		{"values in a YAML file", document.MaxValues, "the file"},
		{"line ends, commas, colons and brackets of a YAML file", document.MaxMarks, "the file"},
		{"levels of nesting in a YAML file", document.MaxDepth, "the file"},
		{"candela values of a distribution (LM-63)", lm63.MaxValues, "the file"},
		{"readings of a light meter", readings.MaxReadings, "the file"},
		{"millimetres of a side, a rail or a height", int64(scene.MaxSideM * 1000), "length, width, height, above_water"},
		{"rails", int64(scene.MaxRails), "rails"},
		{"modules of all rails", int64(scene.MaxModules), "modules.count"},
		{"dies of all modules", int64(scene.MaxDies), "modules.count, dies of the part"},
		{"keep-outs of a rail", int64(scene.MaxKeepOuts), "keep_out"},
		{"obstacles", int64(scene.MaxObstacles), "obstacles"},
		{"things", int64(scene.MaxThings), "things"},
		{"heights of the ground along a side", form.MostHeights, "floor.heights"},
		{"holes of a rail", drilling.MaxHoles, "holes of the part, modules.count"},
		{"pages of a drill template", drill.MaxPages, "rails[].length, --paper"},
		{"cells of a plane", optics.MaxCells, "--step"},
		{"photons of a tracing", optics.MaxPhotons, "--photons"},
		{"rays of all dies of a moment of a moving surface", caustic.MostRays, "water.ripple"},
		{"mirror images along one axis (what lies beyond is reported)", direct.MaxOrder, "walls"},
		{"variables of a sweep", study.MaxAxes, "--vary"},
		{"candidates of a sweep", study.MaxCandidates, "--vary"},
		{"combinations of an arrangement", study.MaxCombinations, "--vary, --optic"},
		{"scenes or optics of a comparison", study.MaxCompared, "--optic"},
		{"parts of a divided study", share.MaxParts, "--share"},
		{"MiB of a part", share.MaxBytes >> 20, "--step"},
		{"workers", maxWorkers, "--workers"},
		{"MiB of memory that a computation is predicted to take", optics.MaxMemory >> 20, "--step, --plane, --workers"},
	}
}

// newLimitsTopic is no command but a page of help: fathomlux help limits.
func newLimitsTopic() *cobra.Command {
	return &cobra.Command{
		Use:   "limits",
		Short: "list the limits of the program, and the key or flag that each applies to",
		Long: "A value above its limit is refused before anything is computed, and nothing is written.\n\n" + limitsText() +
			"\nMemory is predicted from cells, planes, modules, workers and mirror images.",
	}
}

func limitsText() string {
	t := answer.TableOf("", []answer.Column{{Title: "limit of"}, {Title: "at most"}, {Title: "changed by"}}, limits(),
		func(l limit) []any { return []any{l.of, unit.Count(float64(l.most)), l.change} })
	var b strings.Builder
	_ = answer.WriteText(&b, answer.Answer{t}) // a builder takes all
	return b.String()
}

// outlines are the forms of a new tank as seen from above. measure is the one length that a form asks for, empty where
// it asks for none: how far the middle of a bow front is before its ends, what a corner is cut by, how wide a round
// tank is; usualMM is one to begin with. In text its value stands for %s.
var outlines = []struct {
	name, says, measure, text string
	usualMM                   int
}{
	{name: "rectangle", says: "rectangle"},
	{"bow-front", "bowed front", "bow of the front", "{bow-front: {sagitta: %s}}", 60},
	{"corner", "one front corner cut off", "cut off both sides", "{corner: {cut: %s}}", 250},
	{"round", "round", "diameter", "round", 500},
	{name: "hexagon", says: "hexagon", text: "hexagon"}}

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

// shapedStarter is the starter scene with an outline in the words of the command line: a name, and its measure where
// the form asks for one. A round tank is as long and wide as that says. The rail is fitted to the tank.
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
	starterOutline = "# outline: {bow-front: {sagitta: 60 mm}}   # seen from above; or {corner: {cut: 250 mm}}, round, " +
		"hexagon, or a list of points"
	starterRail    = "length: 840 mm"
	starterRow     = "count: 4, spacing: 200 mm"
	starterY       = "y: 200 mm"
	starterStrings = "strings: 2,"
)

// room is how long a rail about the middle of a new tank may be until it meets the walls, in metres; 0 where what was
// typed makes no tank.
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
