package ways

import (
	"cmp"
	"math"
	"slices"

	"echowright/planner/plan"
)

// The front is drawn up from so many listening limits, from a share of the longest on: with less, little is seen of anything. Common
// practice, no source.
const (
	limits          = 9
	limitsStaggered = 5
	leastShare      = 0.2
)

// draw draws up the front, and offers the shortest cycle of it with which all is met, where that is shorter than with windows chosen
// one by one.
func (w *work) draw() (err error) {
	if w.limits, w.none, err = w.front(); err != nil {
		return err
	}
	for _, l := range w.limits {
		if len(l.Missed) > 0 || w.choice != nil && !wins(l.CycleUs, w.choice.CycleUs[1]) {
			continue
		}
		_, err = w.offer(change(plan.WayWindows, "listen-to: "+plan.Metres(l.ListenM)+" at most for all whose window can be set", w.cut(w.listens(), l.ListenM)...))
		break
	}
	return err
}

// listens is how far the sensors whose window can be set listen now, m.
func (w *work) listens() map[string]float64 {
	now := map[string]float64{}
	for i, s := range w.sc.Sensors {
		if !settable(w.sc, i) {
			continue
		}
		for _, p := range w.p.Sensors {
			if p.Name == s.Name {
				now[s.Name] = p.ListenM
			}
		}
		if s.ListenM > 0 {
			now[s.Name] = s.ListenM
		}
	}
	return now
}

// cut lets none of them listen farther than m.
func (w *work) cut(now map[string]float64, m float64) (cs []plan.Change) {
	for _, s := range w.sc.Sensors {
		if now[s.Name] > m {
			cs = append(cs, plan.Change{Sensor: s.Name, ListenM: m})
		}
	}
	return cs
}

// front is range against cycle: no window that can be set longer than a limit, up to the longest there is. Points beaten by another are
// left out.
func (w *work) front() (out []plan.Limit, none string, err error) {
	out = []plan.Limit{}
	now := w.listens()
	lo, hi := math.Inf(1), 0.0
	for _, p := range w.p.Sensors {
		if m, ok := now[p.Name]; ok {
			lo, hi = math.Min(lo, ceilCm(p.BlindM+leastOverM)), math.Max(hi, ceilCm(m))
		}
	}
	lo = math.Max(lo, ceilCm(leastShare*hi))
	switch {
	case len(now) == 0:
		return out, "no window here can be set: every module listens as long as it is made to", nil
	case hi <= lo:
		return out, "no window here can be shorter: each reaches only just beyond the blind distance", nil
	}
	n := limits
	if w.sc.Wishes.Style == plan.Staggered {
		n = limitsStaggered
	}
	for k := range n {
		m := ceilCm(lo + (hi-lo)*float64(k)/float64(n-1))
		cs := w.cut(now, m)
		p := w.p
		if len(cs) > 0 {
			sc, err := With(w.sc, cs...)
			if err != nil {
				return nil, "", err
			}
			if p, err = w.plan(sc); err != nil {
				if w.ctx.Err() != nil {
					return nil, "", w.ctx.Err()
				}
				continue
			}
		}
		if len(p.Schedule.Firings) > 0 {
			out = append(out, limitOf(p, m))
		}
	}
	if len(out) == 0 {
		return out, "with no window is there a table to fire by", nil
	}
	if out = best(out); len(out) == 1 && out[0].CycleUs == w.usUs {
		return out, "no shorter window shortens the cycle", nil
	}
	return out, "", nil
}

// limitOf is what the front tells of a plan.
func limitOf(p *plan.Plan, m float64) plan.Limit {
	l := plan.Limit{ListenM: m, CycleUs: p.Schedule.RunsUs(), Proven: p.Schedule.Proven, Fits: p.Schedule.Met, Missed: []string{}}
	for _, c := range p.Coverage {
		share := 0.0
		if c.AreaM2 > 0 {
			share = c.CoveredM2 / c.AreaM2
		}
		l.Shares = append(l.Shares, plan.ShareOf{Zone: c.Zone, State: c.State, Share: share})
	}
	for _, v := range p.Warnings {
		if v.Asked {
			l.Speeds = append(l.Speeds, plan.SafeSpeed{Way: v.Way, Target: v.Target, State: v.State, SpeedMS: v.SafeSpeedMS})
		}
	}
	for _, d := range demandsOf(p) {
		if !d.met {
			l.Missed = append(l.Missed, d.name)
		}
	}
	if b := p.Schedule.BudgetUs; b > 0 && l.CycleUs > b {
		l.Missed = append(l.Missed, "cycle")
	}
	return l
}

// best drops the points that another beats, or that are another's equal and listen farther.
func best(all []plan.Limit) []plan.Limit {
	out := slices.DeleteFunc(slices.Clone(all), func(l plan.Limit) bool {
		return slices.ContainsFunc(all, func(o plan.Limit) bool {
			return o.Beats(l) || o.ListenM < l.ListenM && o.Equals(l)
		})
	})
	slices.SortStableFunc(out, func(a, b plan.Limit) int { return cmp.Compare(a.CycleUs, b.CycleUs) })
	return out
}
