package main

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// begins is how files of a format begin; an SVG may have a header before.
var begins = map[string]string{"svg": "<svg", "png": "\x89PNG\r\n\x1a\n", "pdf": "%PDF-", "txt": "  part ", "csv": "kind,"}

func example(t testing.TB, name string) *scene.Scene {
	t.Helper()
	sc, err := scene.Read(filepath.Join("..", "..", "examples", name, name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// TestLiveSheets draws sheets of a scene, to be shown and as files of each format, and says of what cannot be drawn why.
func TestLiveSheets(t *testing.T) {
	t.Parallel()
	sc, o := example(t, "frag"), liveOptions{workers: 1}
	type row struct{ name, format, starts, file string }
	for _, c := range longtest.Pick([]row{}, []row{{"heat", "png", "png", "frag-heat.png"}, {"day", "pdf", "pdf", "frag-day.pdf"},
		{"balance", "svg", "svg", "frag-balance.svg"}}) {
		o.sheetIs(t, sc, c.name, c.format, c.starts, c.file)
	}
	o.sheetIs(t, sc, "wiring", "", "svg", "frag-wiring.svg")
	o.sheetIs(t, sc, "wiring", "pdf", "pdf", "frag-wiring.pdf")
	o.sheetIs(t, sc, "heat", "", "svg", "frag-heat.svg")
	o.sheetIs(t, sc, "money", "", "txt", "frag-money.txt")
	o.sheetIs(t, sc, "money", "csv", "csv", "frag-bill.csv")
	o.sheetIs(t, sc, "drilling", "", "svg", "frag-drill-front.svg")
	o.sheetIs(t, sc, "drilling", "pdf", "pdf", "frag-drill-front.pdf")
	back, err := o.sheet(context.Background(), live.Wanted{Name: "drilling", Scenes: []*scene.Scene{sc}, Rail: "back", Format: "pdf", Paper: "letter"})
	if err != nil || back.Name != "frag-drill-back.pdf" {
		t.Errorf("the other rail: %v, %s", err, back.Name)
	}
	for name, want := range map[string]string{"none": "there is no sheet", "day": "has no day"} {
		_, err := o.sheet(context.Background(), live.Wanted{Name: name, Scenes: []*scene.Scene{example(t, "foyer")}})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func (o liveOptions) sheetIs(t *testing.T, sc *scene.Scene, name, format, starts, file string) {
	t.Helper()
	got, err := o.sheet(context.Background(), live.Wanted{Name: name, Scenes: []*scene.Scene{sc}, Format: format})
	if at := bytes.Index(got.Data, []byte(begins[starts])); err != nil || got.Name != file || at < 0 || at > 200 {
		t.Errorf("%s as %q: %v, %s: %.80q", name, format, err, got.Name, got.Data)
	}
}

// TestLiveComparesPins: settings of one scene come as one sheet, each under its own name.
func TestLiveComparesPins(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	o, sc := liveOptions{workers: 1}, example(t, "foyer")
	dim := sc.Copy()
	for i := range dim.Rails[0].Modules {
		dim.Rails[0].Modules[i].CurrentA = 0.2
	}
	got, err := o.sheet(context.Background(), live.Wanted{Name: "compare", Scenes: []*scene.Scene{sc, dim}, Names: []string{"A", "now"}, Format: "csv"})
	lines := strings.Split(string(got.Data), "\n")
	if err != nil || got.Name != "foyer-compare.csv" || len(lines) != 4 || !strings.HasPrefix(lines[1], "A,") || !strings.HasPrefix(lines[2], "now,") {
		t.Errorf("%v, %s:\n%s", err, got.Name, got.Data)
	}
}

// TestLivePicturesAreOfTheGlance: a plan and a slice that are saved show what is on the screen, in its quantity and at
// its depth.
func TestLivePicturesAreOfTheGlance(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write(t, dir, "small.yaml", strings.Replace(limitTank, "rails:", "  floor: {diffuse: 0}\nrails:", 1))
	sc, err := scene.Read(filepath.Join(dir, "small.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	session, err := optics.NewSession(sc, optics.LightOptions{StepM: 0.05, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	g, err := session.Glance(context.Background(), sc, result.View{OtherPlane: true, DepthM: 0.123, Axis: result.AcrossY, Cut: true, CutM: 0.2})
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string][2]string{"plan": {"small-depth-123-mm-ppfd.svg", "123 mm under the surface: PPFD"},
		"slice": {"small-section-across.svg", "x = 200 mm, seen from the left: PPFD"}} {
		got, err := liveOptions{workers: 1}.sheet(context.Background(), live.Wanted{Name: name, Scenes: []*scene.Scene{sc}, Glance: g, Quantity: result.PPFD, Format: "svg"})
		if err != nil || got.Name != want[0] || !bytes.Contains(got.Data, []byte(want[1])) || bytes.Contains(got.Data, []byte("darkest between")) {
			t.Errorf("%s: %v, %s: %.300q", name, err, got.Name, got.Data)
		}
	}
}

// TestLiveSaysWhatItCosts: what check says of a setting has the sum of the bill.
func TestLiveSaysWhatItCosts(t *testing.T) {
	t.Parallel()
	found, err := checkDraft(example(t, "foyer"))
	if err != nil || len(found.Prices) != 1 || !strings.HasSuffix(found.Prices[0].Text, " EUR") || !(found.Prices[0].Amount > 20) {
		t.Errorf("%v: %+v", err, found)
	}
}
