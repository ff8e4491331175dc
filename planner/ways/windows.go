package ways

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Limits of the choice of windows.
const (
	shorterSteps = 4     // windows tried below the one that loses nothing
	spareM       = 0.005 // beyond what is needed, m: the lobes' own error
	leastOverM   = 0.05  // beyond the blind distance that any window must reach, m: nearer it would be no sensor
)

// window is sensors whose window can be set, all alike, and the windows they may have: one sensor, or, of a large array, those of
// one entry of the layout.
type window struct {
	sensors []int             // numbers in the scene
	m       []float64         // falling, m: as it is, what loses nothing, and shorter ones
	lost    []map[int]float64 // at each, the area that zones lose by it alone, m2, by number in Plan.Coverage
	least   float64           // the shortest that is any use, m
	low     int               // number of the shortest that keeps the shares asked for with all others as they are
}

// manySensors is from how many sensors on those of one entry are given one window.
const manySensors = 8

// settable reports whether the window of a sensor is what the layout says.
func settable(sc *scene.Scene, i int) bool {
	t := sc.Kinds[sc.Sensors[i].Kind].Timing
	return t.By == scene.ByController || t.By != scene.ByItself && t.WindowSettable
}

// windows tries shorter windows of the sensors that make the cycle: as short as the zones allow where nothing less shall be seen, and
// chosen together, so that every demand met stays met and the cycle is the shortest.
func (w *work) windows() error {
	all, err := w.openWindows()
	if err != nil || len(all) == 0 {
		return err
	}
	v := w.view()
	free := w.inTurn(all, v)
	for k := range all {
		w.tries(&all[k], v, free[k])
	}
	c := &choosing{work: w, all: all, view: v}
	if err := c.choose(w.numbers(all, free)); err != nil || c.best == nil {
		return err
	}
	lossless := c.lossless
	if _, err = w.offerWindows(all, c.best); err != nil {
		return err
	}
	w.choice = c.answer()
	if lossless == nil || slices.Equal(lossless, c.best) {
		return nil
	}
	if us, err := c.us(lossless); err != nil || !w.shorter(us) {
		return err
	}
	_, err = w.offerWindows(all, lossless)
	return err
}

// openWindows are those windows of the sensors that make the cycle with which it would be shorter, were they as short as can be; none
// where that wins nothing.
func (w *work) openWindows() (all []window, err error) {
	var shortest []plan.Change
	for i, s := range w.sc.Sensors {
		if !slices.Contains(w.from, s.Name) || !settable(w.sc, i) {
			continue
		}
		now := w.p.Sensors[i]
		asIs := math.Floor(now.ListenM*100+1e-6) / 100
		if s.ListenM > 0 {
			asIs = s.ListenM
		}
		least := ceilCm(now.BlindM + leastOverM)
		if asIs <= least {
			continue
		}
		shortest = append(shortest, plan.Change{Sensor: s.Name, ListenM: least})
		if k := len(all) - 1; len(w.from) > manySensors && k >= 0 && w.sc.Sensors[all[k].sensors[0]].Group == s.Group {
			all[k].sensors = append(all[k].sensors, i)
			all[k].m[0], all[k].m[1] = max(all[k].m[0], asIs), max(all[k].m[1], least)
			continue
		}
		all = append(all, window{sensors: []int{i}, m: []float64{asIs, least}})
	}
	if len(all) == 0 {
		return nil, nil
	}
	sc, err := With(w.sc, shortest...)
	if err != nil {
		return nil, err
	}
	if us, err := w.solveOf(sc); err != nil || !w.shorter(us) {
		return nil, err
	}
	return all, nil
}

func ceilCm(m float64) float64 { return math.Ceil(m*100-1e-6) / 100 }

// tries fills in the windows to choose from: as it is, as far as it sees anything of a zone, what it is needed for once those before
// it were cut, what it is needed for with all others as they are, and shorter ones.
func (w *work) tries(o *window, v *view, cut float64) {
	asIs, least := o.m[0], o.m[1]
	o.least = least
	alone, sees := 0.0, 0.0
	var all []needs
	for _, i := range o.sensors {
		n := v.needsOf(i, v.lobes)
		all, alone, sees = append(all, n), math.Max(alone, n.farthestM()), math.Max(sees, v.seesM(i))
	}
	within := func(m float64) float64 { return min(asIs, max(least, ceilCm(m+spareM))) }
	o.m = []float64{asIs, within(sees), cut, within(alone)}
	for k := 1; k <= shorterSteps; k++ {
		o.m = append(o.m, ceilCm(within(alone)-(within(alone)-least)*float64(k)/shorterSteps))
	}
	slices.SortFunc(o.m, func(a, b float64) int { return cmp.Compare(b, a) })
	o.m = slices.Compact(o.m)
	for _, m := range o.m {
		lost := map[int]float64{}
		for _, n := range all {
			n.addLost(m, lost)
		}
		o.lost = append(o.lost, lost)
	}
	for o.low = len(o.m) - 1; o.low > 0 && !w.spares(o.lost[o.low]); o.low-- {
	}
}

