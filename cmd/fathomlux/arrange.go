package main

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// arrangeOptions are the options of the command arrange, as the caller wrote them.
type arrangeOptions struct {
	lightOptions
	gap, round string
	keepOuts   []string
	noMirror   bool
	optics     string
	vary       []string
	current    string
}

func newArrangeCommand(s streams) *cobra.Command {
	var o arrangeOptions
	c := &cobra.Command{
		Use:   "arrange SCENE",
		Short: "find the best places for the modules along each rail",
		Long: `Looks for the places of the modules along each rail that give the highest uniformity U0 (min/mean) on the
goal's plane while its mean is reached; where no places reach it, the mean never falls below what it is now. Writes the
new scene and a picture of before and after.

Rails are mirror-symmetric where the tank and the modules are; places are whole millimetres from the rail's left end,
ready to be drilled. Keep-outs of the scene's rails are respected. The result is never worse than the scene as it is,
which is returned where nothing better is found, and it is the same on every run. It is not guaranteed that no better
places exist.`,
		Example: "fathomlux arrange scene.yaml\nfathomlux arrange scene.yaml --gap 10mm --keep-out 560mm:620mm " +
			"--optic round-40,round-60 --vary height=120mm:220mm:20mm --current 250mA:500mA:25mA",
	}
	o.bind(c, "about 6000 cells for the search; figures are those of a map's own grid")
	bindOptics(c, &o.optics, "to choose among")
	f := c.Flags()
	f.StringVar(&o.gap, "gap", "10 mm", "least distance between neighbouring boards, room for a soldering iron")
	f.StringVar(&o.round, "round", "1 mm", "places are whole multiples of this from the rail's left end")
	f.StringArrayVar(&o.keepOuts, "keep-out", nil, "stretch of all rails where no board may be, as x in the tank's axes: "+
		"560mm:620mm; may be repeated")
	f.BoolVar(&o.noMirror, "no-mirror", false,
		"give up mirror symmetry: an odd module then need not sit in the middle")
	f.StringArrayVar(&o.vary, "vary", nil,
		"height, tilt, y or depth to choose among, such as height=120mm:220mm:20mm; may be repeated")
	f.StringVar(&o.current, "current", "",
		"range of currents, such as 250mA:500mA:25mA: the lowest that reaches the goal's mean is taken")
	return command(s, c, &o.given, o.run)
}

// run looks for places and hands the answer over.
func (o *arrangeOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	request, look, err := o.resolve(sc)
	if err != nil {
		return err
	}
	bar := progress(s, o.common, "combinations")
	request.Progress = bar.set
	arranged, err := study.Arrange(ctx, sc, request)
	bar.close()
	if err != nil {
		return fmt.Errorf("%s: %w", sc.File, err)
	}
	out := outcome{command: "arrange", title: titleOr(sc.Title), scenes: []*scene.Scene{arranged.Scene},
		notes: arranged.Notes}
	out.parts, out.brief = o.parts(arranged, sc)
	if out.files, err = o.files(ctx, sc, arranged, look); err != nil {
		return err
	}
	if !arranged.After.Met {
		out.unmet = " by the best places found"
	}
	return o.hand(ctx, s, out)
}

// resolve turns the flags' texts into what the search and its pictures take.
func (o *arrangeOptions) resolve(sc *scene.Scene) (study.ArrangeOptions, render.Look, error) {
	light, look, err := o.lightOptions.resolve(sc.Tank)
	if err != nil {
		return study.ArrangeOptions{}, look, err
	}
	request, err := o.request(sc)
	request.Workers, request.Units, request.Cold, request.StepM = light.Workers, light.Units, light.Cold, light.StepM
	return request, look, err
}

// request turns the flags' texts into what may change.
func (o *arrangeOptions) request(sc *scene.Scene) (request study.ArrangeOptions, err error) {
	request.NoMirror = o.noMirror
	if request.GapM, err = quantityIn("--gap", o.gap, unit.Length, 0, scene.MaxSideM,
		fmt.Sprintf("0 mm and %g m", float64(scene.MaxSideM))); err != nil {
		return request, err
	}
	request.RoundM, err = quantityIn("--round", o.round, unit.Length, 0.0001, 0.1, "0.1 mm and 100 mm")
	if err != nil {
		return request, err
	}
	for _, text := range o.keepOuts {
		k, err := parseKeepOut(text)
		if err != nil {
			return request, fmt.Errorf("--keep-out: %w", err)
		}
		if err := touchesRail(k, sc.Rails); err != nil {
			return request, fmt.Errorf("--keep-out: %.60s %w", text, err)
		}
		request.KeepOuts = append(request.KeepOuts, k)
	}
	if o.optics != "" {
		if request.Optics, err = parseOptics(o.optics, sc); err != nil {
			return request, err
		}
	}
	if request.Axes, err = parseRanges(o.vary, sc); err != nil {
		return request, err
	}
	for _, a := range request.Axes {
		switch a.Variable.Name {
		case "height", "tilt", "y", "depth":
		default:
			return request, fmt.Errorf("--vary: %s is not for arrange to choose; height, tilt, y and depth are", a.Name())
		}
	}
	if o.current != "" {
		r, err := edit.ParseRange("current=" + o.current)
		if err != nil {
			return request, fmt.Errorf("--current: %w", err)
		}
		request.Currents = r.Values
	}
	return request, nil
}

