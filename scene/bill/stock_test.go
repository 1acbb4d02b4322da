package bill

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// TestCutBars: the fewest metres bought, by hand: two pieces of 0.9 m do not share 1.8 m, as the saw takes its cut, and a bar is no
// longer than its pieces need.
func TestCutBars(t *testing.T) {
	t.Parallel()
	for what, row := range map[string]struct {
		pieces, stock, want []float64 // want: lengths bought, rising
	}{
		"one fits":           {[]float64{1.1}, []float64{2}, []float64{2}},
		"the shorter stock":  {[]float64{1.1}, []float64{1, 1.5, 2}, []float64{1.5}},
		"two share":          {[]float64{0.9, 0.9}, []float64{1, 2}, []float64{2}},
		"but for a saw cut":  {[]float64{0.9, 0.9}, []float64{1, 1.8}, []float64{1, 1}},
		"ends where it does": {[]float64{1, 0.997}, []float64{2}, []float64{2}},
		"long and short":     {[]float64{0.5, 2.4, 0.5}, []float64{1, 1.5, 3}, []float64{1, 3}},
		"too long":           {[]float64{2.5, 1}, []float64{2}, nil},
	} {
		var got, cut []float64
		for _, b := range cutBars(row.pieces, row.stock) {
			got, cut = append(got, b.lengthM), append(cut, b.piecesM...)
			if b.takesM() > b.lengthM+1e-9 {
				t.Errorf("%s: %v do not fit %g m", what, b.piecesM, b.lengthM)
			}
		}
		slices.Sort(got)
		slices.Sort(cut)
		if !slices.Equal(got, row.want) && math.Abs(sum(got)-sum(row.want)) > 1e-9 || got != nil && !slices.Equal(cut, slices.Sorted(slices.Values(row.pieces))) {
			t.Errorf("%s: %v of %v, want %v", what, cut, got, row.want)
		}
	}
}

func sum(list []float64) (s float64) {
	for _, v := range list {
		s += v
	}
	return s
}

// TestBillBuysWholeBars: metres of waste are bought and paid too, and the note says what is cut from what.
func TestBillBuysWholeBars(t *testing.T) {
	t.Parallel()
	bar := parts.Profile{Name: "own", PricePerM: parts.Money{Amount: 10, Currency: "EUR"}, StockM: []float64{2}}
	s := &scene.Scene{Rails: []scene.Rail{{Profile: bar, LengthM: 0.8}, {Profile: bar, LengthM: 0.7}, {Profile: bar, LengthM: 1.2}}}
	var lines tally
	lines.profiles(s)
	b := lines.bill()
	if l := b.Lines[0]; len(b.Lines) != 1 || math.Abs(l.Used-2.7) > 1e-9 || math.Abs(l.Spare-1.3) > 1e-9 || math.Abs(l.Sum.Amount-40) > 1e-9 {
		t.Errorf("%+v", b.Lines)
	}
	if words := b.Lines[0].Note.Words(unit.Metric); words != "2000 mm cut to 1200 mm, 700 mm; 2000 mm cut to 800 mm; waste 1300 mm, saw cuts of 3 mm among it" {
		t.Errorf("%q", words)
	}
	s.Rails[0].LengthM = 2.5
	lines = nil
	lines.profiles(s)
	if words := lines[0].Note.Words(unit.Metric); !strings.HasPrefix(words, "no length in which it is sold, up to 2000 mm, holds 2500 mm") || lines[0].Spare != 0 {
		t.Errorf("%q", words)
	}
}
