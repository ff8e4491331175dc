package coverage

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/s1"

	"echowright/planner/plan"
	"echowright/planner/recall"
	"echowright/planner/scene"
)

// mostTurn is the farthest a mount is turned or tilted in a trial.
const mostTurn = 45

// change is another mount of a sensor: tilted up, or turned to the left (right: negative), whole degrees.
type change struct {
	sensor     int
	tilt, left int
}

func (c change) size() int { return max(c.tilt, c.left, -c.left) }

func (c change) mount(s scene.Sensor) scene.Sensor {
	s.Tilt += s1.Angle(c.tilt) * s1.Degree
	s.Heading += s1.Angle(c.left) * s1.Degree
	return s
}

// say puts the change into words for those sensors.
func (c change) say(names string) string {
	switch {
	case c.tilt > 0:
		return fmt.Sprintf("tilt %s up by %d deg", names, c.tilt)
	case c.left > 0:
		return fmt.Sprintf("turn %s to the left by %d deg", names, c.left)
	}
	return fmt.Sprintf("turn %s to the right by %d deg", names, -c.left)
}

// cure is what rids all sensors of one constant reading in one state: the least change of each, and the
// state's zones reckoned again with all of them.
type cure struct {
	state    int
	obstacle int
	readers  []int      // sensors that have the reading
	changes  []change   // of those that a change up to mostTurn rids of it
	before   []*verdict // of the state
	after    []*verdict // the same with the changes; nil without any
}

// listCures lists the constant readings of each state that has zones, with who has them.
func (st *study) listCures() (all []*cure) {
	for s, state := range st.states {
		var before []*verdict
		for _, v := range st.verdicts {
			if v.state == state {
				before = append(before, v)
			}
		}
		if len(before) == 0 {
			continue
		}
		for obstacle := -1; obstacle < len(st.obstacles); obstacle++ {
			c := &cure{state: s, obstacle: obstacle, before: before}
			for i, readings := range st.readings {
				reads := func(r reading) bool { return r.obstacle == obstacle && r.in(st.obstacles, state) }
				if st.listeners[i].remount != nil && slices.ContainsFunc(readings, reads) {
					c.readers = append(c.readers, i)
				}
			}
			if len(c.readers) > 0 {
				all = append(all, c)
			}
		}
	}
	return all
}

// try finds the changes of a cure and reckons its state with them.
func (st *study) try(c *cure) {
	known := map[scene.Sensor]int{} // least tilt against the ground by what decides it: mounts alike but for place and heading
	for _, i := range c.readers {
		one := change{sensor: i}
		ok := false
		if c.obstacle < 0 {
			s := st.listeners[i].mount
			alike := scene.Sensor{Kind: s.Kind, HeightM: s.HeightM, Tilt: s.Tilt, ListenM: st.listeners[i].listen}
			if one.tilt, ok = known[alike]; !ok {
				one.tilt = st.leastChange(change{sensor: i, tilt: 1}, -1).tilt
				known[alike] = one.tilt
			}
			ok = one.tilt > 0
		} else {
			one, ok = st.leastOfAll(i, c.obstacle)
		}
		if ok {
			c.changes = append(c.changes, one)
		}
	}
	if len(c.changes) > 0 {
		c.after = st.reckon(c.state, c.changes)
	}
}

// leastOfAll is the least tilt or turn of a sensor that rids it of the answer of an obstacle. Of equal turns
// the one away from the machine's middle line is taken, so that a mirrored sensor turns the other way.
func (st *study) leastOfAll(sensor, obstacle int) (best change, ok bool) {
	out := 1
	if st.listeners[sensor].mount.At.Y < 0 {
		out = -1
	}
	for _, way := range []change{{tilt: 1}, {left: out}, {left: -out}} {
		way.sensor = sensor
		if c := st.leastChange(way, obstacle); c.size() > 0 && (!ok || c.size() < best.size()) {
			best, ok = c, true
		}
	}
	return best, ok
}

