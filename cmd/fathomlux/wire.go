package main

import (
	"context"
	"slices"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/fig"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/wiring"
)

// wireOptions are the options of the command wire, as the caller wrote them.
type wireOptions struct {
	wiringOptions
	deadStrings bool
}

func newWireCommand(s streams, run func(context.Context, streams, wireOptions) error) *cobra.Command {
	var o wireOptions
	c := &cobra.Command{
		Use:   "wire SCENE",
		Short: "how to wire and feed the modules, and what the light costs to run",
		Long: "Lists every way to wire the modules as strings of equal length on one constant-current driver, " +
			"recommends one, and\n" +
			"follows the one that the scene asks for: what an open or a short circuit does to the rest, which " +
			"wire serves, what the\n" +
			"mains give and what a year costs. One scene has one driver for all its modules of one current; modules\n" +
			"for unlike currents get a driver each. Where one driver cannot feed them all, it says over how many " +
			"to split them: then\n" +
			"write a scene for each. Writes the wiring diagram (PNG, SVG), where something is wired, and the list " +
			"of splits (CSV).\n" +
			"It plans; local codes and licensed practice decide.",
		Example: "  fathomlux wire scene.yaml\n  fathomlux wire scene.yaml --lead \"5 m\" --feed right\n  " +
			"fathomlux wire scene.yaml --dead-strings",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.wiringOptions.bind(c)
	o.bindFormat(c)
	c.Flags().BoolVar(&o.deadStrings, "dead-strings", false,
		"also compute the light that is left when each string is dead")
	return c
}

// runWire reads the scene, wires it, writes all files at once and prints the answer.
func runWire(ctx context.Context, s streams, o wireOptions) error {
	look, err := o.look()
	if err != nil {
		return err
	}
	a, err := o.wire()
	if err != nil {
		return err
	}
	var light []deadString
	if o.deadStrings {
		if light, err = deadStrings(ctx, a, o.cores()); err != nil {
			return err
		}
	}
	files, err := wireFiles(ctx, a, look)
	if err != nil {
		return err
	}
	dir := o.dir(o.scene)
	p := wirePrint{wired: a, light: light, dir: dir, files: files}
	return o.deliver(ctx, s, dir, files, func(s streams) error { return o.say(s.Out, p.answer(), p.brief()) })
}

// wirePrint is what wire prints about.
type wirePrint struct {
	wired
	light []deadString // empty where not asked for; the first with all strings alive
	dir   string
	files []output.File
}

// brief is what was chosen.
func (p wirePrint) brief() answer.Answer {
	var lines []string
	for i := range p.groups {
		lines = append(lines, choiceText(&p.groups[i]))
	}
	return answer.Answer{answer.Lines{List: lines}}
}

// wireFiles draws the diagram and writes the table of splits. Where nothing could be chosen there is no diagram.
func wireFiles(ctx context.Context, a wired, look render.Look) ([]output.File, error) {
	files := []output.File{csvFile("wire.csv", a.splits())}
	drawn := slices.ContainsFunc(a.groups, func(g wiring.Group) bool { return len(g.Plan.Circuit.Strings) > 0 })
	if !drawn {
		return files, nil
	}
	w := render.Wiring{Groups: a.groups, Subtitle: "wiring, " + a.junctions, Notes: a.notes,
		Cautions: a.cautions("wire")}
	for _, f := range a.runningFigures() {
		w.Figures = append(w.Figures, fig.Figure{Label: f.Title, Value: f.Words()})
	}
	pictures, err := render.Wire(ctx, a.scene, w, look)
	if err != nil {
		return nil, err
	}
	for _, p := range pictures {
		files = append(files, bytesFile(p.Name, p.Data))
	}
	return files, nil
}

// deadString is the light on the goal's plane with one string dead, number 0 for none.
type deadString struct {
	number    int
	plane     result.Plane
	leftShare float64 // of the mean with all strings alive
}

// coarseCells is about how many cells the longer side of the grid of a dead string's light has.
const coarseCells = 60

// deadStrings computes the light on the goal's plane with all strings alive and with each of them dead. The others keep
// their wanted current.
func deadStrings(ctx context.Context, a wired, workers int) ([]deadString, error) {
	sc := a.scene
	wish := optics.Options{Planes: []scene.PlaneRef{sc.Goal.Plane}, StepM: max(sc.Tank.LengthM,
		sc.Tank.WidthM) / coarseCells, Workers: workers}
	wish.StepM = min(wish.StepM, sc.Tank.LengthM, sc.Tank.WidthM)
	var list []deadString
	for number := 0; ; number++ {
		members := wiring.StringMembers(a.groups, number)
		if number > 0 && members == nil {
			return list, nil
		}
		dead, err := wiring.WithDead(sc, members)
		if err != nil {
			return nil, err
		}
		m, err := optics.Map(ctx, dead, wish)
		if err != nil {
			return nil, err
		}
		list = append(list, newDeadString(number, m.Planes[0], list))
	}
}

func newDeadString(number int, p result.Plane, before []deadString) deadString {
	p.Field = result.Field{} // figures alone are told
	d := deadString{number: number, plane: p, leftShare: 1}
	if len(before) > 0 && before[0].plane.Light(p.Shown).Mean > 0 {
		d.leftShare = p.Light(p.Shown).Mean / before[0].plane.Light(p.Shown).Mean
	}
	return d
}
