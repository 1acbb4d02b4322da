package study

import (
	"context"
	"encoding/json"
	"errors"
	"iter"
	"testing"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

// kept is a sweep as files keep it, findings by their words.
func kept(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// sharesOf are the candidates of all shares, as they come back from files.
func sharesOf(t *testing.T, o SweepOptions, of int) iter.Seq2[result.Candidate, error] {
	t.Helper()
	var list []result.Candidate
	for part := 1; part <= of; part++ {
		some, err := SweepShare(context.Background(), scenetest.DimFoyer(t), o, parallel.Share{Part: part, Of: of})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range some {
			var back result.Candidate
			if err := json.Unmarshal([]byte(kept(t, c)), &back); err != nil {
				t.Fatal(err)
			}
			list = append(list, back)
		}
	}
	return func(yield func(result.Candidate, error) bool) {
		for _, c := range list {
			if !yield(c, nil) {
				return
			}
		}
	}
}

// TestSharesMakeTheWholeSweep: to the last bit, with candidates that cannot be built, and in more parts than there are
// candidates.
func TestSharesMakeTheWholeSweep(t *testing.T) {
	t.Parallel()
	o := SweepOptions{StepM: 0.06, Workers: 2, Axes: []edit.Range{scenetest.Axis(t, "height", 0.12, 0.2),
		scenetest.Axis(t, "spacing", 0.02, 0.15)}}
	whole, err := Sweep(context.Background(), scenetest.DimFoyer(t), o)
	if err != nil {
		t.Fatal(err)
	}
	bad := 0
	for _, c := range whole.Candidates {
		if c.WhyNot().Any() {
			bad++
		}
	}
	if bad == 0 || bad == len(whole.Candidates) {
		t.Fatalf("%d of %d candidates are of no use; the test wants some of both", bad, len(whole.Candidates))
	}
	want := kept(t, whole)
	for _, of := range longtest.Pick([]int{2}, []int{1, 2, 3, 40}) {
		joined := o
		joined.Shares = sharesOf(t, o, of)
		got, err := Sweep(context.Background(), scenetest.DimFoyer(t), joined)
		if err != nil || kept(t, got) != want {
			t.Errorf("%d shares make another sweep (%v)", of, err)
		}
	}
}

// TestSharesThatLackAreRefused: a candidate too few, one that was not reached, an error on the way.
func TestSharesThatLackAreRefused(t *testing.T) {
	t.Parallel()
	o := SweepOptions{StepM: 0.06, Axes: []edit.Range{scenetest.Axis(t, "height", 0.12, 0.2)}}
	lost := errors.New("lost")
	done := result.Candidate{Done: true}
	for name, list := range map[string][]result.Candidate{"too few": {done, done}, "not reached": {done, {}, done}} {
		joined := o
		joined.Shares = func(yield func(result.Candidate, error) bool) {
			for _, c := range list {
				if !yield(c, nil) {
					return
				}
			}
		}
		if _, err := Sweep(context.Background(), scenetest.DimFoyer(t), joined); err == nil {
			t.Errorf("%s: joined", name)
		}
	}
	o.Shares = func(yield func(result.Candidate, error) bool) { yield(done, lost) }
	if _, err := Sweep(context.Background(), scenetest.DimFoyer(t), o); !errors.Is(err, lost) {
		t.Errorf("the error of a file became %v", err)
	}
}

// TestInterruptedShareGivesNothing, though candidates are done.
func TestInterruptedShareGivesNothing(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	list, err := SweepShare(ctx, scenetest.DimFoyer(t), SweepOptions{StepM: 0.06,
		Axes:     []edit.Range{scenetest.Axis(t, "height", scenetest.Steps(0.1, 0.01, 8)...)},
		Progress: func(int, int) { cancel() }}, parallel.Share{Part: 1, Of: 2})
	if list != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("%d candidates and %v", len(list), err)
	}
}
