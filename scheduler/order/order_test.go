package order

import (
	"context"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"echowright/scheduler/bound"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
	"echowright/scheduler/slots"
)

func solve(p instance.Problem) instance.Timetable {
	return Solve(context.Background(), bound.Lay(p), slots.Options{})
}

// four jobs of 10 that must all take turns; the sound of 0 is minded by 1 alone, until 35.
func four() instance.Problem {
	p := st.Windows("", []int64{10, 10, 10, 10}, st.Path(4, 3))
	p.Arcs = []instance.Arc{{From: 0, To: 1, FromUs: 0, UntilUs: 35}}
	return p
}

// Worked out by hand. Waiting for the sound whoever comes next takes 35 + 3 x 10 = 65; with 2 and 3 fired in
// between, 1 may fire at 35 instead of 30: 0, 2, 3, 1 at 0, 10, 20, 35, and round at 45; no less, as 0 must
// fire again 10 after 1 at the least. A chain that leaves only 2 between them: 0, 10, 35, 45, and round at 55.
func TestByHand(t *testing.T) {
	chained := four()
	chained.Order = [][]int{{0, 2, 1, 3}}
	held := four()
	held.Arcs = append(held.Arcs, instance.Arc{From: 1, To: 0, FromUs: 0, UntilUs: 35})
	for _, c := range []struct {
		name  string
		p     instance.Problem
		cycle int64
		says  string
	}{
		{"sound dies while others listen", four(), 45, "10 us + 35 us = 45 us"},
		{"order forbids it", chained, 55, "55 us"},
		{"both mind", held, 70, "35 us + 35 us = 70 us"},
	} {
		tt := solve(c.p)
		if tt.CycleUs != c.cycle || !tt.Proven || st.Brute(c.p) != c.cycle {
			t.Errorf("%s: %d, brute force %d, want %d: %+v", c.name, tt.CycleUs, st.Brute(c.p), c.cycle, tt)
		}
		if !strings.Contains(tt.Why, c.says) || strings.Count(tt.Why, "\n") > 5 {
			t.Errorf("%s: does not say %q:\n%s", c.name, c.says, tt.Why)
		}
	}
}

// More groups than the chromatic number can be shorter: two would do for the path of four (10 and 10, with
// the short ones in them), three cost 12; here the long ones' sound is minded by each other as well.
func TestMoreGroups(t *testing.T) {
	p := st.Windows("", []int64{10, 1, 1, 10}, st.Path(4, 1))
	p.Arcs = []instance.Arc{{From: 0, To: 1, FromUs: 5, UntilUs: 12}, {From: 3, To: 2, FromUs: 5, UntilUs: 12}}
	tt := solve(p)
	if want := st.Brute(p); tt.CycleUs != want || len(tt.Groups) != 3 {
		t.Errorf("%d in %d groups, brute force %d", tt.CycleUs, len(tt.Groups), want)
	}
}

// A sound may pass before a window opens if the group before it does not wait: then later is worse.
func TestEarlierIsAllowed(t *testing.T) {
	p := instance.Problem{
		Jobs:      []instance.Job{{CloseUs: 10}, {CloseUs: 10}, {CloseUs: 10}},
		Conflicts: [][2]int{{0, 1}, {1, 2}, {0, 2}},
		Arcs:      []instance.Arc{{From: 0, To: 1, FromUs: 20, UntilUs: 38}, {From: 0, To: 2, FromUs: 20, UntilUs: 38}},
	}
	// 1 or 2 must fire 10 after 0, so that its window closes at 20; the other only at 38: 48, and no
	// sound of a cycle ago is there any more.
	if tt := solve(p); tt.CycleUs != 48 || st.Brute(p) != 48 || !tt.Proven {
		t.Errorf("%d, brute force %d", tt.CycleUs, st.Brute(p))
	}
}

func possible(r *rand.Rand, n int) instance.Problem {
	for {
		if p := st.Random(r, n, 40); p.Possible() == nil {
			return p
		}
	}
}

