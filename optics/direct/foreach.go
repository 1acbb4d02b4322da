package direct

import (
	"context"

	"golang.org/x/sync/errgroup"
)

// forEach calls do(0) to do(n-1), at most workers at a time, and starts no more when ctx ends. The work is cut by the index,
// never by the number of workers, so that results do not depend on it.
func forEach(ctx context.Context, workers, n int, do func(i int)) error {
	var group errgroup.Group
	group.SetLimit(workers)
	for i := range n {
		if ctx.Err() != nil {
			break
		}
		group.Go(func() error {
			do(i)
			return nil
		})
	}
	_ = group.Wait() // do returns no errors
	return ctx.Err()
}