// spares reports whether zones can lose as much as that: one whose share is kept now down to that share, one of which only a gap is
// asked what the gap allows, any other nothing.
func (w *work) spares(lost map[int]float64) bool {
	for z, a := range lost {
		if a > w.spareM2(z)+w.p.Coverage[z].AreaErrorM2+sliverM2 {
			return false
		}
	}
	return true
}

// spareM2 is the area that a zone can lose, by its share.
func (w *work) spareM2(zone int) float64 {
	c := w.p.Coverage[zone]
	switch {
	case !c.Met || c.Required.Share == nil && c.Required.LargestGap == nil:
		return 0
	case c.Required.Share == nil:
		return c.AreaM2
	}
	return max(0, c.CoveredM2-*c.Required.Share*c.AreaM2)
}

// inTurn cuts the windows one after the other, each as far as what is then seen by it alone allows, and returns how far that is, m:
// together they lose nothing.
func (w *work) inTurn(all []window, v *view) (m []float64) {
	lobes := maps.Clone(v.lobes)
	for _, o := range all {
		far := 0.0
		for _, i := range o.sensors {
			far = math.Max(far, v.needsOf(i, lobes).farthestM())
		}
		m = append(m, min(o.m[0], max(o.m[1], ceilCm(far+spareM))))
		for _, i := range o.sensors {
			v.cut(lobes, i, m[len(m)-1], false)
		}
	}
	return m
}

// numbers are the places of windows in their lists.
func (w *work) numbers(all []window, m []float64) (at []int) {
	for k, o := range all {
		at = append(at, slices.Index(o.m, m[k]))
	}
	return at
}

// set is the change of windows to those numbers.
func (w *work) set(all []window, at []int) (cs []plan.Change) {
	for k, o := range all {
		for _, i := range o.sensors {
			if at[k] > 0 {
				cs = append(cs, plan.Change{Sensor: w.sc.Sensors[i].Name, ListenM: o.m[at[k]]})
			}
		}
	}
	return cs
}

// keeps reports whether every demand that is met now is met with those windows, and none that is missed is missed by more.
func (w *work) keeps(all []window, at []int) (bool, error) {
	sc, err := With(w.sc, w.set(all, at)...)
	if err != nil {
		return false, err
	}
	p, err := w.plan(sc)
	if err != nil {
		return false, w.ctx.Err()
	}
	var way plan.Way
	w.weigh(&way, p)
	for z, c := range p.Coverage {
		if was := w.p.Coverage[z]; was.CoveredM2-c.CoveredM2 > w.spareM2(z)+was.AreaErrorM2+sliverM2 {
			return false, nil
		}
	}
	for i, v := range p.Warnings {
		if was := w.p.Warnings[i]; was.Asked && !was.Met && v.SafeSpeedMS < was.SafeSpeedMS {
			return false, nil
		}
	}
	return len(way.Lost) == 0, nil
}

// offerWindows offers windows.
func (w *work) offerWindows(all []window, at []int) (bool, error) {
	cs := w.set(all, at)
	if len(cs) == 0 {
		return false, nil
	}
	return w.offer(change(plan.WayWindows, windowsText(cs, func(name string) bool {
		for k, o := range all {
			if slices.ContainsFunc(o.sensors, func(i int) bool { return w.sc.Sensors[i].Name == name }) {
				return o.m[at[k]] == o.least
			}
		}
		return false
	}), cs...))
}

// windowsText says who shall listen how far, those alike together, and whose window then is as short as can be: they are needed for
// nothing that is asked.
func windowsText(cs []plan.Change, least func(name string) bool) string {
	type ask struct {
		m     float64
		least bool
	}
	var order []ask
	names := map[ask][]string{}
	for _, c := range cs {
		a := ask{c.ListenM, least(c.Sensor)}
		if names[a] == nil {
			order = append(order, a)
		}
		names[a] = append(names[a], c.Sensor)
	}
	var texts []string
	for _, a := range order {
		text := fmt.Sprintf("listen-to: %s for %s", plan.Metres(a.m), join(names[a]))
		if a.least {
			text += ", as short as can be"
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, "; ")
}