// The search proves by itself, from the waiting timetable and the floor of any block alone.
func TestSearchAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	for k := range 400 {
		p := possible(r, 2+k%5)
		l := bound.Lay(p)
		s := &solver{l: l, m: bound.NewMeter(context.Background(), 0), lots: newLots()}
		s.offer(s.waiting(s.fill()))
		s.floor, _ = l.Alone()
		s.ring = newRing(l, takers(l, heaviest(l)))
		for !s.done() {
			s.prove(1 << 40)
		}
		if want := st.Brute(p); s.best.period != want {
			t.Fatalf("problem %d: %d, brute force %d\n%+v", k, s.best.period, want, p)
		}
	}
}

// Neither some blocks alone nor a ring of them asks for more than all do.
func TestFloorsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(43, 44))
	raised := 0
	for k := range 200 {
		p := possible(r, 6)
		want := st.Brute(p)
		l := bound.Lay(p)
		s := &solver{l: l, m: bound.NewMeter(context.Background(), 0), lots: newLots()}
		s.start(10)
		before := s.floor
		s.few(3, 1000)
		s.few(4, 1000)
		if s.floor > before {
			raised++
		}
		se := newSearch(l, newApart(l, s.floor, s.best.period), s.ring, nil, s.m, nil)
		if us := s.ring.least(se.ln); s.floor > want || us > want {
			t.Fatalf("problem %d: floor %d, ring %d, brute force %d\n%+v", k, s.floor, us, want, p)
		}
	}
	if raised < 5 {
		t.Errorf("only %d floors raised by few", raised)
	}
}

// The matrix is kept as if worked out anew, and undo brings back all that was.
func TestLine(t *testing.T) {
	r := rand.New(rand.NewPCG(45, 46))
	for range 200 {
		l := bound.Lay(possible(r, 7))
		n := len(l.Blocks)
		hi := int64(600)
		ln := newLine(l, newApart(l, 1, hi))
		var marks []mark
		var before [][]int64
		for _, v := range r.Perm(n) {
			var places []place
			for at := range ln.rows {
				places = append(places, place{at, false}, place{at + 1, true})
			}
			if len(ln.rows) == 0 {
				places = append(places, place{0, true})
			}
			pl := places[r.IntN(len(places))]
			if !ln.fits(v, pl) {
				continue
			}
			before = append(before, slices.Clone(ln.saveD()))
			marks = append(marks, ln.put(v, pl))
			if got, want := ln.saveD(), anew(ln); !slices.Equal(got, want) {
				t.Fatalf("matrix %v, anew %v", got, want)
			}
		}
		for k := len(marks) - 1; k >= 0; k-- {
			ln.undo(marks[k])
			if !slices.Equal(ln.saveD(), before[k]) || len(ln.rows) != len(ln.in) {
				t.Fatalf("undone: %v, was %v", ln.saveD(), before[k])
			}
		}
	}
}

// anew is the matrix by Floyd and Warshall from the blocks' distances.
func anew(ln *line) []int64 {
	m := len(ln.in)
	d := make([]int64, m*m)
	at := make([]int, m)
	for k, g := range ln.rows {
		at[g] = k
	}
	for g := range m {
		for h := range m {
			if g == h {
				continue
			}
			d[g*m+h] = -never
			for _, u := range ln.in[g] {
				for _, v := range ln.in[h] {
					us := ln.p.least[u*ln.size+v]
					if at[g] > at[h] {
						us = -ln.p.most[v*ln.size+u]
					}
					d[g*m+h] = max(d[g*m+h], us)
				}
			}
		}
	}
	for k := range m {
		for g := range m {
			for h := range m {
				d[g*m+h] = max(d[g*m+h], d[g*m+k]+d[k*m+h])
			}
		}
	}
	return d
}

