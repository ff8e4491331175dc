package refresh

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

func cannotf(job int, format string, a ...any) error {
	return &instance.Cannot{Where: fmt.Sprintf("job %d", job), Wrong: fmt.Sprintf(format, a...)}
}

// cannot looks for limits that cannot be kept, in whatever cycle: shorter than a firing takes, than a firing and that of another
// between two, and than all those that take turns leave.
func (l *laid) cannot(sets []set) error {
	n := len(l.blocks)
	for b, limit := range l.limit {
		if limit < l.alone[b] {
			return cannotf(l.whose[b], "%s asks to fire every %s%s, and it cannot fire again before %s: it is occupied or rests until then",
				l.p.JobName(l.whose[b]), bound.Time(l.p.Jobs[l.whose[b]].EveryUs), l.jitter(), bound.Time(l.alone[b]))
		}
	}
	for u, limit := range l.limit {
		for v := range n {
			if u == v || l.soonest[u*n+v] == 0 {
				continue
			}
			if need := l.soonest[u*n+v] + l.soonest[v*n+u]; need > limit {
				return cannotf(l.whose[u], "%s asks to fire every %s%s, and a firing of %s between two of its own needs %s + %s = %s",
					l.p.JobName(l.whose[u]), bound.Time(l.p.Jobs[l.whose[u]].EveryUs), l.jitter(), l.name(v),
					bound.Time(l.soonest[u*n+v]), bound.Time(l.soonest[v*n+u]), bound.Time(need))
			}
		}
	}
	for _, s := range sets {
		if share := l.share(s); share.Cmp(big.NewRat(s.most, 1)) > 0 {
			return cannotf(l.whose[s.blocks[0]], "%s", l.shareWords(s, share))
		}
	}
	return nil
}

func (l *laid) jitter() string {
	if l.p.JitterUs == 0 {
		return ""
	}
	return fmt.Sprintf(", twice %s of jitter within", bound.Time(l.p.JitterUs))
}

// share is what the limits ask of a set, on average: turn by limit, summed up.
func (l *laid) share(s set) *big.Rat {
	sum := new(big.Rat)
	for k, b := range s.blocks {
		if l.limit[b] < never {
			sum.Add(sum, big.NewRat(s.turn[k], l.limit[b]))
		}
	}
	return sum
}

func (l *laid) shareWords(s set, share *big.Rat) string {
	var parts []string
	for k, b := range s.blocks {
		if l.limit[b] < never {
			parts = append(parts, fmt.Sprintf("%s %s in every %s", l.name(b), l.part(s, k), bound.Time(l.limit[b])))
		}
	}
	f, _ := share.Float64()
	if s.most == 1 {
		return fmt.Sprintf("these take turns and ask for more time than there is: %s; that is %.3f of all time", strings.Join(parts, ", "), f)
	}
	return fmt.Sprintf("%s, these ask for more time than there is: %s; that is %.3f of all time", weighed, strings.Join(parts, ", "), f)
}

// weighed is what is said of a set of which some may hold at once: each counts with a part of its time.
const weighed = "weighed so that those which may hold at once never add up to more than the time they hold"

func (l *laid) part(s set, k int) string {
	return bound.Time((s.turn[k] + s.most/2) / s.most)
}

// tightest is the job that asks to fire most often.
func (l *laid) tightest() int {
	best := 0
	for b, limit := range l.limit {
		if limit < l.limit[best] {
			best = b
		}
	}
	return l.whose[best]
}

func (l *laid) beyondWords(mostUs int64) string {
	return fmt.Sprintf("no cycle up to %s keeps all limits", bound.Time(mostUs))
}

// chained tells whether chains, whose jobs fire once a cycle, leave no cycle from us on.
func (l *laid) chained(us int64) bool {
	for b, once := range l.once {
		if once && us > l.limit[b] {
			return true
		}
	}
	return false
}

func (l *laid) chainWords() error {
	best := -1
	for b, limit := range l.limit {
		if l.once[b] && (best < 0 || limit < l.limit[best]) {
			best = b
		}
	}
	return cannotf(l.whose[best], "%s fires once a cycle, being in a chain, and asks for that every %s%s; no cycle up to there keeps all limits",
		l.name(best), bound.Time(l.p.Jobs[l.whose[best]].EveryUs), l.jitter())
}

