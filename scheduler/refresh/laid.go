package refresh

import (
	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
	"echowright/scheduler/stagger"
)

// never is a limit that no cycle reaches.
const never = int64(1) << 60

// laid is a problem laid bare. Its tasks are blocks, jobs that fire together.
type laid struct {
	p      instance.Problem
	blocks [][]int
	of     []int   // block of each job
	limit  []int64 // from one firing to the next, as due, at most so long
	whose  []int   // the job of the block whose limit that is
	holds  []int64 // occupied, with guard and jitter
	alone  []int64 // from one firing to the next at least so long
	once   []bool  // in a chain: once a cycle
	// soonest is, by u*n+v, the least distance from a firing of u to the next one of v, where they never fire
	// together; else 0.
	soonest []int64
	slots   *bound.Laid // slots style
}

func lay(p instance.Problem) *laid {
	l := &laid{p: p, blocks: p.Blocks(), of: make([]int, len(p.Jobs))}
	occupied := p.OccupiedUs()
	for b, jobs := range l.blocks {
		limit, whose := never, jobs[0]
		var holds, alone int64
		for _, j := range jobs {
			job := p.Jobs[j]
			l.of[j] = b
			holds = max(holds, occupied[j]+p.GuardUs+2*p.JitterUs)
			alone = max(alone, job.BusyUs+job.RestUs+2*p.JitterUs)
			if us := job.EveryUs - 2*p.JitterUs; job.EveryUs > 0 && us < limit {
				limit, whose = us, j
			}
		}
		l.limit, l.whose = append(l.limit, limit), append(l.whose, whose)
		l.holds, l.alone = append(l.holds, holds), append(l.alone, max(holds, alone))
	}
	l.once = make([]bool, len(l.blocks))
	for _, chain := range p.Order {
		for _, j := range chain {
			l.once[l.of[j]] = true
		}
	}
	l.soonest = stagger.Soonest(p)
	n := len(l.blocks)
	if p.Style == instance.Slots {
		l.slots = bound.Lay(p)
		for u := range n {
			for v := range n {
				if u != v && l.slots.Low.Adj[u].Has(v) {
					l.soonest[u*n+v] = max(l.soonest[u*n+v], l.slots.Gap(u, v))
				}
			}
		}
	}
	for u := range n {
		l.soonest[u*n+u] = l.alone[u]
		for v := range u {
			if min(l.soonest[u*n+v], l.soonest[v*n+u]) == 0 {
				l.soonest[u*n+v], l.soonest[v*n+u] = 0, 0
			}
		}
	}
	return l
}

// fires is how often a block must fire in a cycle, at the least.
func (l *laid) fires(b int, cycleUs int64) int64 {
	return (cycleUs + l.limit[b] - 1) / l.limit[b]
}
