package scheduler

import (
	"context"
	"errors"
	"math/big"

	"echowright/scheduler/check"
	"echowright/scheduler/instance"
	"echowright/scheduler/refresh"
)

// Stretched is a timetable and the factor by which all refresh limits must be multiplied for it to keep them: the widest of
// all its gaps measured by their limits. A factor of up to 1 keeps them as they are, with what is missing to 1 as the margin.
type Stretched struct {
	Timetable instance.Timetable // its lower bound is that of its cycle, not of the factor
	Num, Den  int64              // the factor, exactly; 0/1 where no job asks to fire every so often
	// LeastPermille is a factor, in thousandths, that is known to be too small, for cycles within the budget where there is one; -1: none is. Proven tells that no factor is smaller
	// than this one by a thousandth or more.
	LeastPermille int64
	Proven        bool
	Nodes         int64
}

const (
	// Of each step, at first; where no timetable is found at any factor tried, twice as many, for so many rounds.
	stretchNodes  = 6_000
	nearNodes     = 60_000
	stretchRounds = 4
	stretchDepth  = 11     // halvings
	stretchLow    = 8      // the part of all nodes for what is too small, by its divisor
	cannotNodes   = 30_000 // of each step of that
)

// Widest returns the timetable found that comes nearest to keeping all refresh limits, or keeps them with the greatest margin. A
// budget is the longest cycle that may be: where no timetable with so short a cycle is found in which each job fires
// once, the answer has a longer one and no budget is kept. Other errors are those of Solve; limits that cannot be kept are none.
// The factor is looked for by halving, with a share of the nodes each time.
func Widest(ctx context.Context, p instance.Problem, o Options) (Stretched, error) {
	if err := p.Validate(); err != nil {
		return Stretched{}, err
	}
	step := Options{Nodes: stretchNodes, Bare: true}
	if o.Nodes > 0 {
		step.Nodes = min(step.Nodes, max(1, o.Nodes/16))
	}
	once, err := Solve(ctx, p.Once(), step)
	if err != nil {
		return Stretched{}, err
	}
	s := &stretching{p: p, step: step, most: p.BudgetUs, Stretched: Stretched{LeastPermille: -1, Den: 1, Nodes: once.Nodes}}
	if s.most > 0 && once.CycleUs > s.most {
		s.most = 0
	}
	s.offer(once)
	if s.Proven = s.Num == 0; s.Proven {
		return s.Stretched, nil
	}
	if err := s.halve(ctx, o.Nodes, once); err != nil {
		return Stretched{}, err
	}
	if err := check.Check(Stretch(p, s.Num, s.Den), s.Timetable); err != nil {
		return Stretched{}, &InternalError{err}
	}
	return s.Stretched, nil
}

type stretching struct {
	Stretched
	p    instance.Problem
	step Options
	most int64
}

// halve tries factors between what is too small and what is found.
func (s *stretching) halve(ctx context.Context, nodes int64, once instance.Timetable) error {
	t := refresh.Near(ctx, s.p, refresh.Wish{Once: once, MostUs: s.most}, Options{Nodes: nearNodes})
	s.Nodes += t.Nodes
	s.offer(t)
	s.low(ctx, nodes)
	for range stretchRounds {
		missed := max(0, s.LeastPermille) // all up to there is not found, if not known to be too small
		for range stretchDepth {
			better := s.permille() - 1
			if better <= missed || ctx.Err() != nil || nodes > 0 && s.Nodes >= nodes {
				break
			}
			mid := (missed + better + 1) / 2
			t, err := refresh.Solve(ctx, stretchTo(s.p, mid, 1000), refresh.Wish{Once: once, MostUs: s.most, Any: true}, s.step)
			var no *instance.Cannot
			var lost *NotFound
			switch {
			case err == nil:
				s.Nodes += t.Nodes
				s.offer(t)
			case errors.As(err, &no):
				s.Nodes++
				missed, s.LeastPermille = mid, max(s.LeastPermille, mid)
			case errors.As(err, &lost):
				s.Nodes += lost.Nodes
				missed = mid
			default:
				return err
			}
		}
		s.step.Nodes *= 2
	}
	s.Proven = s.LeastPermille >= s.permille()-1
	return nil
}

// low looks for the largest factor that is proven to be too small without searching for timetables.
func (s *stretching) low(ctx context.Context, nodes int64) {
	small, large := int64(0), s.permille()
	share := Options{Nodes: cannotNodes}
	if nodes > 0 {
		share.Nodes = min(share.Nodes, max(1, nodes/stretchLow/stretchDepth))
	}
	for range stretchDepth {
		mid := (small + large) / 2
		if mid == small || ctx.Err() != nil {
			break
		}
		n, err := refresh.Cannot(ctx, stretchTo(s.p, mid, 1000), share)
		if s.Nodes += n; err != nil {
			small, s.LeastPermille = mid, mid
		} else {
			large = mid
		}
	}
}

// permille is the factor in thousandths, rounded up.
func (s *stretching) permille() int64 {
	n := new(big.Int).Mul(big.NewInt(s.Num), big.NewInt(1000))
	n.Add(n, big.NewInt(s.Den-1))
	return n.Div(n, big.NewInt(s.Den)).Int64()
}

// offer takes a timetable if its factor is the least so far.
func (s *stretching) offer(t instance.Timetable) {
	worst := new(big.Rat)
	for j, us := range t.Widest(s.p) {
		if every := s.p.Jobs[j].EveryUs; every > 0 {
			if r := big.NewRat(us, every); r.Cmp(worst) > 0 {
				worst = r
			}
		}
	}
	if s.Timetable.Firings == nil || worst.Cmp(big.NewRat(s.Num, s.Den)) < 0 {
		t.LowerBoundUs, t.Proven, t.Clique, t.Why = min(t.LowerBoundUs, t.CycleUs), false, nil, ""
		s.Timetable, s.Num, s.Den = t, worst.Num().Int64(), worst.Denom().Int64()
	}
}

// Stretch is the problem with all refresh limits multiplied by a factor, rounded up. Those beyond what a problem may say are
// left out.
func Stretch(p instance.Problem, num, den int64) instance.Problem {
	q := p.Once()
	for j, job := range p.Jobs {
		if job.EveryUs == 0 {
			continue
		}
		us := new(big.Int).Mul(big.NewInt(job.EveryUs), big.NewInt(num))
		us.Add(us, big.NewInt(den-1)).Div(us, big.NewInt(den))
		if us.Cmp(big.NewInt(instance.MaxUs)) <= 0 {
			q.Jobs[j].EveryUs = us.Int64()
		}
	}
	return q
}

// stretchTo is the same rounded down, with no limit less than one microsecond.
func stretchTo(p instance.Problem, num, den int64) instance.Problem {
	q := Stretch(p, num, den)
	for j, job := range p.Jobs {
		if q.Jobs[j].EveryUs > 1 && new(big.Int).Mul(big.NewInt(q.Jobs[j].EveryUs), big.NewInt(den)).Cmp(new(big.Int).Mul(big.NewInt(job.EveryUs), big.NewInt(num))) > 0 {
			q.Jobs[j].EveryUs--
		}
	}
	return q
}