// name is the block's only job, or all of them joined.
func (l *laid) name(b int) string {
	var s []string
	for _, j := range l.blocks[b] {
		s = append(s, l.p.JobName(j))
	}
	return strings.Join(s, "+")
}

// timetable is the best one, with its proof.
func (s *solver) timetable() instance.Timetable {
	t := instance.Timetable{CycleUs: s.cycle, Firings: s.firings, LowerBoundUs: min(s.floor, s.cycle), Nodes: s.meter.Nodes}
	t.Proven = t.LowerBoundUs == t.CycleUs
	if s.l.p.Style == instance.Slots {
		t.Groups = groups(t.Firings)
	}
	if !s.o.Bare {
		s.explain(&t)
	}
	return t
}

// groups are the jobs that fire at the same moment.
func groups(fs []instance.Firing) (gs [][]int) {
	for k, f := range fs {
		if k == 0 || fs[k-1].AtUs != f.AtUs {
			gs = append(gs, nil)
		}
		gs[len(gs)-1] = append(gs[len(gs)-1], f.Job)
	}
	return gs
}

// explain says what makes the bound.
func (s *solver) explain(t *instance.Timetable) {
	l := s.l
	lines := []string{l.countWords(t)}
	best, most := -1, int64(0)
	for k, st := range s.sets {
		us, ok := l.next(s.sets[k:k+1], 1)
		if !ok {
			continue
		}
		if us > most || us == most && best >= 0 && len(st.blocks) < len(s.sets[best].blocks) {
			best, most = k, us
		}
	}
	if best >= 0 {
		lines = append(lines, l.setWords(s.sets[best], most))
	}
	switch {
	case best >= 0 && most >= t.LowerBoundUs && s.sets[best].most == 1 && !s.sets[best].priced:
		for _, b := range s.sets[best].blocks {
			t.Clique = append(t.Clique, l.blocks[b][0])
		}
	case most < t.LowerBoundUs && s.searched:
		lines = append(lines, fmt.Sprintf("Beyond that by search: every number of firings that the limits allow, and every way round of who comes first, was tried or ruled out, and none leaves a cycle below %s.", bound.Time(t.LowerBoundUs)))
	case most < t.LowerBoundUs:
		lines = append(lines, fmt.Sprintf("Other sets, and the shortest cycle in which each fires once, leave none below %s.", bound.Time(t.LowerBoundUs)))
	}
	if t.Proven {
		lines = append(lines, fmt.Sprintf("The cycle of %s is as short as that, so none is shorter.", bound.Time(t.CycleUs)))
	} else {
		lines = append(lines, fmt.Sprintf("The search ended early: the cycle of %s may be up to %s longer than the shortest.", bound.Time(t.CycleUs), bound.Time(t.CycleUs-t.LowerBoundUs)))
	}
	t.Why = strings.Join(lines, "\n")
}

// countWords says who fires how often.
func (l *laid) countWords(t *instance.Timetable) string {
	fires := make([]int, len(l.p.Jobs))
	for _, f := range t.Firings {
		fires[f.Job]++
	}
	order := make([]int, len(fires))
	for j := range order {
		order[j] = j
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(fires[b], fires[a]) })
	var parts []string
	for k := 0; k < len(order); {
		n := fires[order[k]]
		var names []string
		for ; k < len(order) && fires[order[k]] == n; k++ {
			names = append(names, l.p.JobName(order[k]))
		}
		parts = append(parts, fmt.Sprintf("%s %d a cycle", some(names), n))
	}
	return "Firings: " + strings.Join(parts, "; ") + "."
}

// some joins names; long lists are cut.
func some(names []string) string {
	const most = 12
	if len(names) > most+1 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return strings.Join(names, ", ")
}

// setWords says what a set needs of a cycle, and that no shorter one will do.
func (l *laid) setWords(s set, us int64) string {
	var parts []string
	for k, b := range s.blocks {
		parts = append(parts, fmt.Sprintf("%s %d x %s", l.name(b), l.fires(b, us), l.part(s, k)))
	}
	how := "These take turns"
	if s.most > 1 {
		how = "These are " + weighed
	}
	return fmt.Sprintf("%s, and their limits ask for so many firings in a cycle of %s, each with what it takes: %s. Sum: %s; a shorter cycle needs more than it has.",
		how, bound.Time(us), some(parts), bound.Time(l.needs(s, us)))
}
