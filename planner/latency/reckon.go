package latency

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/planner/plan"
)

// reckoning is the answer for one lane.
type reckoning struct {
	l        *lane
	stop     Stopping
	speed    float64 // wished, m/s
	reaction float64 // s
	readings int
	sound    float64 // slowest, m/s
	schedule *plan.Schedule
	slowest  *watch // the one that takes longest, of all that fire; nil if none does

	slackM float64 // of the worst line at the wished speed: first warning less what is needed; below −needed: none
	worst  line
	safe   float64 // greatest safe speed, m/s
	limit  line    // that it fails on first
	unseen bool    // on some line no warning is certain at the wished speed
}

// line is one line of the lane and the sensor whose warning decides there; nil where too few give one.
type line struct {
	y             float64
	watch         *watch
	farM          float64 // the longest way of an echo reckoned with
	first         float64 // distance of the warning, m
	seenTo, touch float64 // nearest distance of its stretch, m; x at which it would touch
	seenFrom      float64 // farthest distance at which any sensor sees it, m
}

func (t *travel) reckon(l *lane) *reckoning {
	m := t.sc.Motion
	r := &reckoning{
		l: l, stop: Stopping{m.DecelMS2, m.MarginM}, speed: m.SpeedMS, reaction: m.Reaction.Seconds(),
		readings: t.readings, sound: t.p.Air.Slowest, schedule: &t.p.Schedule,
	}
	for i := range t.watches {
		if w := &t.watches[i]; w.fires() && (r.slowest == nil || r.detect(w, 0) > r.detect(r.slowest, 0)) {
			r.slowest = w
		}
	}
	r.findSlack()
	r.findSafe()
	return r
}

// detect is the longest time, s, from when a target can first be seen until it is known: t_det = n T + τ + t_p.
func (r *reckoning) detect(w *watch, farM float64) float64 {
	return w.wait(r.readings) + w.echo(farM, r.sound)
}

func (r *reckoning) needed(p *path, speed float64) float64 {
	return r.stop.Needed(speed, r.detect(p.watch, p.farM)+r.reaction)
}

// demand is what a speed asks of each sensor, with so much to spare, m: never less than to be seen at all.
func (r *reckoning) demand(speed, spare float64) func(p *path) ask {
	return func(p *path) ask {
		return ask{speed * r.detect(p.watch, p.farM), math.Max(0, r.needed(p, speed)+spare)}
	}
}

// findSlack looks for the greatest distance that every line of the lane has to spare at the wished speed.
func (r *reckoning) findSlack() {
	most, reach := 0.0, 1.0
	for i := range r.l.paths {
		p := &r.l.paths[i]
		most = math.Max(most, r.needed(p, r.speed))
		for _, s := range p.stretchs {
			reach = math.Max(reach, max(s.far[0]-s.touch[0], s.far[1]-s.touch[1])+1)
		}
	}
	holds := func(spare float64) bool { _, bad := r.l.worst(r.demand(r.speed, spare)); return !bad }
	bad := -most
	if r.unseen = !holds(-most); !r.unseen {
		r.slackM, bad = last(-most, reach, holds)
	}
	piece, _ := r.l.worst(r.demand(r.speed, bad))
	r.worst = r.line((piece[0]+piece[1])/2, r.speed)
	if r.unseen {
		r.worst.watch, r.worst.first = nil, 0
		return
	}
	// What a slit of the lane was forgiven belongs to the distance too, or it would not fit the verdict.
	r.worst.first = r.stop.Needed(r.speed, r.latency(r.worst)) + r.slackM
}

// latency is the longest time, s, from when a target can first be seen on a line until braking begins; where too
// few warn, that of the slowest sensor.
func (r *reckoning) latency(at line) float64 {
	w := cmp.Or(at.watch, r.slowest)
	if w == nil {
		return r.reaction
	}
	return r.detect(w, at.farM) + r.reaction
}

