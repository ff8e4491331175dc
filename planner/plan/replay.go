package plan

// Disturbed counts the ordered pairs of sensors, a sensor with itself included, of which the second
// could take sound of the first for its own echo when the firing table runs for ever: it replays the
// table against the arcs of Crosstalk, through as many past cycles as sound lives.
func (p *Plan) Disturbed() int {
	pairs, own := p.DisturbedPairs()
	return pairs + own
}

// DisturbedPairs counts the ordered pairs of different sensors that disturb, and the sensors that disturb themselves. A
// sensor that fires by itself is foreign at every phase: no table keeps its sound out, nor any out of it.
func (p *Plan) DisturbedPairs() (pairs, own int) {
	seen := map[[2]string]bool{}
	for _, a := range p.Crosstalk {
		key := [2]string{a.From, a.To}
		if seen[key] {
			continue
		}
		_, in := p.LetsIn(a)
		switch {
		case a.From != a.To && !p.KeepsOut(a):
			pairs++
		case a.From == a.To && (in || !p.Scheduled(a.From)):
			own++
		default:
			continue
		}
		seen[key] = true
	}
	return pairs, own
}

// LetsIn reports whether the firing table, run for ever, lets sound of one arc into a window of its listener, and the
// earliest and latest time after that listener's trigger at which it is then heard, µs. An echo of its own burst in the same
// firing is what a sensor waits for, and is not let in by this meaning. A sensor that does not fire by the table is not
// spoken of: see Scheduled.
func (p *Plan) LetsIn(a Arc) (us [2]int64, in bool) {
	if p.Schedule.CycleUs <= 0 {
		return us, false
	}
	us, in = a.HitsUs, a.HitsUs[1] > a.HitsUs[0]
	if p.Schedule.Style == AsRead { // no table is kept
		return us, in
	}
	for _, f := range p.Schedule.Firings {
		if f.Sensor != a.From {
			continue
		}
		for _, g := range p.Schedule.Firings {
			if g.Sensor != a.To {
				continue
			}
			if t, meets := p.meets(a, f, g); meets {
				if !in {
					us = t
				}
				us, in = [2]int64{min(us[0], t[0]), max(us[1], t[1])}, true
			}
		}
	}
	return us, in
}

// KeepsOut reports whether the firing table keeps sound of one arc out of every window of its listener. Where either
// sensor fires by itself no table does.
func (p *Plan) KeepsOut(a Arc) bool {
	_, in := p.LetsIn(a)
	return !in && p.Scheduled(a.From) && p.Scheduled(a.To)
}

// HasTable reports whether there is a firing table to keep: not for as-read firmware, nor where nothing can be put in one.
func (p *Plan) HasTable() bool { return p.Schedule.Style != AsRead && len(p.Schedule.Firings) > 0 }

// Scheduled reports whether a sensor fires by the table: those that fire by themselves do not.
func (p *Plan) Scheduled(sensor string) bool {
	for _, f := range p.Schedule.Firings {
		if f.Sensor == sensor {
			return p.Schedule.CycleUs > 0
		}
	}
	return false
}

// meets reports whether what f sends along a, in this cycle or one before, arrives while g may take sound, and from when
// until when after g's trigger. What f hears of its own burst in the same firing is the echo it waits for.
func (p *Plan) meets(a Arc, f, g Firing) (us [2]int64, ok bool) {
	cycle := p.Schedule.CycleUs
	same := f.Sensor == g.Sensor && f.AtUs == g.AtUs
	for n := range alternates(f, g) {
		for back := int64(0); f.AtUs+f.MostDelayUs()+a.UntilUs-back*cycle > g.MayHearFromUs-cycle; back++ {
			// g of this cycle and of the next: f may fire after g.
			for _, shift := range []int64{0, 1} {
				if same && shift == 0 && back == 0 {
					continue
				}
				sent, heard := f.delay(n-int(back)), g.delay(n+int(shift))
				from, until := f.AtUs+sent[0]+a.FromUs-back*cycle, f.AtUs+sent[1]+a.UntilUs-back*cycle
				opens, closes := g.MayHearFromUs+heard[0]+shift*cycle, g.ListenUntilUs+heard[1]+shift*cycle
				if from >= closes || until <= opens {
					continue
				}
				trigger := g.AtUs + shift*cycle
				t := [2]int64{max(from, opens) - trigger - heard[1], min(until, closes) - trigger - heard[0]}
				if !ok {
					us = t
				}
				us, ok = [2]int64{min(us[0], t[0]), max(us[1], t[1])}, true
			}
		}
	}
	return us, ok
}

// alternates is how many cycles two firings are played for, each by itself.
func alternates(f, g Firing) int { return max(1, min(len(f.DelaysUs), 2), min(len(g.DelaysUs), 2)) }

// delay is the least and the most by which a firing comes later in a cycle: as it alternates, or any of a longer table.
func (f Firing) delay(cycle int) [2]int64 {
	switch n := len(f.DelaysUs); n {
	case 0:
		return [2]int64{}
	case 1, 2:
		us := f.DelaysUs[((cycle%n)+n)%n]
		return [2]int64{us, us}
	}
	return [2]int64{0, f.MostDelayUs()}
}
