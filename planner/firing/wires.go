package firing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"echowright/planner/scene"
	"echowright/scheduler/instance"
)

// shared adds to p what lines, buses, the way of reading and the rail ask of the jobs; job is the job of each sensor, below
// zero for none.
//
//	one trigger line   its sensors fire together
//	one echo line      no two of its sensors fire together
//	a chain            each in a later group than the one that starts it
//	a two-wire bus     silent while one of its modules ranges: ranging takes 1, fetching an answer all
//	a serial port      one receiver: of its modules one may talk at a time
//	a blocking reader  one reading at a time
//	the rail           the currents of bursts that overlap add up to no more than it gives
func shared(sc *scene.Scene, clocks []Clock, job []int, p *instance.Problem) {
	if sc.Controller.Reading == scene.Blocking {
		p.AtOnce = 1
	}
	for _, w := range sc.Wires {
		jobs := jobsOf(w.Sensors, job)
		if w.TriggerShared && len(jobs) > 1 {
			p.Together = append(p.Together, jobs)
		}
		if w.Chained && len(jobs) > 1 {
			p.Order = append(p.Order, jobs)
		}
		if w.EchoJoined {
			for k, i := range jobs {
				for _, j := range jobs[:k] {
					p.Conflicts = append(p.Conflicts, [2]int{j, i})
				}
			}
		}
	}
	fetches := inTurn(sc, clocks, job, p)
	for _, name := range buses(sc) {
		if r := busOf(sc, clocks, job, fetches, name); len(r.Uses) > 0 {
			p.Resources = append(p.Resources, r)
		}
	}
	if r, ok := rail(sc, job, p.AtOnce); ok {
		n, all := carries(r, p.JitterUs, len(p.Jobs))
		if p.AtOnce == 0 || n < p.AtOnce {
			p.AtOnce = n
		}
		if !all {
			p.Resources = append(p.Resources, r)
		}
	}
}

// carries gives the most jobs, of so many, that the rail lets fire together whichever they are; all is true if it lets any so
// many. A number is easier to prove from than currents.
func carries(r instance.Resource, jitterUs int64, jobs int) (n int, all bool) {
	var draws []int64
	from, until := int64(0), forever
	for _, u := range r.Uses {
		draws = append(draws, u.Amount)
		from, until = max(from, u.FromUs-jitterUs), min(until, u.UntilUs+jitterUs)
	}
	if len(draws) < jobs || from >= until {
		return jobs, false // some draw nothing, or not at the same time as others
	}
	slices.Sort(draws)
	sum := int64(0)
	for n < jobs && sum+draws[n] <= r.Capacity {
		sum += draws[n]
		n++
	}
	largest := int64(0)
	for _, d := range draws[jobs-n:] {
		largest += d
	}
	return n, largest <= r.Capacity
}

func jobsOf(sensors, job []int) (jobs []int) {
	for _, i := range sensors {
		if job[i] >= 0 {
			jobs = append(jobs, job[i])
		}
	}
	return jobs
}

// buses lists the names of the buses, in the order in which the wires first name them.
func buses(sc *scene.Scene) (names []string) {
	for _, w := range sc.Wires {
		if w.Bus != "" && !slices.Contains(names, w.Bus) {
			names = append(names, w.Bus)
		}
	}
	return names
}

// onBus lists the sensors of a bus.
func onBus(sc *scene.Scene, name string) (sensors []int) {
	for _, w := range sc.Wires {
		if w.Bus == name {
			sensors = append(sensors, w.Sensors...)
		}
	}
	return sensors
}

// fetch is when a sensor's answer may be on its bus, from its trigger.
type fetch struct{ fromUs, untilUs int64 }

// inTurn says when each sensor's answer is fetched. Where sensors of a two-wire bus must fire together, that is when the
// last of them has ranged, one after the other, and their jobs then last so long.
func inTurn(sc *scene.Scene, clocks []Clock, job []int, p *instance.Problem) []fetch {
	out := make([]fetch, len(clocks))
	for i, c := range clocks {
		out[i] = fetch{c.BusyUs - c.TransferUs, c.BusyUs}
	}
	late := newLateness(sc)
	for _, name := range buses(sc) {
		for _, set := range p.Blocks() {
			var members []int
			ranged := int64(0)
			for _, i := range onBus(sc, name) {
				if job[i] >= 0 && slices.Contains(set, job[i]) {
					members = append(members, i)
					ranged = max(ranged, out[i].fromUs)
				}
			}
			for _, i := range members {
				k := sc.Kinds[sc.Sensors[i].Kind]
				if k.Interface == scene.Serial {
					// It talks when it likes: at the echo, where the card names no time.
					out[i].fromUs = late.least(k.Timing.AnswerAfter)
					if k.Timing.AnswerAfter == 0 {
						out[i].fromUs = clocks[i].OpenUs
					}
				} else if len(members) > 1 {
					// What went before may end late and this begin early.
					ranged += 2 * p.JitterUs
					out[i] = fetch{ranged, ranged + clocks[i].TransferUs}
					ranged = out[i].untilUs
					p.Jobs[job[i]].BusyUs = max(p.Jobs[job[i]].BusyUs, out[i].untilUs)
				}
			}
		}
	}
	return out
}

