package refresh

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// walk looks at every way in which jobs can follow one another, for ever. Its state is how long ago each of those with a
// limit fired. From one moment to the next something fires, and the next thing does as soon as that lets it: waiting
// makes nothing easier here, for of all that is demanded only the steps from one firing to the next are kept, and the limits.
// So what cannot go on for ever here cannot in any timetable. All at 0 is the state that
// leaves most time; when all that follows from it ends, none can be kept.
type walk struct {
	tasks []int // blocks with limits
	limit []int64
	moves []move
	// steps is, by move and next move, how long the one takes then.
	steps  func(a, b int) int64
	meter  *bound.Part
	known  map[string]bool // true: on the way here
	path   []int           // moves
	states []string        // by place in path: where the move was made
	ran    bool            // the work was not enough
	cycle  []int           // moves that come again for ever
}

// move is tasks that fire together, by their places.
type move struct {
	fires []int
	us    int64
}

const (
	walkFirst = 6_000 // states
	walkWork  = 60_000
	movesMost = 1_000
	// beforeMost bounds those of whom every order is tried.
	beforeMost = 6
	hintWork   = 200 // dead ends
	hintMost   = 40  // firings
)

// cliqueWalk walks through blocks that take turns.
func (l *laid) cliqueWalk(s set) *walk {
	n := len(l.blocks)
	w := &walk{}
	for _, b := range s.blocks {
		if l.limit[b] < never {
			w.moves = append(w.moves, move{fires: []int{len(w.tasks)}})
			w.tasks = append(w.tasks, b)
		}
	}
	w.steps = func(a, b int) int64 { return l.soonest[w.tasks[a]*n+w.tasks[b]] }
	return w
}

// slotsWalk walks through groups; nil: there are too many.
func (l *laid) slotsWalk() *walk {
	w := &walk{}
	for b, us := range l.limit {
		if us < never {
			w.tasks = append(w.tasks, b)
		}
	}
	var lengths []int64
	for _, b := range w.tasks {
		lengths = append(lengths, l.holds[b])
	}
	slices.Sort(lengths)
	for _, us := range slices.Compact(lengths) {
		if !l.groups(w, us, nil, 0) {
			return nil
		}
	}
	w.steps = func(a, _ int) int64 { return w.moves[a].us }
	return w
}

// groups adds the groups of a length to which nothing so long can be added; false: too many.
func (l *laid) groups(w *walk, us int64, group []int, from int) bool {
	fits := func(group []int, t int) bool {
		b := w.tasks[t]
		if l.holds[b] > us || slices.Contains(group, t) {
			return false
		}
		blocks := []int{b}
		for _, o := range group {
			if l.slots.Low.Adj[b].Has(w.tasks[o]) {
				return false
			}
			blocks = append(blocks, w.tasks[o])
		}
		return l.slots.Fits(blocks)
	}
	whole := true
	for t := range w.tasks {
		if fits(group, t) {
			whole = false
			if t >= from && !l.groups(w, us, append(slices.Clip(group), t), t+1) {
				return false
			}
		}
	}
	longest := slices.ContainsFunc(group, func(t int) bool { return l.holds[w.tasks[t]] == us })
	if whole && longest {
		w.moves = append(w.moves, move{group, us})
	}
	return len(w.moves) <= movesMost
}

// ends tells whether everything ends. If not, cycle is what goes on for ever, or ran tells that it was not found out.
func (w *walk) ends(l *laid, part *bound.Part) bool {
	w.meter, w.known, w.limit = part, map[string]bool{}, nil
	for _, b := range w.tasks {
		w.limit = append(w.limit, l.limit[b])
	}
	if len(w.tasks) == 0 {
		return false
	}
	// The first move may be any: from all at 0, each costs its step only.
	for m := range w.moves {
		if w.goesOn(make([]int64, len(w.tasks)), m) {
			return false
		}
		if w.ran {
			return false
		}
	}
	return true
}

// goesOn tells whether it goes on for ever after a move, made when the others had fired so long ago.
func (w *walk) goesOn(since []int64, last int) bool {
	for _, t := range w.moves[last].fires {
		since[t] = 0
	}
	key := w.key(since, last)
	if on, seen := w.known[key]; seen {
		if on {
			k := slices.Index(w.states, key)
			w.cycle = append(slices.Clone(w.path[k+1:]), last)
		}
		return on
	}
	if !w.meter.Tick() {
		w.ran = true
		return false
	}
	w.known[key] = true
	w.path, w.states = append(w.path, last), append(w.states, key)
	if w.onward(since, func(m int) int64 { return w.steps(last, m) }) {
		return true
	}
	if w.ran {
		return false
	}
	w.known[key] = false
	w.path, w.states = w.path[:len(w.path)-1], w.states[:len(w.states)-1]
	return false
}

// onward tells whether any move that is in time goes on for ever.
func (w *walk) onward(since []int64, steps func(m int) int64) bool {
	type way struct {
		move  int
		tight int64
	}
	var ways []way
next:
	for m, mv := range w.moves {
		us := steps(m)
		tight := never
		for t, s := range since {
			if s+us > w.limit[t] {
				continue next
			}
			if slices.Contains(mv.fires, t) {
				tight = min(tight, w.limit[t]-s)
			}
		}
		ways = append(ways, way{m, tight})
	}
	slices.SortStableFunc(ways, func(a, b way) int { return cmp.Compare(a.tight, b.tight) })
	for _, y := range ways {
		us := steps(y.move)
		then := make([]int64, len(since))
		for t, s := range since {
			then[t] = s + us
		}
		if w.goesOn(then, y.move) {
			return true
		}
		if w.ran {
			return false
		}
	}
	return false
}

