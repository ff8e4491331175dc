package schedulertest

import (
	"math/bits"

	"echowright/scheduler/instance"
)

// Often returns the least cycle up to most (at most 30) in which jobs fire as often as they ask, by trying every set of
// whole microseconds for every job, in every cycle from the least on; 0: none. It reads the rules off the problem directly, as Offsets
// and Brute do. Jobs of chains fire once.
func Often(p instance.Problem, most int64) int64 {
	for t := int64(1); t <= most; t++ {
		o := &often{offsets: newOffsets(p, t), sets: make([]uint32, len(p.Jobs))}
		if o.place(0) {
			return t
		}
	}
	return 0
}

type often struct {
	*offsets
	sets []uint32 // by job: when it fires
}

func (o *often) place(i int) bool {
	if i == len(o.p.Jobs) {
		return o.shared()
	}
	for set := uint32(1); set < 1<<o.period; set++ {
		if i == 0 && set&1 == 0 && len(o.p.Order) == 0 {
			continue // the cycle may begin anywhere
		}
		if o.sets[i] = set; !o.keeps(i) {
			continue
		}
		ok := true
		for j := 0; ok && j <= i; j++ {
			ok = o.pairs(i, j)
		}
		if ok && o.place(i+1) {
			return true
		}
	}
	return false
}

// keeps looks at the gaps of job i.
func (o *often) keeps(i int) bool {
	for _, chain := range o.p.Order {
		if has(chain, i) && bits.OnesCount32(o.sets[i]) > 1 {
			return false
		}
	}
	every := o.p.Jobs[i].EveryUs
	if every == 0 {
		return true
	}
	first, last := int64(bits.TrailingZeros32(o.sets[i])), int64(-1)
	for at := range o.period {
		if o.sets[i]>>at&1 == 0 {
			continue
		}
		if last >= 0 && at-last+2*o.p.JitterUs > every {
			return false
		}
		last = at
	}
	return first+o.period-last+2*o.p.JitterUs <= every
}

func (o *often) pairs(i, j int) bool {
	for _, s := range o.p.Together {
		if has(s, i) && has(s, j) && o.sets[i] != o.sets[j] {
			return false
		}
	}
	apart := int64(0)
	if o.p.Style == instance.Staggered {
		apart = 2 * o.p.JitterUs
	}
	for _, chain := range o.p.Order {
		for k, x := range chain {
			for _, y := range chain[k+1:] {
				late := int64(bits.TrailingZeros32(o.sets[y]) - bits.TrailingZeros32(o.sets[x]))
				if (x == i && y == j || x == j && y == i) && late <= apart {
					return false
				}
			}
		}
	}
	for a := range o.period {
		for b := range o.period {
			if o.sets[i]>>a&1 != 0 && o.sets[j]>>b&1 != 0 && !o.two(i, j, a, b) {
				return false
			}
		}
	}
	return true
}

// two looks at firings of i and j at a and b in all cycles.
func (o *often) two(i, j int, a, b int64) bool {
	rest := o.p.Jobs[i].BusyUs + o.p.Jobs[i].RestUs + 2*o.p.JitterUs
	if i == j && a != b && ((b-a+o.period)%o.period < rest || (a-b+o.period)%o.period < rest) {
		return false
	}
	if o.p.Style == instance.Slots && i != j {
		if d := (b - a + o.period) % o.period; d != 0 && (d < o.lasts[i] || o.period-d < o.lasts[j]) {
			return false
		}
		if max(o.lasts[i], o.lasts[j]) > o.period {
			return false
		}
	}
	if i == j && a != b {
		// The window or line of one is over when the other begins, and its sound is foreign to that one.
		d := (b - a + o.period) % o.period
		return d >= o.lasts[i] && o.period-d >= o.lasts[i] && o.foreign(i, d)
	}
	o.at[i], o.at[j] = a, b
	key := [3]int64{int64(i), int64(j), b - a}
	was, known := o.ok[key]
	if !known {
		was = o.apart(i, j)
		o.ok[key] = was
	}
	return was
}

