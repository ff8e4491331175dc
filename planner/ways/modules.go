package ways

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/instance"
)

// swap gives some sensors a module like theirs but for what change does to it.
func swap(names []string, change func(k *scene.Kind)) func(*scene.Scene) (*scene.Scene, error) {
	return func(sc *scene.Scene) (*scene.Scene, error) {
		out := *sc
		out.Kinds, out.Sensors = slices.Clone(sc.Kinds), slices.Clone(sc.Sensors)
		made := map[int]int{}
		for i, s := range out.Sensors {
			if !slices.Contains(names, s.Name) {
				continue
			}
			if _, ok := made[s.Kind]; !ok {
				k := sc.Kinds[s.Kind]
				change(&k)
				made[s.Kind] = len(out.Kinds)
				out.Kinds = append(out.Kinds, k)
			}
			out.Sensors[i].Kind = made[s.Kind]
		}
		return &out, nil
	}
}

// lines tries modules that listen no longer than is wanted of them and then are free: in place of those that make the cycle so
// long, as few as keep the budget, or else as win all there is to win.
func (w *work) lines() error {
	free := func(k *scene.Kind) {
		k.Timing.WindowSettable, k.Timing.BusyWithoutEcho, k.Timing.AnswerAfter = true, 0, 0
	}
	var slow []string
	for _, name := range w.from {
		if t := w.kind(name).Timing; t.By != scene.ByItself && (t.BusyWithoutEcho > 0 || t.AnswerAfter > 0) {
			slow = append(slow, name)
		}
	}
	solve := func(names []string) (int64, error) {
		sc, err := swap(names, free)(w.sc)
		if err != nil {
			return 0, err
		}
		p, err := w.timed(sc)
		if err != nil {
			return 0, err
		}
		return w.solve(sc, p), nil
	}
	return w.offerFewest(slow, solve, func(names []string) step {
		return step{Way: plan.Way{Kind: plan.WayLine, What: fmt.Sprintf("%s whose line is free when the window wanted of it ends, for %s", w.modules(names), join(names))}, apply: swap(names, free)}
	})
}

// offerFewest offers a step for as few sensors as need it and, where that was too few by the whole reckoning, for all of them.
func (w *work) offerFewest(names []string, solve func(names []string) (int64, error), of func(names []string) step) error {
	few, err := w.fewest(names, solve)
	if err != nil || len(few) == 0 {
		return err
	}
	ok, err := w.offer(of(few))
	if err != nil || len(few) == len(names) || ok && (w.steps[len(w.steps)-1].Fits || w.p.Schedule.BudgetUs == 0) {
		return err
	}
	_, err = w.offer(of(names))
	return err
}

// bandsHz are carriers that modules are sold with. Common practice, no source.
var bandsHz = []float64{25e3, 40e3, 58e3}

// carriers tries another carrier for every second of the sensors that take turns, in the order of the scene: as few of them as keep the
// budget. The module is as theirs in all else, its range too.
func (w *work) carriers() error {
	other := map[string]float64{} // by the kind's name
	var names []string
	for i, name := range w.from {
		k := w.kind(name)
		if other[k.Name] = otherBand(k.CarrierHz.X); i%2 == 1 && k.Timing.By != scene.ByItself {
			names = append(names, name)
		}
	}
	retune := func(k *scene.Kind) { k.CarrierHz.X = other[k.Name] }
	return w.offerFewest(names, func(names []string) (int64, error) { return w.solve(w.sc, w.deaf(names)), nil }, func(names []string) step {
		var bands []string
		for _, name := range names {
			if b := fmt.Sprintf("%g kHz", other[w.kind(name).Name]/1e3); !slices.Contains(bands, b) {
				bands = append(bands, b)
			}
		}
		return step{Way: plan.Way{Kind: plan.WayCarrier, What: fmt.Sprintf("%s on another carrier, %s, for %s", w.modules(names), join(bands), join(names))}, apply: swap(names, retune)}
	})
}

// otherBand is a carrier well off another: the next higher, as its sound dies sooner, or else the highest.
func otherBand(hz float64) float64 {
	for _, b := range bandsHz {
		if b > hz*1.2 {
			return b
		}
	}
	return bandsHz[len(bandsHz)-2]
}

// deaf is the problem if some jobs and the others heard nothing of each other.
func (w *work) deaf(names []string) instance.Problem {
	p := w.problem
	in := func(j int) bool { return slices.Contains(names, p.Jobs[j].Name) }
	p.Arcs = slices.DeleteFunc(slices.Clone(p.Arcs), func(a instance.Arc) bool { return in(a.From) != in(a.To) })
	return p
}

// fewest leaves out of names those that are not needed: to keep the budget, where all of them together do, or else for what all of
// them win. None where they win nothing.
func (w *work) fewest(names []string, solve func(names []string) (int64, error)) ([]string, error) {
	if len(names) == 0 {
		return nil, nil
	}
	all, err := solve(names)
	if err != nil || !w.shorter(all) {
		return nil, err
	}
	want := max(all, w.p.Schedule.BudgetUs)
	if w.p.Schedule.BudgetUs == 0 || all > w.p.Schedule.BudgetUs || w.trialUs > 0 && w.trialUs <= w.p.Schedule.BudgetUs {
		want = all
	}
	for k := len(names) - 1; k >= 0 && len(names) > 1; k-- {
		fewer := slices.Delete(slices.Clone(names), k, k+1)
		if us, err := solve(fewer); err != nil {
			return nil, err
		} else if us > 0 && us <= want {
			names = fewer
		}
	}
	return names, nil
}

// kind is the kind of a sensor.
func (w *work) kind(sensor string) scene.Kind {
	for _, s := range w.sc.Sensors {
		if s.Name == sensor {
			return w.sc.Kinds[s.Kind]
		}
	}
	return scene.Kind{}
}

// modules says what is like the modules of some sensors.
func (w *work) modules(names []string) string {
	var kinds []string
	for _, n := range names {
		if k := w.kind(n).Name; !slices.Contains(kinds, k) {
			kinds = append(kinds, k)
		}
	}
	return "a module like " + strings.Join(kinds, " or ")
}

func join(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}
