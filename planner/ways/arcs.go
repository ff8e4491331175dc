package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"echowright/planner/plan"
	"echowright/scheduler/instance"
)

// Limits of the search for turns and moves.
const (
	mostPairs   = 3  // pairs looked at
	mostTurnDeg = 45 // a sensor turned farther looks at something else
	mostMoveCm  = 40
	morePlaces  = 3 // places tried beyond the first at which the pair is quiet, where others then hold up the cycle
)

// looks are where a pair is first asked whether it gets quiet at all: degrees, centimetres.
var looks = []int{5, 12, 25, 40, 45}

// pair is two sensors that may not fire together, and how loud the loudest sound between them is, dB over the threshold.
type pair struct {
	a, b  string
	level float64
}

// arcs tries, for the pairs that the cycle hangs on, to turn or move one of the two by the least amount after which both may fire
// together. The quietest pairs come first: they need the least.
func (w *work) arcs() error {
	for _, p := range w.hanging() {
		turn, err := w.least(p, []int{mostTurnDeg, 10}, func(name string, tenths int) plan.Change {
			return plan.Change{Sensor: name, LeftDeg: float64(tenths) / 10}
		})
		if err != nil {
			return err
		}
		if turn.Sensor != "" {
			if _, err := w.offer(change(plan.WayTurn, turnText(turn)+": then "+p.quiet(turn.Sensor), turn)); err != nil {
				return err
			}
		}
		move, err := w.least(p, []int{mostMoveCm, 1}, func(name string, cm int) plan.Change {
			return plan.Change{Sensor: name, MoveM: float64(cm) / 100}
		})
		if err != nil {
			return err
		}
		if move.Sensor != "" {
			if _, err := w.offer(change(plan.WayMove, w.moveText(move)+": then "+p.quiet(move.Sensor), move)); err != nil {
				return err
			}
		}
	}
	return nil
}

func turnText(c plan.Change) string {
	side := "left"
	if c.LeftDeg < 0 {
		side = "right"
	}
	return fmt.Sprintf("turn %s to the %s by %g deg", c.Sensor, side, math.Abs(c.LeftDeg))
}

// moveText says which way along the outline: seen from above, counter-clockwise is to the left of whoever looks out there.
func (w *work) moveText(c plan.Change) string {
	side := "left"
	if c.MoveM < 0 {
		side = "right"
	}
	return fmt.Sprintf("move %s along the outline, to the %s as it looks, by %.0f mm", c.Sensor, side, math.Abs(c.MoveM)*1000)
}

// quiet says what becomes of the pair.
func (p pair) quiet(changed string) string {
	other := p.a
	if changed == p.a {
		other = p.b
	}
	return "it may fire together with " + other
}

// hanging lists the pairs that clash, or else all pairs of those that take turns, without which the cycle would be shorter; of pairs
// alike, as mirror images are, the first.
func (w *work) hanging() (out []pair) {
	listed := false
	asked := func(a, b string) bool { return slices.Contains(w.from, a) && slices.Contains(w.from, b) }
	if slices.ContainsFunc(w.p.Schedule.Clash, func(d plan.Demand) bool { return d.Kind == "pair" }) {
		listed = true
		asked = func(a, b string) bool {
			return slices.ContainsFunc(w.p.Schedule.Clash, func(d plan.Demand) bool {
				return d.Kind == "pair" && slices.Contains(d.Sensors, a) && slices.Contains(d.Sensors, b)
			})
		}
	}
	if !listed && len(w.p.Schedule.MadeBy) < 2 && w.sc.Controller.AtOnce == 1 {
		return nil
	}
	levels := map[[2]string]float64{}
	var order [][2]string
	for _, a := range w.p.Crosstalk {
		key := [2]string{min(a.From, a.To), max(a.From, a.To)}
		if a.From == a.To || !a.Harms || !asked(a.From, a.To) {
			continue
		}
		if was, ok := levels[key]; !ok {
			order = append(order, key)
			levels[key] = a.LevelDB
		} else {
			levels[key] = max(was, a.LevelDB)
		}
	}
	for _, k := range order {
		out = append(out, pair{k[0], k[1], levels[k]})
	}
	slices.SortStableFunc(out, func(p, q pair) int { return cmp.Compare(math.Round(p.level*1e3), math.Round(q.level*1e3)) })
	out = slices.CompactFunc(out, func(p, q pair) bool { return math.Abs(p.level-q.level) < 1e-3 })
	var worth []pair
	for _, p := range out {
		if len(worth) == mostPairs {
			break
		}
		if w.shorter(w.solve(w.sc, w.without(p))) {
			worth = append(worth, p)
		}
	}
	return worth
}

