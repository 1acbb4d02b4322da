package circuit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// assignAlike deals modules of one kind.
func assignAlike(positions []float64, strings int) []int {
	return assign(positions, make([]int, len(positions)), strings)
}

// Example_assign deals six modules, evenly spaced, to two and to three strings.
func Example_assign() {
	row := []float64{0.1, 0.28, 0.46, 0.64, 0.82, 1.0}
	fmt.Println(assignAlike(row, 2), assignAlike(row, 3))
	// Output:
	// [0 1 0 1 0 1] [0 1 2 1 2 0]
}

// slackM is far below any difference of places that are drawn, and far above the rounding of sums of ten of them.
const slackM = 1e-9

// everyDealing calls visit with every way to deal n modules to strings of equal size.
func everyDealing(n, strings int, visit func(of []int)) {
	of, left := make([]int, n), make([]int, strings)
	for s := range left {
		left[s] = n / strings
	}
	var deal func(i int)
	deal = func(i int) {
		if i == n {
			visit(of)
			return
		}
		for s := range left {
			if left[s] > 0 {
				left[s]--
				of[i] = s
				deal(i + 1)
				left[s]++
			}
		}
	}
	deal(0)
}

// bestByHand returns the smallest gap there is, and the smallest imbalance among the dealings with that gap.
func bestByHand(at []float64, strings int) (leastGapM, leastImbalanceM float64) {
	leastGapM, leastImbalanceM = math.Inf(1), math.Inf(1)
	everyDealing(len(at), strings, func(of []int) {
		gap, off := deadGapM(at, of, strings), middleOffM(at, of, strings)
		if gap < leastGapM-slackM {
			leastGapM, leastImbalanceM = gap, off
		} else if gap < leastGapM+slackM {
			leastImbalanceM = min(leastImbalanceM, off)
		}
	})
	return leastGapM, leastImbalanceM
}

// deadGapM measures the largest gap the long way: it takes each string away and walks along what remains. The gaps of
// a row without a dead string are never larger.
func deadGapM(at []float64, of []int, strings int) float64 {
	largest, first, last := 0.0, slices.Min(at), slices.Max(at)
	for dead := range strings {
		var remain []float64
		for i := range at {
			if of[i] != dead {
				remain = append(remain, at[i])
			}
		}
		if len(remain) == 0 {
			return 2 * (last - first)
		}
		slices.Sort(remain)
		largest = max(largest, 2*(remain[0]-first), 2*(last-remain[len(remain)-1]))
		for k := 1; k < len(remain); k++ {
			largest = max(largest, remain[k]-remain[k-1])
		}
	}
	return largest
}

func middleOffM(at []float64, of []int, strings int) float64 {
	most := 0.0
	for s := range strings {
		sum, n := 0.0, 0.0
		for i := range at {
			if of[i] == s {
				sum, n = sum+at[i], n+1
			}
		}
		most = max(most, math.Abs(sum/n-(slices.Min(at)+slices.Max(at))/2))
	}
	return most
}

// drawRow draws up to ten places, evenly spaced or not, and a number of strings that leaves the brute force short.
func drawRow(t *rapid.T) (at []float64, strings int) {
	size := rapid.SampledFrom([][2]int{{2, 1}, {2, 2}, {4, 2}, {4, 4}, {6, 1}, {6, 2}, {6, 3}, {6, 6}, {8, 2}, {8, 4}, {9, 3}, {10, 2}}).Draw(t, "modules and strings")
	x, even := 0.0, rapid.Bool().Draw(t, "even")
	for range size[0] {
		at = append(at, x)
		if even {
			x += 0.1
		} else {
			x += rapid.Float64Range(0.02, 0.5).Draw(t, "step")
		}
	}
	return at, size[1]
}

func TestAssignAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at, strings := drawRow(t)
		gap, off := bestByHand(at, strings)
		of := assignAlike(at, strings)
		if got := deadGapM(at, of, strings); got > gap+slackM {
			t.Errorf("%v in %d strings as %v: gap %g m, the best has %g m", at, strings, of, got, gap)
		}
		if got := middleOffM(at, of, strings); got > off+slackM {
			t.Errorf("%v in %d strings as %v: %g m off the middle, the best is %g m", at, strings, of, got, off)
		}
	})
}