// The same work gives the same answer, wherever it is cut.
func TestSameWorkSameAnswer(t *testing.T) {
	p := st.Echoes(28, 7, 200, 1)
	for _, nodes := range []int64{1, 500, 20_000} {
		a := Solve(context.Background(), bound.Lay(p), slots.Options{Nodes: nodes})
		b := Solve(context.Background(), bound.Lay(p), slots.Options{Nodes: nodes})
		if a.CycleUs != b.CycleUs || a.LowerBoundUs != b.LowerBoundUs || a.Why != b.Why || a.Nodes != b.Nodes {
			t.Errorf("%d nodes: %d and %d us, at least %d and %d", nodes, a.CycleUs, b.CycleUs, a.LowerBoundUs, b.LowerBoundUs)
		}
	}
}

// tour must equal the least over all orders, written out.
func TestTourAgainstAllOrders(t *testing.T) {
	lots := rand.New(rand.NewPCG(3, 9))
	for k := 3; k <= 8; k++ {
		for range 30 {
			r := &ring{gap: make([]int64, k*k)}
			for i := range k {
				r.blocks = append(r.blocks, i)
				for j := range k {
					r.gap[i*k+j] = 1 + lots.Int64N(1000)
				}
			}
			around := func(order []int) (us int64) {
				for p, i := range order {
					us += r.gap[i*k+order[(p+1)%k]]
				}
				return us
			}
			want := never
			orders(r.blocks[1:], func(rest []int) { want = min(want, around(append([]int{0}, rest...))) })
			got, order := r.tour(bound.NewMeter(context.Background(), 0).Part(1e9))
			if got != want || around(order) != want || len(order) != k {
				t.Fatalf("k=%d: tour %d by %v, want %d", k, got, order, want)
			}
		}
	}
}

func TestFraction(t *testing.T) {
	for _, c := range [][4]int64{{7, 3, 4, 5}, {1 << 60, 1 << 40, 1 << 41, 1 << 59}, {5, 0, 9, 0}, {1<<62 - 1, 11, 11, 1<<62 - 1}} {
		if got := fraction(c[0], c[1], c[2]); got != c[3] {
			t.Errorf("%d·%d/%d: %d, want %d", c[0], c[1], c[2], got, c[3])
		}
	}
}

// After any moves and after undoing each, gaps are those of the blocks in the groups, and the row with its times
// stands up to the checker.
func TestShift(t *testing.T) {
	r := rand.New(rand.NewPCG(35, 36))
	better := 0
	for k := range 300 {
		p := st.Random(r, 4+r.IntN(8), 20)
		p.Order = nil
		if p.Possible() != nil {
			continue
		}
		l := bound.Lay(p)
		n := len(l.Blocks)
		if n < 2 {
			continue
		}
		s := &solver{l: l, o: slots.Options{Bare: true}, m: bound.NewMeter(context.Background(), 0), lots: newLots()}
		s.offer(s.waiting(s.fill()))
		sh := newShift(l, s.lots)
		sh.load(s.best.groups)
		for move := range 200 {
			before := sh.groups()
			if sh.move() && r.IntN(2) == 0 {
				sh.undo()
				if after := sh.groups(); !reflect.DeepEqual(before, after) {
					t.Fatalf("problem %d, move %d: undone %v, before %v", k, move, after, before)
				}
			}
			placed := 0
			for _, g := range sh.row {
				placed += len(sh.in[g])
				for _, h := range sh.row {
					if got, want := sh.gap[g*n+h], sh.between(g, h); got != want {
						t.Fatalf("problem %d, move %d: gap %d, want %d", k, move, got, want)
					}
				}
			}
			if placed != n || len(sh.row)+len(sh.idle) != n {
				t.Fatalf("problem %d, move %d: %d of %d blocks in %d groups, %d idle", k, move, placed, n, len(sh.row), len(sh.idle))
			}
		}
		alone, _ := l.Alone()
		sh.run(20, 5, s.m.Part(1e6), func(t timing) {
			t.period = max(t.period, alone)
			s.offer(t)
			better++
		})
		if err := check.Check(p, s.timetable()); err != nil {
			t.Fatalf("problem %d: %v\n%+v", k, err, p)
		}
	}
	if better < 100 {
		t.Errorf("only %d rows bettered", better)
	}
}
