package delays_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/delays"
	"echowright/scheduler/instance"
	"echowright/scheduler/schedulertest"
)

// Random problems in slots: a table that rises, played with every firing in its cycle's delay, keeps all that is asked, guard too, and
// is no longer than the one made for any delay; where the order of the groups does not matter and none holds two classes, it
// is longer than without delays by the greatest delay alone.
func TestRisingTables(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 7))
	rose, ordered, exact, shorter := 0, 0, 0, 0
	for round := range 400 {
		p := schedulertest.Random(r, 2+r.IntN(6), 40)
		if round%2 == 0 {
			p = schedulertest.Plain(r, 2+r.IntN(6))
		}
		if p.Possible() != nil {
			continue
		}
		h := delays.Hearing{Jobs: len(p.Jobs), Alike: append(append([][]int{}, p.Together...), p.Order...)}
		for _, a := range p.Arcs {
			if a.From != a.To {
				h.Pairs = append(h.Pairs, [2]int{a.From, a.To})
			}
		}
		base, err := scheduler.Solve(context.Background(), p, scheduler.Options{})
		if err != nil {
			t.Fatal(err)
		}
		c, err := delays.Classify(context.Background(), h, base.Groups, scheduler.Options{})
		if err != nil {
			t.Fatal(err)
		}
		us := make([]int64, c.Count)
		for k := range us {
			us[k] = int64(2*k+1) * (1 + r.Int64N(3))
			if k > 0 {
				us[k] = max(us[k], us[k-1])
			}
		}
		got, of, ok := delays.Rise(p, base, c, us)
		if !ok {
			continue
		}
		rose++
		if base.Ordered {
			ordered++
		}
		late, most := make([]int64, len(of)), int64(0)
		for j, k := range of {
			late[j] = us[k]
			most = max(most, us[k])
		}
		for _, pair := range c.Pairs {
			if of[pair[0]] == of[pair[1]] {
				t.Fatalf("round %d: %v have one delay", round, pair)
			}
		}
		if why := clashes(p, got, func(j, n int) int64 { return int64(n%2) * late[j] }); why != "" {
			t.Fatalf("round %d: %s\n%+v\n%+v", round, why, p, got)
		}
		if why := guarded(p, got, late); why != "" {
			t.Fatalf("round %d: %s\n%+v\n%+v %v", round, why, p, got, late)
		}
		mixed := false
		for _, g := range got.Groups {
			for _, j := range g {
				mixed = mixed || of[j] != of[g[0]]
			}
		}
		if !mixed && !base.Ordered && !rests(p) {
			exact++
			if got.CycleUs != base.CycleUs+most {
				t.Errorf("round %d: %d us, %d without, delays up to %d", round, got.CycleUs, base.CycleUs, most)
			}
		}
		if w := delays.Widen(p, late); w.Possible() == nil {
			any, err := scheduler.Solve(context.Background(), w, scheduler.Options{})
			if err == nil && any.CycleUs > got.CycleUs {
				shorter++
			}
		}
	}
	if rose < 150 || ordered < 40 || exact < 30 || shorter < 30 {
		t.Errorf("%d rose, %d of them ordered, %d exact, %d shorter than for any delay: too few to tell", rose, ordered, exact, shorter)
	}
	t.Logf("%d rose, %d of them ordered, %d exact, %d shorter than for any delay", rose, ordered, exact, shorter)
}

func rests(p instance.Problem) bool {
	for _, j := range p.Jobs {
		if j.RestUs > 0 {
			return true
		}
	}
	return false
}

// guarded plays the groups: between the end of every job and the firings of the next group lies the guard, jitter at its worst.
func guarded(p instance.Problem, t instance.Timetable, late []int64) string {
	occupied := p.OccupiedUs()
	at := make([]int64, len(p.Jobs))
	for _, f := range t.Firings {
		at[f.Job] = f.AtUs
	}
	for n := range int64(4) {
		for g, jobs := range t.Groups {
			next, m := (g+1)%len(t.Groups), n
			if next == 0 {
				m++
			}
			for _, i := range jobs {
				for _, j := range t.Groups[next] {
					ends, fires := at[i]+n*t.CycleUs+n%2*late[i]+occupied[i], at[j]+m*t.CycleUs+m%2*late[j]
					if ends+p.GuardUs+2*p.JitterUs > fires {
						return "a group fires before the guard is over"
					}
				}
			}
		}
	}
	return ""
}

// Hold refuses what a microsecond less of the cycle lets in, for most tables: where it does not, the cycle was bound by another
// demand that Hold does not know, the guard of slots.
func TestHoldRefuses(t *testing.T) {
	p := instance.Problem{Jobs: []instance.Job{{OpenUs: 1, CloseUs: 10}, {OpenUs: 1, CloseUs: 10}}, Arcs: []instance.Arc{{From: 0, To: 1, FromUs: 0, UntilUs: 12}, {From: 1, To: 0, FromUs: 0, UntilUs: 12}}}
	table := instance.Timetable{CycleUs: 22 + 3, Firings: []instance.Firing{{Job: 0, AtUs: 0}, {Job: 1, AtUs: 11}}}
	tables := [][]int64{{0, 1}, {0, 3}}
	if err := delays.Hold(p, table, tables); err != nil {
		t.Error(err)
	}
	table.CycleUs--
	if delays.Hold(p, table, tables) == nil {
		t.Error("sound of the cycle before is let in")
	}
	table.CycleUs, table.Firings[1].AtUs = 30, 10
	if delays.Hold(p, table, tables) == nil {
		t.Error("sound of this cycle is let in")
	}
	table.Firings[1].AtUs = 11
	if delays.Hold(p, table, [][]int64{{0, 3}, {0, 1}}) == nil {
		t.Error("falling delays are let in")
	}
	q := p
	q.Arcs, q.Jobs = nil, []instance.Job{{OpenUs: 1, CloseUs: 10, BusyUs: 12, RestUs: 10}, p.Jobs[1]}
	table.CycleUs = 22
	if delays.Hold(q, table, tables) == nil {
		t.Error("a job does not rest")
	}
}
