package instance

// refresh is what an answer says where jobs may fire several times a cycle, by job.
type refresh struct {
	FiringsUs [][]int64 `json:"firings_us"` // when it fires
	WidestUs  []int64   `json:"widest_us"`  // the longest from one firing to the next, jitter at its worst
}

func refreshOf(p Problem, t Timetable) *refresh {
	r := &refresh{make([][]int64, len(p.Jobs)), t.Widest(p)}
	for _, f := range t.Firings {
		r.FiringsUs[f.Job] = append(r.FiringsUs[f.Job], f.AtUs)
	}
	return r
}

// Widest is, by job, the longest time from one of its firings to the next, the cycle's end included, jitter of
// both at its worst, in microseconds.
func (t Timetable) Widest(p Problem) []int64 {
	widest, first, last := make([]int64, len(p.Jobs)), make([]int64, len(p.Jobs)), make([]int64, len(p.Jobs))
	for j := range first {
		first[j] = -1
	}
	for _, f := range t.Firings {
		if first[f.Job] < 0 {
			first[f.Job] = f.AtUs
		} else {
			widest[f.Job] = max(widest[f.Job], f.AtUs-last[f.Job]+2*p.JitterUs)
		}
		last[f.Job] = f.AtUs
	}
	for j := range widest {
		widest[j] = max(widest[j], first[j]+t.CycleUs-last[j]+2*p.JitterUs)
	}
	return widest
}
