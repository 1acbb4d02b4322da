// Package parallel runs the pieces of one piece of work on several goroutines. The work is cut by its index, never by
// the number of workers, so that results do not depend on it; pieces that must be added up are kept apart by the
// caller.
// Next: package direct, which sums rows so.
package parallel

import (
	"context"

	"golang.org/x/sync/errgroup"

	"fathomlux/scene/panics"
)

// ForEach calls do(0) to do(n-1), at most workers at a time (0 counts as one), and starts no more when ctx ends, whose
// error it returns then. Where do panics, the caller does, once all that has begun has ended.
func ForEach(ctx context.Context, workers, n int, do func(i int)) error {
	var group errgroup.Group
	var broken panics.Carrier
	group.SetLimit(max(1, workers))
	for i := range n {
		if ctx.Err() != nil {
			break
		}
		if workers <= 1 {
			do(i)
			continue
		}
		group.Go(func() error {
			defer broken.Catch()
			do(i)
			return nil
		})
	}
	_ = group.Wait() // do returns no errors
	broken.Throw()
	return ctx.Err()
}

// Share is one part of work that is divided among machines: number Part, from 1, of Of parts. The zero Share is all
// of the work.
type Share struct{ Part, Of int }

// Range returns which of n pieces belong to the share: from one up to, but without, another. Each piece belongs to one
// part; where there are more parts than pieces, some parts have none.
func (s Share) Range(n int64) (from, to int64) {
	if s.Of == 0 {
		return 0, n
	}
	part, of := int64(s.Part), int64(s.Of)
	whole, more := n/of, n%of // n times part might not fit
	return whole*(part-1) + more*(part-1)/of, whole*part + more*part/of
}