func (w *walk) key(since []int64, last int) string {
	b := binary.AppendUvarint(nil, uint64(last))
	for _, s := range since {
		b = binary.AppendUvarint(b, uint64(s))
	}
	return string(b)
}

// cycleUs is how long what goes on for ever takes to come again, and how often each block fires in it, at least once.
func (w *walk) cycleUs(l *laid) (us int64, fires []int64) {
	fires = make([]int64, len(l.blocks))
	for k, m := range w.cycle {
		us += w.steps(m, w.cycle[(k+1)%len(w.cycle)])
		for _, t := range w.moves[m].fires {
			fires[w.tasks[t]]++
		}
	}
	for b := range fires {
		fires[b] = max(fires[b], 1)
	}
	return us, fires
}

// exhaust looks for proof that no cycle keeps the limits, however long: nil if there is none. What goes on for ever instead may
// hint at a timetable.
func (s *solver) exhaust(hints bool, work int64) error {
	l := s.l
	if l.p.Style == instance.Slots {
		if w := l.slotsWalk(); w != nil {
			if w.ends(l, s.meter.Part(work)) {
				return l.walkWords(w, -1, "whatever groups fire in whatever order")
			}
			if hints {
				s.hint(w)
			}
			if u := w.never(l, s.meter.Part(work)); u >= 0 {
				return l.walkWords(w, u, "whatever groups fire in whatever order")
			}
		}
	}
	dense := slices.DeleteFunc(slices.Clone(s.sets), func(st set) bool { return st.most > 1 || len(st.blocks) < 2 })
	slices.SortStableFunc(dense, func(a, b set) int { return l.share(b).Cmp(l.share(a)) })
	for _, st := range dense[:min(len(dense), 3)] {
		w := l.cliqueWalk(st)
		if w.ends(l, s.meter.Part(work)) {
			return l.walkWords(w, -1, "whichever fires next")
		}
		if hints {
			s.hint(w)
		}
		if u := w.never(l, s.meter.Part(work)); u >= 0 {
			return l.walkWords(w, u, "whichever fires next")
		}
	}
	return nil
}

// hint looks where a walk has gone on for ever.
func (s *solver) hint(w *walk) {
	if w.cycle == nil {
		return
	}
	us, fires := w.cycleUs(s.l)
	for b, limit := range s.l.limit {
		if s.l.once[b] && fires[b] > 1 || fires[b] == 1 && us > limit {
			return
		}
	}
	c := counts{fires, fires}
	if us < s.floor || s.cycle > 0 && us >= s.cycle || s.wish.MostUs > 0 && us > s.wish.MostUs || c.sum() > hintMost {
		return
	}
	if sp := s.search(us, us, c); sp.r != nil {
		s.try(sp, hintWork)
	}
}

// never is a block without a limit that cannot fire even once, or -1 if none is found: nothing goes on for ever after it has
// fired, however little time had gone by since the others last did.
func (w *walk) never(l *laid, part *bound.Part) int {
	w.meter = part
	n := len(l.blocks)
	for u, limit := range l.limit {
		if limit < never || len(w.tasks) == 0 || !w.turn(l, u) {
			continue
		}
		w.path, w.states, w.ran = nil, nil, false
		clear(w.known)
		since := make([]int64, len(w.tasks))
		var before []int // tasks that fired before u, the latest first
		for t, b := range w.tasks {
			if l.soonest[b*n+u] > 0 {
				before = append(before, t)
			}
		}
		if len(before) <= beforeMost && !w.after(l, u, since, before, 0) && !w.ran {
			return u
		}
		if w.ran {
			return -1
		}
	}
	return -1
}

// turn tells whether a block takes turns with all of the tasks; in slots it need not.
func (w *walk) turn(l *laid, u int) bool {
	n := len(l.blocks)
	for _, b := range w.tasks {
		if w.moves[0].us == 0 && l.soonest[b*n+u] == 0 {
			return false
		}
	}
	return true
}

// after tries every order in which the others last fired before u, those from k on still to be put in it.
func (w *walk) after(l *laid, u int, since []int64, before []int, k int) bool {
	n := len(l.blocks)
	if k == len(before) {
		return w.onward(since, func(m int) int64 {
			if w.moves[0].us > 0 {
				return l.holds[u]
			}
			return l.soonest[u*n+w.tasks[m]]
		})
	}
	for i := k; i < len(before); i++ {
		before[k], before[i] = before[i], before[k]
		t := before[k]
		b := w.tasks[t]
		since[t] = l.soonest[b*n+u]
		for _, o := range before[:k] {
			since[t] = max(since[t], since[o]+l.soonest[b*n+w.tasks[o]])
		}
		goes := since[t] <= w.limit[t] && w.after(l, u, since, before, k+1)
		before[k], before[i] = before[i], before[k]
		if goes || w.ran {
			return goes
		}
	}
	return false
}

func (l *laid) walkWords(w *walk, once int, how string) error {
	var parts []string
	for _, b := range w.tasks {
		parts = append(parts, fmt.Sprintf("%s %s in every %s", l.name(b), bound.Time(l.holds[b]), bound.Time(l.limit[b])))
	}
	whose := l.whose[w.tasks[0]]
	if once >= 0 {
		parts = append(parts, fmt.Sprintf("%s %s, however seldom", l.name(once), bound.Time(l.holds[once])))
	}
	tried := ""
	if n := len(w.known); n > 0 {
		tried = fmt.Sprintf(" (all %d states tried)", n)
	}
	return cannotf(whose, "%s: %s, one comes too late in the end%s", strings.Join(parts, ", "), how, tried)
}
