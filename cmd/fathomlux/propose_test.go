package main

import (
	"math/rand/v2"
	"strings"
	"testing"

	"fathomlux/optics/propose"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// TestSentencesOfLightsAreShort: whatever lights are like, a sentence has at most 25 words behind the light's name, no
// thing is told twice, and one that is worse in nothing says so.
func TestSentencesOfLightsAreShort(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(15, 5))
	light := func(words ...propose.Word) *propose.Light {
		mean := 1000 + 2000*r.Float64()
		even := 0.2 + 0.8*r.Float64()
		l := &propose.Light{Words: words, Money: parts.Money{Amount: 20 + 100*r.Float64(), Currency: "EUR"},
			MainsW: 10 + 20*r.Float64(), CostPerYear: parts.Money{Amount: 5 + 20*r.Float64(), Currency: "EUR"}}
		l.Candidate.Illuminance = result.Statistics{Mean: mean, Min: even * mean, MinOverMean: even}
		return l
	}
	for range 300 {
		all := []propose.Word{propose.Cheapest, propose.LeastPower, propose.MostEven, propose.Brightest, propose.FiveYears}
		n := 1 + r.IntN(len(all))
		lights := make([]*propose.Light, n)
		for i := range lights {
			lights[i] = light(all[i])
		}
		for _, w := range all[n:] {
			l := lights[r.IntN(n)]
			l.Words = append(l.Words, w)
		}
		for i, text := range lightSentences(lights) {
			_, said, _ := strings.Cut(text, "): ")
			if k := len(strings.Fields(said)); k > 25 || k < 3 || !strings.HasSuffix(said, ".") {
				t.Errorf("%d words: %s", k, text)
			}
			if n == 1 && said != "gives up nothing against the others." || strings.Count(said, "five years") > 1 {
				t.Errorf("light %d of %d: %s", i, n, text)
			}
		}
	}
}

// TestSheetOfLightsHasUniformity: the sheet, which marks the goal itself, keeps every figure by which lights are chosen.
func TestSheetOfLightsHasUniformity(t *testing.T) {
	t.Parallel()
	sc, err := scene.Read(foyerCopy(t))
	if err != nil {
		t.Fatal(err)
	}
	sc.Wiring.Supplies = []scene.Supply{{Driver: sc.Wiring.Driver}}
	light := &propose.Light{Scene: sc, Words: []propose.Word{propose.Cheapest}, Money: parts.Money{Amount: 20, Currency: "EUR"}}
	table := lightTable([]*propose.Light{light}, true)
	c := &study.Comparison{Contenders: []study.Contender{{Scene: sc}}, Maps: []*result.Map{{Planes: make([]result.Plane, 1)}}}
	c.Candidates = make([]result.Candidate, 1)
	columns := strings.Join(sheetOf(c, table, "", finding.Finding{}, nil, unit.Metric).Columns, ", ")
	if !strings.HasSuffix(columns, ", U0") {
		t.Errorf("the sheet has %s", columns)
	}
}
