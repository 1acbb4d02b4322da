package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/propose"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

type proposeOptions struct {
	common
	shareOptions
	parts, only  string
	budget       string
	watts, volts string
	modules      int
	rows, height string
	even, keep   string
	unheard      []string
}

// proposeCommand is the command with its options, which have the defaults of its flags.
func proposeCommand(s streams) (*cobra.Command, *proposeOptions) {
	o := &proposeOptions{}
	c := &cobra.Command{
		Use:   "propose SCENE",
		Short: "propose lights that can be built, from the tank and the goal",
		Long: `Searches modules, optics, counts, rows, heights, places and currents for lights that meet the goal of the scene
and can be built from the parts at hand, and proposes the best of each: cheapest to buy, least power, most even,
brightest at its dimmest place, cheapest over five years. The scene needs no rails yet; rails and wiring that it has
give way.

Each proposal is written as a scene file for every other command. It keeps the parts' limits in the scene's air, its
rail stays cool enough to touch, its drivers are isolated and cannot overload a string when another fails. Money is that
of the command bill, with its spares. Most even and brightest are sought among lights whose mean is at most half as
much again as the goal's, or as that of the dimmest light that meets it. Light of one colour, such as blue, is proposed where --only or --parts names its modules.

Where no light meets the goal within the limits, the nearest one is shown, with the one limit whose loosening would help
most: the light that misses the goal by the least, by the sum of what each figure lacks, or has too much, as a share of
what is asked; of those within 2 % of that it misses the fewest figures, and is the cheapest, or with --watts-at-most
alone the one of least power. Ctrl-C stops the search; the lights that were found are written.`,
		Example: "fathomlux propose tank.yaml\nfathomlux propose tank.yaml --budget 120 --rows 1 --even-at-least 0.5\n" +
			"fathomlux propose tank.yaml --only quad-neutral,strip-neutral --volts-at-most \"60 V\"",
	}
	o.common.bind(c)
	o.shareOptions.bind(c)
	o.bindFormat(c)
	f := c.Flags()
	f.StringVar(&o.parts, "parts", "", "file of parts beside the scene to choose from; of kinds that it lacks the "+
		"built-in ones")
	f.StringVar(&o.only, "only", "", "names of the modules, optics, drivers or profiles to choose from, separated by "+
		"commas; kinds without a name stay open")
	f.StringVar(&o.budget, "budget", "", "the most that the parts may cost, such as 120, in the currency of the modules")
	f.StringVar(&o.watts, "watts-at-most", "", "the most power from the mains, such as \"40 W\"")
	f.StringVar(&o.volts, "volts-at-most", "", "highest voltage of a driver's output, with and without a load (default "+
		"30 V over an open tank, 60 V over a covered one)")
	f.IntVar(&o.modules, "modules-at-most", 40, "how many modules there may be")
	f.StringVar(&o.rows, "rows", "1,2", "how many rows of modules there may be, 1 to 4")
	f.StringVar(&o.height, "height", "", "range of the emitting face above the water, such as 100mm:250mm")
	f.StringVar(&o.even, "even-at-least", "", "lowest uniformity U0 (min/mean), such as 0.5, beside the goal's")
	choose(f, &o.keep, "keep", "what of the scene stays: nothing, or its rails, with other modules", "nothing", "rail")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where no light meets the goal")
	return command(s, c, &o.given, o.run), o
}

func (o *proposeOptions) run(ctx context.Context, s streams) error {
	read, bare, err := readUnlit(ctx, o.scene())
	if err != nil {
		return err
	}
	if bare && o.keep == "rail" {
		return fmt.Errorf("%s: --keep rail: the scene has no rail yet", read.File)
	}
	look, err := o.look()
	one, errShare := o.sharing()
	sc, request, errSearch := o.request(read)
	if err := errors.Join(err, errShare, errSearch); err != nil {
		return err
	}
	bar := progress(s, o.common, "search")
	request.Progress = bar.set
	if one.Of > 0 {
		looks, err := propose.RunShare(ctx, sc, request, one)
		bar.close()
		if err != nil {
			return fmt.Errorf("%s: %w", sc.File, err)
		}
		return handShare(ctx, s, o.common, read, one, looks)
	}
	request.Shares = joined[propose.Look](ctx)
	request.First = func(l *propose.Light) {
		onInterrupt(ctx).keeps.Store(true)
		bar.say("found so far: " + lightSentence(l))
	}
	found, err := propose.Run(ctx, sc, request)
	bar.close()
	if err != nil {
		return fmt.Errorf("%s: %w", sc.File, err)
	}
	if !found.Complete && len(found.Lights) == 0 {
		return ctx.Err()
	}
	kept := context.WithoutCancel(ctx)
	out, err := o.outcome(kept, sc, found, request, look)
	if err != nil {
		return err
	}
	return o.hand(kept, s, out)
}

