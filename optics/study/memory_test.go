package study

import (
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

func TestTooMuchMemoryIsRefused(t *testing.T) {
	sc := scenetest.Example(t, "foyer")
	is := func(what string, err error, words string) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), "more than the limit of 4 GiB; "+words) {
			t.Errorf("%s: %v", what, err)
		}
	}
	_, err := Compare(t.Context(), contenders(sc, 60), optics.Options{StepM: 0.0005})
	is("a comparison", err, "use a larger step or fewer of them")
	spacing, err := edit.ParseRange("spacing=20mm:200mm:0.1mm")
	if err != nil {
		t.Fatal(err)
	}
	_, err = Sweep(t.Context(), sc, SweepOptions{StepM: 0.0005, Axes: []edit.Range{spacing}})
	is("a sweep", err, "use a larger step")
	_, err = Arrange(t.Context(), sc, ArrangeOptions{SweepOptions: SweepOptions{StepM: 0.0005}})
	is("an arrangement", err, "use a larger step")
}

func contenders(sc *scene.Scene, n int) []Contender {
	list := make([]Contender, n)
	for i := range list {
		list[i] = Contender{Name: "one", Scene: sc}
	}
	return list
}
