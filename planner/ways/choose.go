package ways

import (
	"cmp"
	"container/heap"
	"fmt"
	"maps"
	"math"
	"slices"

	"echowright/planner/plan"
)

// Limits of the joint choice: states looked at, those whose cycle is solved, and those of which everything is reckoned.
const (
	mostStates  = 20_000
	mostSolved  = 8_000 // divided by the square of the number of sensors, as each costs so much more
	leastSolved = 10
	mostWeighed = 16
)

// choosing is the joint choice of windows.
//
// A state says for each sensor which of its windows it has. A longer window never makes a cycle shorter, and never less is seen; so
// states are taken up in order of their cycles, the shortest windows first, each leading to those with one window longer. A state that
// can have a longer window in the same cycle leaves the verdict to that one, and below a state that misses a demand none need be asked.
// The first that keeps all demands has the shortest cycle of all choices.
//
// Two bounds save work. Where one sensor must see a place, what each loses by a shorter window alone is lost together, too, and no
// place twice: where the sum is more than a share asked for leaves, the state misses it, and its cycle need not be solved. For the same
// reason no sensor need have less than what the shares allow it with all others as they are.
type choosing struct {
	*work
	all      []window
	view     *view
	lossless []int // windows cut one after the other so that nothing is lost; nil where they miss a demand all the same
	best     []int // the best state known; nil for none
	bestUs   int64
	least    bool
	solved   map[string]int64
	failed   [][]int
	proven   bool // every cycle solved is the shortest
	weighed  int
}

// state is numbers into the lists of windows.
type state struct {
	at     []int
	us     int64 // its cycle, or, where it is not solved, that of a state with shorter windows
	solved bool
}

// queue puts the shortest cycle first, of equal ones the longest windows.
type queue []state

func (q queue) Len() int      { return len(q) }
func (q queue) Swap(i, k int) { q[i], q[k] = q[k], q[i] }
func (q queue) Less(i, k int) bool {
	return cmp.Or(cmp.Compare(q[i].us, q[k].us), cmp.Compare(sum(q[i].at), sum(q[k].at)), slices.Compare(q[i].at, q[k].at)) < 0
}
func (q *queue) Push(x any) { *q = append(*q, x.(state)) }
func (q *queue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}

func sum(at []int) (n int) {
	for _, i := range at {
		n += i
	}
	return n
}

// choose finds the best state, from one that loses nothing.
func (c *choosing) choose(lossless []int) error {
	c.solved, c.proven = map[string]int64{}, true
	ok, err := c.keeps(c.all, lossless)
	if err != nil {
		return err
	}
	if ok {
		c.lossless, c.best = lossless, lossless
		if c.bestUs, err = c.us(lossless); err != nil {
			return err
		}
	}
	low := make([]int, len(c.all))
	for k, o := range c.all {
		low[k] = o.low
	}
	q := &queue{{at: low}}
	known := map[string]bool{fmt.Sprint(low): true}
	for q.Len() > 0 && len(known) < mostStates && len(c.solved) < c.mostSolved() && c.weighed < mostWeighed {
		s := heap.Pop(q).(state)
		if c.best != nil && s.us >= c.bestUs || s.us > 0 && !c.shorter(s.us) {
			heap.Push(q, s)
			break // nothing left is shorter than what is known
		}
		misses := c.misses(s.at)
		if !misses && !s.solved {
			us, err := c.us(s.at)
			if err != nil {
				return err
			}
			heap.Push(q, state{s.at, max(us, s.us), true})
			continue
		}
		top := true
		for k := range s.at {
			if s.at[k] == 0 {
				continue
			}
			next := slices.Clone(s.at)
			next[k]--
			n := state{at: next, us: s.us}
			if s.solved {
				us, err := c.us(next)
				if err != nil {
					return err
				}
				top = top && us > s.us
				n.us, n.solved = max(us, s.us), true
			}
			if key := fmt.Sprint(next); !known[key] {
				known[key] = true
				heap.Push(q, n)
			}
		}
		if misses || !top {
			continue
		}
		if !c.seesEnough(s.at) {
			c.failed = append(c.failed, s.at)
			continue
		}
		c.weighed++
		ok, err := c.keeps(c.all, s.at)
		if err != nil {
			return err
		}
		if ok {
			c.best, c.bestUs, c.least = s.at, s.us, c.proven
			return nil
		}
		c.failed = append(c.failed, s.at)
	}
	open := q.Len() > 0 && (c.best == nil || (*q)[0].us < c.bestUs)
	if c.least = c.proven && !open; c.best != nil && open {
		if err := c.shorten(); err != nil {
			return err
		}
	}
	if c.best == nil || !c.shorter(c.bestUs) {
		c.best = nil
		return nil
	}
	return c.lengthen()
}