// The numbers of heights that are tried, and the limits of flags.
const (
	heightsTried = 3
	mostRows     = 4
	mostMoney    = 1e9
)

// request turns the flags' texts into what may be chosen; all that is wrong with them is told at once.
func (o *proposeOptions) request(sc *scene.Scene) (*scene.Scene, propose.Options, error) {
	var errs [9]error
	r := propose.Options{MaxModules: o.modules, KeepRails: o.keep == "rail", Workers: o.cores()}
	errs[0] = inRange("--modules-at-most", o.modules, 1, scene.MaxModules)
	if r.Budget, errs[1] = plainNumber("--budget", o.budget, ""); errs[1] == nil && o.budget != "" {
		errs[1] = inRange("--budget", r.Budget, 0.01, mostMoney)
	}
	if r.WattsAtMost, errs[2] = plainNumber("--watts-at-most", o.watts, "W"); errs[2] == nil && o.watts != "" {
		errs[2] = inRange("--watts-at-most", r.WattsAtMost, 0.01, 1e5)
	}
	r.VoltsAtMost = circuit.WetTouchV
	if sc.Tank.Cover != nil {
		r.VoltsAtMost = circuit.DryTouchV
	}
	if o.volts != "" {
		if r.VoltsAtMost, errs[3] = plainNumber("--volts-at-most", o.volts, "V"); errs[3] == nil {
			errs[3] = inRange("--volts-at-most", r.VoltsAtMost, 2, 500)
		}
	}
	r.Rows, errs[4] = parseRows(o.rows)
	r.HeightsM, errs[5] = parseHeights(o.height, sc)
	if o.even != "" {
		r.EvenAtLeast, errs[6] = shareIn("--even-at-least", o.even, 0, 1)
	}
	lit, err := o.choice(sc, &r)
	errs[7] = err
	if r.KeepRails && (o.height != "" || o.rows != "1,2") {
		errs[8] = errors.New("--keep rail: the rails stay where they are; leave --rows and --height out")
	}
	return lit, r, errors.Join(errs[:]...)
}

// plainNumber reads the number of a flag, with or without its unit; 0 for an empty text.
func plainNumber(flag, text, unitName string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	v, rest, err := unit.Split(text)
	if err != nil || unitName != "" && rest != "" && rest != unitName ||
		unitName == "" && len(rest) != 0 && len(rest) != 3 {
		return 0, fmt.Errorf("%s: %.20q is not usable; write it as in %s", flag, text,
			cmp.Or(map[string]string{"W": `"40 W"`, "V": `"30 V"`}[unitName], "120"))
	}
	return v, nil
}

// parseRows reads numbers of rows with commas between.
func parseRows(text string) (rows []int, err error) {
	for word := range strings.SplitSeq(text, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(word))
		if err != nil || n < 1 || n > mostRows {
			return nil, fmt.Errorf("--rows: %.20q is not a number of rows from 1 to %d; write it as in 1,2", word, mostRows)
		}
		rows = append(rows, n)
	}
	slices.Sort(rows)
	return slices.Compact(rows), nil
}

// parseHeights reads a range of heights; an empty text is the usual one.
func parseHeights(text string, sc *scene.Scene) ([]float64, error) {
	fromM, toM := propose.UsualHeights(sc.Tank)
	if text != "" {
		from, to, ranged := strings.Cut(text, ":")
		if !ranged {
			to = from
		}
		var errs [2]error
		fromM, errs[0] = quantityIn("--height", from, unit.Length, 0.001, scene.MaxSideM)
		toM, errs[1] = quantityIn("--height", to, unit.Length, 0.001, scene.MaxSideM)
		if err := errors.Join(errs[:]...); err != nil {
			return nil, err
		}
		if fromM > toM {
			return nil, fmt.Errorf("--height: %s is above %s; write the lower one first", from, to)
		}
	}
	if c := sc.Tank.Cover; c != nil && fromM <= c.AboveWaterM+c.ThicknessM {
		return nil, fmt.Errorf("--height: %s is not above the cover, whose top is at %s", unit.Length.Say(fromM),
			unit.Length.Say(c.AboveWaterM+c.ThicknessM))
	}
	return propose.Heights(fromM, toM, heightsTried), nil
}

