package main

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fathomlux/render/report"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// reported returns what a line of flags asks for.
func reported(t *testing.T, file string, flags ...string) *reportOptions {
	t.Helper()
	got, err := plainReport(file, flags...)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestReportOptions(t *testing.T) {
	o := reported(t, "dir/foyer.yaml", "--vary", "spacing=1mm:2mm:1mm", "--optic=round-40,it's", "--vary=height=1 mm,2 mm", "--out", "secret", "--workers=2", "--quiet")
	const want = `fathomlux report foyer.yaml --optic='round-40,it'\''s' --vary=spacing=1mm:2mm:1mm --vary='height=1 mm,2 mm'`
	if o.call != want {
		t.Errorf("call %s\nwant %s", o.call, want)
	}
	if o.scene() != "dir/foyer.yaml" || o.lead != "2 m" || o.spare != "10 %" || o.light.maintenance != 0 || len(o.vary) != 2 || o.light.requireGoal {
		t.Errorf("%+v", o)
	}
	if plain := reported(t, "a b.yaml").call; plain != "fathomlux report a b.yaml" {
		t.Errorf("call %s", plain)
	}
}

// written is the page as HTML.
func written(t *testing.T, p report.Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.Write(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestCautionsOfTheChoice: a beam that is narrow in a sweep alone is cautioned about, in the sweep and on the page.
func TestCautionsOfTheChoice(t *testing.T) {
	sc, err := scene.Read(foyerCopy(t))
	if err != nil {
		t.Fatal(err)
	}
	j := &job{situation: situation{scene: sc}}
	if lines := sayings("sweep", unwired(unit.Metric, sc)...); len(lines) > 0 {
		t.Errorf("own beams: %v", lines)
	}
	axes, err := parseRanges([]string{"main.beam=50deg,12deg"}, sc)
	if err != nil {
		t.Fatal(err)
	}
	j.swept = &outcome{scenes: sweptScenes(sc, axes)}
	if lines := long(j.said("choice", "sweep")); len(lines) != 1 || !strings.HasPrefix(lines[0], "narrow bright beam (round-40") {
		t.Errorf("swept beams: %q", lines)
	}
}

// pictured names the pictures among parts, those of columns too.
func pictured(parts []any) (names []string) {
	for _, part := range parts {
		switch p := part.(type) {
		case report.Picture:
			names = append(names, p.Name)
		case report.Beside:
			for _, column := range p {
				names = append(names, pictured(column)...)
			}
		}
	}
	return names
}

// TestCautionsStandOnce: no caution of the example's report is told twice, and each stands at its step or in its chapter.
func TestCautionsStandOnce(t *testing.T) {
	t.Parallel()
	var all []string
	for _, s := range foyerPage(t).Sections {
		for _, part := range s.Parts {
			switch p := part.(type) {
			case report.Cautions:
				all = append(all, p...)
			case report.Steps:
				for _, step := range p {
					all = append(all, step.Cautions...)
				}
			}
		}
	}
	for _, want := range []string{"unplug the light", "clamp the bar", "mains beside water", "check before drilling"} {
		if !slices.ContainsFunc(all, func(c string) bool { return strings.HasPrefix(c, want) }) {
			t.Errorf("no caution begins with %q", want)
		}
	}
	if slices.Sort(all); len(slices.Compact(slices.Clone(all))) != len(all) {
		t.Errorf("told twice: %q", all)
	}
}

// TestReportBeginsWithTheGoal: what the goal asks stands on the first page beside what is there, missed or met, and beside
// the lit tank.
func TestReportBeginsWithTheGoal(t *testing.T) {
	t.Parallel()
	first, is := foyerPage(t).First[0].(report.Beside)
	if !is || len(first) != 2 {
		t.Fatalf("it begins with %T", foyerPage(t).First[0])
	}
	measures, is := first[0][0].(report.Measures)
	if !is || len(measures) != 2 {
		t.Fatalf("%T with %d figures", first[0][0], len(measures))
	}
	if seen := first[1][0].(report.Picture); !strings.HasPrefix(seen.Alt, "The lit tank, seen from the front. Of the water in sight ") {
		t.Errorf("the picture beside them is told as %q", seen.Alt)
	}
	for _, m := range measures {
		if m.Met != (m.Share >= 1) || !strings.HasPrefix(m.Asked, "of ") || m.Value == "" {
			t.Errorf("%+v", m)
		}
	}
	if measures[1].Title != "uniformity U0" || measures[1].Asked != "of 0.50" || measures[1].Met {
		t.Errorf("%+v", measures[1])
	}
}

// TestReportOfTheFoyer: the page of the example has every section and picture, and no caution is lost on the way to the top.
func TestReportOfTheFoyer(t *testing.T) {
	t.Parallel()
	p := foyerPage(t)
	html := written(t, p)
	var ids, figures []string
	for _, s := range p.Sections {
		ids = append(ids, s.ID)
		figures = append(figures, pictured(s.Parts)...)
	}
	if got, want := strings.Join(ids, " "), "light choice wiring heat cost drilling build planes scene words source"; got != want {
		t.Errorf("sections %s, want %s", got, want)
	}
	if got, want := strings.Join(append(pictured(p.First), figures...), " "), "view-front.png floor.png section-along.png section-across.png balance.png compare.png design-chart.png wiring.svg heat.png surface.png mid.png"; got != want {
		t.Errorf("figures %s, want %s", got, want)
	}
	for _, want := range []string{"Light on horizontal planes", "Ways to divide the modules into strings of equal length", "Wires, out and back", "Temperatures and power of each module", "Bill of parts", "Rail main, bar-40x20", "Test card, driver quad-neutral (cc-450)"} {
		if !strings.Contains(html, "<caption><bdi>"+want+"</bdi>") {
			t.Errorf("the table %q is missing", want)
		}
	}
	for _, want := range []string{"mains beside water", "driver cc-450: IP67", "strings reach 58 V", "check before drilling", "a rail above glass", "an isolated (SELV) supply", "metal rail: earth or bond it", "unplug the light"} {
		if !slices.ContainsFunc(p.Cautions, func(c report.Caution) bool { return strings.HasPrefix(c.Text, want) }) {
			t.Errorf("no caution begins with %q", want)
		}
	}
	if slices.ContainsFunc(p.Cautions, func(c report.Caution) bool { return strings.HasPrefix(c.Text, "hot") }) {
		t.Errorf("a rail of 35 °C is called hot: %v", p.Cautions)
	}
}

// TestReportSpeaksOneWay: no sentence, table or fact of the example's page has a unit in a terminal's letters, and the
// verdict writes its figures as the tables do. The files and the call stay as they were written.
func TestReportSpeaksOneWay(t *testing.T) {
	t.Parallel()
	p := foyerPage(t) // shared: nothing below is changed
	p.Sections = slices.DeleteFunc(slices.Clone(p.Sections), func(s report.Section) bool { return s.ID == sourceID })
	data := regexp.MustCompile(`src="[^"]*"`).ReplaceAllString(written(t, p), "")
	if found := regexp.MustCompile(`.{20}(\d C\b|umol/m2|mm2|/m2/).{10}`).FindAllString(data, -1); found != nil {
		t.Errorf("%q", found)
	}
	if found := regexp.MustCompile(`.{20}\d[ \x{a0}\x{202f}]\d{3} lx`).FindAllString(data, -1); found != nil {
		t.Errorf("%q", found)
	}
	if !strings.Contains(data, "not met") {
		t.Error("candidates do not say that the goal is not met")
	}
}
