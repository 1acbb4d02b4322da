package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/tolerance"
	"fathomlux/optics/trace"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

type mapOptions struct {
	lightOptions
	shareOptions
	planes      []string
	faces       []string
	at          []string
	grid        string
	without     []string
	maintenance float64
	tolerance   bool
	preview     bool
	watch       bool
	emit        string
}

func newMapCommand(s streams) *cobra.Command {
	var o mapOptions
	c := &cobra.Command{
		Use:   "map SCENE",
		Short: "show where the light lands, how even it is, and which corners are dark",
		Long: `Computes the light on horizontal planes in the water. Writes a plan and a grid (CSV) for each plane, two slices
through the water, and a summary with a verdict: what is wrong with the light, if anything.

Light is planar illuminance (lx) and PPFD (µmol/m²/s): all light that comes down through a plane, refracted by cover
and surface, absorbed and scattered by the water, reflected by the glass, the floor and painted walls. The flux is that
at operating temperature (see heat).

--face adds the light on faces of the tank. What is scattered and reflected, and all light in a tank that is no upright
box, is smoothed there over some 50 mm.

Ctrl-C while photons are traced stops the tracing; the map is written with what was traced until then. A second Ctrl-C
ends the program at once.`,
		Example: "fathomlux map scene.yaml\n" +
			"fathomlux map scene.yaml --face back --face front\n" +
			"fathomlux map scene.yaml --at \"400 mm, 200 mm, floor\" --at \"400 mm, 200 mm, surface\"\n" +
			"fathomlux map scene.yaml --plane floor --plane \"200 mm\" --step \"10 mm\"\n" +
			"fathomlux map scene.yaml --json --require-goal\nfathomlux map scene.yaml --watch --preview\n" +
			"fathomlux map scene.yaml --emit scene.txt",
	}
	o.common.bind(c)
	o.bindFormat(c)
	o.bindLight(c)
	o.shareOptions.bind(c)
	f := c.Flags()
	f.StringArrayVar(&o.planes, "plane", nil,
		"plane to compute: surface, mid, floor or a depth such as \"200 mm\"; may be repeated (default all three)")
	f.StringArrayVar(&o.faces, "face", nil, "face of the tank under water whose light is computed too, as that of its "+
		"own plane: left, right, front, back or floor; may be repeated. The light on a viewing pane tells where algae grow")
	f.StringArrayVar(&o.at, "at", nil, "place whose spectrum is computed too, as x, y and a plane, such as \"400 mm, "+
		"200 mm, floor\"; may be repeated")
	choose(f, &o.grid, "grid", "standard: the measurement grid of EN 12464-1", "fine", "standard")
	f.StringArrayVar(&o.without, "without", nil, "dead modules, as a rail and numbers on it: main:3, main:2,5 or "+
		"main:1-3, or whole strings: string:2; may be repeated")
	f.BoolVar(&o.tolerance, "tolerance", false,
		"also show how far the light may differ in a tank built within the scene's tolerances")
	f.StringVar(&o.emit, "emit", "", "also write a file of this name beside the pictures: sources, layers, faces and "+
		"spectra as plain text, for a tracer of your own (see optics/EMIT.md)")
	f.BoolVar(&o.preview, "preview", false, "also draw the goal's plane in the terminal")
	f.BoolVar(&o.watch, "watch", false,
		"repeat whenever the scene or a file that it names is saved; Ctrl-C ends it")
	return command(s, c, &o.given, o.run)
}

func (o *mapOptions) bindLight(c *cobra.Command) {
	o.lightOptions.bindLight(c, "by the tank's size")
	o.engineOptions.bind(c)
	c.Flags().Float64Var(&o.maintenance, "maintenance", 0, "maintenance factor, for ageing LEDs and dirty panes, "+
		"above 0 and at most 1; the goal is judged with it (default what the scene's maintenance makes)")
}

func (o *mapOptions) run(ctx context.Context, s streams) error {
	if o.json && (o.watch || o.preview) {
		return errors.New("--json prints one document and nothing else; remove --watch and --preview, or --json")
	}
	if o.share != "" && (o.watch || o.engine != string(optics.Traced) || o.photons == 0 || o.err != "") {
		return errors.New("--share divides the photons of one map; give --engine traced and --photons, without --error and " +
			"--watch: how large an error is, is known of all parts alone")
	}
	if !o.watch {
		return o.once(ctx, s)
	}
	if _, err := o.look(); err != nil {
		return err
	}
	return watchScene(ctx, s, o.scene(), func(ctx context.Context) error {
		return o.once(ctx, s)
	})
}

