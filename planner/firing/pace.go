package firing

import "slices"

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
			p.doneUs = max(p.doneUs, w.occupied[j])
		}
		w.paces[g] = p
	}
	fired := w.firedIn()
	for _, a := range w.p.Arcs {
		_, us := lags(w.p, a)
		for _, g := range fired[a.From] {
			next := slices.Contains(fired[a.To], (g+1)%len(w.paces))
			p := &w.paces[g]
			if next && us <= p.us && us > p.doneUs+pauseUs(w.p) {
				p.lateUs = max(p.lateUs, us)
			}
			if (w.t.Ordered || w.ownTimes()) && (!next || us > p.us) {
				continue
			}
			if us > w.late[a.From].us {
				w.late[a.From] = turn{us: us, cause: late, to: a.To}
			}
		}
	}
	for g := range w.paces {
		p := &w.paces[g]
		if w.ownTimes() { // groups do not wait for one another alone
			continue
		}
		p.waitUs = p.us - max(p.lateUs, p.doneUs+pauseUs(w.p))
	}
}

// firedIn lists the groups that each job fires in.
func (w *work) firedIn() [][]int {
	in := make([][]int, len(w.p.Jobs))
	for g, jobs := range w.t.Groups {
		for _, j := range jobs {
			in[j] = append(in[j], g)
		}
	}
	return in
}

// starts are the instants the groups fire at.
func (w *work) starts() []int64 {
	out := make([]int64, len(w.t.Groups))
	k := 0
	for g, jobs := range w.t.Groups {
		out[g] = w.t.Firings[k].AtUs
		k += len(jobs)
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
