package drilling

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene"
)

// TestInches holds readings against sums by hand: 1/32 in = 0.79375 mm exactly.
func TestInches(t *testing.T) {
	for _, c := range []struct {
		mm      float64
		want    string
		errorMM float64
	}{
		{0, "0", 0},
		{0.79375, "1/32", 0},
		{25.4, "1", 0},
		{12.7, "1/2", 0},
		{100, "3 15/16", 0.0125},    // 126 * 0.79375 = 100.0125
		{280, "11 1/32", 0.19375},   // 353 * 0.79375 = 280.19375
		{412.3, "16 7/32", -0.3438}, // 519 * 0.79375 = 411.95625, 520 = 412.75: 519 is nearer
		{1180, "46 15/32", 0.30625}, // 1487 * 0.79375 = 1180.30625
		{-2, "-3/32", -0.38125},     // 3 * 0.79375 = 2.38125
		{-0.1, "0", 0.1},
	} {
		got, errorM := Inches(c.mm / 1000)
		if got != c.want || math.Abs(errorM*1000-c.errorMM) > 0.0001 {
			t.Errorf("%v mm: got %s with error %.5f mm, want %s with %.5f", c.mm, got, errorM*1000, c.want, c.errorMM)
		}
	}
}

// TestInchesLaw: reading less error is the true length, the error is at most half a part, and the fraction is in lowest terms.
func TestInchesLaw(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := rapid.Float64Range(-20, 20).Draw(r, "m")
		text, errorM := Inches(m)
		words, inches, over, of := strings.Fields(strings.TrimPrefix(text, "-")), 0.0, 0, 1
		for _, word := range words {
			part := 0
			if n, _ := fmt.Sscanf(word, "%d/%d", &over, &of); n == 2 {
				inches += float64(over) / float64(of)
			} else if n, _ := fmt.Sscan(word, &part); n == 1 {
				inches, over, of = inches+float64(part), 0, 1
			}
		}
		if strings.HasPrefix(text, "-") {
			inches = -inches
		}
		if math.Abs(inches*0.0254-errorM-m) > 1e-12 || math.Abs(errorM) > 0.0254/64+1e-12 || over%2 == 0 && over > 0 || over > 0 && over >= of {
			r.Fatalf("%v m is %s, error %g m", m, text, errorM)
		}
	})
}

func TestMillimetres(t *testing.T) {
	for want, m := range map[string]float64{"0.0": -0.00001, "412.3": 0.41225000000001, "1100.0": 1.1, "-2.0": -0.002, "0.1": 0.00005} {
		if got := Millimetres(m); got != want {
			t.Errorf("%v: got %s, want %s", m, got, want)
		}
	}
}

// TestRowsAreCumulative: all distances are from the left end, rising, with middles before what shares their place.
func TestRowsAreCumulative(t *testing.T) {
	in := rail(1.1, quad(), 0.280, 0.100)
	in.KeepOuts = []scene.KeepOut{{FromM: 0.5, ToM: 0.6, Why: "brace"}}
	rows := make1(t, in, true).Rows()
	want := []struct {
		mark   Kind
		module int
		mm     string
	}{
		{Screw, 2, "88.0"}, {ModuleMiddle, 2, "100.0"}, {Screw, 2, "112.0"}, {Wire, 2, "121.0"},
		{Hanger, 0, "245.5"}, {Screw, 1, "268.0"}, {ModuleMiddle, 1, "280.0"}, {Screw, 1, "292.0"}, {Wire, 1, "301.0"},
		{KeepOutBegins, 0, "500.0"}, {KeepOutEnds, 0, "600.0"}, {Hanger, 0, "854.5"}, {RailEnd, 0, "1100.0"},
	}
	if len(rows) != len(want) {
		t.Fatalf("%d rows, want %d: %+v", len(rows), len(want), rows)
	}
	for i, w := range want {
		if r := rows[i]; r.Kind != w.mark || r.Module != w.module || Millimetres(r.FromLeftM) != w.mm {
			t.Errorf("row %d: got %+v, want %+v", i, r, w)
		}
	}
	if rows[1].Note != "quad" || rows[9].Note != "brace" || rows[2].DiameterM != 0.0032 || rows[2].FromFrontM != 0.032 {
		t.Errorf("%+v", rows)
	}
}
