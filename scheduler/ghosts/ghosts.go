// Package ghosts plays delays of firing cycle by cycle and says which foreign sounds a rule lets pass: a reading counts if it
// differs from the one before by no more than a threshold. It shares no code with what chooses delays and believes nothing it says.
//
//	scheduler/ghosts ─► nothing
//
// In: a cycle, its jitter, a delay for each job and cycle, the threshold. Out: the sounds that would count, and the true echoes that
// would not. Every instant is an interval from its earliest to its latest, so that jitter and speed are at their worst each by
// itself. It does not ask whether a sound lies in a window: it is taken to, twice in a row.
package ghosts

import "math"

// Rule is what is played.
type Rule struct {
	CycleUs     int64
	FiringUs    int64     // each firing is off by up to this, either way
	ReadingUs   int64     // each reading is off by up to this, either way
	ThresholdUs int64     // two readings in a row agree if they differ by no more
	Drift       float64   // a path's time changes by up to this share of the time between two firings
	DelaysUs    [][]int64 // of each job, a cycle an entry; they repeat
}

// Ghost is a sound that may count: of From, fired Back cycles before To, read by To in Cycle and the one after it.
type Ghost struct{ From, To, Back, Cycle int }

// span is a time that is not known any better, microseconds.
type span struct{ lo, hi float64 }

func (s span) plus(t span) span  { return span{s.lo + t.lo, s.hi + t.hi} }
func (s span) minus(t span) span { return span{s.lo - t.hi, s.hi - t.lo} }

func around(us int64) span { return span{-float64(us), float64(us)} }

// fires is when job j fires in cycle n, which may be below 0.
func (r Rule) fires(j, n int) span {
	table := r.DelaysUs[j]
	at := float64(int64(n)*r.CycleUs + table[((n%len(table))+len(table))%len(table)])
	return span{at, at}.plus(around(r.FiringUs))
}

// differ is by how much two readings of job to in a row differ, taken in cycle n and the one after it, of sound of job from that is
// so many cycles old. The way of the sound is as long as one likes at first; it then changes by the drift.
func (r Rule) differ(from, to, back, n int) span {
	first, then := r.fires(from, n-back), r.fires(from, n+1-back)
	drift := r.Drift * (then.hi - first.lo)
	changed := span{-drift, drift}
	read := first.minus(r.fires(to, n)).plus(around(r.ReadingUs))
	again := then.plus(changed).minus(r.fires(to, n+1)).plus(around(r.ReadingUs))
	return again.minus(read)
}

// cycles after which the delays of two jobs repeat.
func (r Rule) cycles(i, j int) int {
	a, b := len(r.DelaysUs[i]), len(r.DelaysUs[j])
	for x, y := a, b; ; x, y = y, x%y {
		if y == 0 {
			return a / x * b
		}
	}
}

// Accepted lists the sounds of each pair, sender first, that may count in some cycle, up to most cycles old, of each pair and age
// the first. A job with itself has sound from one cycle old on: in its own cycle it is its echo.
func (r Rule) Accepted(pairs [][2]int, most int) (list []Ghost) {
	for _, p := range pairs {
		for back := range most + 1 {
			if p[0] == p[1] && back == 0 {
				continue
			}
			for n := range r.cycles(p[0], p[1]) {
				if d := r.differ(p[0], p[1], back, n); d.lo <= float64(r.ThresholdUs) && d.hi >= -float64(r.ThresholdUs) {
					list = append(list, Ghost{p[0], p[1], back, n})
					break
				}
			}
		}
	}
	return list
}

// Lost lists the jobs whose true echo, of a thing that draws near or away as fast as may be, does not count in some cycle.
func (r Rule) Lost() (jobs []int) {
	for j, table := range r.DelaysUs {
		for n := range table {
			first, then := r.fires(j, n), r.fires(j, n+1)
			change := r.Drift*(then.hi-first.lo) + 2*float64(r.FiringUs+r.ReadingUs)
			if math.Abs(change) > float64(r.ThresholdUs) {
				jobs = append(jobs, j)
				break
			}
		}
	}
	return jobs
}
