package propose

import (
	"context"
	"encoding/json"
	"errors"
	"iter"
	"reflect"
	"slices"
	"testing"

	"fathomlux/optics/parallel"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
)

// smallSearch is over one module and two optics.
func smallSearch(t *testing.T) (*scene.Scene, Options) {
	t.Helper()
	all := parts.Builtin()
	some := *all
	some.Modules = map[string]parts.Module{"quad-neutral": all.Modules["quad-neutral"]}
	some.Optics = map[string]parts.Optic{"round-60": all.Optics["round-60"], "bare-120": all.Optics["bare-120"]}
	return scenetest.Example(t, "shelf"), Options{Parts: &some, Rows: []int{1}, HeightsM: []float64{0.1}, MaxModules: 4,
		VoltsAtMost: circuit.DryTouchV, Workers: 2}
}

// sharesOf are the looks of all shares, as they come back from files.
func sharesOf(t *testing.T, of int) (looks []Look) {
	t.Helper()
	sc, o := smallSearch(t)
	for part := 1; part <= of; part++ {
		some, err := RunShare(context.Background(), sc, o, parallel.Share{Part: part, Of: of})
		if err != nil {
			t.Fatal(err)
		}
		var back []Look
		if data, err := json.Marshal(some); err != nil || json.Unmarshal(data, &back) != nil {
			t.Fatalf("looks do not come back: %v", err)
		}
		looks = append(looks, back...)
	}
	return looks
}

func each(looks []Look, end error) iter.Seq2[Look, error] {
	return func(yield func(Look, error) bool) {
		for _, l := range looks {
			if !yield(l, nil) {
				return
			}
		}
		if end != nil {
			yield(Look{}, end)
		}
	}
}

// screened is a search with the looks of shares, or its own.
func screened(t *testing.T, shares iter.Seq2[Look, error]) (*screen, error) {
	t.Helper()
	sc, o := smallSearch(t)
	o.Shares = shares
	s, err := newSearch(sc, o)
	if err != nil {
		t.Fatal(err)
	}
	c, err := newScreen(s)
	if err != nil {
		t.Fatal(err)
	}
	looks, err := c.shares()
	for i := range c.optics {
		switch {
		case err != nil:
		case looks != nil:
			c.take(i, looks[i])
		default:
			err = c.look(context.Background(), i)
		}
	}
	return c, err
}

// TestSharesMakeTheWholeLook: to the last bit, also in more shares than optics.
func TestSharesMakeTheWholeLook(t *testing.T) {
	t.Parallel()
	want, err := screened(t, nil)
	if err != nil || len(want.found) == 0 {
		t.Fatalf("%d shapes, %v", len(want.found), err)
	}
	for _, of := range []int{1, 3} {
		got, err := screened(t, each(sharesOf(t, of), nil))
		if err != nil || !reflect.DeepEqual(got.found, want.found) || !reflect.DeepEqual(got.sums, want.sums) {
			t.Errorf("%d shares make another look (%v)", of, err)
		}
	}
}

// TestForeignLooksAreRefused: what names a place, form, count or spread that there is not, lacks sums, or lacks optics.
func TestForeignLooksAreRefused(t *testing.T) {
	t.Parallel()
	looks := sharesOf(t, 1)
	for k, wrong := range []int{1 << 20, 1 << 20, 5, len(spreads)} {
		for _, v := range []int{wrong, -1} {
			bad := slices.Clone(looks)
			bad[1].Shapes = slices.Clone(looks[1].Shapes)
			bad[1].Shapes[0][k] = v
			if _, err := screened(t, each(bad, nil)); err == nil {
				t.Errorf("number %d of a shape was taken as %d", k, v)
			}
		}
	}
	short := slices.Clone(looks)
	short[0].Sums = short[0].Sums[1:]
	lost := errors.New("lost")
	for name, shares := range map[string]iter.Seq2[Look, error]{"sums": each(short, nil), "optics": each(looks[:1], nil),
		"more": each(append(slices.Clone(looks), looks[0]), nil)} {
		if _, err := screened(t, shares); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if _, err := screened(t, each(looks, lost)); !errors.Is(err, lost) {
		t.Errorf("the error of a file became %v", err)
	}
}
