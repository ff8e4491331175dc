package firing

import (
	"context"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/clash"
	"echowright/scheduler/instance"
)

// Result is the firing plan with what goes with it.
type Result struct {
	Schedule plan.Schedule
	Arcs     []plan.Arc // in the order given, with what each harms and reads
	Findings []plan.Finding
}

// Options of Plan.
type Options struct {
	Nodes int64 // most nodes of the search; 0: as many as the proof takes
	Try   bool  // reckon what each way out would give, by solving again
	// Clock is the clockwork of a sensor of another scene of the same kinds, for ways out that change a sensor; needed with Try.
	Clock func(sc *scene.Scene, sensor int) Clock
}

// Plan solves for the shortest cycle of slots, or, in style as-read, bounds the cycle and says what may go wrong. When ctx ends
// before the proof, the best so far is returned with Proven false.
// The error is a fault of the problem or of the solver, never a demand not met; of a scene that leaves pairs to its delays also that these
// cannot be left. The arcs of such pairs are not in the Result.
func Plan(ctx context.Context, sc *scene.Scene, clocks []Clock, arcs []crosstalk.Arc, o Options) (Result, error) {
	var w *work
	var err error
	if len(sc.Wishes.Delays.Let) > 0 {
		w, err = tolerating(ctx, sc, clocks, arcs, o)
	} else {
		w, err = begin(ctx, sc, clocks, arcs, o).planned()
	}
	if err != nil {
		return Result{}, err
	}
	w.hitsUs = w.arcHits()
	w.chained = w.chainFindings()
	if err := w.findClash(); err != nil {
		return Result{}, err
	}
	return Result{Schedule: w.schedule(), Arcs: w.report(), Findings: w.findings()}, nil
}

func begin(ctx context.Context, sc *scene.Scene, clocks []Clock, arcs []crosstalk.Arc, o Options) *work {
	p, sensors := Problem(sc, clocks, arcs)
	w := &work{ctx: ctx, sc: sc, clocks: clocks, arcs: arcs, p: p, sensors: sensors, o: o}
	free := w.unrailed()
	w.rails = free.AtOnce != p.AtOnce || len(free.Resources) != len(p.Resources)
	return w
}

// planned is the work with its timetable, delays and all.
func (w *work) planned() (*work, error) {
	if err := w.find(); err != nil {
		return nil, err
	}
	w, err := w.withDelays()
	if err != nil {
		return nil, err
	}
	w.setPaces()
	return w, nil
}

// find finds the timetable in the style wished.
func (w *work) find() error {
	if w.sc.Wishes.Style == plan.AsRead {
		return w.layAsRead()
	}
	return w.arrange()
}

// work is one firing plan in the making.
type work struct {
	read     *asRead      // nil but in style as-read
	slots    *slotsAnswer // nil but in style staggered
	often    *often       // nil where every sensor fires once a cycle
	delayed  *delayed     // nil where no delays are wished
	let      [][2]int     // pairs of jobs that hear each other by arcs which the problem leaves out, as delays drop them
	hitsUs   [][2]int64   // by arc
	ctx      context.Context
	sc       *scene.Scene
	clocks   []Clock
	arcs     []crosstalk.Arc
	p        instance.Problem
	sensors  []int // sensor of each job
	t        instance.Timetable
	remade   bool           // the search was ended by its proof, but what chains or ticks ask made the cycle longer
	chained  []plan.Finding // what chains do that the table does not say
	clash    clash.Clash    // why the budget cannot be met, or why there is no cycle
	o        Options
	rails    bool             // the rail asks something of the groups
	cannot   *instance.Cannot // no timetable at all; t is then empty
	paces    []pace           // of each group
	occupied []int64          // how long each job is at work
	late     []turn           // how long the sound of each job is in the way of whoever fires next
}

func (w *work) name(job int) string { return w.p.JobName(job) }

func (w *work) names(jobs []int) []string {
	out := make([]string, len(jobs))
	for k, j := range jobs {
		out[k] = w.name(j)
	}
	return out
}

// within reports whether the cycle keeps to the budget, if one was asked, in whole ticks too.
func (w *work) within() bool {
	return w.p.BudgetUs == 0 || w.ticks().realisedUs() <= float64(w.p.BudgetUs)
}

// notKept is why the modules or the controller do not keep to the table; empty where they do.
func (w *work) notKept() string {
	var names []string
	for _, i := range w.foreign() {
		names = append(names, w.sc.Sensors[i].Name)
	}
	switch i := w.overdrawn(); {
	case w.read != nil:
		return "as-read firmware fires as soon as the echo came, at no set times"
	case len(names) == 1:
		return names[0] + " fires by itself"
	case len(names) > 1:
		return join(names) + " fire by themselves"
	case len(w.chained) > 0:
		return "links of a chain fire as soon as the one before is done"
	case i >= 0:
		return w.sc.Sensors[i].Name + " draws more than the rail gives"
	}
	return ""
}