// parseKeepOut reads "560mm:620mm".
func parseKeepOut(text string) (scene.KeepOut, error) {
	from, to, ok := strings.Cut(text, ":")
	if !ok {
		return scene.KeepOut{}, fmt.Errorf("%.40q is no stretch; write from:to, such as 560mm:620mm", text)
	}
	a, err := unit.Length.Parse(from)
	b, errTo := unit.Length.Parse(to)
	if err = cmp.Or(err, errTo); err == nil && !(a < b) {
		err = fmt.Errorf("%s is not left of %s", from, to)
	}
	return scene.KeepOut{FromM: a, ToM: b, Why: "--keep-out"}, err
}

// touchesRail refuses a stretch at which there is no rail.
func touchesRail(k scene.KeepOut, rails []scene.Rail) error {
	const named = 3 // rails at most
	var words []string
	for _, r := range rails {
		right := r.LeftM + r.LengthM
		if k.FromM < right && k.ToM > r.LeftM {
			return nil
		}
		words = append(words, fmt.Sprintf("%s lies from x = %s to %s", r.Name, unit.Length.Say(r.LeftM),
			unit.Length.Say(right)))
	}
	return fmt.Errorf("touches no rail: %s; x counts from the tank's left wall",
		strings.Join(words[:min(named, len(words))], ", "))
}

// files draws before and after on one sheet and writes the new scene with the files that it names, so that it can be
// used where it stands.
func (o *arrangeOptions) files(ctx context.Context, sc *scene.Scene, a *study.Arranged,
	look render.Look) (list []output.File, err error) {
	both := []study.Contender{{Name: "before", Scene: sc}, {Name: "after", Scene: a.Scene}}
	compared, err := study.Compare(ctx, both, optics.Options{Workers: o.cores(), Units: o.system(), Cold: o.cold})
	if err != nil {
		return nil, err
	}
	sheet := sheetOf(compared, look.Units)
	sheet.Title, sheet.Verdict = titleOr(sc.Title), a.Verdict
	if words := a.Bounced.Words(); words != "" {
		sheet.Notes = append(sheet.Notes, words)
	}
	pictures, err := render.Compare(ctx, "before-after", sheet, look)
	if err != nil {
		return nil, err
	}
	text, err := edit.Rewrite(a.Scene)
	if err != nil {
		return nil, err
	}
	named, err := namedBeside(sc)
	list = append([]output.File{bytesFile(nameWith(sc.File, "arranged"), text)}, pictureFiles(pictures)...)
	return append(list, named...), err
}

// namedBeside are the files that a scene names, so that a new scene can have them beside itself.
func namedBeside(sc *scene.Scene) (files []output.File, err error) {
	for _, f := range sc.Files() {
		if f.Name != filepath.Base(f.Name) {
			return nil, fmt.Errorf("%s names %s in a folder; put it beside the scene, so that the new scene can have it "+
				"beside itself", sc.File, f.Name)
		}
		files = append(files, bytesFile(f.Name, f.Content))
	}
	return files, nil
}

// nameWith is the name of a scene's file with a word before its ending.
func nameWith(file, word string) string {
	ext := filepath.Ext(file)
	return strings.TrimSuffix(filepath.Base(file), ext) + "-" + word + ext
}

// parts are the figures of an arrangement, and its verdict.
func (o *arrangeOptions) parts(a *study.Arranged, sc *scene.Scene) (list answer.Answer, brief []string) {
	rails := answer.Table{Key: "rails", In: answer.JSON, Columns: []answer.Column{{Key: "name"}, {Key: "from_left_mm"},
		{Key: "x_mm"}}}
	var lines []string
	for _, r := range a.Scene.Rails {
		var fromLeft, x []float64
		var words []string
		for _, m := range r.Modules {
			left := roundTo((m.XM-r.LeftM)*1000, 1e-3)
			fromLeft, x = append(fromLeft, left), append(x, roundTo(m.XM*1000, 1e-3))
			words = append(words, o.system().Figure(left/1000))
		}
		rails.Rows = append(rails.Rows, []any{r.Name, fromLeft, x})
		lines = append(lines, fmt.Sprintf("%s, centres of the modules from its left end: %s %s", scene.RailWord(r.Name),
			strings.Join(words, ", "), o.system().Name()))
	}
	l := candidates{shown: a.Shown, asked: sc.Goal.Set()}
	before, after := l.figures("before", a.Before), l.figures("after", a.After)
	table := answer.Rows("", "", before, after)
	table.In = answer.Text
	table.Columns[0].Title = "places"
	verdict, brief := bouncedParts(capital(a.Verdict), a.Bounced)
	list = append(answer.Answer{answer.Lines{List: lines}, table, rails},
		fields("new_scene", nameWith(sc.File, "arranged"),
			"before", before, "after", after, "quantity", a.Shown.Name(), "chosen", a.Chosen)...)
	return append(list, verdict...), brief
}

// capital makes the first letter of a sentence a capital one.
func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