// What the names of buses begin with.
const (
	twoWire    = "bus "
	serialLine = "serial line "
)

// busOf is a bus as a resource.
func busOf(sc *scene.Scene, clocks []Clock, job []int, fetches []fetch, name string) instance.Resource {
	members := slices.DeleteFunc(onBus(sc, name), func(i int) bool { return job[i] < 0 })
	r := instance.Resource{Name: twoWire + name, Capacity: int64(max(1, len(members)))}
	for _, i := range members {
		f := fetches[i]
		if sc.Kinds[sc.Sensors[i].Kind].Interface == scene.Serial {
			r.Name, r.Capacity = serialLine+name, 1
		} else if f.fromUs > 0 {
			ranges := min(f.fromUs, clocks[i].BusyUs-clocks[i].TransferUs)
			r.Uses = append(r.Uses, instance.Use{Job: job[i], Amount: 1, FromUs: 0, UntilUs: ranges})
		}
		if clocks[i].TransferUs > 0 && f.untilUs > f.fromUs {
			r.Uses = append(r.Uses, instance.Use{Job: job[i], Amount: r.Capacity, FromUs: f.fromUs, UntilUs: f.untilUs})
		}
	}
	return r
}

// rail is what the supply rail gives, in mA, against what bursts draw. ok is false where it has enough for all that may run
// at once. A module that alone draws more is taken to draw all: it fires, and by itself.
func rail(sc *scene.Scene, job []int, atOnce int) (r instance.Resource, ok bool) {
	r = instance.Resource{Name: "the rail", Capacity: int64(math.Floor(sc.Controller.RailLimitA*1e3 + slack))}
	if r.Capacity < 1 {
		return r, false
	}
	var draws []int64
	late := newLateness(sc)
	for i, s := range sc.Sensors {
		k := sc.Kinds[s.Kind]
		amount := min(int64(math.Ceil(k.Supply.PeakA.X*1e3-slack)), r.Capacity)
		if job[i] < 0 || amount < 1 {
			continue
		}
		draws = append(draws, amount)
		lasts := max(k.Timing.Burst, k.Supply.PeakLasts, time.Microsecond)
		r.Uses = append(r.Uses, instance.Use{
			Job: job[i], Amount: amount,
			FromUs:  late.least(k.Timing.TriggerToBurst.Lo),
			UntilUs: late.most(k.Timing.TriggerToBurst.Hi + lasts),
		})
	}
	slices.SortFunc(draws, func(a, b int64) int { return cmp.Compare(b, a) })
	sum := int64(0)
	for n, d := range draws {
		if atOnce == 0 || n < atOnce {
			sum += d
		}
	}
	return r, sum > r.Capacity
}

// cannotText puts a contradiction of demands into the words of a layout.
func (w *work) cannotText() string {
	text := w.cannot.Wrong
	for k := len(w.p.Arcs) - 1; k >= 0; k-- {
		a := w.p.Arcs[k]
		text = strings.ReplaceAll(text, fmt.Sprintf("then sound of arc %d meets the window", k),
			fmt.Sprintf("then sound of %s can be taken by %s (%s)", w.name(a.From), w.name(a.To), wallsText(w.sc)))
	}
	for k := len(w.p.Conflicts) - 1; k >= 0; k-- {
		text = strings.ReplaceAll(text, fmt.Sprintf("by conflict %d they never may", k), "on one echo line they never may")
	}
	if w.sc.Controller.Reading == scene.Blocking {
		text = strings.ReplaceAll(text, "at most 1 may be occupied at once", "but the controller waits for one echo after the other")
	}
	if w.rails {
		text = strings.ReplaceAll(text, "may be occupied at once", "at once is what the rail gives")
	}
	return text
}

// unrailed is the problem with a rail that gives whatever is drawn.
func (w *work) unrailed() instance.Problem {
	sc := *w.sc
	sc.Controller.RailLimitA = 0
	p, _ := Problem(&sc, w.clocks, w.arcs)
	return p
}