// leastChange is the least whole number of steps of a change of 1 degree after which a sensor has no reading of
// an obstacle (-1: the ground) inside its window: doubled until it helps, then halved in between. The zero
// change when up to mostTurn none helps.
func (st *study) leastChange(step change, obstacle int) change {
	times := func(n int) change { return change{step.sensor, step.tilt * n, step.left * n} }
	quiet := func(n int) bool { return !st.reads(times(n), obstacle) }
	lo, hi := 0, 1
	for !quiet(hi) {
		if hi == mostTurn {
			return change{}
		}
		lo, hi = hi, min(2*hi, mostTurn)
	}
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; quiet(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return times(hi)
}

// reads reports whether a sensor mounted otherwise has a reading of an obstacle inside its window.
func (st *study) reads(c change, obstacle int) bool {
	l := st.changed(c)
	if obstacle < 0 {
		own, ok := l.GroundReading(st.sc.Around.Ground, l.listen)
		return ok && own.ReadsM < l.listen
	}
	_, ok := st.readsObstacle(l, obstacle)
	return ok
}

// changed is a sensor mounted otherwise.
func (st *study) changed(c change) *listener {
	l := st.listeners[c.sensor]
	l.mount = c.mount(l.mount)
	l.ear, l.key = l.remount(l.mount), recall.Key{}
	return &l
}

// rehear is what a sensor mounted otherwise hears where another hearing is of the same sensor, target and state.
func (st *study) rehear(old *hearing, l *listener, state string) *hearing {
	h := &hearing{listener: l, sensor: old.sensor, target: old.target, slackDB: old.slackDB, askM: old.askM, things: old.things}
	h.mask = firstReading(st.readingsOf(l), st.obstacles, state)
	h.look(st.obstacles, roundedReach(st.zoneBounds(), l.mount.At))
	return h
}

// reckon returns the verdicts of a state, in the order of the layout, with some sensors mounted otherwise.
func (st *study) reckon(state int, changes []change) (after []*verdict) {
	byTarget := map[int][]*verdict{}
	for _, v := range st.verdicts {
		if v.state == st.states[state] {
			w := &verdict{zone: v.zone, target: v.target, state: v.state}
			after = append(after, w)
			byTarget[w.target] = append(byTarget[w.target], w)
		}
	}
	for t, target := range st.targets {
		vs := byTarget[target]
		if len(vs) == 0 {
			continue
		}
		hs := make([]*hearing, len(st.listeners))
		for i := range hs {
			hs[i] = st.hearings[t][i][state]
		}
		for _, c := range changes {
			hs[c.sensor] = st.rehear(hs[c.sensor], st.changed(c), st.states[state])
		}
		st.surveyWith(hs, state, vs)
		for _, w := range vs {
			w.blind.widest = st.memory.widestOf(w.figures.blind)
			w.judge()
		}
	}
	return after
}

// cureOf is the cure of a reading in a state; nil where none was tried or nothing helps.
func (st *study) cureOf(m *reading, state string) *cure {
	for _, c := range st.cures {
		if st.states[c.state] == state && c.obstacle == m.obstacle && len(c.changes) > 0 {
			return c
		}
	}
	return nil
}

// say lists the changes, sensors with the same one together.
func (c *cure) say(st *study) string {
	var words []string
	for i, one := range c.changes {
		same := func(o change) bool { return o.tilt == one.tilt && o.left == one.left }
		if slices.IndexFunc(c.changes, same) < i {
			continue
		}
		var names []string
		for _, o := range c.changes {
			if same(o) {
				names = append(names, st.nameOf(o.sensor))
			}
		}
		words = append(words, one.say(listed(names)))
	}
	text := strings.Join(words, ", ")
	if left := len(c.readers) - len(c.changes); left > 0 {
		text += fmt.Sprintf(" (no turn or tilt up to %d deg rids %s of it)", mostTurn, counted(left, "other sensor"))
	}
	return text
}

// listed joins names as in a sentence.
func listed(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

func counted(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// of is what a cure makes of one zone.
func (c *cure) of(v *verdict) string {
	after := c.after[slices.Index(c.before, v)]
	text := fmt.Sprintf("%s of this zone is seen", plan.Percent(after.figures.covered, after.figures.area, after.areaError()))
	switch more := after.figures.covered - v.figures.covered; {
	case more < -v.areaError():
		return text + ", less than now: not worth it"
	case more <= v.areaError():
		return "this zone gains nothing by it"
	case after.asks() && after.met():
		return text + ", met"
	case after.asks():
		return text + ", not enough by itself"
	}
	return text
}

// asks reports whether a zone has a demand that can be missed.
func (v *verdict) asks() bool { return !math.IsNaN(v.zone.Share) || !math.IsNaN(v.zone.GapM) }

// all is what a cure makes of all zones of its state.
func (c *cure) all() string {
	met := func(vs []*verdict) (n, of int) {
		for _, v := range vs {
			if v.asks() {
				of++
				if v.met() {
					n++
				}
			}
		}
		return n, of
	}
	was, of := met(c.before)
	is, _ := met(c.after)
	text := fmt.Sprintf("%d of %s met, %d now", is, counted(of, "zone"), was)
	var less []string
	for i, v := range c.before {
		if c.after[i].figures.covered < v.figures.covered-v.areaError() && !slices.Contains(less, v.zone.Name) {
			less = append(less, v.zone.Name)
		}
	}
	if len(less) > 0 {
		text += "; less is then seen of " + listed(less)
	}
	return text
}

// tries are the changes of a cure.
func (c *cure) tries(st *study) (all []plan.Change) {
	for _, one := range c.changes {
		all = append(all, plan.Change{Sensor: st.listeners[one.sensor].mount.Name, LeftDeg: float64(one.left), UpDeg: float64(one.tilt)})
	}
	return all
}
