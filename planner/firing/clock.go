// Package firing turns sensors and disturbances into a scheduler's problem and its answer into a firing plan.
//
// In: a scene, the acoustics of its sensors, the arcs of package crosstalk. Out: each sensor's clockwork, a plan.Schedule
// that the scheduler's own checker has replayed, the arcs as the Plan shows them, and findings in words.
//
//	planner/crosstalk ─► firing ─► scheduler ─► check
//
// Times count from a sensor's trigger, in whole microseconds, always rounded to the unfavourable side. Jitter, the
// controller's tick and clock error widen every span before anything is solved.
package firing

import (
	"math"
	"time"

	"echowright/planner/acoustics"
	"echowright/planner/scene"
)

// Clock is one sensor's clockwork in this layout, from its trigger.
type Clock struct {
	OpenUs     int64 // earliest it can take sound for an echo
	DeafUs     int64 // latest end of its deafness: from here on it takes sound for certain
	CloseUs    int64 // latest it may still take sound
	BusyUs     int64 // line free and answer fetched
	RestUs     int64 // from then to the next trigger at the least
	TransferUs int64 // part of BusyUs: fetching the answer
	// NeedsUs is the window the wanted range needs; a module that cannot be told listens until CloseUs all the same.
	NeedsUs int64
	// ListenM is the farthest distance its window admits for certain, m.
	ListenM float64
	// DelayUs is how much later than planned it may fire in some cycles. The times above count from the firing as it then comes; the
	// scheduler is given jobs that end so much later.
	DelayUs int64
}

// Clocks returns the clockwork of every sensor; ears[i] belongs to sc.Sensors[i].
func Clocks(sc *scene.Scene, ears []*acoustics.Ear) []Clock {
	clocks := make([]Clock, len(ears))
	for i, e := range ears {
		clocks[i] = ClockOf(sc, i, e.Model())
	}
	return clocks
}

// ClockOf returns the clockwork of sensor i, whose kind is m's.
//
// It opens with the earliest end of its deafness, or, if what its kind shows for a target too near is its least distance
// or not known, with its earliest burst: then a foreign sound is not known to be ignored before. It closes with the window,
// where that can be set or the controller times it, else with the module's own time-out, whatever is wanted. It is busy
// while its line is held when nothing answers, and until its answer is fetched.
func ClockOf(sc *scene.Scene, i int, m *acoustics.Model) Clock {
	s := sc.Sensors[i]
	k := sc.Kinds[s.Kind]
	want := s.ListenM
	if want == 0 {
		want = ListenRange(sc, i, reach(sc, m))
	}
	needs := m.ListenUntil(want)
	closes := needs
	if !settable(k) && k.Timing.BusyWithoutEcho > 0 {
		closes = k.Timing.BusyWithoutEcho
	}
	opens := m.BlindEarliest()
	if k.InsideReads == scene.ReadsLeast || k.InsideReads == scene.ReadsUnknown {
		opens = k.Timing.TriggerToBurst.Lo
	}
	answered := closes
	if k.Timing.AnswerAfter > 0 {
		answered = k.Timing.AnswerAfter
	}
	busy := max(k.Timing.BusyWithoutEcho, answered+k.Timing.Transfer)
	hears := closes // a foreign sound is never known to be ignored sooner, but its own echo is lost with the line
	for _, end := range []time.Duration{k.Timing.BusyWithoutEcho, k.Timing.AnswerAfter} {
		if end > 0 {
			hears = min(hears, end)
		}
	}
	late := newLateness(sc)
	c := Clock{
		OpenUs:     late.least(opens),
		DeafUs:     late.most(m.BlindUntil()),
		CloseUs:    late.most(closes),
		BusyUs:     late.most(busy),
		RestUs:     late.most(k.Timing.Rest),
		TransferUs: late.most(k.Timing.Transfer),
		NeedsUs:    late.most(needs),
		ListenM:    m.ListensM(hears),
	}
	c.CloseUs = max(c.CloseUs, c.OpenUs, c.DeafUs)
	return c
}

// settable reports whether a window wanted is a window had.
func settable(k scene.Kind) bool {
	return k.Timing.By == scene.ByController || k.Timing.WindowSettable
}

// lateness is how far a time may be off by the controller's clock: a share of it, and a tick.
type lateness struct {
	share float64
	tick  time.Duration
}

func newLateness(sc *scene.Scene) lateness {
	return lateness{sc.Controller.ClockError, sc.Controller.Tick}
}

func (l lateness) least(d time.Duration) int64 {
	return max(0, int64(math.Floor((float64(d)*(1-l.share)-float64(l.tick))/1e3)))
}

// most leaves no time at all as it is.
func (l lateness) most(d time.Duration) int64 {
	if d == 0 {
		return 0
	}
	return int64(math.Ceil((float64(d)*(1+l.share) + float64(l.tick)) / 1e3))
}

// reach is the farthest distance, m, at which a model sees any target asked for by a zone, for certain.
func reach(sc *scene.Scene, m *acoustics.Model) float64 {
	far := 0.0
	for _, z := range sc.Zones {
		most, _ := m.ReachM(sc.Targets[z.Target])
		far = math.Max(far, most)
	}
	if far == 0 {
		for _, r := range m.Kind().Ranges {
			far = math.Max(far, r.M.X)
		}
	}
	return far
}
