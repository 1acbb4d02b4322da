package main

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/fig"
	"fathomlux/render/output"
	"fathomlux/render/sheet"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

type compareOptions struct {
	lightOptions
	optics string
}

func newCompareCommand(s streams) *cobra.Command {
	var o compareOptions
	c := &cobra.Command{
		Use:   "compare SCENE... [--optic A,B,C]",
		Short: "compare several optics, or several scenes",
		Long: `Computes the light on the goal's plane for one scene with each of several optics on all its modules, or for
several scenes, and draws one sheet: plans on a common scale, profiles along the tank, and a table.

` + ruleOfChoice + ``,
		Example: "fathomlux compare scene.yaml --optic round-25,round-40,round-60\n" +
			"fathomlux compare first.yaml second.yaml",
	}
	o.bind(c, "by the tank's size")
	bindOptics(c, &o.optics, "to compare with the scene's own")
	return command(s, c, &o.given, o.run)
}

// ruleOfChoice is by which rule compare and sweep choose.
const ruleOfChoice = `The best candidate can be built, meets the goal and draws the least power (within 1 %); of several
such, it is the one whose dimmest place is the brightest. Where none meets the goal, it is the one that falls short by
the smallest share, but none that another one outdoes at no more power: brighter in mean and at its dimmest place, with
half the spill at most. Without a goal, it is the one with the brightest dimmest place per watt.`

func ruleParts() answer.Answer {
	rule := strings.ReplaceAll(ruleOfChoice, "\n", " ")
	return answer.Answer{answer.Lines{Lead: "rule", List: []string{rule}, In: answer.Text},
		answer.Figure{Key: "rule", Value: rule}}
}

func bindOptics(c *cobra.Command, optics *string, what string) {
	c.Flags().StringVar(optics, "optic", "", "names of optics "+what+", separated by commas")
}

func (o *compareOptions) run(ctx context.Context, s streams) error {
	list, err := o.contenders()
	if err != nil {
		return err
	}
	out, err := o.compare(ctx, list)
	if err != nil {
		return err
	}
	return o.hand(ctx, s, out)
}

func (o *compareOptions) compare(ctx context.Context, list []study.Contender) (out outcome, err error) {
	request, look, err := o.resolve(list[0].Scene.Tank)
	if err != nil {
		return out, err
	}
	c, err := study.Compare(ctx, list, request)
	if err != nil {
		return out, err
	}
	table := comparisonTable(c, look.Units)
	verdict := c.Verdict.Sentence(look.Units)
	out = outcome{command: "compare", title: titleOr(list[0].Scene.Title),
		found: append(differences(list), firstPart(list[0].Scene)...),
		brief: []string{verdict},
		parts: answer.Answer{table, fields("quantity", c.Shown.Name(), "best", optional(c.Best, c.Best >= 0)), ruleParts(),
			verdictParts(verdict)}}
	for _, one := range list {
		out.scenes = append(out.scenes, one.Scene)
	}
	if list[len(list)-1].Scene.File != list[0].Scene.File {
		out.title = unit.Several(len(list), "scene") + " compared"
	}
	if c.Best < 0 || !c.Candidates[c.Best].Goal.Met {
		out.unmet = " by any of them"
	}
	pictures, err := render.Compare(ctx, "compare", sheetOf(c, table, out.title, c.Verdict, out.found, look.Units), look)
	out.files = append([]output.File{csvFile("compare.csv", table)}, pictures...)
	return out, err
}