// without is the problem if some pairs heard nothing of each other.
func (w *work) without(pairs ...pair) instance.Problem {
	p := w.problem
	p.Arcs = slices.DeleteFunc(slices.Clone(p.Arcs), func(a instance.Arc) bool {
		from, to := p.Jobs[a.From].Name, p.Jobs[a.To].Name
		return slices.ContainsFunc(pairs, func(p pair) bool { return from == p.a && to == p.b || from == p.b && to == p.a })
	})
	return p
}

// least is the least change of one of a pair, either way, after which both may fire together and the cycle is shorter: in whole steps
// first, then, of the last, in parts. span is how many steps at the most, and into how many parts each is cut. The zero change where
// none of the looks finds them quiet.
func (w *work) least(p pair, span []int, make func(name string, parts int) plan.Change) (best plan.Change, err error) {
	most, parts := span[0], span[1]
	at := most*parts + 1 // in parts
	for _, name := range []string{p.a, p.b} {
		for _, sign := range []int{1, -1} {
			c := func(n int) plan.Change { return make(name, sign*n) }
			far := 0
			for _, n := range looks {
				if n > most || n*parts >= at+parts {
					break
				}
				if w.isQuiet(p, c(n*parts)) {
					far = n
					break
				}
			}
			if far == 0 {
				continue
			}
			n, err := w.firstOf(p, c, 1, min(most, far+morePlaces), parts)
			if err != nil {
				return best, err
			}
			if n > 0 && parts > 1 {
				fine, err := w.firstOf(p, c, (n-1)*parts+1, n*parts, 1)
				if err != nil {
					return best, err
				}
				n = fine
			} else {
				n *= parts
			}
			if n > 0 && n < at {
				best, at = c(n), n
			}
		}
	}
	return best, nil
}

// firstOf is the first of the numbers from lo to hi, each so many parts, at which the pair is quiet and the cycle shorter; 0 for none.
func (w *work) firstOf(p pair, c func(n int) plan.Change, lo, hi, parts int) (int, error) {
	for n := lo; n <= hi; n++ {
		if !w.isQuiet(p, c(n*parts)) {
			continue
		}
		sc, err := With(w.sc, c(n*parts))
		if err != nil {
			return 0, nil
		}
		us, err := w.solveOf(sc)
		if err != nil {
			return 0, w.ctx.Err()
		}
		if w.shorter(us) {
			return n, nil
		}
	}
	return 0, nil
}

// isQuiet reports whether a pair, with a change of one of them, may fire together; the two are looked at alone.
func (w *work) isQuiet(p pair, c plan.Change) bool {
	sc, err := With(w.sc, c)
	if err != nil {
		return false
	}
	two := *sc
	two.Wires, two.Sensors = nil, nil
	for _, still := range []bool{true, false} { // the one that stays as it is first: what is remembered of it then holds
		for _, s := range sc.Sensors {
			if (s.Name == p.a || s.Name == p.b) && (s.Name != c.Sensor) == still {
				two.Sensors = append(two.Sensors, s)
			}
		}
	}
	q, err := w.pairs.Problem(w.ctx, &two)
	return err == nil && !disturbs(q)
}

// disturbs reports whether some sound between different jobs meets its listener's window if both fire at once.
func disturbs(p instance.Problem) bool {
	return slices.ContainsFunc(p.Arcs, func(a instance.Arc) bool {
		to := p.Jobs[a.To]
		return a.From != a.To && a.FromUs-2*p.JitterUs < to.CloseUs && a.UntilUs+2*p.JitterUs > to.OpenUs
	})
}
