package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
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

type arrangeOptions struct {
	lightOptions
	gap, round string
	keepOuts   []string
	noMirror   bool
	aim        string
	keepY      bool
	optics     string
	vary       []string
	current    string
}

// arrangeCommand is the command with its options, which have the defaults of its flags.
func arrangeCommand(s streams) (*cobra.Command, *arrangeOptions) {
	o := &arrangeOptions{}
	c := &cobra.Command{
		Use:   "arrange SCENE",
		Short: "find the best places for the modules along each rail, and for the rails across the tank",
		Long: `Searches for the places of the modules along each rail, and of the rails across the tank, that make the dimmest
place on the goal's plane as bright as it can be. With --for even it is the uniformity U0 (min/mean) that is made as
high as it can be, with --for power the power that meets the goal as low; then the currents that the drivers give are
tried. The goal goes first: what meets it goes before what does not, and where no arrangement reaches its mean, the mean
never falls below its present value. Writes the new scene and a picture of before and after.

Arrangements are symmetric where the tank and the modules are; places are whole millimetres from the rail's left end,
ready to be drilled, and whole 5 mm across the tank. Keep-outs are respected. The result is never worse than the present
scene and is the same on every run, but there may be better places that the search does not find. Ctrl-C stops the
search; the best places that were found are written, without the picture.`,
		Example: "fathomlux arrange scene.yaml\nfathomlux arrange scene.yaml --gap 10mm --keep-out 560mm:620mm " +
			"--optic round-40,round-60 --vary height=120mm:220mm:20mm --current 250mA:500mA:25mA",
	}
	o.bind(c, "about 6000 cells for the search; figures are those of a map's own grid")
	bindOptics(c, &o.optics, "to choose among")
	f := c.Flags()
	choose(f, &o.aim, "for", "what is made as good as it can be", study.Aims()...)
	f.BoolVar(&o.keepY, "keep-y", false, "leave the rails where they hang across the tank")
	f.StringVar(&o.gap, "gap", "10 mm", "least distance between neighbouring boards, room for a soldering iron")
	f.StringVar(&o.round, "round", "1 mm", "round places to multiples of this, from the rail's left end")
	f.StringArrayVar(&o.keepOuts, "keep-out", nil, "range of x, in the tank's axes, where no board may sit on any rail: "+
		"560mm:620mm; may be repeated")
	f.BoolVar(&o.noMirror, "no-mirror", false,
		"allow asymmetric arrangements: an odd module need not sit in the middle")
	f.StringArrayVar(&o.vary, "vary", nil,
		"height, tilt, y or depth to choose among, such as height=120mm:220mm:20mm; may be repeated")
	f.StringVar(&o.current, "current", "",
		"range of currents, such as 250mA:500mA:25mA, of which a driver must give one: the lowest that reaches the goal's "+
			"mean is taken, without one the lowest that serves no worse")
	return command(s, c, &o.given, o.run), o
}

func (o *arrangeOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	light, look, err := o.resolve(sc.Tank)
	request, errSearch := o.request(sc)
	if err := errors.Join(err, errSearch); err != nil {
		return err
	}
	bar := progress(s, o.common, "combinations")
	request.StepM, request.Workers, request.Units, request.Cold = light.StepM, light.Workers, o.system(), light.Cold
	request.Progress = bar.set
	request.Begun = func() { onInterrupt(ctx).keeps.Store(true) }
	arranged, err := study.Arrange(ctx, sc, request)
	bar.close()
	if err != nil {
		return fmt.Errorf("%s: %w", sc.File, err)
	}
	out := outcome{command: "arrange", scenes: []*scene.Scene{arranged.Scene},
		found: append(arranged.Notes, firstPart(sc)...)}
	out.parts, out.brief = o.parts(arranged, sc)
	if out.files, err = o.files(ctx, sc, arranged, look); err != nil {
		return err
	}
	if ctx.Err() != nil {
		out.interim = "interrupted; the best places that were found until then are kept, without a picture"
	}
	if !arranged.After.Goal.Met {
		out.unmet = " by the best places found"
	}
	return o.hand(context.WithoutCancel(ctx), s, out)
}

// request turns the flags' texts into what may change; all that is wrong with them is told at once.
func (o *arrangeOptions) request(sc *scene.Scene) (request study.ArrangeOptions, err error) {
	var errs [6]error
	request.NoMirror, request.KeepY, request.For = o.noMirror, o.keepY, study.Aim(o.aim)
	request.GapM, errs[0] = quantityIn("--gap", o.gap, unit.Length, 0, scene.MaxSideM)
	request.RoundM, errs[1] = quantityIn("--round", o.round, unit.Length, 0.0001, 0.1)
	request.KeepOuts, errs[2] = parseKeepOuts(o.keepOuts, sc.Rails)
	request.Optics, errs[3] = parseOptics(o.optics, sc)
	request.Axes, errs[4] = parseRanges(o.vary, sc)
	for _, a := range request.Axes {
		if !slices.Contains([]string{"height", "tilt", "y", "depth"}, a.Variable.Name) {
			errs[4] = fmt.Errorf("--vary: %s cannot be varied by arrange; height, tilt, y and depth can", a.Name())
		}
	}
	if o.current != "" {
		r, err := edit.ParseRange("current=" + o.current)
		if err != nil {
			errs[5] = fmt.Errorf("--current: %w", err)
		}
		request.Currents = r.Values
	}
	return request, errors.Join(errs[:]...)
}

