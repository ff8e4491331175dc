package firing

import (
	"errors"
	"fmt"
	"slices"

	"echowright/planner/plan"
	"echowright/scheduler/instance"
)

// asRead is a cycle in which the next sensor, or set of sensors with one trigger, fires as soon as the last has its echo.
type asRead struct {
	blocks [][]int // jobs that fire together, in the order in which they fire
	of     []int   // block of each job
	// From each block to the next: every echo the nearest possible, and none at all.
	best, worst           []int64
	bestCycle, worstCycle int64
	// What may hold up a block: the rest from the end of its last turn, and that from its firing with the longest turn; 0 for none.
	rest, rested []int64
	leastUs      int64 // pause after a turn, at the least
	restsJob     int   // whose rest makes the best cycle as long as it is, or -1
}

// layAsRead puts the sensors into the order of the layout, or of their chains. What firmware of this style does with each
// reading is taken to be what it does with slots: the guard is kept, answers are fetched, rests are waited for.
func (w *work) layAsRead() error {
	p := w.p
	p.Arcs = nil // nothing is promised of them
	if err := p.Validate(); err != nil {
		return err
	}
	if err := p.Possible(); err != nil {
		if errors.As(err, &w.cannot) {
			return nil
		}
		return err
	}
	r := &asRead{of: make([]int, len(p.Jobs))}
	w.read = r
	for left := p.Blocks(); len(left) > 0; {
		k := w.nextOf(left, r.blocks)
		for _, j := range left[k] {
			r.of[j] = len(r.blocks)
		}
		r.blocks = append(r.blocks, left[k])
		left = slices.Delete(left, k, k+1)
	}
	occupied := p.OccupiedUs()
	least := down(max(0, w.sc.Wishes.Guard-2*w.sc.Wishes.Jitter))
	restedBest := int64(0)
	at := int64(0)
	r.leastUs, r.restsJob = least, -1
	w.t = instance.Timetable{Groups: r.blocks, Ordered: true}
	for _, b := range r.blocks {
		best, worst, rests, rested := int64(0), int64(0), int64(0), int64(0)
		for _, j := range b {
			soonest := w.soonest(j)
			best, worst = max(best, soonest), max(worst, occupied[j])
			if rest := p.Jobs[j].RestUs; rest > 0 {
				rests, rested = max(rests, rest+2*p.JitterUs), max(rested, p.Jobs[j].BusyUs+rest+2*p.JitterUs)
				if us := soonest + down(w.kind(j).Timing.Rest); us > restedBest {
					restedBest, r.restsJob = us, j
				}
			}
			w.t.Firings = append(w.t.Firings, instance.Firing{Job: j, AtUs: at})
		}
		r.best, r.worst = append(r.best, best+least), append(r.worst, worst+pauseUs(p))
		r.rest, r.rested = append(r.rest, rests), append(r.rested, rested)
		r.bestCycle += best + least
		at += worst + pauseUs(p)
	}
	if restedBest <= r.bestCycle {
		r.restsJob = -1
	}
	r.bestCycle = max(r.bestCycle, restedBest, 1)
	for b := range r.blocks {
		r.worstCycle = max(r.worstCycle, r.most(b, len(r.blocks)))
	}
	w.t.CycleUs, w.t.LowerBoundUs = r.worstCycle, r.bestCycle
	return nil
}

// most bounds the time from a block's firing to that of the block so many steps later, a cycle at most.
//
// A rest counts from the end of the turn before it, whatever made it end, so that a time-out is not waited for twice. After the last
// block held up for its rest there are only turns; that block fired when its rest was over, which began, at the least, a pause and
// the turns in between before the time reckoned from.
func (r *asRead) most(from, steps int) int64 {
	n := len(r.blocks)
	turns, most := int64(0), int64(0)
	for k := from + steps; k > from; k-- { // the last held up; turns are those from it on
		held := k % n
		if k < from+steps {
			turns += r.worst[held]
		}
		switch {
		case r.rest[held] == 0:
		case k == from+n:
			most = max(most, turns+r.rested[held])
		default:
			us := r.rest[held] - r.leastUs
			for m := k - n + 1; m < from; m++ {
				us -= r.best[(m+n)%n]
			}
			most = max(most, turns+us)
		}
	}
	return max(most, turns+r.worst[from%n])
}

// nextOf is which of the blocks left comes after those laid: the next of a chain begun, else the first that waits for none.
func (w *work) nextOf(left, laid [][]int) int {
	goes := func(b []int) bool { return !w.waitsFor(b, left) }
	follows := func(b []int) bool {
		return goes(b) && len(laid) > 0 && slices.ContainsFunc(w.p.Order, func(c []int) bool {
			for k := 1; k < len(c); k++ {
				if slices.Contains(b, c[k]) && slices.Contains(laid[len(laid)-1], c[k-1]) {
					return true
				}
			}
			return false
		})
	}
	if k := slices.IndexFunc(left, follows); k >= 0 {
		return k
	}
	return slices.IndexFunc(left, goes)
}

// waitsFor reports whether some job of a block is chained after one of the blocks left.
func (w *work) waitsFor(block []int, left [][]int) bool {
	for _, c := range w.p.Order {
		for k, j := range c {
			if k > 0 && slices.Contains(block, j) && slices.ContainsFunc(left, func(b []int) bool { return slices.Contains(b, c[k-1]) }) {
				return true
			}
		}
	}
	return false
}