// once reads the scene, computes, writes all files at once and prints the answer.
func (o *mapOptions) once(ctx context.Context, s streams) error {
	sc, err := readScene(ctx, o.scene())
	if err != nil {
		return err
	}
	if err := needsGoal(o.requireGoal, sc); err != nil {
		return err
	}
	dead, err := edit.Without(sc, o.without...)
	if err != nil {
		err = fmt.Errorf("--without: %w", err)
	}
	request, look, errFlags := o.resolve(sc)
	one, errShare := o.sharing()
	if err := errors.Join(err, errFlags, errShare); err != nil {
		return err
	}
	sc = dead
	if one.Of > 0 {
		return o.part(ctx, s, sc, request, one)
	}
	request.Shares = joined[*trace.Sums](ctx)
	if !o.watch { // a watch that ends leaves the last map whole
		request.KeepTraced = onInterrupt(ctx).keeps.Store
	}
	bar := progress(s, o.common, "photons")
	request.Progress = bar.predict(s, o.common, time.Now, tracingForecast)
	sums := progress(s, o.common, "straight light")
	request.Summing = sums.predict(s, o.common, time.Now, summingForecast)
	m, err := optics.Map(ctx, sc, request)
	sums.close()
	bar.close()
	if err != nil {
		return err
	}
	if interruptedTracing(m) {
		ctx = context.WithoutCancel(ctx) // what was traced is drawn and written
	}
	places, spread, err := o.besides(ctx, sc, m, request)
	if err != nil {
		return err
	}
	out := outcome{command: "map", title: m.Title, scenes: []*scene.Scene{sc},
		parts: slices.Insert(mapParts(m, sc, look, spread), 1, placeParts(places, look)...),
		brief: []string{m.Verdict.Sentence(look.Units)}, found: m.Warnings, unmet: unmetGoal(m.Goal)}
	if out.files, err = o.outFiles(ctx, m, sc, look, places); err != nil {
		return err
	}
	if interruptedTracing(m) {
		out.interim = fmt.Sprintf("interrupted after %d photons; what was traced is kept", m.Tracing.Photons)
	}
	if o.preview {
		out.pictured = func(w io.Writer) error { return printPreview(screenOf(w), m, sc, look.Units) }
	}
	return o.hand(ctx, s, out)
}

// besides computes what is asked for beside the map: the light at places, and what tolerances make of it.
func (o *mapOptions) besides(ctx context.Context, sc *scene.Scene, m *result.Map, request optics.Options) (
	places []result.PlaceLight, spread *result.Tolerance, err error) {
	if places, err = o.placesLit(ctx, sc, request); err == nil && o.tolerance {
		spread, err = tolerance.Compute(ctx, sc, m, request)
	}
	return places, spread, err
}

// part traces one part of the photons.
func (o *mapOptions) part(ctx context.Context, s streams, sc *scene.Scene, request optics.Options,
	one parallel.Share) error {
	bar := progress(s, o.common, "photons")
	request.Progress = bar.predict(s, o.common, time.Now, tracingForecast)
	sums, err := optics.MapShare(ctx, sc, request, one)
	bar.close()
	if err != nil {
		return err
	}
	return handShare(ctx, s, o.common, sc, one, []*trace.Sums{sums})
}

// unmetGoal is what a goal lacks, behind the error that says so; empty where it is met.
func unmetGoal(g result.Goal) string {
	if g.Met {
		return ""
	}
	return ": " + finding.All(g.Missing()).Say(unit.Metric)
}

// interruptedTracing tells whether Ctrl-C ended the tracing.
func interruptedTracing(m *result.Map) bool { return m.Tracing != nil && m.Tracing.Interrupted }

