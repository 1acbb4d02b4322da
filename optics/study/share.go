package study

import (
	"context"
	"fmt"
	"iter"
	"slices"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

// SweepShare computes one share of Sweep and returns its candidates; those of the first share begin with the scene as
// it is. When ctx ends it returns the error of ctx alone.
func SweepShare(ctx context.Context, sc *scene.Scene, o SweepOptions, share parallel.Share) ([]*result.Candidate,
	error) {
	s, err := newSweeper(sc, o)
	if err != nil {
		return nil, err
	}
	if err := s.computeAll(ctx, share); err != nil {
		return nil, err
	}
	var list []*result.Candidate
	for _, place := range s.places(share) {
		list = append(list, s.at(place))
	}
	return list, nil
}

// ownPlace stands in a list of candidates for the scene as it is.
const ownPlace = -1

// places are what a share computes, in order: the scene as it is and then the candidates group by group, so that those
// which share fields mostly stand in one share.
func (s *sweeper) places(share parallel.Share) []int {
	all := make([]int, len(s.out.Candidates))
	for i := range all {
		all[i] = i
	}
	all = slices.Concat([]int{ownPlace}, slices.Concat(s.groups(all)...))
	from, to := share.Range(int64(len(all)))
	return all[from:to]
}

func (s *sweeper) at(place int) *result.Candidate {
	if place == ownPlace {
		return &s.out.Own
	}
	return &s.out.Candidates[place]
}

// join takes the results of all shares.
func (s *sweeper) join(shares iter.Seq2[result.Candidate, error]) error {
	list := s.places(parallel.Share{})
	n := 0
	for c, err := range shares {
		if err != nil {
			return err
		}
		if n < len(list) && c.Reached() {
			*s.at(list[n]) = c
			n++
		}
	}
	if n < len(list) {
		return fmt.Errorf("the shares hold %d of the %d results of this sweep", n, len(list))
	}
	s.out.Reached = len(s.out.Candidates)
	return nil
}
