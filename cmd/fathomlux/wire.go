package main

import (
	"bytes"
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
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
		Long: "Lists every way to wire the modules as strings of equal length on one constant-current driver, recommends one, and\n" +
			"follows the one that the scene asks for: what happens to the rest when a string opens or a module shorts, which wire\n" +
			"serves, what the mains give and what a year costs. One scene has one driver for all its modules of one current; modules\n" +
			"for unlike currents get a driver each. Where one driver cannot feed them all, it says over how many to split them: then\n" +
			"write a scene for each. Writes the wiring diagram (PNG, SVG), where something is wired, and the list of splits (CSV).\n" +
			"It plans; local codes and licensed practice decide.\n\n" + exitStatusDoc,
		Example: "  fathomlux wire scene.yaml\n  fathomlux wire scene.yaml --lead \"5 m\" --feed right\n  fathomlux wire scene.yaml --dead-strings",
		Args:    needArgs(1, 1, "fathomlux wire scene.yaml"),
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.wiringOptions.bind(c)
	c.Flags().BoolVar(&o.deadStrings, "dead-strings", false, "also compute the light that is left when each string is dead")
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
	return o.deliver(ctx, s, dir, files, func(s streams) error {
		if o.json {
			return writeWireJSON(s.Out, p)
		}
		return printWire(s.Out, o, p)
	})
}

// wireFiles draws the diagram and writes the table of splits. Where nothing could be chosen there is no diagram.
func wireFiles(ctx context.Context, a wired, look render.Look) ([]style.File, error) {
	files := []style.File{bytesFile("wire.csv", splitsCSV(a))}
	drawn := false
	for i := range a.groups {
		drawn = drawn || len(a.groups[i].Plan.Circuit.Strings) > 0
	}
	if !drawn {
		return files, nil
	}
	picture, svg, err := render.Wire(ctx, a.scene, render.Wiring{Groups: a.groups, Subtitle: "wiring, " + a.junctions, Figures: wireFigures(a),
		Notes: a.notes, Cautions: wiringCautions(a)}, look)
	if err != nil {
		return nil, err
	}
	return append(files, bytesFile(picture.Name, picture.PNG), bytesFile("wiring.svg", svg)), nil
}

// wireFigures are the figures below the diagram.
func wireFigures(a wired) []style.Figure {
	t := a.totals()
	list := []style.Figure{{Label: "load in operation", Value: fmt.Sprintf("%.1f W", t.loadW)}}
	if !t.complete {
		return list
	}
	list = append(list, style.Figure{Label: "from the mains", Value: fmt.Sprintf("%.1f W", t.mainsW)},
		style.Figure{Label: "light after the optics, of mains power", Value: fmt.Sprintf("%.1f lm/W", t.lmPerMainsW)})
	if t.hoursPerDay > 0 {
		list = append(list, style.Figure{Label: "energy a year, at " + number(t.hoursPerDay) + " h a day", Value: fmt.Sprintf("%.1f kWh", t.kWhPerYear)})
		if t.cost.Currency != "" {
			list = append(list, style.Figure{Label: "cost a year", Value: moneyText(t.cost)})
		}
	}
	return list
}

// splitsCSV writes all splits of all groups.
func splitsCSV(a wired) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "current_ma,strings,modules_each,refused,warm_v,lowest_v,highest_v,driver_a,load_w,cold_load_w,touch,largest_gap_mm,drivers_fit,recommended,chosen")
	for i := range a.groups {
		g := &a.groups[i]
		for k, s := range g.Plan.Splits {
			fmt.Fprintf(&b, "%s,%d,%d,%s", g7(1000*g.CurrentA()), s.Strings, s.PerString, csvWord(s.Refused))
			if s.Refused != "" {
				fmt.Fprintf(&b, ",,,,,,,,,,false,false\n")
				continue
			}
			fmt.Fprintf(&b, ",%s,%s,%s,%s,%s,%s,%s,%s,%s,%t,%t\n", g7(s.WarmV), g7(s.LowestV), g7(s.HighestV), g7(s.DriverA), g7(s.LoadW), g7(s.ColdLoadW),
				csvWord(s.Touch.String()), g7(millimetres(s.LargestGapM)), csvWord(fitNames(s, len(s.Fits), "; ")), k == g.Plan.Recommended.Split, k == g.Plan.Chosen.Split)
		}
	}
	return b.Bytes()
}

// fitNames joins the names of the drivers that fit a split, at most some of them; empty where none does.
func fitNames(s circuit.Split, most int, between string) string {
	text, n := "", 0
	for _, f := range s.Fits {
		if !f.Fits {
			continue
		}
		if n++; n > most {
			continue
		}
		if n > 1 {
			text += between
		}
		text += f.Driver.Name
	}
	if n > most {
		text += fmt.Sprintf(" and %d more", n-most)
	}
	return text
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
	wish := optics.Options{Planes: []scene.PlaneRef{sc.Goal.Plane}, StepM: max(sc.Tank.LengthM, sc.Tank.WidthM) / coarseCells, Workers: workers}
	wish.StepM = min(wish.StepM, sc.Tank.LengthM, sc.Tank.WidthM)
	var list []deadString
	for number := 0; ; number++ {
		members := scene.StringMembers(a.groups, number)
		if number > 0 && members == nil {
			return list, nil
		}
		dead, err := sc.WithDead(members)
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
