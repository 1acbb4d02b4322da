package circuit

import (
	"math"
	"reflect"
	"strings"
	"testing"
)

// TestDealIsTheSplits: strings that are dealt by themselves are those of the splits, fed from either end.
func TestDealIsTheSplits(t *testing.T) {
	job := foyerJob()
	for _, job.Feed.Right = range []bool{false, true} {
		for _, s := range mustSplits(t, job) {
			of, err := Deal(job, s.Strings)
			if err != nil || !reflect.DeepEqual(of, s.Of) {
				t.Errorf("%d strings: dealt %v, %v; the split has %v", s.Strings, of, err, s.Of)
			}
		}
	}
}

func TestDealRefuses(t *testing.T) {
	unlike, lost, mixed := foyerJob(), foyerJob(), foyerJob()
	unlike.Modules[2].CurrentA = 0.5
	lost.Modules[1].AlongM = math.NaN()
	mixed.Modules[5].Part.Name = "other"
	for _, c := range []struct {
		job     Job
		strings int
		want    string
	}{
		{Job{}, 1, "no modules"}, {foyerJob(), 4, "6 modules cannot be divided into 4 strings"}, {foyerJob(), 0, "cannot be divided"},
		{unlike, 2, "cannot share a string"}, {lost, 2, "module 2: its place"}, {mixed, 2, "cannot be divided into 2 strings, and strings of unlike modules"},
	} {
		if of, err := Deal(c.job, c.strings); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("dealt %v, %v; want an error with %q", of, err, c.want)
		}
	}
}
