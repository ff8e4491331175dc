package check

import "echowright/scheduler/instance"

// scanSteps bounds the cycles looked at, each of which rules out all shorter ones.
const scanSteps = 1_000_000

// often checks a bound that rests on jobs taking turns as often as they ask: no cycle below it has the time for all
// firings that must be in one so long. Each takes until the soonest firing of another of them after it; two in a row of the
// same job do no more than one, but for the time between them.
func often(p instance.Problem, t instance.Timetable) bool {
	set := sets(p)
	turns, limits, again, ok := takeTurns(p, t.Clique, set)
	if !ok {
		return false
	}
	us := int64(1)
	for range scanSteps {
		var need int64
		for k := range turns {
			n, last := int64(1), turns[k]
			if limits[k] > 0 {
				n = (us + limits[k] - 1) / limits[k]
			}
			if n > 1 { // or twice in a row, with what is left of the cycle between the two
				last = min(last, max(again[k], us-(n-1)*limits[k]))
			}
			need += (n-1)*turns[k] + last
		}
		if us >= t.LowerBoundUs {
			return true
		}
		if need <= us {
			return false
		}
		us = need
	}
	return false
}

// takeTurns gives, for each of the jobs that take turns, how long a firing takes, how far apart two may be as due
// (0: a cycle) and must be; false if they do not take turns.
func takeTurns(p instance.Problem, clique, set []int) (turns, limits, again []int64, ok bool) {
	mates := map[int][]int{}
	for j := range p.Jobs {
		mates[set[j]] = append(mates[set[j]], j)
	}
	sounds := map[[2]int][]instance.Arc{}
	for _, a := range p.Arcs {
		k := [2]int{set[a.From], set[a.To]}
		sounds[k] = append(sounds[k], a)
	}
	seen := map[int]bool{}
	for _, i := range clique {
		if i < 0 || i >= len(p.Jobs) || seen[set[i]] {
			return nil, nil, nil, false
		}
		seen[set[i]] = true
	}
	d := demandsOf(p)
	apart := neverTogether(p)
	for _, i := range clique {
		own := d.soonest(i, i)
		least := int64(1) << 50
		if len(clique) == 1 {
			least = own
		}
		for _, j := range clique {
			if i == j {
				continue
			}
			us := d.soonest(i, j)
			if p.Style == instance.Slots && (p.AtOnce == 1 || apart.has(i, j) || exceed(p, mates[set[i]], mates[set[j]])) {
				us = max(us, turn(p, []int{i, j}, set, mates[set[i]], sounds, i))
			}
			if least = min(least, us); least == 0 {
				return nil, nil, nil, false
			}
		}
		var limit int64
		for _, j := range mates[set[i]] {
			if every := p.Jobs[j].EveryUs; every > 0 && (limit == 0 || every-2*p.JitterUs < limit) {
				if limit = every - 2*p.JitterUs; limit <= 0 {
					return nil, nil, nil, false
				}
			}
		}
		if limit > 0 {
			least = min(least, limit)
		}
		turns, limits, again = append(turns, least), append(limits, limit), append(again, own)
	}
	return turns, limits, again, true
}
