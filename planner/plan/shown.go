package plan

import "math"

// Window is when a sensor may take sound for an echo after its trigger, and how it turns that time into metres.
type Window struct {
	OpenUs, CloseUs int64 // earliest and latest
	AgainUs         int64 // soonest it can fire again: its window and its line's time are over
	// speed is what it reckons with, m/s, least and most over the weather; spareUs the most that its window and so
	// its burst begin after the trigger.
	speed   [2]float64
	spareUs float64
}

// WindowOf returns the window of a sensor, as its firings have it or, where it fires by itself, from its trigger on.
//
//	speed it reckons with = speed of sound (1 + reading error), at both ends of the weather
func (p *Plan) WindowOf(sensor string) (w Window) {
	for _, s := range p.Sensors {
		if s.Name != sensor {
			continue
		}
		w = Window{CloseUs: s.ListenUntilUs, AgainUs: max(s.BusyUs, s.ListenUntilUs)}
		slow, fast := p.Air.Slowest*(1+s.ReadingError[0]), p.Air.Fastest*(1+s.ReadingError[1])
		w.speed = [2]float64{math.Min(slow, fast), math.Max(slow, fast)}
	}
	for _, f := range p.Schedule.Firings {
		if f.Sensor == sensor {
			w.OpenUs, w.CloseUs = f.MayHearFromUs-f.AtUs, f.ListenUntilUs-f.AtUs
			w.AgainUs = max(w.AgainUs, f.BusyUntilUs-f.AtUs, w.CloseUs)
		}
	}
	for _, s := range p.Sensors {
		if s.Name == sensor && p.Air.Slowest > 0 {
			w.spareUs = math.Max(0, float64(w.CloseUs)-2*s.ListenM/p.Air.Slowest*1e6)
		}
	}
	return w
}

// Shows bounds what the sensor shows for sound taken within a span after its trigger, m: it reckons from its burst, which
// comes somewhere between the trigger and as much later as its window is longer than its range needs.
func (w Window) Shows(us [2]int64) [2]float64 {
	return [2]float64{math.Max(0, w.speed[0]*(float64(us[0])-w.spareUs)/2e6), w.speed[1] * float64(us[1]) / 2e6}
}

// AwayM is how far a reflector stands whose echo of the sensor's own burst comes last at that time after its trigger, m: in
// the slowest sound, of the latest burst.
func (p *Plan) AwayM(sensor string, us int64) float64 {
	return math.Max(0, p.Air.Slowest*(float64(us)-p.WindowOf(sensor).spareUs)/2e6)
}

// Reads is what the listener of a can show if both fire together: of the arc's readings what its window admits.
func (p *Plan) Reads(a Arc) [2]float64 {
	w := p.WindowOf(a.To)
	admits := w.Shows([2]int64{w.OpenUs, w.CloseUs})
	return [2]float64{math.Max(a.ReadsM[0], admits[0]), math.Max(math.Min(a.ReadsM[1], admits[1]), math.Max(a.ReadsM[0], admits[0]))}
}

// AllAtOnce replays the table in which every sensor fires together again and again as soon as the slowest of them is done,
// and returns its cycle and the ordered pairs that disturb: different sensors, and sensors by late sound of their own.
func (p *Plan) AllAtOnce() (cycleUs int64, pairs, own int) {
	once := *p
	once.Schedule.Firings = p.eachOnce()
	for _, f := range once.Schedule.Firings {
		cycleUs = max(cycleUs, f.ListenUntilUs-f.AtUs, f.BusyUntilUs-f.AtUs)
	}
	pairs, own = once.refired(make([]int64, len(once.Schedule.Firings)), cycleUs).DisturbedPairs()
	return cycleUs, pairs, own
}

// OneByOne replays the table in which the sensors take turns and each waits until its line is free and its sound is gone for
// every listener, with the plan's guard after each; it returns the cycle and the pairs that disturb, as AllAtOnce does.
func (p *Plan) OneByOne() (cycleUs int64, pairs, own int) {
	var starts []int64
	once := *p
	once.Schedule.Firings = p.eachOnce()
	for _, f := range once.Schedule.Firings {
		starts = append(starts, cycleUs)
		alone := max(f.ListenUntilUs-f.AtUs, f.BusyUntilUs-f.AtUs)
		for _, a := range p.Crosstalk {
			if a.From == f.Sensor && p.Scheduled(a.To) {
				alone = max(alone, a.UntilUs-p.WindowOf(a.To).OpenUs)
			}
		}
		cycleUs += alone + p.Schedule.GuardUs
	}
	pairs, own = once.refired(starts, cycleUs).DisturbedPairs()
	return cycleUs, pairs, own
}

// eachOnce are the first firings of every sensor in the cycle.
func (p *Plan) eachOnce() (firings []Firing) {
	seen := map[string]bool{}
	for _, f := range p.Schedule.Firings {
		if !seen[f.Sensor] {
			seen[f.Sensor] = true
			firings = append(firings, f)
		}
	}
	return firings
}

// refired is the plan with its firings at other times.
func (p *Plan) refired(starts []int64, cycleUs int64) *Plan {
	q := &Plan{Crosstalk: p.Crosstalk, Schedule: Schedule{CycleUs: cycleUs}}
	for k, f := range p.Schedule.Firings {
		by := starts[k] - f.AtUs
		f.AtUs, f.MayHearFromUs, f.ListenFromUs, f.ListenUntilUs = f.AtUs+by, f.MayHearFromUs+by, f.ListenFromUs+by, f.ListenUntilUs+by
		f.BusyUntilUs, f.LateUntilUs = f.BusyUntilUs+by, f.LateUntilUs+by
		q.Schedule.Firings = append(q.Schedule.Firings, f)
	}
	return q
}