// foreign tells whether no sound of a firing of i meets the window of the one d later, whatever the cycles.
func (o *often) foreign(i int, d int64) bool {
	job := o.p.Jobs[i]
	for _, a := range o.p.Arcs {
		if a.From != i || a.To != i {
			continue
		}
		reach := (a.UntilUs+4*o.p.JitterUs)/o.period + 2
		for k := -reach; k <= reach; k++ {
			for _, d := range []int64{d + k*o.period, -d + k*o.period} {
				if a.FromUs-o.p.JitterUs < d+job.CloseUs+o.p.JitterUs && d+job.OpenUs-o.p.JitterUs < a.UntilUs+o.p.JitterUs {
					return false
				}
			}
		}
	}
	return true
}

// shared looks at every moment of a cycle: how many are occupied, and what is in use.
func (o *often) shared() bool {
	p := o.p
	for us := range o.period {
		at, occupied := us+o.period, 0
		for i := range p.Jobs {
			for due := range o.period {
				if o.sets[i]>>due&1 != 0 && (at-due+p.JitterUs)%o.period < o.lasts[i] {
					occupied++
					break
				}
			}
		}
		if p.AtOnce > 0 && occupied > p.AtOnce {
			return false
		}
		for _, r := range p.Resources {
			var sum int64
			for j := range p.Jobs {
				var most int64
				for due := range o.period {
					for k := int64(-2); k <= 2 && o.sets[j]>>due&1 != 0; k++ {
						most = max(most, mostNear(p, r, j, at-due+k*o.period))
					}
				}
				sum += most
			}
			if sum > r.Capacity {
				return false
			}
		}
	}
	return true
}

// Turns tells whether jobs can fire as often as they ask for ever, in whatever cycle, by all that may have been when each
// last fired: for jobs that all ask, with windows, lines, guard, conflicts and a number at once, and nothing else.
func Turns(p instance.Problem) bool {
	o := newOffsets(p, 1)
	foes := make([][]bool, len(p.Jobs))
	for i := range foes {
		foes[i] = make([]bool, len(p.Jobs))
	}
	for _, c := range p.Conflicts {
		foes[c[0]][c[1]], foes[c[1]][c[0]] = true, true
	}
	state := func(since []int64) (s int64) {
		for i, us := range since {
			s = s*(p.Jobs[i].EveryUs+1) + us
		}
		return s
	}
	type verdict int8
	const on, dead verdict = 1, 2
	known := map[int64]verdict{}
	// live looks for a state that comes again; since is how long ago each fired, before it is decided who fires now.
	var live func(since []int64) bool
	live = func(since []int64) bool {
		s := state(since)
		if known[s] != 0 {
			return known[s] == on // on the way here: a cycle
		}
		known[s] = on
		for set := range 1 << len(since) {
			next, ok, occupied := make([]int64, len(since)), true, 0
			busy := false
			for i, us := range since {
				fires := set>>i&1 != 0
				ok = ok && (!fires || us >= o.lasts[i])
				holds := !fires && us < o.lasts[i]
				busy = busy || holds
				if fires || holds {
					occupied++
				}
				for j := range i {
					other := set>>j&1 != 0 || since[j] < o.lasts[j]
					ok = ok && !(foes[i][j] && (fires || holds) && other && (fires || set>>j&1 != 0))
				}
				if next[i] = us + 1; fires {
					next[i] = 1
				}
				ok = ok && next[i] <= p.Jobs[i].EveryUs
			}
			ok = ok && (p.AtOnce == 0 || occupied <= p.AtOnce) && (p.Style == instance.Staggered || set == 0 || !busy)
			if ok && live(next) {
				return true
			}
		}
		known[s] = dead
		return false
	}
	// All may begin as if they had fired as late or as early as could be: try every state that a cycle can pass, one in which
	// the first fires now.
	since := make([]int64, len(p.Jobs))
	var begin func(i int) bool
	begin = func(i int) bool {
		if i == len(since) {
			return live(append([]int64(nil), since...))
		}
		for us := int64(1); us <= p.Jobs[i].EveryUs; us++ {
			since[i] = us
			if begin(i + 1) {
				return true
			}
		}
		return false
	}
	return begin(0)
}