func (o mapOptions) resolve(sc *scene.Scene) (optics.Options, render.Look, error) {
	request, look, err := o.lightOptions.resolve(sc.Tank)
	errs := []error{err}
	request.Sections, request.Maintenance, request.CellBytes = true, o.maintenance, gridCellBytes
	if o.flags.Changed("maintenance") && !(o.maintenance > 0 && o.maintenance <= 1) {
		errs = append(errs, fmt.Errorf("--maintenance: %g is not above 0 and at most 1", o.maintenance))
	}
	for _, text := range o.planes {
		errs = append(errs, addPlane(sc, &request, text))
	}
	errs = append(errs, o.addFaces(sc, &request))
	_, err = o.placesAsked(sc)
	errs = append(errs, err, o.emitsTo())
	request.Standard = o.grid == "standard"
	return request, look, errors.Join(errs...)
}

func addPlane(sc *scene.Scene, request *optics.Options, text string) error {
	p, err := sc.Tank.Plane(text)
	if err != nil {
		return fmt.Errorf("--plane: %w", err)
	}
	for _, q := range request.Planes {
		if math.Abs(q.DepthM-p.DepthM) < 1e-9 {
			return fmt.Errorf("--plane: %s and %s are the same plane, %s below the surface; give it once",
				q.Name, p.Name, unit.Length.Say(p.DepthM))
		}
	}
	request.Planes = append(request.Planes, p)
	return nil
}

// mapFiles draws all pictures and writes all grids, in memory.
func mapFiles(ctx context.Context, m *result.Map, sc *scene.Scene, look render.Look, workers int) ([]output.File,
	error) {
	pictures, err := render.Map(ctx, m, sc, look, workers)
	if err != nil {
		return nil, err
	}
	var files []output.File
	for _, p := range m.Planes {
		files = append(files, output.File{Name: render.PlaneFileName(p.Name) + ".csv",
			Data: gridCSV("x_mm,y_mm", p.Field, !sc.Tank.Outline.Empty())})
	}
	for _, w := range m.Walls {
		files = append(files, output.File{Name: render.FaceFileName(w.Name) + ".csv",
			Data: gridCSV("along_mm,up_mm", w.Field, w.Field.Solid != nil)})
	}
	if len(m.Faces) > 0 {
		files = append(files, csvFile("things.csv", faceTable(m, look.Units)))
	}
	return append(files, pictures...), nil
}

// gridCellBytes is about what one cell's line takes in memory, where it is made and where it waits to be written.
const gridCellBytes = 2 * 48

// gridCSV writes a plane or a face cell by cell, rows along its first axis. It writes numbers alone, many of them. Of a
// tank with an outline of its own it says which share of each cell counts; one that is outside has no light.
func gridCSV(axes string, f result.Field, outlined bool) []byte {
	b := make([]byte, 0, gridCellBytes/2*f.Grid.Cells())
	b = append(b, axes+",illuminance_lx,ppfd_umol_m2_s"...)
	if outlined {
		b = append(b, ",inside_share"...)
	}
	b = append(b, '\n')
	for i := range f.Illuminance {
		b = strconv.AppendFloat(b, millimetres(f.Grid.CentreX(i%f.Grid.NX)), 'f', -1, 64)
		b = strconv.AppendFloat(append(b, ','), millimetres(f.Grid.CentreY(i/f.Grid.NX)), 'f', -1, 64)
		if outlined && f.Solid.Closed(i) {
			b = append(b, ",,,0\n"...)
			continue
		}
		b = strconv.AppendFloat(append(b, ','), f.Illuminance[i], 'g', 7, 64)
		b = strconv.AppendFloat(append(b, ','), f.PPFD[i], 'g', 7, 64)
		if outlined {
			b = strconv.AppendFloat(append(b, ','), roundTo(f.Solid.Open(i), 1e-4), 'g', -1, 64)
		}
		b = append(b, '\n')
	}
	return b
}

// mapParts are the figures of a map; spread is nil where no tolerance was asked for.
func mapParts(m *result.Map, sc *scene.Scene, look render.Look, spread *result.Tolerance) answer.Answer {
	parts := answer.Answer{planeTable(m, sc, look), shownParts(m.Goal, look.Units),
		fields("engine", m.Engine, "tracing", tracingData(m.Tracing),
			"maintenance_factor", m.Maintenance), sectionTable(m, look), standTable(m, look.Units), kindTable(m),
		colourTable(m, look.Units), mapFigures(m, look),
		fields("flux_lm", balanceData(m.Balance), "photons_umol_s", balanceData(m.Photons),
			"junctions", junctionsData(m.Junctions), "goal", goalData(m.Goal)),
		verdictParts(m.Verdict.Sentence(look.Units))}
	if len(m.Walls) > 0 {
		parts = slices.Insert(parts, 1, answer.Part(wallTable(m, look)))
	}
	if len(m.Faces) > 0 {
		parts = append(parts, faceTable(m, look.Units))
	}
	if spread != nil {
		parts = append(parts, toleranceGroup(spread, look.Units))
	}
	return parts
}

