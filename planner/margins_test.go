package planner

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/golang/geo/s1"

	"echowright/layouts"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// demo is a sample layout, with some of its text replaced.
func demo(t testing.TB, name string, replace ...string) *scene.Scene {
	t.Helper()
	data, err := layouts.FS.ReadFile(name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer(replace...).Replace(string(data))
	if len(replace) > 0 && text == string(data) {
		t.Fatalf("%s holds nothing of %q", name, replace)
	}
	return sceneOf(t, name, []byte(text))
}

func marginsOf(t testing.TB, sc *scene.Scene) (*plan.Plan, *plan.Margins) {
	t.Helper()
	p, err := Analyse(context.Background(), sc, Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	m, err := Margins(context.Background(), sc, p)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.NotReckoned) > 0 {
		t.Fatalf("%v are not reckoned", m.NotReckoned)
	}
	return p, m
}

func rowOf(t testing.TB, m *plan.Margins, quantity, change string) plan.Margin {
	t.Helper()
	for _, r := range m.Rows {
		if r.Quantity == quantity && strings.Contains(r.Change, change) {
			return r
		}
	}
	t.Fatalf("no row of %s, %s", quantity, change)
	return plan.Margin{}
}

// copied is a scene whose lists may be changed.
func copied(sc *scene.Scene, change func(c *scene.Scene)) *scene.Scene {
	c := *sc
	c.Sensors, c.Kinds = slices.Clone(sc.Sensors), slices.Clone(sc.Kinds)
	for i := range c.Kinds {
		c.Kinds[i].Ranges = slices.Clone(c.Kinds[i].Ranges)
	}
	change(&c)
	return &c
}

// first is a scene with its first n sensors alone, to be quick.
func first(sc *scene.Scene, n int) *scene.Scene {
	return copied(sc, func(c *scene.Scene) { c.Sensors = c.Sensors[:n] })
}

// tabled is the timetable of a Plan by hand, without its claims.
func tabled(p *plan.Plan, q instance.Problem) instance.Timetable {
	t := instance.Timetable{CycleUs: p.Schedule.CycleUs}
	at := -1
	for _, f := range p.Schedule.Firings {
		j := slices.IndexFunc(q.Jobs, func(j instance.Job) bool { return j.Name == f.Sensor })
		t.Firings = append(t.Firings, instance.Firing{Job: j, AtUs: f.AtUs})
		if q.Style == instance.Slots {
			if f.Group != at {
				t.Groups = append(t.Groups, nil)
				at = f.Group
			}
			t.Groups[len(t.Groups)-1] = append(t.Groups[len(t.Groups)-1], j)
		}
	}
	return t
}

// turnedAs is a scene with the sensor that a text begins with turned the way it says, by so many degrees.
func turnedAs(sc *scene.Scene, text string, x float64) *scene.Scene {
	return copied(sc, func(c *scene.Scene) {
		name, way, _ := strings.Cut(text, " turned to the ")
		if strings.HasPrefix(way, "right") {
			x = -x
		}
		i := slices.IndexFunc(c.Sensors, func(s scene.Sensor) bool { return s.Name == name })
		c.Sensors[i].Heading += s1.Angle(x) * s1.Degree
	})
}

// At the change told the checker refuses the timetable, a step less it accepts it: the problem of each changed scene made from nothing, with
// nothing remembered, and the firmware's windows put back where only sound changes.
func TestMarginsKeptAreTrue(t *testing.T) {
	asked := 0
	for _, sc := range []*scene.Scene{
		demo(t, "first-rover", "reading: blocking, at-once: 1", "reading: capture, at-once: 3"),
		demo(t, "first-rover", "style: slots", "style: staggered", "reading: blocking, at-once: 1", "reading: capture, at-once: 3"),
		first(demo(t, "plank-trailer", "threshold: 3 dB", "threshold: 6 dB"), 2),
	} {
		p, m := marginsOf(t, sc)
		of := func(c *scene.Scene) instance.Problem {
			q, err := Problem(context.Background(), c)
			if err != nil {
				t.Fatal(err)
			}
			if p.Schedule.Style == plan.Staggered {
				q.Style = instance.Staggered
			}
			return q
		}
		base := of(sc)
		sounds := func(c *scene.Scene) instance.Problem {
			q := of(c)
			q.Jobs = base.Jobs
			return q
		}
		for _, c := range []struct {
			quantity, change string
			at               func(x float64) instance.Problem
		}{
			{plan.MarginGuard, "longer guard", func(x float64) instance.Problem { q := base; q.GuardUs += int64(x); return q }},
			{plan.MarginJitter, "", func(x float64) instance.Problem { q := base; q.JitterUs += int64(x); return q }},
			{plan.MarginClock, "", func(x float64) instance.Problem {
				return of(copied(sc, func(c *scene.Scene) { c.Controller.ClockError += x }))
			}},
			{plan.MarginTemperature, "colder", func(x float64) instance.Problem {
				return sounds(copied(sc, func(c *scene.Scene) { c.Air.TemperatureC.Lo -= x }))
			}},
			{plan.MarginTemperature, "warmer", func(x float64) instance.Problem {
				return sounds(copied(sc, func(c *scene.Scene) { c.Air.TemperatureC.Hi += x }))
			}},
			{plan.MarginThreshold, "more sensitive", func(x float64) instance.Problem {
				// A module that hears x dB more hears the same wall where x dB more are lost.
				return sounds(copied(sc, func(c *scene.Scene) {
					for i := range c.Kinds {
						for k := range c.Kinds[i].Ranges {
							c.Kinds[i].Ranges[k].Against.LossDB.X += x
						}
					}
				}))
			}},
			{plan.MarginHeading, "one sensor", func(x float64) instance.Problem {
				r := rowOf(t, m, plan.MarginHeading, "one sensor")
				return sounds(turnedAs(sc, r.Spent.Text, x))
			}},
		} {
			r := rowOf(t, m, c.quantity, c.change)
			if c.quantity == plan.MarginHeading && r.Kept.None {
				continue // nobody is named
			}
			for _, spent := range []bool{false, true} {
				b := r.Kept
				if spent {
					b = r.Spent
				}
				if b == nil {
					continue
				}
				accepts := func(x float64) bool {
					q := c.at(x)
					if spent {
						q.GuardUs = 0
					}
					return check.Check(q, tabled(p, q)) == nil
				}
				asked++
				if b.None {
					if !accepts(r.UpTo) {
						t.Errorf("%s: %s, %s, guard used up %v: refused at %g, said none", sc.Name, r.Quantity, r.Change, spent, r.UpTo)
					}
				} else if accepts(b.At) || b.At > 0 && !accepts(b.At-b.Step) {
					t.Errorf("%s: %s, %s, guard used up %v: said %g in steps of %g: there accepted %v, a step less %v",
						sc.Name, r.Quantity, r.Change, spent, b.At, b.Step, accepts(b.At), accepts(b.At-b.Step))
				}
			}
		}
	}
	t.Logf("%d margins looked at", asked)
	if asked < 25 {
		t.Errorf("only %d margins looked at", asked)
	}
}

// At the change told a demand met before is missed by the Plan of the changed layout made from nothing, a step less none.
func TestMarginsAnewAreTrue(t *testing.T) {
	sc := demo(t, "first-rover", "share: 90 %", "share: 95.5 %", "cycle: 200 ms", "cycle: 120 ms")
	p, m := marginsOf(t, sc)
	if !p.Met {
		t.Fatal("the layout must be met to begin with")
	}
	met := func(c *scene.Scene) bool {
		q, err := Analyse(context.Background(), c, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		return q.Met
	}
	us := func(x float64) time.Duration { return time.Duration(math.Round(x)) * time.Microsecond }
	found := 0
	for _, c := range []struct {
		quantity, change string
		at               func(c *scene.Scene, x float64)
	}{
		{plan.MarginGuard, "longer guard", func(c *scene.Scene, x float64) { c.Wishes.Guard += us(x) }},
		{plan.MarginJitter, "", func(c *scene.Scene, x float64) { c.Wishes.Jitter += us(x) }},
		{plan.MarginClock, "", func(c *scene.Scene, x float64) { c.Controller.ClockError += x }},
		{plan.MarginTemperature, "colder", func(c *scene.Scene, x float64) { c.Air.TemperatureC.Lo -= x }},
		{plan.MarginTemperature, "warmer", func(c *scene.Scene, x float64) { c.Air.TemperatureC.Hi += x }},
		{plan.MarginThreshold, "less sensitive", func(c *scene.Scene, x float64) {
			for i := range c.Kinds {
				for k := range c.Kinds[i].Ranges {
					c.Kinds[i].Ranges[k].Against.LossDB.X -= x
				}
			}
		}},
		{plan.MarginHeading, "one sensor", func(c *scene.Scene, x float64) {
			*c = *turnedAs(c, rowOf(t, m, plan.MarginHeading, "one sensor").Anew.Text, x)
		}},
	} {
		r := rowOf(t, m, c.quantity, c.change)
		changed := func(x float64) bool { return met(copied(sc, func(k *scene.Scene) { c.at(k, x) })) }
		if b := r.Anew; b.None {
			if c.quantity != plan.MarginHeading && !changed(r.UpTo) {
				t.Errorf("%s, %s: missed at %g, said none", r.Quantity, r.Change, r.UpTo)
			}
		} else {
			found++
			if changed(b.At) || !changed(b.At-b.Step) {
				t.Errorf("%s, %s: said %g in steps of %g, %s", r.Quantity, r.Change, b.At, b.Step, b.Text)
			}
		}
	}
	if found < 5 {
		t.Errorf("only %d rows break", found)
	}
	// 118.743 ms of 120: three pauses take a third of the rest each, in steps of 100 us.
	if b := rowOf(t, m, plan.MarginGuard, "longer guard").Anew; b.At != 500 || b.Rule != "cycle" {
		t.Errorf("guard: %+v, want 500 us: 1257 us are left for 3 pauses", b)
	}
}

// What is lost with a sensor is what a layout without it has, planned from nothing.
func TestLostIsTheLayoutWithout(t *testing.T) {
	for _, sc := range []*scene.Scene{demo(t, "first-rover"), first(demo(t, "hall-sweeper"), 3)} {
		p, m := marginsOf(t, sc)
		for i, l := range m.Lost {
			if l.Sensor != sc.Sensors[i].Name || !l.Safe {
				t.Errorf("%s: %+v", sc.Name, l)
			}
			c := copied(sc, func(c *scene.Scene) { c.Sensors = slices.Delete(c.Sensors, i, i+1) })
			q, err := Analyse(context.Background(), c, Options{Quick: true})
			if err != nil {
				t.Fatal(err)
			}
			if l.Anew == nil || l.Anew.CycleUs != [2]int64{p.Schedule.RunsUs(), q.Schedule.RunsUs()} || l.Anew.Proven != q.Schedule.Proven {
				t.Errorf("%s without %s: %+v, planned from nothing %d", sc.Name, l.Sensor, l.Anew, q.Schedule.CycleUs)
			}
			for k, zone := range q.Coverage {
				was := p.Coverage[k]
				what := zone.Zone + ", " + zone.Target
				for _, kind := range []string{"share", "gap"} {
					is := [2]float64{was.CoveredM2 / was.AreaM2, zone.CoveredM2 / zone.AreaM2}
					met := [2]bool{was.ShareMet, zone.ShareMet}
					if kind == "gap" {
						is, met = [2]float64{was.WidestGapM, zone.WidestGapM}, [2]bool{was.GapMet, zone.GapMet}
					}
					at := slices.IndexFunc(l.Demands, func(d plan.LostDemand) bool { return d.Kind == kind && d.What == what })
					if at < 0 && (met[0] != met[1] || math.Abs(is[0]-is[1]) > 0.001) {
						t.Errorf("%s without %s: %s of %s goes from %v to %v untold", sc.Name, l.Sensor, kind, what, is[0], is[1])
					}
					if at >= 0 && (math.Abs(l.Demands[at].Is[1]-is[1]) > 1e-9 || l.Demands[at].Met != met) {
						t.Errorf("%s without %s: %+v, planned from nothing %v", sc.Name, l.Sensor, l.Demands[at], is)
					}
				}
			}
		}
	}
}

// A dead link of a chain takes those after it along; taken out, the chain closes behind it.
func TestDeadLinkSilencesTheRest(t *testing.T) {
	sc := copied(demo(t, "first-rover"), func(c *scene.Scene) { c.Wires = []scene.Wire{{Sensors: []int{0, 1, 2}, Chained: true}} })
	_, m := marginsOf(t, sc)
	for i, want := range [][]string{{"eye.2", "eye.3"}, {"eye.3"}, nil} {
		l := m.Lost[i]
		if !slices.Equal(l.Silent, want) || !l.Safe || l.Anew.CycleUs[1] != m.Lost[2].Anew.CycleUs[1] {
			t.Errorf("%+v, want %v silent", l, want)
		}
	}
	share := func(l plan.Lost) float64 {
		for _, d := range l.Demands {
			if d.Kind == "share" {
				return d.Is[1]
			}
		}
		return -1
	}
	if share(m.Lost[0]) != 0 || share(m.Lost[1]) >= share(m.Lost[2]) {
		t.Errorf("seen %v, %v, %v; want nothing with none left", share(m.Lost[0]), share(m.Lost[1]), share(m.Lost[2]))
	}
}

// The same bytes on any number of processors, no figure below zero, a name for what breaks; and nothing left of the last sensor.
func TestMarginsOfDemos(t *testing.T) {
	for _, sc := range []*scene.Scene{
		first(demo(t, "hall-sweeper"), 2), first(demo(t, "first-rover", "style: slots", "style: as-read"), 1),
		first(demo(t, "plank-trailer", "style: slots", "style: staggered"), 2),
	} {
		var outs [][]byte
		for _, procs := range []int{1, 3} {
			was := runtime.GOMAXPROCS(procs)
			_, m := marginsOf(t, sc)
			runtime.GOMAXPROCS(was)
			data, err := json.Marshal(m)
			if err != nil {
				t.Fatal(err)
			}
			outs = append(outs, data)
			for _, r := range m.Rows {
				for _, b := range []*plan.Break{r.Kept, r.Spent, r.Anew} {
					if b != nil && (b.At < 0 || b.At > r.UpTo || !b.None && (b.Rule == "" || b.Text == "")) {
						t.Errorf("%s: %s, %s: %+v", sc.Name, r.Quantity, r.Change, b)
					}
				}
				if !(r.Allowed > 0) || r.UpTo < 0 || !slices.IsSorted(r.Tried) {
					t.Errorf("%s: %+v", sc.Name, r)
				}
			}
			if len(m.Lost) != len(sc.Sensors) || len(m.Rows) < 11 {
				t.Errorf("%s: %d rows, %d losses", sc.Name, len(m.Rows), len(m.Lost))
			}
		}
		if !bytes.Equal(outs[0], outs[1]) {
			t.Errorf("%s: one processor and three differ", sc.Name)
		}
	}
}

// Ended early, it tells what it has and what is missing, and is no error.
func TestMarginsEndedEarly(t *testing.T) {
	sc := demo(t, "first-rover")
	p, err := Analyse(context.Background(), sc, Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	for after := 0; ; after = 3*after + 1 {
		ctx := &countdown{Context: context.Background(), left: after}
		m, err := Margins(ctx, sc, p)
		if err != nil {
			t.Fatalf("after %d: %v", after, err)
		}
		if len(m.NotReckoned) == 0 {
			if after < 100 {
				t.Errorf("done after %d looks at the context", after)
			}
			return
		}
		if after == 0 && len(m.Rows) != 0 {
			t.Errorf("ended before anything: %d rows", len(m.Rows))
		}
	}
}

// countdown ends after it was asked so many times whether it has.
type countdown struct {
	context.Context
	mu   sync.Mutex
	left int
}

func (c *countdown) Err() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.left--; c.left < 0 {
		return context.Canceled
	}
	return nil
}