// contenders reads the scenes, all faults of all files at once, and puts the optics on.
func (o *compareOptions) contenders() ([]study.Contender, error) {
	var list []study.Contender
	var errs []error
	for _, file := range o.args {
		sc, err := scene.Read(file)
		errs = append(errs, err)
		if err == nil {
			list = append(list, study.Contender{Name: sceneName(file), Scene: sc})
		}
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	if o.optics == "" {
		return list, nil
	}
	if len(list) > 1 {
		return nil, errors.New("--optic goes with one scene; compare several scenes without it")
	}
	_, _, err := o.resolve(list[0].Scene.Tank)
	list, errOptic := opticContenders(list[0].Scene, o.optics)
	return list, errors.Join(err, errOptic)
}

// opticContenders are a scene as it is, and with each of the optics that a text names.
func opticContenders(sc *scene.Scene, names string) ([]study.Contender, error) {
	list := []study.Contender{{Name: "as it is (" + ownOptics(sc) + ")", Scene: sc}}
	chosen, err := parseOptics(names, sc)
	if err != nil {
		return nil, err
	}
	for _, optic := range chosen {
		if optic.Name != ownOptics(sc) {
			list = append(list, study.Contender{Name: optic.Name, Scene: study.WithOptic(sc, optic)})
		}
	}
	return list, nil
}

// ownOptics names the optics that a scene uses, each once.
func ownOptics(sc *scene.Scene) string {
	var names []string
	for _, m := range modulesOf(sc) {
		if !slices.Contains(names, m.Optic.Name) {
			names = append(names, m.Optic.Name)
		}
	}
	return strings.Join(names, ", ")
}

// parseOptics looks up names with commas between in the scene's library; an empty text names none. All that are
// unknown are told at once.
func parseOptics(text string, sc *scene.Scene) (list []parts.Optic, err error) {
	if text == "" {
		return nil, nil
	}
	var errs []error
	for name := range strings.SplitSeq(text, ",") {
		name = strings.TrimSpace(name)
		optic, ok := sc.Catalogue.Optics[name]
		if !ok {
			errs = append(errs, errors.New("--optic: "+document.Unknown("optic", name, parts.Names(sc.Catalogue.Optics))))
			continue
		}
		list = append(list, optic)
	}
	return list, errors.Join(errs...)
}

// differences say in what contenders are not judged alike: by their planes, by their goals.
func differences(list []study.Contender) (found []finding.Finding) {
	say := func(what string, of func(sc *scene.Scene) string) {
		var each []string
		alike := true
		for _, c := range list {
			each = append(each, c.Name+" "+of(c.Scene))
			alike = alike && of(c.Scene) == of(list[0].Scene)
		}
		if !alike {
			found = append(found, finding.JudgedApart.Of(finding.Text(what), finding.Text(strings.Join(each, "; "))))
		}
	}
	say("plane", func(sc *scene.Scene) string { return optics.JudgedPlane(sc).Name })
	say("goal", func(sc *scene.Scene) string { return cmp.Or(goalFigures(sc.Goal), "none") })
	return found
}

func comparisonTable(c *study.Comparison, u unit.System) answer.Table {
	var records []answer.Answer
	for i, m := range c.Maps {
		sc, p, darkest := c.Contenders[i].Scene, &m.Planes[0], [2]string{"", "none"} // for programs, for people
		if len(p.DarkCorners) > 0 {
			darkest = [2]string{p.DarkCorners[0].Place(unit.Metric), p.DarkCorners[0].Place(u)}
		}
		plane := append(fields("name", p.Name, "depth_mm", millimetres(p.DepthM)), planeData(p, sc.Goal)...)
		records = append(records, append(candidateFigures(c.Shown, nil, c.Candidates[i], append(contrastFigure(c, i),
			answer.Figure{Key: "darkest", Value: darkest[0]}, answer.Figure{Title: "darkest", Value: darkest[1]},
			answer.Figure{Key: "spill_lm", Title: result.Of(c.Shown, "spill", ""), Unit: "lm", Value: m.Balance.Spill},
			answer.Figure{Key: "spill_umol_s", Title: result.Of(c.Shown, "", "spill"), Unit: "µmol/s", Say: figured(1),
				Value: m.Photons.Spill},
			answer.Figure{Key: "into_water_lm_per_w", Title: result.Of(c.Shown, "into water", ""), Unit: "lm/W",
				Say: figured(1), Value: optional(m.Balance.Entered/m.PowerW, m.PowerW > 0)},
			answer.Figure{Key: "into_water_umol_per_j", Title: result.Of(c.Shown, "", "into water"), Unit: "µmol/J",
				Say: figured(2), Value: optional(m.Photons.Entered/m.PowerW, m.PowerW > 0)})...),
			only(answer.JSON, fields("scene", sc.File, "plane", plane, "tracing", tracingData(m.Tracing),
				"flux_lm", balanceData(m.Balance), "photons_umol_s", balanceData(m.Photons),
				"junctions", junctionsData(m.Junctions), "goal", goalData(m.Goal)))...))
	}
	return answer.Rows("list", "Plane "+c.Maps[0].Planes[0].Name, records...)
}

// contrastFigure is how far the net of light of one contender sways; nothing where all surfaces are still.
func contrastFigure(c *study.Comparison, i int) answer.Answer {
	if c.Contrasts == nil {
		return nil
	}
	return answer.Answer{answer.Figure{Key: "contrast", Title: "contrast over time", Say: percent, Value: c.Contrasts[i]}}
}

// sheetOf is what a sheet shows of contenders: their plans, and their figures but for the name and the goal, which it
// marks by itself.
func sheetOf(c *study.Comparison, t answer.Table, title string, verdict finding.Finding, found []finding.Finding,
	u unit.System) sheet.Sheet {
	head := t.Head(answer.Text)
	last := len(head) - 1
	notes := each(found, func(f finding.Finding) string { return f.Sentence(u) })
	s := sheet.Sheet{Page: fig.Page{Title: title, Notes: notes, Footer: ", " + c.Junctions.Words()},
		Quantity: c.Shown, Columns: head[1:last], Verdict: verdict.Sentence(u)}
	for i, cells := range t.Cells(answer.Text) {
		s.Candidates = append(s.Candidates, sheet.Candidate{Candidate: c.Candidates[i], Scene: c.Contenders[i].Scene,
			Plane: &c.Maps[i].Planes[0], Figures: cells[1:last]})
	}
	return s
}
