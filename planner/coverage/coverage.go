package coverage

import (
	"context"
	"math"
	"runtime"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/geometry/region"
	"echowright/planner/acoustics"
	"echowright/planner/parallel"
	"echowright/planner/plan"
	"echowright/planner/recall"
	"echowright/planner/scene"
)

// Inputs is what the analysis needs beside the scene; Ears and ListenM must be given, the rest may stay zero.
type Inputs struct {
	Ears    []*acoustics.Ear // one for each of the scene's sensors, in their order
	ListenM []float64        // the farthest distance each sensor's window admits for certain, m
	// ErrorM bounds the distance of a lobe's edge from the true one; 0 means 1 mm.
	ErrorM float64
	// Workers is how many goroutines may run; 0 means one a processor. It changes no byte of the result.
	Workers int
	// Advise tries turns of single sensors where a zone misses its demand, by reckoning it again, and tells of the best.
	Advise bool
	// Memory, where given, is asked for what it has and given what is new. Ears must then follow from the scene alone. It
	// changes no byte of the result.
	Memory *Memory
}

// Result is the share of a Plan that this package makes; every list is in a fixed order.
type Result struct {
	Zones      []plan.Zone
	Lobes      []plan.Lobe
	Coverage   []plan.Coverage
	BlindSpots []plan.BlindSpot
	Overlaps   []plan.Overlap
	Masks      []plan.Mask
	SideViews  []plan.SideView
	Findings   []plan.Finding
}

// Met reports whether every zone in every state has what it asks.
func (r Result) Met() bool {
	return !slices.ContainsFunc(r.Coverage, func(c plan.Coverage) bool { return !c.Met })
}

// Analyse reckons what a machine sees, in every state. The only error is that of ctx, which has ended before all was
// reckoned.
func Analyse(ctx context.Context, sc *scene.Scene, in Inputs) (Result, error) {
	if in.Memory == nil {
		in.Memory = new(Memory)
	}
	st := newStudy(ctx, sc, listenersOf(sc, in), in)
	if err := st.run(); err != nil {
		return Result{}, err
	}
	return st.result(), nil
}

func listenersOf(sc *scene.Scene, in Inputs) []listener {
	listeners := make([]listener, len(sc.Sensors))
	kinds, keys := keysOf(sc, in.ListenM)
	memory := in.Memory
	if memory == nil {
		memory = new(Memory)
	}
	for i, s := range sc.Sensors {
		m, t := in.Ears[i].Model(), sc.Kinds[s.Kind].Timing
		listeners[i] = listener{
			key: keys[i], ear: in.Ears[i], mount: s, blind: m.BlindM(), nearest: m.NearestM(), listen: in.ListenM[i],
			half: nominalHalf(sc.Kinds[s.Kind].Beam), ends: t.By == scene.ByController || t.WindowSettable,
			inside:  func(d float64) string { text, _ := m.InsideReads(d); return text },
			remount: func(s scene.Sensor) ear { return m.Mount(s, sc.Around.Ground) },
		}
		// A bench table may be louder off the axis, which the reach on axis then does not bound.
		if m.BeamShape() == "piston" {
			listeners[i].sure = sureHalf
			listeners[i].reach = func(t scene.Target) float64 {
				return memory.reaches.Of(recall.Of(kinds[s.Kind], t), func() float64 {
					most, least := m.ReachM(t)
					return max(most, least)
				})
			}
		}
	}
	return listeners
}

// sureHalf is the bearing off a sensor's heading beyond which the piston model is doubtful, rad: baffle and
// housing decide there. Common practice, no source.
const sureHalf = 60 * math.Pi / 180

// nominalHalf is half the width a card states for a beam, rad; that of a bench table is its widest bearing.
func nominalHalf(b scene.Beam) float64 {
	half := b.Across.Radians() / 2
	for _, p := range b.Table {
		half = max(half, p.Bearing.Abs().Radians())
	}
	return half
}

// study is one analysis on its way. It lives no longer than the call it is made for, so it may hold that call's context.
type study struct {
	ctx       context.Context
	sc        *scene.Scene
	listeners []listener
	obstacles []obstacle
	errorM    float64
	slackDB   float64
	workers   int
	advise    bool
	memory    *Memory
	states    []string
	readings  [][]reading    // of each sensor
	targets   []int          // those the zones ask for, in the order of the scene
	hearings  [][][]*hearing // by target (index into targets), sensor, state
	groups    []group
	verdicts  []*verdict
	cures     []*cure
}

// group is the zones in force in one state with one target: one overlay.
type group struct {
	state, target int // indices into states and targets
	verdicts      []*verdict
	overlap       [][]float64
}

