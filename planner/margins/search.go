package margins

import (
	"context"
	"runtime"

	"echowright/planner/parallel"
)

// broken is a rule that is broken, by whom, in words.
type broken struct {
	rule    string
	sensors []string
	text    string
}

// least finds the least number of steps at which any of n things breaks, each changed alone: how many, which of them, and what breaks; nil where
// nothing does. No change at all is tried first: 0 when that is broken. rising are the numbers of steps tried then, of all things, the last of
// them the most looked at; of those that break at the first at which any does, the space down to the one before is halved, as far as
// it can beat the least found so far. Of several that break at the same change the first counts.
func least(ctx context.Context, n int, rising []int64, at func(i int, steps int64) (*broken, error)) (steps int64, which int, why *broken, err error) {
	if why, err = at(0, 0); err != nil || why != nil {
		return 0, 0, why, err
	}
	good := int64(0)
	for _, bad := range rising {
		tried, err := each(ctx, n, func(i int) (*broken, error) { return at(i, bad) })
		if err != nil {
			return 0, 0, nil, err
		}
		for i, b := range tried {
			if b == nil {
				continue
			}
			if why != nil { // it must beat the one found
				if bad-good == 1 {
					break
				}
				if b, err = at(i, bad-1); err != nil {
					return 0, 0, nil, err
				}
				if b == nil {
					continue
				}
				bad--
			}
			which, why = i, b
			for lo := good; bad-lo > 1; {
				mid := lo + (bad-lo)/2
				if b, err = at(i, mid); err != nil {
					return 0, 0, nil, err
				}
				if b == nil {
					lo = mid
				} else {
					bad, why = mid, b
				}
			}
		}
		if why != nil {
			return bad, which, why, nil
		}
		good = bad
	}
	return 0, 0, nil, nil
}

// each does a thing for 0 … n−1 on all processors and gives the results in their order, or the error of the least that has one.
func each[T any](ctx context.Context, n int, do func(i int) (T, error)) ([]T, error) {
	out, errs := make([]T, n), make([]error, n)
	if err := parallel.Each(ctx, n, runtime.GOMAXPROCS(0), func(i int) { out[i], errs[i] = do(i) }); err != nil {
		return nil, err
	}
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}