// findSafe looks for the greatest speed at which every line of the lane has its warning in time.
func (r *reckoning) findSafe() {
	most := 0.0
	for i := range r.l.paths {
		p := &r.l.paths[i]
		for _, s := range p.stretchs {
			far := max(s.far[0]-s.touch[0], s.far[1]-s.touch[1])
			most = math.Max(most, r.stop.GreatestSpeed(far, r.detect(p.watch, p.farM)+r.reaction))
		}
	}
	holds := func(speed float64) bool { _, bad := r.l.worst(r.demand(speed, 0)); return !bad }
	bad := 0.0
	if holds(0) {
		r.safe, bad = last(0, most+1, holds) // the closed form bounds it, so one more m/s never holds
	}
	piece, _ := r.l.worst(r.demand(bad, 0))
	r.limit = r.line((piece[0]+piece[1])/2, r.safe) // as it just holds, to name who fails beyond
}

// line looks at one line of the lane by itself: the sensor that is the last of those asked for to have confirmed.
func (r *reckoning) line(y, speed float64) line {
	at := line{y: y}
	for _, e := range r.l.front {
		if e.y0 <= y && y <= e.y1 {
			at.touch = e.at(y)
			break
		}
	}
	type warning struct {
		line
		slack float64
	}
	var all []warning
	for i := range r.l.paths {
		p := &r.l.paths[i]
		length, warned := speed*r.detect(p.watch, p.farM), false
		for _, s := range p.stretchs {
			if y < s.y0 || y > s.y1 {
				continue
			}
			far := edge{s.y0, s.far[0], s.y1, s.far[1]}.at(y)
			near := edge{s.y0, s.near[0], s.y1, s.near[1]}.at(y)
			at.seenFrom = math.Max(at.seenFrom, far-at.touch)
			// The line may lie on a step, half a slit from its better side: no more grace than rounding needs.
			if warned || far-near < length-1e-12 {
				continue
			}
			warned = true
			one := line{watch: p.watch, farM: p.farM, first: far - at.touch, seenTo: math.Max(0, near-at.touch)}
			all = append(all, warning{one, one.first - r.needed(p, speed)})
		}
	}
	slices.SortStableFunc(all, func(a, b warning) int { return cmp.Compare(b.slack, a.slack) })
	if len(all) >= r.l.seenBy {
		w := all[r.l.seenBy-1].line
		at.watch, at.farM, at.first, at.seenTo = w.watch, w.farM, w.first, w.seenTo
	}
	return at
}

// met reports whether the wished speed leaves room to stop everywhere.
func (r *reckoning) met() bool { return !r.unseen && r.slackM >= 0 }

// fill puts the answer into the Plan's terms.
func (r *reckoning) fill(w *plan.Warning) {
	at := r.worst
	w.FirstM, w.SeenFromM, w.SeenToM = at.first, math.Max(at.first, at.seenFrom), at.seenTo
	w.At = r.place(at, at.first)
	w.NeededM = r.stop.Needed(r.speed, r.latency(at))
	if watch := cmp.Or(at.watch, r.slowest); watch != nil {
		w.WaitUs, w.ReadingsUs = us(watch.wait(1)), us(watch.wait(r.readings))
		w.EchoUs, w.DetectUs = us(watch.echo(at.farM, r.sound)), us(r.detect(watch, at.farM))
	}
	if r.worst.watch != nil {
		w.Sensor = r.worst.watch.name
	}
	w.SafeSpeedMS, w.LimitAt = r.safe, r.place(r.limit, r.limit.first)
	if r.limit.watch != nil {
		w.LimitSensor = r.limit.watch.name
	}
	w.Met = r.met()
}

// place is where a target stands in the body's frame at a distance along a line.
func (r *reckoning) place(at line, distance float64) [2]float64 {
	p := r.l.f.out(r2.Point{X: at.touch + distance, Y: at.y})
	return [2]float64{p.X + 0, p.Y + 0} // no minus zero
}