// TestPatternsAgainstBruteForce holds what longer rows get, patterns that are climbed from, against the brute force on
// short rows: the gap is the best. How near the middle the strings lie is not always the best; it stayed within 0.11 of
// the row's length of it in ten thousand rows.
func TestPatternsAgainstBruteForce(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		size := [][2]int{{6, 2}, {6, 3}, {8, 2}, {8, 4}, {9, 3}, {10, 2}}[random.IntN(6)]
		at, strings := make([]float64, size[0]), size[1]
		for i := 1; i < len(at); i++ {
			at[i] = at[i-1] + 0.02 + 0.48*random.Float64()
		}
		d := dealer{at: at, kind: make([]int, len(at)), strings: strings, kinds: [][]int{make([]int, len(at))}, sums: make([]float64, strings)}
		d.tryPatterns()
		of := d.best
		gap, off := bestByHand(at, strings)
		if got := deadGapM(at, of, strings); got > gap+slackM {
			t.Errorf("%v in %d strings as %v: gap %g m, the best has %g m", at, strings, of, got, gap)
		}
		if got := middleOffM(at, of, strings); got > off+0.11*at[len(at)-1] {
			t.Errorf("%v in %d strings as %v: %g m off the middle, the best is %g m", at, strings, of, got, off)
		}
	}
}

func TestLargestGap(t *testing.T) {
	row := []float64{0, 1, 2, 3}
	for _, c := range []struct {
		of   []int
		want float64
	}{
		{[]int{0, 1, 0, 1}, 2}, // 1 to 3 where the middle dies, twice 0 to 1 at the end
		{[]int{0, 1, 1, 0}, 3}, // 0 to 3
		{[]int{0, 0, 1, 1}, 4}, // twice 0 to 2
		{[]int{0, 0, 0, 0}, 6}, // nothing remains
	} {
		if got := gapM(row, c.of); got != c.want {
			t.Errorf("%v: %g, want %g", c.of, got, c.want)
		}
	}
}

func TestAssignRefuses(t *testing.T) {
	if got := assignAlike([]float64{0, 1, 2}, 2); got != nil {
		t.Errorf("three in two strings: dealt as %v", got)
	}
	if got := assign([]float64{0, 1, 2, 3}, []int{0, 1, 1, 1}, 2); got != nil {
		t.Errorf("one and three in two strings: dealt as %v", got)
	}
}

func TestAssignIsDeterministicAndEqual(t *testing.T) {
	for _, n := range []int{12, 24, 60, 500} { // climbed and not
		at := make([]float64, n)
		for i := range at {
			at[i] = 0.05*float64(i) + 0.01*math.Sin(float64(i))
		}
		of := assignAlike(at, n/4)
		if !slices.Equal(of, assignAlike(at, n/4)) {
			t.Errorf("%d modules: two answers", n)
		}
		size := map[int]int{}
		for _, s := range of {
			size[s]++
		}
		for s := range n / 4 {
			if size[s] != 4 {
				t.Errorf("%d modules: string %d has %d, want 4", n, s, size[s])
			}
		}
		if gap := deadGapM(at, of, n/4); gap > 0.16 { // two steps of 0.05 m and twice their sway of 0.02 m, with a little over
			t.Errorf("%d modules: gap %g m", n, gap)
		}
	}
}

// TestAssignKindsAlike deals two kinds that alternate: each string has as many of each.
func TestAssignKindsAlike(t *testing.T) {
	at, kinds := []float64{0, 1, 2, 3, 4, 5, 6, 7}, []int{0, 1, 0, 1, 0, 1, 0, 1}
	of := assign(at, kinds, 2)
	var number [2][2]int
	for i := range of {
		number[kinds[i]][of[i]]++
	}
	if number != [2][2]int{{2, 2}, {2, 2}} {
		t.Errorf("%v: kinds are dealt %v", of, number)
	}
	if gap := gapM(at, of); gap != 3 { // alternating through all of them would put each kind into one string
		t.Errorf("%v: gap %g, want 3", of, gap)
	}
	if of := assign(at, kinds, 4); gapM(at, of) != 2 {
		t.Errorf("%v in four strings: gap %g, want 2", of, gapM(at, of))
	}
}