// parseKeepOuts reads texts such as "560mm:620mm", stretches at each of which there is a rail.
func parseKeepOuts(texts []string, rails []scene.Rail) (list []scene.KeepOut, err error) {
	for _, text := range texts {
		from, to, ok := strings.Cut(text, ":")
		k := scene.KeepOut{Why: "--keep-out"}
		if !ok {
			err = fmt.Errorf("%.40q is not a range; write from:to, such as 560mm:620mm", text)
		} else if k.FromM, err = unit.Length.Parse(from); err == nil {
			k.ToM, err = unit.Length.Parse(to)
		}
		if err == nil && !(k.FromM < k.ToM) {
			err = fmt.Errorf("%s is not left of %s", from, to)
		}
		var words []string
		for _, r := range rails {
			words = append(words, fmt.Sprintf("%s lies from x = %s to %s", r.Name, unit.Length.Say(r.LeftM),
				unit.Length.Say(r.LeftM+r.LengthM)))
		}
		meets := func(r scene.Rail) bool { return k.FromM < r.LeftM+r.LengthM && k.ToM > r.LeftM }
		if err == nil && !slices.ContainsFunc(rails, meets) {
			err = fmt.Errorf("%.60s touches no rail: %s; x counts from the tank's left wall", text, unit.List(words, 3))
		}
		if err != nil {
			return nil, fmt.Errorf("--keep-out: %w", err)
		}
		list = append(list, k)
	}
	return list, nil
}

// files are the new scene and, unless ctx ends meanwhile, before and after drawn on one sheet.
func (o *arrangeOptions) files(ctx context.Context, sc *scene.Scene, a *study.Arranged,
	look render.Look) ([]output.File, error) {
	files, err := rewritten(sc, a.Scene, "arranged")
	if err != nil {
		return nil, err
	}
	pictures, err := o.pictures(ctx, sc, a, look)
	if ctx.Err() != nil {
		return files, nil
	}
	return append(files, pictures...), err
}

func (o *arrangeOptions) pictures(ctx context.Context, sc *scene.Scene, a *study.Arranged,
	look render.Look) ([]output.File, error) {
	both := []study.Contender{{Name: "before", Scene: sc}, {Name: "after", Scene: a.Scene}}
	c, err := study.Compare(ctx, both, optics.Options{Workers: o.cores(), Cold: o.cold})
	if err != nil {
		return nil, err
	}
	sheet := sheetOf(c, comparisonTable(c, look.Units), titleOr(sc.Title), a.Verdict, nil, look.Units)
	return render.Compare(ctx, "before-after", sheet, look)
}

// rewritten are the file of a scene that was changed, named after the one that was read, and the files that it names,
// so that it can be used where it stands.
func rewritten(sc, changed *scene.Scene, word string) ([]output.File, error) {
	text, err := edit.Rewrite(changed)
	if err != nil {
		return nil, err
	}
	return withFiles(sc, output.File{Name: nameWith(sc.File, word), Data: text})
}

// withFiles are the file of a scene that was made from another, and the files that it names.
func withFiles(sc *scene.Scene, made output.File) ([]output.File, error) {
	files := []output.File{made}
	for _, f := range sc.Files() {
		if f.Name != filepath.Base(f.Name) {
			return nil, fmt.Errorf("%s names %s in a folder; put it beside the scene, so that a copy can be written "+
				"beside the new scene", sc.File, f.Name)
		}
		files = append(files, output.File{Name: f.Name, Data: f.Content})
	}
	return files, nil
}

// nameWith is the name of a scene's file with a word before its ending.
func nameWith(file, word string) string {
	ext := filepath.Ext(file)
	return strings.TrimSuffix(filepath.Base(file), ext) + "-" + word + ext
}

func (o *arrangeOptions) parts(a *study.Arranged, sc *scene.Scene) (list answer.Answer, brief []string) {
	columns := []answer.Column{{Key: "name", Title: "rail"}, {Key: "x_mm"}, lengthFigure("y_mm", "y", o.system(), 0),
		lengthFigure("from_left_mm", "centres of the modules from its left end", o.system(), 0)}
	rails := answer.TableOf("rails", columns, a.Scene.Rails, func(r scene.Rail) []any {
		var fromLeft, x []float64
		for _, m := range r.Modules {
			fromLeft, x = append(fromLeft, roundTo((m.XM-r.LeftM)*1000, 1e-3)), append(x, roundTo(m.XM*1000, 1e-3))
		}
		return []any{r.Name, x, millimetres(r.YM), fromLeft}
	})
	a.Before.Name, a.After.Name = "before", "after"
	shown := a.After.Goal.Shown
	before, after := candidateFigures(shown, nil, a.Before), candidateFigures(shown, nil, a.After)
	table := answer.Rows("", "", before, after)
	table.In, table.Columns[0].Title = answer.Text, "places"
	verdict := a.Verdict.Sentence(o.system())
	return answer.Answer{rails, table, fields("complete", !a.Interrupted, "new_scene", nameWith(sc.File, "arranged"), "for", o.aim, "before", before,
		"after", after, "quantity", shown.Name(), "chosen", a.Chosen), verdictParts(verdict)}, []string{verdict}
}
