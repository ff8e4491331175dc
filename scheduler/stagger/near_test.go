package stagger

import (
	"context"
	"slices"
	"testing"

	"echowright/scheduler/bound"
	"echowright/scheduler/schedulertest"
)

// keeps tells whether no distance of a timetable lies in a span, moved by any cycles.
func (m *model) keeps(t least) bool {
	for _, b := range m.between {
		d := t.at[b.v] - t.at[b.u]
		for _, s := range b.spans {
			for k := floorDiv(d-s.before, t.period) - 1; k <= floorDiv(d-s.after, t.period)+1; k++ {
				if s.after+k*t.period < d && d < s.before+k*t.period {
					return false
				}
			}
		}
	}
	return true
}

// Looking near alone, from jobs that fire far apart: each timetable found is right, none is shorter than the shortest,
// and none is claimed to be the shortest that is not; twice comes to the same.
func TestNearAlone(t *testing.T) {
	shortest := 0
	const tries = 24
	for seed := range uint64(tries) {
		n := 5 + int(seed%4)
		m := lay(schedulertest.Spans(n, 90, seed), Extra{})
		far := least{at: make([]int64, m.n), period: int64(n) * 120_000}
		for b := range far.at {
			far.at[b] = int64(b-m.ref+n) % int64(n) * 120_000
		}
		if !m.keeps(far) {
			t.Fatal("the first timetable is wrong")
		}
		meter := bound.NewMeter(context.Background(), 0)
		best := far
		for e := newEngine(m, m.least(), best.period-1, meter); e.search(1<<40) == found; e.narrow(m.least(), best.period-1) {
			best = e.found
		}
		var ends []int64
		for range 2 {
			s := &solver{m: m, meter: meter, best: far, floor: m.least()}
			s.far = m.far()
			s.closer(s.engine(far.period-1), 400)
			switch {
			case !m.keeps(s.best):
				t.Fatalf("%d: %+v is wrong", seed, s.best)
			case s.best.period < best.period || s.floor > best.period:
				t.Fatalf("%d: %d, at least %d; the shortest is %d", seed, s.best.period, s.floor, best.period)
			case s.best.period == far.period:
				t.Errorf("%d: nothing found", seed)
			}
			ends = append(ends, s.best.period, s.floor)
		}
		if !slices.Equal(ends[:2], ends[2:]) {
			t.Fatalf("%d: %v", seed, ends)
		}
		if ends[0] == best.period {
			shortest++
		}
	}
	if shortest < tries/2 {
		t.Errorf("only %d of %d came to the shortest", shortest, tries)
	}
}

// With all blocks kept in order, what is found is what pressing together finds, and then nothing closer.
func TestNearNoneLoose(t *testing.T) {
	meter := bound.NewMeter(context.Background(), 0)
	for seed := range uint64(12) {
		m := lay(schedulertest.Spans(8, 90, seed), Extra{})
		best := least{at: make([]int64, m.n), period: 8 * 120_000}
		for b := range best.at {
			best.at[b] = int64(b-m.ref+8) % 8 * 120_000
		}
		want := m.squeeze(best, m.least(), meter).period
		e := newEngine(m, m.least(), best.period-1, meter)
		n := &near{chance: newNear().chance, loose: 0}
		got := found
		for tries := 0; got == found && tries < 50; tries++ {
			n.let(e, m, best)
			if got = e.search(1 << 40); got == found {
				best = e.found
				e.narrow(m.least(), best.period-1)
			}
		}
		if best.period != want || got != closed && got != nothing {
			t.Errorf("%d: %d, outcome %d; pressed together %d", seed, best.period, got, want)
		}
	}
}