func newStudy(ctx context.Context, sc *scene.Scene, listeners []listener, in Inputs) *study {
	st := &study{
		ctx: ctx, sc: sc, listeners: listeners, obstacles: obstaclesOf(sc.Body),
		errorM: in.ErrorM, slackDB: sc.Tolerance.ThresholdDB, workers: in.Workers, advise: in.Advise, memory: in.Memory, states: sc.States,
	}
	if st.memory == nil {
		st.memory = new(Memory)
	}
	if st.errorM <= 0 {
		st.errorM = 1e-3
	}
	if st.slackDB <= 0 {
		st.slackDB = slackDB
	}
	if st.workers <= 0 {
		st.workers = runtime.GOMAXPROCS(0)
	}
	if len(st.states) == 0 {
		st.states = []string{""}
	}
	for i := range sc.Targets {
		if slices.ContainsFunc(sc.Zones, func(z scene.Zone) bool { return z.Target == i }) {
			st.targets = append(st.targets, i)
		}
	}
	return st
}

// run does the stages in turn, each spread over the workers, until done or st.ctx ends.
func (st *study) run() error {
	for _, stage := range []func() error{st.read, st.hearAll, st.surveyAll, st.explain, st.judgeAll, st.tryCures} {
		if err := stage(); err != nil {
			return err
		}
	}
	return nil
}

// each spreads parts of one stage over the workers.
func (st *study) each(n int, do func(i int)) error { return parallel.Each(st.ctx, n, st.workers, do) }

func (st *study) read() error {
	st.readings = make([][]reading, len(st.listeners))
	return st.each(len(st.listeners), func(i int) {
		l := &st.listeners[i]
		st.readings[i] = st.memory.readings.Of(l.key, func() []reading { return st.readingsOf(l) })
	})
}

func (st *study) hearAll() error {
	n := len(st.listeners)
	st.hearings = make([][][]*hearing, len(st.targets))
	for t := range st.targets {
		st.hearings[t] = make([][]*hearing, n)
	}
	return st.each(n*len(st.targets), func(k int) {
		t, i := k/n, k%n
		st.hearings[t][i] = st.hear(t, i)
	})
}

func (st *study) surveyAll() error {
	st.makeGroups()
	n := len(st.groups)
	sure := make([][]survey, n)
	err := st.each(2*n, func(k int) {
		if g := &st.groups[k%n]; k < n {
			st.survey(g)
		} else {
			sure[k%n] = st.surveySure(g)
		}
	})
	for k, found := range sure {
		for i, f := range found {
			if v := st.groups[k].verdicts[i]; f.covered < v.figures.covered {
				v.sure = &verdict{zone: v.zone, errM: v.errM, figures: f}
			}
		}
	}
	return err
}

func (st *study) judgeAll() error {
	return st.each(len(st.verdicts), func(i int) {
		st.verdicts[i].judge()
		st.judgeSure(st.verdicts[i])
		if st.advise {
			st.tryTurns(st.verdicts[i])
		}
	})
}

func (st *study) tryCures() error {
	if !st.advise {
		return nil
	}
	st.cures = st.listCures()
	return st.each(len(st.cures), func(i int) { st.try(st.cures[i]) })
}

// hear returns what a sensor sees of a target in every state. States that differ in nothing the
// sensor notices share one hearing.
func (st *study) hear(target, sensor int) []*hearing {
	l, t := &st.listeners[sensor], st.sc.Targets[st.targets[target]]
	zonesM := roundedReach(st.zoneBounds(), l.mount.At)
	key := l.key
	if key != (recall.Key{}) {
		key = recall.Of(key, t, st.states, st.slackDB, st.errorM, zonesM)
	}
	known := st.memory.hearings.Of(key, func() []*hearing { return st.hearAnew(l, sensor, t, key, zonesM) })
	all := make([]*hearing, len(known))
	for i, h := range known {
		all[i] = h.as(sensor, l)
	}
	return all
}

func (st *study) hearAnew(l *listener, sensor int, t scene.Target, key recall.Key, zonesM float64) (all []*hearing) {
	height, answers := l.Sight(t)
	for _, state := range st.states {
		h := &hearing{listener: l, sensor: sensor, target: t, slackDB: st.slackDB, askM: st.errorM}
		h.mask = firstReading(st.readings[sensor], st.obstacles, state)
		for i, o := range st.obstacles {
			if _, past := o.eye(l.mount); past && answers && o.in(state) && o.height.Overlaps(height) {
				h.things = append(h.things, i)
			}
		}
		same := slices.IndexFunc(all, func(g *hearing) bool { return g.mask == h.mask && slices.Equal(g.things, h.things) })
		if same >= 0 {
			h = all[same]
		} else {
			h.look(st.obstacles, zonesM)
			if key != (recall.Key{}) {
				h.key = recall.Of(key, len(all))
			}
		}
		all = append(all, h)
	}
	return all
}