// soonest is the least time from a job's firing to its answer.
func (w *work) soonest(job int) int64 {
	i := w.sensors[job]
	k := w.sc.Kinds[w.sc.Sensors[i].Kind]
	l := newLateness(w.sc)
	if k.Timing.AnswerAfter > 0 {
		return l.least(k.Timing.AnswerAfter) + l.least(k.Timing.Transfer)
	}
	return w.clocks[i].OpenUs + l.least(k.Timing.Transfer)
}

// forever stands for a lag that has no end.
const forever = int64(1) << 60

// hits is when, after its own trigger, an arc's listener may take the sound, whatever the echoes; ok is false if never. Every
// time between firings that nearest and missing echoes allow is taken to be possible, whatever the others are. The arc holds the
// jitter.
func (r *asRead) hits(a instance.Arc, to instance.Job) (us [2]int64, ok bool) {
	meet := func(lo, hi int64) {
		// The listener fires between lo and hi after the sender.
		if lo >= a.UntilUs-to.OpenUs || hi <= a.FromUs-to.CloseUs {
			return
		}
		from, until := max(to.OpenUs, a.FromUs-hi), min(to.CloseUs, a.UntilUs-lo)
		if ok {
			from, until = min(from, us[0]), max(until, us[1])
		}
		us, ok = [2]int64{from, until}, true
	}
	n := len(r.blocks)
	from, steps := r.of[a.From], (r.of[a.To]-r.of[a.From]+n)%n
	if steps == 0 && a.From != a.To {
		meet(0, 0)
	}
	if steps == 0 {
		steps = n
	}
	lo, hi := int64(0), r.most(from, steps)
	for k := range steps {
		lo += r.best[(from+k)%n]
	}
	if steps == n {
		lo = max(lo, r.bestCycle)
	}
	for ; lo < a.UntilUs-to.OpenUs; lo, hi = lo+r.bestCycle, hi+r.worstCycle {
		if hi >= lo+r.bestCycle {
			meet(lo, forever) // from here on every lag is possible
			break
		}
		meet(lo, hi)
	}
	return us, ok
}

// arcHits gives the hits of every arc of the scene by timings that the table does not tell of; none of sensors that fire by
// themselves, which are told of apart.
func (w *work) arcHits() [][2]int64 {
	out := make([][2]int64, len(w.arcs))
	if w.read == nil {
		w.early(out)
		return out
	}
	job := make([]int, len(w.sc.Sensors))
	for i := range job {
		job[i] = slices.Index(w.sensors, i)
	}
	for k, a := range w.arcs {
		if from, to := job[a.From], job[a.To]; from >= 0 && to >= 0 {
			starts, ends := a.SpanUs(w.sc.Wishes.Jitter)
			out[k], _ = w.read.hits(instance.Arc{From: from, To: to, FromUs: starts, UntilUs: ends}, w.p.Jobs[to])
		}
	}
	return out
}

// asReadText says between what the cycle lies.
func (w *work) asReadText() string {
	rests := ""
	if j := w.read.restsJob; j >= 0 {
		rests = ", and then " + w.name(j) + " must rest"
	}
	return fmt.Sprintf("as the scene has it, from %s (every echo the nearest possible%s) to %s (none at all, so each takes its longest)",
		plan.Milliseconds(w.read.bestCycle), rests, plan.Milliseconds(w.read.worstCycle))
}

// goesWrong says what the style may do. Even where no timing can do harm it is not met: that holds for what the layout says may
// stand around, and the cycle follows what really does.
func (w *work) goesWrong() []plan.Finding {
	if w.read == nil {
		return nil
	}
	pairs, worst := map[[2]int]bool{}, -1
	for k, us := range w.hitsUs {
		if us[1] > us[0] {
			pairs[[2]int{w.arcs[k].From, w.arcs[k].To}] = true
			if worst < 0 || w.arcs[k].LevelDB > w.arcs[worst].LevelDB {
				worst = k
			}
		}
	}
	n := len(w.sc.Sensors)
	if worst < 0 {
		but := ""
		if len(w.foreign()) > 0 {
			but = "but for those that fire by themselves, "
		}
		return []plan.Finding{{
			Severity: plan.NotMet, Code: CodeAsRead, Where: "cycle",
			Text: fmt.Sprintf("the cycle lasts, %s; %snot disturbed for what the layout says may stand around, yet its cycle follows the scene and cannot be called clear (%s)", w.asReadText(), but, wallsText(w.sc)),
			Mend: "style: slots",
		}}
	}
	a := w.arcs[worst]
	whose := "late sound of its own"
	if a.From != a.To {
		whose = "sound of " + w.sc.Sensors[a.From].Name
	}
	f := plan.Finding{
		Severity: plan.NotMet, Code: CodeAsRead, Where: w.sc.Sensors[a.To].Name,
		Text: fmt.Sprintf("going on as soon as an echo has come, the cycle lasts, %s, and cannot be called clear: in %d of %d pairs some timing lets foreign or late sound pass for an echo (%s), such as, into %s, %s (%s, %.0f dB over its threshold)",
			w.asReadText(), len(pairs), n*n, wallsText(w.sc), w.sc.Sensors[a.To].Name, whose, pathText(a), a.LevelDB),
		Mend: "style: slots",
	}
	if us, ok := w.try(); ok {
		what := "all of it apart"
		if len(w.foreign()) > 0 {
			what = "apart those that can be told when to fire"
		}
		f.Mend += fmt.Sprintf(" keeps %s: cycle %s, always", what, plan.Milliseconds(us))
	}
	return []plan.Finding{f}
}