// seesEnough reports whether the lobes, cut to those windows, leave the zones what they cannot spare; where they do not, no analysis
// need be asked.
func (c *choosing) seesEnough(at []int) bool {
	lobes := maps.Clone(c.view.lobes)
	for k, o := range c.all {
		for _, i := range o.sensors {
			if at[k] > 0 {
				c.view.cut(lobes, i, o.m[at[k]], true)
			}
		}
	}
	lost := map[int]float64{}
	for z, m2 := range c.view.coveredM2(lobes) {
		lost[z] = c.p.Coverage[z].CoveredM2 - m2
	}
	return c.spares(lost)
}

// mostSolved is how many cycles may be solved.
func (c *choosing) mostSolved() int {
	n := mostSolved / (len(c.problem.Jobs) * len(c.problem.Jobs))
	if c.sc.Wishes.Style == plan.Staggered {
		n /= staggeredCost
	}
	return max(n, leastSolved)
}

// misses reports whether windows are known to miss a demand: by the shares, or because others do that are no shorter.
func (c *choosing) misses(at []int) bool {
	lost := map[int]float64{}
	for k, o := range c.all {
		for z, a := range o.lost[at[k]] {
			if c.p.Coverage[z].Required.SeenBy <= 1 {
				lost[z] += a
			} else {
				lost[z] = max(lost[z], a)
			}
		}
	}
	if !c.spares(lost) {
		return true
	}
	return slices.ContainsFunc(c.failed, func(f []int) bool {
		for k := range f {
			if at[k] < f[k] {
				return false
			}
		}
		return true
	})
}

// us is the cycle of a state in the short search.
func (c *choosing) us(at []int) (int64, error) {
	key := fmt.Sprint(at)
	if us, ok := c.solved[key]; ok {
		return us, nil
	}
	sc, err := With(c.sc, c.set(c.all, at)...)
	if err != nil {
		return 0, err
	}
	p, err := c.timed(sc)
	if err != nil {
		return 0, err
	}
	us, proven := c.search(sc, p)
	if us == 0 {
		us = math.MaxInt64 // no table at all
	}
	c.solved[key], c.proven = us, c.proven && proven
	return us, nil
}

// answer is the choice as the Plan has it; nil where the windows as they are are the best.
func (c *choosing) answer() *plan.Choice {
	a := &plan.Choice{Least: c.least, Tried: len(c.solved), CycleUs: [2]int64{c.usUs, 0}}
	for k, o := range c.all {
		for _, i := range o.sensors {
			a.Windows = append(a.Windows, plan.ChosenWindow{Sensor: c.sc.Sensors[i].Name, ListenM: [2]float64{o.m[0], o.m[c.best[k]]}, Tried: o.m})
		}
	}
	for _, s := range c.steps {
		if s.Kind == plan.WayWindows {
			a.CycleUs[1] = s.CycleUs[1]
			c.least = c.least && s.Proven
		}
	}
	if a.CycleUs[1] == 0 {
		return nil
	}
	a.Least = c.least
	a.Says = "best found: the search was cut short"
	if a.Least {
		a.Says = "no other choice among the windows tried keeps all demands that are met, with a shorter cycle"
	}
	return a
}
