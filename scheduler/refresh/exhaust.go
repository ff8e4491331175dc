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
	walkWork  = 60_000 // states
	movesMost = 1_000
	hintWork  = 2_000 // dead ends
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
	type way struct {
		move  int
		tight int64
	}
	var ways []way
next:
	for m, mv := range w.moves {
		us := w.steps(last, m)
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
		us := w.steps(last, y.move)
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
	w.known[key] = false
	w.path, w.states = w.path[:len(w.path)-1], w.states[:len(w.states)-1]
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

// exhaust looks for proof that no cycle keeps the limits, however long: nil if there is none.
func (s *solver) exhaust() error {
	l := s.l
	if l.p.Style == instance.Slots {
		if w := l.slotsWalk(); w != nil {
			if w.ends(l, s.meter.Part(walkWork)) {
				return l.walkWords(w, "whatever groups fire in whatever order")
			}
			s.hint(w)
		}
	}
	dense := slices.DeleteFunc(slices.Clone(s.sets), func(st set) bool { return st.most > 1 || len(st.blocks) < 2 })
	slices.SortStableFunc(dense, func(a, b set) int { return l.share(b).Cmp(l.share(a)) })
	for _, st := range dense[:min(len(dense), 3)] {
		w := l.cliqueWalk(st)
		if w.ends(l, s.meter.Part(walkWork)) {
			return l.walkWords(w, "whichever fires next")
		}
		s.hint(w)
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
	if us < s.floor || s.wish.MostUs > 0 && us > s.wish.MostUs || c.sum() > copiesMost {
		return
	}
	if sp := s.search(us, us, c); sp.r != nil {
		s.try(sp, hintWork)
	}
}

func (l *laid) walkWords(w *walk, how string) error {
	var parts []string
	for _, b := range w.tasks {
		parts = append(parts, fmt.Sprintf("%s %s in every %s", l.name(b), bound.Time(l.holds[b]), bound.Time(l.limit[b])))
	}
	return cannotf(l.whose[w.tasks[0]], "%s: %s, one comes too late in the end (all %d states tried)", strings.Join(parts, ", "), how, len(w.known))
}