// mapFigures are the figures beside the planes, for people.
func mapFigures(m *result.Map, look render.Look) (list answer.Answer) {
	say := func(title, words string) { list = append(list, answer.Figure{Title: title, Value: words}) }
	if m.Maintenance < 1 {
		var means []string
		for _, p := range m.Planes {
			k := m.Maintenance
			means = append(means, p.Name+" "+bothMeans(m.Goal.Shown, p.Illuminance.Mean*k, p.PPFD.Mean*k))
		}
		say(fmt.Sprintf("maintained means (factor %.3g)", m.Maintenance), strings.Join(means, ", "))
	}
	g := m.Planes[0].Field.Grid
	if areaM := g.LowestM(); areaM > 0 {
		say("cells", fmt.Sprintf("%.3g mm; min and U0 are over squares of %.3g mm", 1000*max(g.StepXM, g.StepYM), 1000*areaM))
	}
	if f := result.Stripes(m.MirroredShare); f.Any() {
		say("stripes", f.Words(look.Units))
	}
	var ends []string
	photons := m.Goal.Shown == result.PPFD
	title, digits := "luminous flux balance", 0
	if photons {
		title, digits = "balance of photons", 1
	}
	for _, r := range balanceTable(m).Rows {
		ends = append(ends, fmt.Sprintf("%s %s", r[0], unit.Figure(r[1].(float64), digits)))
	}
	list = append(list, answer.Figure{Title: title, In: answer.Text,
		Value: "of " + emittedText(m) + ": " + strings.Join(ends, "; ")})
	if photons {
		var crosses []string
		for i := range m.Planes {
			p := &m.Planes[i]
			crosses = append(crosses, fmt.Sprintf("%s %s", p.Name, unit.Figure(p.PhotonFlux(), 1)))
		}
		say("photon flux", "downwards through the planes, µmol/s: "+strings.Join(crosses, "; "))
	}
	if t := m.Tracing; t != nil {
		say("photons traced", fmt.Sprintf("%.3g million, standard error of a cell %.2g %% of the mean",
			float64(t.Photons)/1e6, 100*t.Error))
	}
	say("junctions", junctionsText(m.Junctions))
	return list
}

// sectionTable are the slices through the water: which way they run, where, and in which quantity they are drawn.
func sectionTable(m *result.Map, look render.Look) answer.Table {
	return answer.TableOf("sections", keys("axis", "at_mm", "png", "quantity"), m.Sections,
		func(s result.Section) []any {
			axis := [...]string{result.AlongX: "along", result.AcrossY: "across"}[s.Axis]
			return []any{axis, millimetres(s.AtM), "section-" + axis + "." + string(look.Format), m.Goal.Shown.Name()}
		})
}

// standTable is the light on stands of leaves; empty where there are none.
func standTable(m *result.Map, u unit.System) answer.Part {
	if len(m.Stands) == 0 {
		return answer.Answer{}
	}
	columns := append([]answer.Column{{Key: "plant", Title: "leaves of"}, {Key: "where", Title: "plane"},
		{Key: "depth_mm"}, {Title: "depth"}}, keys("mean_lx", "min_lx", "mean_umol_m2_s", "min_umol_m2_s", "dli_mol_m2_day")...)
	for i, q := range []result.Quantity{result.Illuminance, result.Illuminance, result.PPFD, result.PPFD} {
		c := &columns[4+i]
		c.Title, c.Unit, c.Say = []string{"mean", "lowest"}[i%2], q.Unit(),
			func(v float64) string { return lightFigure(q, v) }
	}
	return answer.TableOf("leaves", columns, m.Stands, func(s result.Stand) []any {
		return []any{s.Name, s.Where, millimetres(s.DepthM), u.Length(s.DepthM), s.Illuminance.Mean, s.Illuminance.Min,
			s.PPFD.Mean, s.PPFD.Min, s.DLI}
	})
}
