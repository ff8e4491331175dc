package firing

import (
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/scene"
)

const us = time.Microsecond

// s1's sound can be taken by s2 until 30 ms and s2 is deaf for 1 ms; s2 is done 10 ms after its firing. With jitter J, s2 may
// fire early and s1 late: 30 - 1 + 2J after s1; and s1 early, s2 late: 10 + guard + 2J after s2. By hand 40 ms + 4J.
func TestJitterWidensSoundAndGuardOnce(t *testing.T) {
	for _, j := range []time.Duration{0, 1, 50 * us, 50*us + 1, 700 * us} {
		sc := bench(2, 1)
		sc.Wishes = scene.Wishes{Guard: ms, Jitter: j}
		r := solve(t, sc, clocks(2, 10*ms, 0), []crosstalk.Arc{arc(0, 1, 15*ms, 30*ms)})
		whole := (j + us - 1).Microseconds() // in whole microseconds, never less
		s := r.Schedule
		if want := 40000 + 4*whole; s.CycleUs != want || !s.Proven || !addsUp(firstLine(s.Why), want) {
			t.Errorf("jitter %v: cycle %d us, want %d: %s", j, s.CycleUs, want, s.Why)
		}
		if a := r.Arcs[0]; a.FromUs != 15000-2*whole || a.UntilUs != 30000+2*whole {
			t.Errorf("jitter %v: shown from %d to %d us", j, a.FromUs, a.UntilUs)
		}
		for _, f := range s.Firings {
			if want := 30000 + 2*whole; f.Sensor == "s1" && f.LateUntilUs != f.AtUs+want {
				t.Errorf("jitter %v: sound of s1 late until %d us, want %d", j, f.LateUntilUs, want)
			}
		}
	}
}

// Two bursts, or two answers on one serial line, 0.2 ms apart may share a group with jitter of 0.1 ms and not with a
// microsecond more.
func TestJitterWidensUsesOnce(t *testing.T) {
	between := func(lo, hi time.Duration) scene.Timing {
		return scene.Timing{By: scene.ByModule, TriggerToBurst: scene.TimeSpan{Lo: lo, Hi: lo}, Burst: hi - lo}
	}
	for name, change := range map[string]func(sc *scene.Scene, c []Clock){
		"the rail": func(sc *scene.Scene, _ []Clock) {
			sc.Kinds[0].Timing, sc.Kinds[1].Timing = between(200*us, 400*us), between(600*us, 900*us)
			sc.Kinds[0].Supply.PeakA.X, sc.Kinds[1].Supply.PeakA.X, sc.Controller.RailLimitA = 0.15, 0.15, 0.2
		},
		"a serial line": func(sc *scene.Scene, c []Clock) {
			sc.Kinds[0].Timing.AnswerAfter, sc.Kinds[1].Timing.AnswerAfter = 10*ms, 12200*us
			sc.Kinds[0].Interface, sc.Kinds[1].Interface = scene.Serial, scene.Serial
			c[0].BusyUs, c[1].BusyUs, c[0].TransferUs, c[1].TransferUs = 12000, 14200, 2000, 2000
			sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, Bus: "b"}}
		},
	} {
		for j, want := range map[time.Duration]int{0: 1, 100 * us: 1, 101 * us: 2} {
			sc, c := bench(2, 2), clocks(2, 10*ms, 0)
			sc.Kinds = append(sc.Kinds, sc.Kinds[0])
			sc.Sensors[1].Kind = 1
			sc.Wishes.Jitter = j
			change(sc, c)
			if s := solve(t, sc, c, nil).Schedule; len(s.Groups) != want {
				t.Errorf("%s, jitter %v: groups %v", name, j, s.Groups)
			}
		}
	}
}