// choice is the parts to choose from, and the scene with the file that names them.
func (o *proposeOptions) choice(sc *scene.Scene, r *propose.Options) (*scene.Scene, error) {
	own := parts.Builtin()
	if o.parts != "" {
		if filepath.Clean(filepath.Dir(o.parts)) != filepath.Clean(filepath.Dir(sc.File)) {
			return sc, fmt.Errorf("--parts: %s does not lie beside the scene; put it there, for each proposal names it", o.parts)
		}
		lit, err := edit.WithParts(sc, filepath.Base(o.parts))
		if err != nil {
			return sc, err
		}
		if lit != sc {
			own = sc.Catalogue
		}
		sc = lit
	}
	c := *sc.Catalogue
	named := map[string]bool{}
	for name := range strings.SplitSeq(o.only, ",") {
		if name = strings.TrimSpace(name); name != "" {
			named[name] = true
		}
	}
	missing := maps.Clone(named)
	fromFile := o.parts != ""
	if fromFile && len(fresh(c.Modules, own.Modules))+len(fresh(c.Optics, own.Optics))+
		len(fresh(c.Drivers, own.Drivers))+len(fresh(c.Profiles, own.Profiles)) == 0 {
		return sc, fmt.Errorf("--parts: %s has no module, optic, driver or profile to choose from; see fathomlux new-part",
			o.parts)
	}
	c.Modules = chosen(c.Modules, own.Modules, named, missing, fromFile)
	c.Optics = chosen(c.Optics, own.Optics, named, missing, fromFile)
	c.Drivers = chosen(c.Drivers, own.Drivers, named, missing, fromFile)
	c.Profiles = chosen(c.Profiles, own.Profiles, named, missing, fromFile)
	for name := range missing {
		all := slices.Concat(parts.Names(sc.Catalogue.Modules), parts.Names(sc.Catalogue.Optics),
			parts.Names(sc.Catalogue.Drivers), parts.Names(sc.Catalogue.Profiles))
		return sc, errors.New("--only: " + document.Unknown("part", name, all))
	}
	for name, m := range c.Modules {
		d, err := optics.DescribeSpectrum(c.Spectra[m.Spectrum])
		if err != nil || !named[name] && !fromFile && min(d.Blue, d.Green, d.Red) < leastBand {
			delete(c.Modules, name)
			o.unheard = append(o.unheard, name)
		}
	}
	for name, one := range c.Optics {
		if _, err := optics.DescribeBeam(one, sc.Open); err != nil {
			delete(c.Optics, name)
			o.unheard = append(o.unheard, name)
		}
	}
	slices.Sort(o.unheard)
	r.Parts = &c
	return sc, nil
}

// leastBand is the share of blue, green and red photons that white light has at least.
const leastBand = 0.03

// chosen are the parts of one kind to choose from: those that are named, or else, of a file, those that are not among
// the others, where it has any; else all. What was found is no longer missing.
func chosen[T any](all, others map[string]T, named, missing map[string]bool, fromFile bool) map[string]T {
	out := map[string]T{}
	for name, part := range all {
		if named[name] {
			out[name] = part
			delete(missing, name)
		}
	}
	if own := fresh(all, others); len(out) == 0 && fromFile && len(own) > 0 {
		return own
	}
	if len(out) > 0 {
		return out
	}
	return maps.Clone(all)
}

// fresh are the parts of one kind that are not among others.
func fresh[T any](all, others map[string]T) map[string]T {
	out := maps.Clone(all)
	maps.DeleteFunc(out, func(name string, _ T) bool { _, known := others[name]; return known })
	return out
}

// lightSentence says what a light is made of, and what comes of it.
func lightSentence(l *propose.Light) string {
	light := l.Counted()
	return fmt.Sprintf("%s, %s: %s, %s W, mean %s, U0 %s", buildText(l), driverText(l), moneyText(l.Money),
		figured(1)(l.MainsW), lightText(l.Candidate.Goal.Shown, light.Mean), unit.Ratio(light.MinOverMean))
}

// buildText says which modules a light has, and where they hang.
func buildText(l *propose.Light) string {
	r := l.Scene.Rails[0]
	m := r.Modules[0]
	rows := ""
	if n := len(l.Scene.Rails); n > 1 {
		rows = " in " + unit.Several(n, "row")
	}
	return fmt.Sprintf("%d x %s with %s at %s mA%s", len(modulesOf(l.Scene)), m.Part.Name, m.Optic.Name,
		number(roundTo(m.CurrentA*1000, 0.1)), rows)
}

func driverText(l *propose.Light) string {
	n := len(l.Scene.Wiring.Supplies)
	return fmt.Sprintf("%d x %s", n, l.Scene.Wiring.Supplies[0].Driver.Name)
}

// roundedMoney is an amount in hundredths.
func roundedMoney(m parts.Money) any { return optional(math.Round(m.Amount*100)/100, m.Currency != "") }
