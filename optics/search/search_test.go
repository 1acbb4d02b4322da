package search

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/longtest"
)

func TestFrontier(t *testing.T) {
	x := []float64{1, 2, 3, 3, 2, 1, 3}
	y := []float64{5, 4, 1, 2, 4, 5, 2}
	if got := Frontier(x, y); !slices.Equal(got, []int{0, 1, 3}) {
		t.Errorf("frontier %v", got)
	}
	if got := Frontier(nil, nil); len(got) != 0 {
		t.Errorf("frontier of nothing %v", got)
	}
}

func TestNothingBeatsTheFrontier(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = float64(rapid.IntRange(0, 9).Draw(t, "x")), float64(rapid.IntRange(0, 9).Draw(t, "y"))
		}
		front := Frontier(x, y)
		for i := range x {
			beaten, on := false, slices.Contains(front, i)
			for j := range x {
				beaten = beaten || (x[j] >= x[i] && y[j] >= y[i] && (x[j] > x[i] || y[j] > y[i]))
			}
			if beaten && on {
				t.Fatalf("point %d (%g, %g) is beaten and on the frontier", i, x[i], y[i])
			}
			if !beaten && !on && !slices.ContainsFunc(front, func(k int) bool { return x[k] == x[i] && y[k] == y[i] }) {
				t.Fatalf("point %d (%g, %g) is missing", i, x[i], y[i])
			}
		}
	})
}

// line is n things 20 apart at least on 0 to 400.
func line(n int, mirrored bool) Line {
	l := Line{}
	for i := range n {
		l.Low, l.High, l.Start = append(l.Low, 10), append(l.High, 390), append(l.Start, 10+25*i)
		if i > 0 {
			l.Gap = append(l.Gap, 20)
		}
	}
	if mirrored {
		sum := 400
		l.Mirror = &sum
	}
	return l
}

// wells scores highest where each thing sits in its own well; wells are narrow, off the even spread, and have a kink.
func wells(at ...float64) func([][]int) float64 {
	return func(places [][]int) float64 {
		score := 0.0
		for i, p := range places[0] {
			score -= math.Abs(float64(p)-at[i]) / 100
		}
		return score
	}
}

func TestArrangeFindsKinks(t *testing.T) {
	got, score, err := Arrange(Problem{Lines: []Line{line(4, false)}, Score: wells(33, 90, 207, 391)})
	if err != nil || !slices.Equal(got[0], []int{33, 90, 207, 390}) {
		t.Errorf("places %v with %g, error %v", got, score, err)
	}
	got, _, err = Arrange(Problem{Lines: []Line{line(5, true)}, Score: wells(33, 90, 200, 310, 367)})
	if err != nil || !slices.Equal(got[0], []int{33, 90, 200, 310, 367}) {
		t.Errorf("mirrored places %v, error %v", got, err)
	}
}

func TestArrangeKeepsOut(t *testing.T) {
	l := line(3, false)
	l.Blocked = [][2]int{{80, 120}}
	got, _, err := Arrange(Problem{Lines: []Line{l}, Score: wells(50, 101, 300)})
	if err != nil || (got[0][1] != 121 && got[0][1] != 79) {
		t.Errorf("places %v, error %v", got, err)
	}
}

// TestArrangeStops: once it is told to stop it scores nothing more and returns the best that it has scored, at any moment.
func TestArrangeStops(t *testing.T) {
	for _, most := range []int{0, 25, 60, 400, 1500, 3000} {
		tries, after, best := 0, 0, math.Inf(-1)
		stop := func() bool { return tries > most }
		score := wells(33, 90, 207, 391)
		_, got, err := Arrange(Problem{Lines: []Line{line(4, false)}, Stop: stop, Score: func(places [][]int) float64 {
			if tries++; stop() && tries > spreads+1 { // starts are always scored
				after++
			}
			one := score(places)
			best = math.Max(best, one)
			return one
		}})
		if err != nil || got != best || after > 1 {
			t.Errorf("stopped after %d: scores %g of %g, %d tries beyond, error %v", most, got, best, after, err)
		}
	}
}

func TestArrangeWithoutRoom(t *testing.T) {
	l := line(3, false)
	l.Gap = []int{300, 300}
	if _, _, err := Arrange(Problem{Lines: []Line{l}, Score: wells(1, 2, 3)}); err != ErrNoRoom {
		t.Errorf("error %v", err)
	}
}

func TestArrangeIsAllowedRepeatableAndNeverWorse(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		l := line(rapid.IntRange(1, 5).Draw(t, "count"), rapid.Bool().Draw(t, "mirrored"))
		from := rapid.IntRange(0, 300).Draw(t, "blocked")
		l.Blocked = [][2]int{{from, from + 30}}
		if l.Mirror != nil {
			l.Blocked = append(l.Blocked, [2]int{400 - from - 30, 400 - from})
		}
		weights := rapid.SliceOfN(rapid.Float64Range(-1, 1), 5, 5).Draw(t, "weights")
		score := func(places [][]int) float64 {
			s := 0.0
			for i, p := range places[0] {
				s += weights[i] * math.Sin(float64(p)/(20+10*float64(i)))
			}
			return s
		}
		got, best, err := Arrange(Problem{Lines: []Line{l}, Score: score})
		if err == ErrNoRoom {
			return
		}
		if err != nil || !l.allowed(got[0]) || score(got) != best {
			t.Fatalf("places %v allowed %v, error %v", got, l.allowed(got[0]), err)
		}
		if start, ok := l.repair(l.Start); ok && score([][]int{start}) > best {
			t.Fatalf("worse than the start: %g against %g", best, score([][]int{start}))
		}
		if again, _, _ := Arrange(Problem{Lines: []Line{l}, Score: score}); !slices.Equal(again[0], got[0]) {
			t.Fatalf("%v, then %v", got, again)
		}
	})
}