// zoneBounds is the smallest rectangle around all zones.
func (st *study) zoneBounds() r2.Rect {
	box := r2.EmptyRect()
	for _, z := range st.sc.Zones {
		for _, r := range z.Rings {
			box = box.Union(r2.RectFromPoints(r...))
		}
	}
	return box
}

// makeGroups lists the zones in force, state by state in the order of the layout.
func (st *study) makeGroups() {
	for s, state := range st.states {
		first := len(st.groups)
		for t := range st.targets {
			st.groups = append(st.groups, group{state: s, target: t})
		}
		for _, z := range st.sc.Zones {
			if !z.In(state) {
				continue
			}
			v := &verdict{zone: z, target: z.Target, state: state}
			g := &st.groups[first+slices.Index(st.targets, z.Target)]
			g.verdicts = append(g.verdicts, v)
			st.verdicts = append(st.verdicts, v)
		}
	}
}

// ears returns the hearings of a group, one a sensor.
func (st *study) ears(g *group) []*hearing {
	hs := make([]*hearing, len(st.listeners))
	for i := range hs {
		hs[i] = st.hearings[g.target][i][g.state]
	}
	return hs
}

// survey overlays a group's zones, the machine taken out of them, with its lobes.
func (st *study) survey(g *group) {
	g.overlap = st.surveyWith(st.ears(g), g.state, g.verdicts)
}

// surveySure does the same without the directions in which beams are doubtful, where there are some; nil where there are
// none.
func (st *study) surveySure(g *group) []survey {
	if len(g.verdicts) == 0 {
		return nil
	}
	hs := st.ears(g)
	sure, differ := make([]region.Set, len(hs)), false
	for i, h := range hs {
		sure[i] = h.final
		if h.sure > 0 && !h.final.IsEmpty() {
			sure[i] = st.memory.sites.Of(h.key, h.narrow)
			differ = differ || sure[i].Area() < h.final.Area()
		}
	}
	if !differ {
		return nil
	}
	demands := make([]demand, len(g.verdicts))
	for i, v := range g.verdicts {
		demands[i] = demand{st.siteOf(v, g.state), v.zone.SeenBy}
	}
	return st.surveyed(g.verdicts, hs, g.state, true, func() surveys { return surveyZones(demands, sure) }).zones
}

// surveyed asks the memory for the survey of verdicts of one target and state; sure where beams are cut to where they are
// not doubtful.
func (st *study) surveyed(vs []*verdict, hs []*hearing, state int, sure bool, make func() surveys) surveys {
	key := recall.Of(st.sc.Body, st.states[state], st.sc.Targets[vs[0].target], sure)
	for _, h := range hs {
		if h.key == (recall.Key{}) {
			return make()
		}
		key = recall.Of(key, h.key)
	}
	for _, v := range vs {
		key = recall.Of(key, v.zone.Rings, v.zone.SeenBy)
	}
	return st.memory.surveys.Of(key, make)
}

// surveyWith fills in the figures of verdicts of one target and state as sensors with those hearings give
// them, and returns the areas any two of the sensors see.
func (st *study) surveyWith(hs []*hearing, state int, vs []*verdict) (overlap [][]float64) {
	if len(vs) == 0 {
		return nil
	}
	lobes, errM := make([]region.Set, len(hs)), 0.0
	for i, h := range hs {
		lobes[i] = h.final
		errM = max(errM, h.errM)
	}
	demands := make([]demand, len(vs))
	for i, v := range vs {
		v.hearings, v.errM = hs, errM
		v.region = st.siteOf(v, state)
		demands[i] = demand{v.region, v.zone.SeenBy}
	}
	found := st.surveyed(vs, hs, state, false, func() surveys { return surveyZones(demands, lobes) })
	for i, v := range vs {
		v.figures = found.zones[i]
	}
	return found.both
}

// siteOf is the region of a verdict's zone with the machine itself taken out.
func (st *study) siteOf(v *verdict, state int) region.Set {
	t := st.sc.Targets[v.target]
	machine := recall.Of(st.sc.Body, t, st.states[state])
	return st.memory.sites.Of(recall.Of(machine, v.zone.Rings), func() region.Set {
		filled := st.memory.sites.Of(machine, func() region.Set {
			return footprint(st.obstacles, t, st.states[state], roundnessM)
		})
		return region.Difference(region.FromRings(v.zone.Rings...), filled)
	})
}
