package firing

// pace is what one group takes of the cycle.
type pace struct {
	us     int64 // from its firing to the next group's
	doneUs int64 // until the last of its jobs is done
	// lateUs is until its sound can no longer be taken by the next group, where that is longer than done and guard; else 0.
	lateUs int64
	// waitUs is what it waits beyond that: for a job's rest, or for sound of an earlier group.
	waitUs int64
}

// setPaces reads from the starts of the groups what each of them takes, and of each job for how long its sound is in the
// way of whoever fires next. Where the order of the groups does not matter, that is anyone.
func (w *work) setPaces() {
	w.paces, w.late = make([]pace, len(w.t.Groups)), make([]turn, len(w.p.Jobs))
	for j := range w.late {
		w.late[j] = turn{cause: late, to: -1}
	}
	w.group = make([]int, len(w.p.Jobs))
	if w.cannot != nil {
		return
	}
	w.occupied = w.p.OccupiedUs()
	starts := w.starts()
	for g, jobs := range w.t.Groups {
		p := pace{us: w.t.CycleUs - starts[g]}
		if g+1 < len(starts) {
			p.us = starts[g+1] - starts[g]
		}
		for _, j := range jobs {
			w.group[j] = g
			p.doneUs = max(p.doneUs, w.occupied[j])
		}
		w.paces[g] = p
	}
	for _, a := range w.p.Arcs {
		g := w.group[a.From]
		next := w.group[a.To] == (g+1)%len(w.paces)
		p := &w.paces[g]
		_, us := lags(w.p, a)
		if next && us <= p.us && us > p.doneUs+pauseUs(w.p) {
			p.lateUs = max(p.lateUs, us)
		}
		if (w.t.Ordered || w.isStaggered()) && (!next || us > p.us) {
			continue
		}
		if us > w.late[a.From].us {
			w.late[a.From] = turn{us: us, cause: late, to: a.To}
		}
	}
	for g := range w.paces {
		p := &w.paces[g]
		if w.isStaggered() { // groups do not wait for one another
			continue
		}
		p.waitUs = p.us - max(p.lateUs, p.doneUs+pauseUs(w.p))
	}
}

// starts are the instants the groups fire at.
func (w *work) starts() []int64 {
	at := map[int]int64{}
	for _, f := range w.t.Firings {
		at[f.Job] = f.AtUs
	}
	out := make([]int64, len(w.t.Groups))
	for g, jobs := range w.t.Groups {
		out[g] = at[jobs[0]]
	}
	return out
}

// waiting is how much of the cycle is waited with nobody at work and no sound in the way of the next group.
func (w *work) waiting() (us int64) {
	for _, p := range w.paces {
		us += p.waitUs
	}
	return us
}

// rests is the job whose rest makes the cycle as long as it is, or -1.
func (w *work) rests() int {
	for j, job := range w.p.Jobs {
		if w.waiting() > 0 && job.RestUs > 0 && job.BusyUs+job.RestUs+2*w.p.JitterUs == w.t.CycleUs {
			return j
		}
	}
	return -1
}

// cause is what makes a job hold up the next group as long as it does.
type cause int

const (
	window cause = iota
	held         // its line or transfer is occupied
	late         // its sound can still be taken by a listener to come
)

// turn is how long a job holds up the next group: of late sound in all, else until the guard.
type turn struct {
	us    int64
	cause cause
	to    int // listener that could still take its sound
}

func (w *work) turn(job int) turn {
	us := w.occupied[job]
	if l := w.late[job]; l.us > us+pauseUs(w.p) {
		return l
	}
	if us > w.p.Jobs[job].CloseUs {
		return turn{us: us, cause: held, to: -1}
	}
	return turn{us: us, cause: window, to: -1}
}

// longest is the job that makes a group as long as it is.
func (w *work) longest(jobs []int) (job int, t turn) {
	job, most := -1, int64(0)
	for _, j := range jobs {
		u := w.turn(j)
		us := u.us
		if u.cause != late {
			us += pauseUs(w.p)
		}
		if job < 0 || us > most {
			job, t, most = j, u, us
		}
	}
	return job, t
}
