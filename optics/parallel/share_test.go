package parallel

import (
	"math"
	"testing"
)

// TestSharesHoldEachPieceOnce: the parts follow one another without a gap and differ by one piece at most.
func TestSharesHoldEachPieceOnce(t *testing.T) {
	t.Parallel()
	for _, n := range []int64{0, 1, 7, 100, math.MaxInt64 - 1} {
		if from, to := (Share{}).Range(n); from != 0 || to != n {
			t.Errorf("all of %d pieces are %d to %d", n, from, to)
		}
		for _, of := range []int{1, 2, 3, 16, 101} {
			next := int64(0)
			for part := 1; part <= of; part++ {
				from, to := Share{part, of}.Range(n)
				if size := to - from; from != next || size < n/int64(of) || size > n/int64(of)+1 {
					t.Errorf("part %d of %d of %d pieces is %d to %d, after %d", part, of, n, from, to, next)
				}
				next = to
			}
			if next != n {
				t.Errorf("%d parts hold %d of %d pieces", of, next, n)
			}
		}
	}
}