// foreign lists the sensors that fire by themselves.
func (w *work) foreign() (list []int) {
	for i := range w.sc.Sensors {
		if byItself(w.sc, i) {
			list = append(list, i)
		}
	}
	return list
}

func (w *work) schedule() plan.Schedule {
	s := plan.Schedule{
		Style:        plan.Slots,
		CycleUs:      w.t.CycleUs,
		BudgetUs:     w.p.BudgetUs,
		LowerBoundUs: w.t.LowerBoundUs,
		Proven:       w.t.Proven,
		Why:          w.why(),
		MadeBy:       w.names(w.t.Clique),
		Groups:       [][]string{},
		Firings:      []plan.Firing{},
		GuardUs:      pauseUs(w.p),
		Refresh:      w.refresh(),
		NotKept:      w.notKept(),
		Clash:        w.demands(),
		AllAtOnce:    harmedPairs(w.sc, w.clocks, w.arcs),
		Delays:       w.delayed.plan(w),
	}
	s.Met = w.cannot == nil && w.within() && w.notKept() == "" && s.RefreshKept() == len(s.Refresh) && w.delayed.can()
	for _, jobs := range w.t.Groups {
		s.Groups = append(s.Groups, w.names(jobs))
	}
	if w.read != nil {
		s.BestCycleUs, s.WorstCycleUs = w.read.bestCycle, w.read.worstCycle
	}
	if st := w.sc.Wishes.Style; st != "" {
		s.Style = st
	}
	if w.slots != nil {
		s.SlotsCycleUs, s.SlotsProven = w.slots.us, w.slots.proven
	}
	late, ticks := w.lastHeard(), w.ticks()
	s.RealisedCycleUs = ticks.realisedUs()
	if s.Style != plan.AsRead {
		s.TickUs, s.CycleTicks = ticks.tick, ticks.cycle
	}
	starts := map[int]string{}
	for _, c := range w.p.Order {
		for k := 1; k < len(c); k++ {
			starts[c[k]] = w.name(c[k-1])
		}
	}
	g, fired := 0, 0 // the group, and how many of it are in the table
	for _, f := range w.t.Firings {
		if fired == len(w.t.Groups[g]) {
			g, fired = g+1, 0
		}
		fired++
		j, c := w.p.Jobs[f.Job], w.clocks[w.sensors[f.Job]]
		j.CloseUs, j.BusyUs = j.CloseUs-c.DelayUs, j.BusyUs-c.DelayUs
		firing := plan.Firing{
			Sensor: w.name(f.Job), Group: g + 1, AtUs: f.AtUs, MayHearFromUs: f.AtUs + j.OpenUs,
			ListenFromUs: f.AtUs + c.DeafUs, ListenUntilUs: f.AtUs + j.CloseUs,
			BusyUntilUs: f.AtUs + j.BusyUs, LateUntilUs: f.AtUs + late[f.Job] - c.DelayUs, StartedBy: starts[f.Job],
			DelaysUs: w.delayed.table(f.Job),
		}
		if at := ticks.at[g]; s.Style != plan.AsRead {
			firing.AtTicks, firing.ListenFromTicks = at, at+ticks.floor(c.DeafUs)
			firing.ListenUntilTicks, firing.BusyUntilTicks = at+ticks.ceil(j.CloseUs), at+ticks.ceil(j.BusyUs)
		}
		s.Firings = append(s.Firings, firing)
	}
	return s
}

// lastHeard is how long after its firing each job's sound can still be taken by some job.
func (w *work) lastHeard() []int64 {
	late := make([]int64, len(w.p.Jobs))
	for _, a := range w.p.Arcs {
		late[a.From] = max(late[a.From], a.UntilUs+2*w.p.JitterUs)
	}
	for j, us := range late {
		if us == 0 {
			late[j] = w.clocks[w.sensors[j]].DelayUs
		}
	}
	return late
}

// report puts the arcs into the Plan's form.
func (w *work) report() []plan.Arc {
	listens := make([]float64, len(w.clocks))
	for i, c := range w.clocks {
		listens[i] = c.ListenM
	}
	out := crosstalk.Report(w.sc, w.arcs, time.Duration(w.t.CycleUs)*time.Microsecond, listens)
	for k, a := range w.arcs {
		out[k].Harms = harms(w.sc, w.clocks, a)
		out[k].HitsUs = w.hitsUs[k]
	}
	return out
}
