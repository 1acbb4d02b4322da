package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// arrangeOptions are the options of the command arrange, as the caller wrote them.
type arrangeOptions struct {
	common
	scene       string
	gap, round  string
	keepOuts    []string
	noMirror    bool
	optics      string
	vary        []string
	current     string
	step        string
	requireGoal bool
	cold        bool
}

func newArrangeCommand(s streams, run func(context.Context, streams, arrangeOptions) error) *cobra.Command {
	var o arrangeOptions
	c := &cobra.Command{
		Use:   "arrange SCENE",
		Short: "find the best places for the modules along each rail",
		Long: "Looks for the places of the modules along each rail that give the highest min/mean on the goal's plane while its mean\n" +
			"is reached; where no places reach it, none of the mean that there is is given away. Writes the new scene with\n" +
			"pictures of before and after. Rails are mirror-symmetric where the tank and the modules are; places are whole\n" +
			"millimetres from the rail's left end, ready to be drilled. Keep-outs of the scene's rails are respected. It is never\n" +
			"worse than the scene as it is, which is kept where nothing better is found, and the same on every run; that there\n" +
			"is no better place at all is not promised.",
		Example: "  fathomlux arrange scene.yaml\n  fathomlux arrange scene.yaml --gap 10mm --keep-out 560mm:620mm --optic round-40,round-60 --vary height=120mm:220mm:20mm --current 250mA:500mA:25mA",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.bind(c)
	o.bindFormat(c)
	bindCold(c, &o.cold)
	f := c.Flags()
	f.StringVar(&o.gap, "gap", "10 mm", "least distance between the boards of neighbours, room for a hand with a soldering iron")
	f.StringVar(&o.round, "round", "1 mm", "places are whole multiples of this from the rail's left end")
	f.StringArrayVar(&o.keepOuts, "keep-out", nil, "stretch of all rails where no board may be, as x in the tank's axes: 560mm:620mm; may be repeated")
	f.BoolVar(&o.noMirror, "no-mirror", false, "give up mirror symmetry: an odd module then need not sit in the middle")
	f.StringVar(&o.optics, "optic", "", "names of optics to choose among, with commas between")
	f.StringArrayVar(&o.vary, "vary", nil, "height, tilt, y or depth to choose among, such as height=120mm:220mm:20mm; may be repeated")
	f.StringVar(&o.current, "current", "", "range of currents, such as 250mA:500mA:25mA: the lowest that reaches the goal's mean is taken")
	f.StringVar(&o.step, "step", "", "cell size of the grid to search on, such as \"10 mm\" (default about 6000 cells); figures are those of a map's own grid")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where the goal is not met")
	return c
}

func runArrange(ctx context.Context, s streams, o arrangeOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	wish, err := o.resolve(sc)
	if err != nil {
		return err
	}
	bar := progress(s, o.common, "combinations")
	wish.Progress = bar.set
	answer, err := study.Arrange(ctx, sc, wish)
	bar.close()
	if err != nil {
		return fmt.Errorf("%s: %w", o.scene, err)
	}
	dir := o.dir(o.scene)
	files, err := arrangeFiles(ctx, o, sc, answer, look)
	if err != nil {
		return err
	}
	if err := o.deliver(ctx, s, dir, files, func(s streams) error { return printArranged(s, o, answer, dir, files) }); err != nil {
		return err
	}
	if o.requireGoal && !answer.After.Met {
		return fmt.Errorf("%w by the best places found", errGoalNotMet)
	}
	return nil
}

// resolve turns the flags' texts into what the search takes.
func (o arrangeOptions) resolve(sc *scene.Scene) (study.ArrangeOptions, error) {
	wish := study.ArrangeOptions{NoMirror: o.noMirror, Workers: o.cores(), Units: o.system(), Cold: o.cold}
	var err error
	if wish.GapM, err = unit.Length.Parse(o.gap); err != nil || wish.GapM < 0 || wish.GapM > scene.MaxSideM {
		return wish, errorOr(err, "--gap", "%s is not between 0 mm and %g m", o.gap, float64(scene.MaxSideM))
	}
	if wish.RoundM, err = unit.Length.Parse(o.round); err != nil || wish.RoundM < 0.0001 || wish.RoundM > 0.1 {
		return wish, errorOr(err, "--round", "%s is not between 0.1 mm and 100 mm", o.round)
	}
	for _, text := range o.keepOuts {
		k, err := parseKeepOut(text)
		if err != nil {
			return wish, fmt.Errorf("--keep-out: %w", err)
		}
		if err := touchesRail(k, sc.Rails); err != nil {
			return wish, fmt.Errorf("--keep-out: %.60s %w", text, err)
		}
		wish.KeepOuts = append(wish.KeepOuts, k)
	}
	if o.optics != "" {
		if wish.Optics, err = parseOptics(o.optics, sc); err != nil {
			return wish, err
		}
	}
	if len(o.vary) > 0 {
		if wish.Axes, err = parseRanges(o.vary, sc); err != nil {
			return wish, err
		}
	}
	for _, a := range wish.Axes {
		switch a.Variable.Name {
		case "height", "tilt", "y", "depth":
		default:
			return wish, fmt.Errorf("--vary: %s is not for arrange to choose; height, tilt, y and depth are", a.Name())
		}
	}
	if err := checkCombinations(wish); err != nil {
		return wish, err
	}
	if o.current != "" {
		r, err := edit.ParseRange("current=" + o.current)
		if err != nil {
			return wish, fmt.Errorf("--current: %w", err)
		}
		wish.Currents = r.Values
	}
	wish.StepM, err = parseStep(o.step, sc.Tank)
	return wish, err
}

// checkCombinations refuses more combinations than are tried.
func checkCombinations(wish study.ArrangeOptions) error {
	total := float64(max(1, len(wish.Optics)))
	for _, a := range wish.Axes {
		total *= float64(len(a.Values))
	}
	if total > study.MaxCombinations {
		return fmt.Errorf("--vary: %s combinations of optics and values, more than the limit of %d; wider steps or fewer of --optic serve", unit.Count(total), study.MaxCombinations)
	}
	return nil
}

// errorOr returns err with the flag's name, or the message where err is nil.
func errorOr(err error, flag, format string, args ...any) error {
	if err == nil {
		err = fmt.Errorf(format, args...)
	}
	return fmt.Errorf("%s: %w", flag, err)
}

// parseKeepOut reads "560mm:620mm".
func parseKeepOut(text string) (scene.KeepOut, error) {
	from, to, ok := strings.Cut(text, ":")
	if !ok {
		return scene.KeepOut{}, fmt.Errorf("%.40q is no stretch; write from:to, such as 560mm:620mm", text)
	}
	a, err := unit.Length.Parse(from)
	if err != nil {
		return scene.KeepOut{}, err
	}
	b, err := unit.Length.Parse(to)
	if err != nil {
		return scene.KeepOut{}, err
	}
	if !(a < b) {
		return scene.KeepOut{}, fmt.Errorf("%s is not left of %s", from, to)
	}
	return scene.KeepOut{FromM: a, ToM: b, Why: "--keep-out"}, nil
}

// touchesRail refuses a stretch at which there is no rail.
func touchesRail(k scene.KeepOut, rails []scene.Rail) error {
	const named = 3 // rails at most
	var words []string
	for i, r := range rails {
		right := r.LeftM + r.LengthM
		if k.FromM < right && k.ToM > r.LeftM {
			return nil
		}
		if i < named {
			words = append(words, fmt.Sprintf("%s lies from x = %s to %s", r.Name, unit.Length.Say(r.LeftM), unit.Length.Say(right)))
		}
	}
	if len(rails) > named {
		words = append(words, fmt.Sprintf("%d more lie elsewhere", len(rails)-named))
	}
	return fmt.Errorf("touches no rail: %s; x counts from the tank's left wall", strings.Join(words, ", "))
}

// arrangeFiles draws before and after on one sheet and writes the new scene with the files that it names, so that it can be
// used where it stands.
func arrangeFiles(ctx context.Context, o arrangeOptions, sc *scene.Scene, answer *study.Arranged, look render.Look) ([]output.File, error) {
	both := []study.Contender{{Name: "before", Scene: sc}, {Name: "after", Scene: answer.Scene}}
	compared, err := study.Compare(ctx, both, optics.Options{Workers: o.cores(), Units: o.system(), Cold: o.cold})
	if err != nil {
		return nil, err
	}
	sheet := render.Comparison{Title: titleOr(sc.Title), Columns: compareColumns(compared.Shown), Shown: compared.Shown, Verdict: answer.Verdict, Engine: compared.List[0].Map.Engine, Junctions: compared.Junctions}
	if words := answer.Bounced.Words(); words != "" {
		sheet.Notes = append(sheet.Notes, words)
	}
	for _, c := range compared.List {
		sheet.List = append(sheet.List, render.Shown{Name: c.Name, Scene: c.Scene, Plane: c.Plane, Goal: c.Map.Goal, Met: c.Map.Goal.Met, Figures: compareFigures(compared.Shown, c, look.Units), Note: c.Misfit})
	}
	pictures, err := render.Compare(ctx, "before-after", sheet, look)
	if err != nil {
		return nil, err
	}
	text, err := edit.Rewrite(answer.Scene)
	if err != nil {
		return nil, err
	}
	files := []output.File{bytesFile(arrangedName(o.scene), text), bytesFile(pictures[0].Name, pictures[0].Data)}
	for _, f := range sc.Files() {
		if f.Name != filepath.Base(f.Name) {
			return nil, fmt.Errorf("%s names %s in a folder; put it beside the scene, so that the new scene can have it beside itself", o.scene, f.Name)
		}
		files = append(files, bytesFile(f.Name, f.Content))
	}
	return files, nil
}

func arrangedName(file string) string {
	ext := filepath.Ext(file)
	return strings.TrimSuffix(filepath.Base(file), ext) + "-arranged" + ext
}

// arrangeJSON is the answer of arrange as JSON.
type arrangeJSON struct {
	Scene    string        `json:"scene"`
	NewScene string        `json:"new_scene"`
	Out      string        `json:"out"`
	Before   candidateJSON `json:"before"`
	After    candidateJSON `json:"after"`
	Quantity string        `json:"quantity"` // that the goal counts: "illuminance" or "PPFD"
	Chosen   string        `json:"chosen"`
	Rails    []placesJSON  `json:"rails"`
	Notes    []string      `json:"notes"`
	Verdict  string        `json:"verdict"`
	Bounced  bouncedJSON   `json:"bounced"`
}

// placesJSON are the places of one rail's modules, from its left end and in the tank's axes.
type placesJSON struct {
	Name       string    `json:"name"`
	FromLeftMM []float64 `json:"from_left_mm"`
	XMM        []float64 `json:"x_mm"`
}

// printArranged prints the answer: JSON, the verdict alone, or the places with the verdict under them.
func printArranged(s streams, o arrangeOptions, answer *study.Arranged, dir string, files []output.File) error {
	var rails []placesJSON
	for _, r := range answer.Scene.Rails {
		one := placesJSON{Name: r.Name}
		for _, m := range r.Modules {
			one.FromLeftMM = append(one.FromLeftMM, roundTo((m.XM-r.LeftM)*1000, 1e-3))
			one.XMM = append(one.XMM, roundTo(m.XM*1000, 1e-3))
		}
		rails = append(rails, one)
	}
	if o.json {
		out := arrangeJSON{Scene: o.scene, NewScene: arrangedName(o.scene), Out: dir, Before: candidateOf(nil, answer.Before), After: candidateOf(nil, answer.After),
			Quantity: answer.Shown.Name(), Chosen: answer.Chosen, Rails: rails, Notes: append([]string{}, answer.Notes...), Verdict: answer.Verdict, Bounced: bouncedOf(answer.Bounced)}
		e := json.NewEncoder(s.Out)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		return e.Encode(out)
	}
	var b bytes.Buffer
	if !o.quiet {
		for _, r := range rails {
			var words []string
			for _, v := range r.FromLeftMM {
				words = append(words, o.place(v))
			}
			fmt.Fprintf(&b, "rail %s, middles from its left end: %s %s\n", r.Name, strings.Join(words, ", "), o.system().Name())
		}
	}
	writeVerdict(&b, capital(answer.Verdict), answer.Bounced)
	if !o.quiet {
		for _, n := range answer.Notes {
			fmt.Fprintf(&b, "note: %s\n", n)
		}
		writeWrote(&b, dir, files)
		writeCautions(&b, "arrange", answer.Scene)
	}
	_, err := io.Copy(s.Out, &b)
	return err
}

// place writes a place along a rail: as it is drilled in mm, to a hundredth of an inch.
func (o arrangeOptions) place(mm float64) string {
	if o.system() == unit.Metric {
		return number(mm)
	}
	return o.system().Figure(mm / 1000)
}

// capital makes the first letter of a sentence a capital one.
func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
