package plan

// Disturbed counts the ordered pairs of sensors, a sensor with itself included, of which the second
// could take sound of the first for its own echo when the firing table runs for ever: it replays the
// table against the arcs of Crosstalk, through as many past cycles as sound lives.
func (p *Plan) Disturbed() int {
	s := p.Schedule
	if s.CycleUs <= 0 {
		return 0
	}
	fires := map[string][]Firing{}
	for _, f := range s.Firings {
		fires[f.Sensor] = append(fires[f.Sensor], f)
	}
	pairs := map[[2]string]bool{}
	for _, a := range p.Crosstalk {
		for _, f := range fires[a.From] {
			for _, g := range fires[a.To] {
				if p.meets(a, f, g) {
					pairs[[2]string{a.From, a.To}] = true
				}
			}
		}
	}
	return len(pairs)
}

// meets reports whether what f sends along a, in this cycle or one before, arrives while g may take sound.
// What f hears of its own burst in the same firing is the echo it waits for.
func (p *Plan) meets(a Arc, f, g Firing) bool {
	cycle := p.Schedule.CycleUs
	for back := int64(0); f.AtUs+a.UntilUs-back*cycle > g.MayHearFromUs-cycle; back++ {
		from, until := f.AtUs+a.FromUs-back*cycle, f.AtUs+a.UntilUs-back*cycle
		// g of this cycle and of the next: f may fire after g.
		for _, shift := range []int64{0, cycle} {
			own := f == g && shift == 0 && back == 0
			if !own && from < g.ListenUntilUs+shift && until > g.MayHearFromUs+shift {
				return true
			}
		}
	}
	return false
}
