package ways

import (
	"cmp"
	"slices"
)

// shorten goes on from the best state, where the search was cut short: the next shorter window of the sensor that wins most and loses no
// demand, until there is none.
func (c *choosing) shorten() error {
	for c.weighed = 0; c.weighed < mostWeighed; {
		type step struct {
			at []int
			us int64
		}
		var next []step
		for k := range c.best {
			if c.best[k] == c.all[k].low {
				continue
			}
			at := slices.Clone(c.best)
			at[k]++
			us, err := c.us(at)
			if err != nil {
				return err
			}
			if us < c.bestUs && !c.misses(at) && c.seesEnough(at) {
				next = append(next, step{at, us})
			}
		}
		slices.SortStableFunc(next, func(a, b step) int { return cmp.Compare(a.us, b.us) })
		took := false
		for _, s := range next {
			c.weighed++
			ok, err := c.keeps(c.all, s.at)
			if err != nil {
				return err
			}
			if ok {
				c.best, c.bestUs, took = s.at, s.us, true
				break
			}
			c.failed = append(c.failed, s.at)
		}
		if !took {
			return nil
		}
	}
	return nil
}

// lengthen gives back of the best state what the cycle does not hang on.
func (c *choosing) lengthen() error {
	for k := range c.best {
		for c.best[k] > 0 {
			next := slices.Clone(c.best)
			next[k]--
			if us, err := c.us(next); err != nil {
				return err
			} else if us > c.bestUs {
				break
			}
			c.best = next
		}
	}
	return nil
}
