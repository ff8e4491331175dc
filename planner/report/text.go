package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"echowright/planner/plan"
)

// Summary prints the answer for a terminal: what was asked, what is, by how much, where, why, and
// what would mend it. With colour set, words of a verdict are emphasised for a terminal.
func Summary(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	t.verdict()
	t.demands()
	t.mend()
	t.delays()
	t.wrongReadings()
	t.restsOn()
	_, err := io.WriteString(w, t.b.String())
	return err
}

// Verdict prints only what decides: met or not, the widest hidden thing, the cycle and what makes it, how much is guessed, and every
// demand missed.
func Verdict(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	t.verdict()
	t.missed()
	_, err := io.WriteString(w, t.b.String())
	return err
}

// Firing prints the firing table: a row a firing, times from the start of the cycle.
func Firing(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	s := p.Schedule
	c := cycleDemand(p)
	t.line("%s: cycle %s, %s, style %s  %s", p.Layout, c.is, c.what, s.Style, t.mark(s.Met))
	t.line("%s", s.Why)
	if len(s.Firings) > 0 {
		t.firings(s)
	}
	for _, l := range delayLines(p) {
		t.line("%s", l)
	}
	if says := untold(p); len(says) > 0 {
		t.line("\n%s", strings.Join(says, "\n"))
	}
	t.line("\n%s", plan.Cautions[0])
	_, err := io.WriteString(w, t.b.String())
	return err
}

// untold says which sensors the controller does not start as the table has it: those with no row, and the links of chains.
func untold(p *plan.Plan) (lines []string) {
	if out := outside(p); len(p.Schedule.Firings) > 0 && len(out) > 0 {
		lines = append(lines, byItself(out)+": no row in the table")
	}
	for _, f := range p.Schedule.Firings {
		if f.StartedBy != "" && p.HasTable() {
			lines = append(lines, fmt.Sprintf("%s is started by %s, not by the controller: it fires as soon as %s is done, at the latest as the table has it", f.Sensor, f.StartedBy, f.StartedBy))
		}
	}
	return lines
}

// byItself says of sensors that no table tells when to fire.
func byItself(names []string) string {
	if len(names) == 1 {
		return names[0] + " fires by itself"
	}
	return strings.Join(names, ", ") + " fire by themselves"
}

// firings prints the rows of the table.
func (t *text) firings(s plan.Schedule) {
	width := len("sensor")
	for _, f := range s.Firings {
		width = max(width, len([]rune(f.Sensor)))
	}
	t.line("\nus from the start of the cycle; may take a foreign sound from `may hear` on, its own echo for certain from `listen` on")
	t.line("  group  %-*s  %9s  %9s  %9s  %9s  %10s  %10s", width, "sensor", "fire", "may hear", "listen", "until", "busy until", "late until")
	for _, f := range s.Firings {
		t.line("  %5d  %-*s  %9d  %9d  %9d  %9d  %10d  %10d", f.Group, width, f.Sensor, f.AtUs, f.MayHearFromUs, f.ListenFromUs, f.ListenUntilUs, f.BusyUntilUs, f.LateUntilUs)
	}
	if s.TickUs == 1 {
		t.line("\na tick is 1 us: these are ticks too")
	} else if s.TickUs > 0 {
		t.line("\nticks of %g us, rounded outward, the pause kept from the rounded end; the cycle is %d ticks, %.6g ms", s.TickUs, s.CycleTicks, s.RealisedCycleUs/1000)
		t.line("  group  %-*s  %9s  %9s  %9s", width, "sensor", "fire", "listen", "until")
		for _, f := range s.Firings {
			t.line("  %5d  %-*s  %9d  %9d  %9d", f.Group, width, f.Sensor, f.AtTicks, f.ListenFromTicks, f.ListenUntilTicks)
		}
	}
}

type text struct {
	p      *plan.Plan
	colour bool
	b      strings.Builder
}

func (t *text) line(format string, args ...any) {
	t.b.WriteString(strings.TrimRight(fmt.Sprintf(format, args...), " ") + "\n")
}

// mark is the word of a verdict.
func (t *text) mark(met bool) string {
	word, code := "NOT MET", "31;1"
	if met {
		word, code = "met", "32"
	}
	if !t.colour {
		return word
	}
	return "\x1b[" + code + "m" + word + "\x1b[0m"
}

// demand is one thing asked and what became of it.
type demand struct {
	label, what, is, asked string
	met                    bool
	why                    string
}

// demands returns the demands of a plan in one state, in the order they are printed.
func demands(p *plan.Plan, state string) (ds []demand) {
	for _, c := range p.Coverage {
		if c.State != state {
			continue
		}
		ds = append(ds, coverageDemands(p, c)...)
	}
	return append(ds, warningDemands(p, state)...)
}

func coverageDemands(p *plan.Plan, c plan.Coverage) (ds []demand) {
	what := c.Zone + ", " + c.Target
	if c.Required.SeenBy > 1 {
		what += fmt.Sprintf(" by %d", c.Required.SeenBy)
	}
	is := plan.Percent(c.CoveredM2, c.AreaM2, c.AreaErrorM2) + " of " + plan.SquareMetres(c.AreaM2)
	seen := demand{label: "seen", what: what, is: is, met: true, asked: "not asked"}
	if c.Required.Share != nil {
		seen.asked = fmt.Sprintf("asked %.4g %%", 100**c.Required.Share)
		seen.met = c.ShareMet
	}
	ds = append(ds, seen)
	gap := demand{what: "widest gap", is: gapText(c), met: true, asked: "not asked"}
	if c.Required.LargestGap != nil {
		gap.asked = "asked " + plan.Millimetres(*c.Required.LargestGap)
		gap.met = c.GapMet
	}
	if c.WidestGapAt != nil && c.WidestGapM >= slimM {
		gap.why = p.Body.Place(*c.WidestGapAt)
		if cause := causeAt(p, c); cause != "" {
			gap.why += ": " + cause
		}
	}
	return append(ds, gap)
}

// gapText prints the width of the widest gap of a zone.
func gapText(c plan.Coverage) string {
	switch {
	case c.WidestGapM <= 0:
		return "none"
	case c.WidestGapM < slimM:
		return "under 1 mm"
	case c.GapHeld:
		return "at least " + plan.Millimetres(c.WidestGapM)
	}
	return plan.Millimetres(c.WidestGapM)
}

// causeAt is the cause of the blind spot that holds the widest gap of c.
func causeAt(p *plan.Plan, c plan.Coverage) string {
	best, cause := -1.0, ""
	for _, b := range p.BlindSpots {
		if b.Zone == c.Zone && b.State == c.State && b.Target == c.Target && b.HidesM > best {
			best, cause = b.HidesM, b.Cause
		}
	}
	return cause
}

func cycleDemand(p *plan.Plan) demand {
	s := p.Schedule
	runs := s.RunsUs()
	d := demand{label: "cycle", what: s.Arranged(), is: plan.Milliseconds(runs), met: s.BudgetUs == 0 || runs <= s.BudgetUs, asked: "not asked", why: firstLine(s.Why)}
	if s.BudgetUs > 0 {
		d.asked = "within " + plan.Milliseconds(s.BudgetUs)
	}
	switch {
	case s.Style == plan.AsRead:
		d.is = plan.Milliseconds(s.BestCycleUs) + " to " + plan.Milliseconds(s.WorstCycleUs)
	case len(s.Firings) == 0:
		d.what, d.is, d.met = "no table", "none", s.Met
		if s.BudgetUs == 0 && !s.Met {
			d.asked = "a table"
		}
	case !s.Proven:
		least := plan.Milliseconds(s.LowerBoundUs)
		if least == d.is && s.LowerBoundUs < runs {
			least = plan.Microseconds(s.LowerBoundUs)
		}
		d.why = fmt.Sprintf("not proven shortest: at least %s; %s", least, d.why)
	}
	if s.CycleTicks > 0 && runs > s.CycleUs {
		tick := strconv.FormatFloat(s.TickUs, 'g', -1, 64) + " us"
		if s.TickUs >= 1000 {
			tick = strconv.FormatFloat(s.TickUs/1000, 'g', -1, 64) + " ms"
		}
		d.why = fmt.Sprintf("in whole ticks of %s, %s before; that %s", tick, plan.Milliseconds(s.CycleUs), d.why)
	}
	return d
}

// tableDemand is that the table is kept; none where it is, or where there can be none.
func tableDemand(p *plan.Plan) []demand {
	if p.Schedule.NotKept == "" {
		return nil
	}
	return []demand{{label: "table", what: "kept by all", is: "not kept", asked: "asked of all", why: p.Schedule.NotKept}}
}

// outside are the sensors that have no place in the firing table.
func outside(p *plan.Plan) (names []string) {
	for _, s := range p.Sensors {
		if !p.Scheduled(s.Name) {
			names = append(names, s.Name)
		}
	}
	return names
}

func disturbanceDemand(p *plan.Plan) demand {
	pairs := len(p.Sensors) * len(p.Sensors) // each with itself too: late sound of its own
	n := p.Disturbed()
	what := "in this order"
	if !p.HasTable() {
		what = "in no order"
	}
	if p.Schedule.NotKept == "" && !p.HasTable() {
		return demand{label: "disturbed", what: what, is: "not known", asked: "not asked", met: true, why: "there is no table to replay"}
	}
	others := ""
	if foreign, own := p.DisturbedPairs(); own > 0 {
		others = fmt.Sprintf("%d of them of different sensors; ", foreign)
	}
	return demand{label: "disturbed", what: what, is: fmt.Sprintf("%d of %d pairs", n, pairs), asked: "asked none", met: n == 0,
		why: fmt.Sprintf("%sfor %s; fired all at once: %d of different sensors", others, around(p), p.Schedule.AllAtOnce)}
}

// states returns the states to report, one unnamed when the layout names none.
func states(p *plan.Plan) []string {
	if len(p.States) == 0 {
		return []string{""}
	}
	return p.States
}

// firingDemands are what is asked of the firing of the whole array.
func firingDemands(p *plan.Plan) []demand {
	return slices.Concat([]demand{disturbanceDemand(p), cycleDemand(p)}, refreshDemands(p), delaysDemand(p), tableDemand(p), readyDemand(p))
}

// refreshDemands are how often sensors shall fire, those alike in one.
func refreshDemands(p *plan.Plan) (ds []demand) {
	type alike struct {
		times       int
		asked, kept int64
	}
	at := map[alike]int{}
	for _, r := range p.Schedule.Refresh {
		a := alike{r.Times, r.AskedUs, r.KeptUs}
		k, known := at[a]
		if known {
			ds[k].what += ", " + r.Sensor
			continue
		}
		at[a] = len(ds)
		often := "fires once a cycle"
		if r.Times > 1 {
			often = fmt.Sprintf("fires %d times a cycle", r.Times)
		}
		is, asked := plan.Milliseconds(r.KeptUs), plan.Milliseconds(r.AskedUs)
		if !r.Met && is == asked {
			is = plan.Microseconds(r.KeptUs)
		}
		ds = append(ds, demand{label: "refresh", what: r.Sensor, is: is, asked: "within " + asked, met: r.Met, why: often})
	}
	return ds
}

// tally counts the demands asked, and those of them missed.
func tally(p *plan.Plan) (asked, missed int) {
	var all []demand
	for _, s := range states(p) {
		all = append(all, demands(p, s)...)
	}
	for _, d := range append(all, firingDemands(p)...) {
		if d.asked == "not asked" {
			continue
		}
		asked++
		if !d.met {
			missed++
		}
	}
	return asked, missed
}

// missed prints a line for every demand that is not met.
func (t *text) missed() {
	line := func(d demand, state string) {
		if d.asked == "not asked" || d.met {
			return
		}
		where := d.what
		if d.label != "" {
			where = d.label + ": " + where
		}
		if state != "" {
			where += ", " + state
		}
		says := where + ": " + d.is + ", " + d.asked
		if d.why != "" {
			says += "; " + d.why
		}
		t.line("%s  %s", t.mark(false), says)
	}
	for _, s := range states(t.p) {
		for _, d := range demands(t.p, s) {
			line(d, s)
		}
	}
	for _, d := range firingDemands(t.p) {
		line(d, "")
	}
}

// tallied says how many demands are met, with the word of the verdict.
func tallied(p *plan.Plan, word string) string {
	asked, missed := tally(p)
	if p.Met {
		return fmt.Sprintf("all %d demands %s", asked, word)
	}
	return fmt.Sprintf("%d of %d demands %s", missed, asked, word)
}

func (t *text) verdict() {
	t.line("%s: %s", t.p.Layout, tallied(t.p, t.mark(t.p.Met)))
	if c, ok := widest(t.p); ok && c.WidestGapM >= slimM && c.WidestGapAt != nil {
		in := ""
		if c.State != "" {
			in = ", " + c.State
		}
		t.line("widest hidden thing %s in %s%s: %s", gapText(c), c.Zone, in, t.p.Body.Place(*c.WidestGapAt))
	} else if ok {
		t.line("nothing wider than 1 mm hides in any zone")
	}
	c := cycleDemand(t.p)
	if b := t.p.Schedule.BudgetUs; b > 0 {
		c.is += " of " + plan.Milliseconds(b)
	}
	t.line("cycle %s: %s", c.is, c.why)
	t.line("%d of %d deciding values are estimates", t.p.Estimates, t.p.Deciding)
}

// slimM is the width below which a hidden thing is none: it would print as 0 mm.
const slimM = 0.001

// widest is the coverage entry with the widest gap.
func widest(p *plan.Plan) (best plan.Coverage, ok bool) {
	for _, c := range p.Coverage {
		if !ok || c.WidestGapM > best.WidestGapM {
			best, ok = c, true
		}
	}
	return best, ok
}

func (t *text) demands() {
	var rows []demand
	for _, s := range states(t.p) {
		if s != "" {
			rows = append(rows, demand{label: "state", what: s})
		}
		rows = append(rows, demands(t.p, s)...)
	}
	rows = append(rows, firingDemands(t.p)...)
	wWhat, wIs, wAsked := 0, 0, 0
	for _, d := range rows {
		if d.label != "state" {
			wWhat, wIs, wAsked = max(wWhat, len(d.what)), max(wIs, len(d.is)), max(wAsked, len(d.asked))
		}
	}
	t.line("")
	for _, d := range rows {
		if d.label == "state" {
			t.line("  %s", d.what)
			continue
		}
		word := ""
		if d.asked != "not asked" {
			word = t.mark(d.met)
			word += strings.Repeat(" ", 7-len([]rune(map[bool]string{true: "met", false: "NOT MET"}[d.met])))
		} else {
			word = "       "
		}
		t.line("  %-11s  %-*s  %-*s  %-*s  %s  %s", d.label, wWhat, d.what, wIs, d.is, wAsked, d.asked, word, d.why)
	}
}

// mend lists the findings that missed a demand, then those to look at, and what would mend each.
func (t *text) mend() {
	titles := map[string]string{plan.NotMet: "mend first", plan.Look: "look at"}
	for _, g := range bySeverity(t.p) {
		severity := g.Findings[0].Severity
		if severity == plan.Note {
			break
		}
		if title := titles[severity]; title != "" {
			t.line("\n%s", title)
			titles[severity] = ""
		}
		mark := fmt.Sprint(g.No)
		for _, f := range g.Findings {
			where := ""
			if f.Where != "" {
				where = f.Where + ": "
			}
			t.line("  %2s  %s%s  (%s)", mark, where, f.Text, f.Code)
			if mark = ""; f.Reason != "" {
				t.line("      reason: %s", f.Reason)
			}
		}
		switch {
		case g.AsAt > 0:
			t.line("      mend: as at %d", g.AsAt)
		case g.Mend != "":
			t.line("      mend: %s", g.Mend)
		}
	}
}

// wrongReadings lists constant readings of the machine's own parts, and how far foreign and late sound could throw a sensor off.
func (t *text) wrongReadings() {
	var lines []string
	at := map[string]int{}
	var names [][]string
	var masks []string
	for _, m := range t.p.Masks {
		in := ""
		if m.State != "" {
			in = " while " + m.State
		}
		what := "its own machine (" + m.What + ")"
		if m.What == "ground" {
			what = "the ground"
		}
		verb := " may show"
		if m.Always {
			verb = " always shows"
		}
		says := fmt.Sprintf("%s %s%s: %s", verb, plan.Metres(m.ReadsM), in, what)
		i, known := at[says]
		if !known {
			i = len(masks)
			at[says] = i
			masks, names = append(masks, says), append(names, nil)
		}
		names[i] = append(names[i], m.Sensor)
	}
	for i, says := range masks {
		if len(names[i]) > 1 {
			says = strings.Replace(says, " always shows", " always show", 1)
		}
		lines = append(lines, strings.Join(names[i], ", ")+says)
	}
	lines = append(lines, firedWrongly(t.p)...)
	if len(lines) > 0 {
		t.line("\ncould read wrongly")
		for _, l := range lines {
			t.line("  %s", l)
		}
	}
}

func (t *text) restsOn() {
	p := t.p
	t.line("\nrests on")
	t.line("  %d of %d deciding values are estimates (listed in the report and under --json)", p.Estimates, p.Deciding)
	for _, a := range p.Assumed {
		t.line("  %s", a)
	}
	t.line("  air: sound from %.1f m/s (%.0f degC, %.0f %%) to %.1f m/s (%.0f degC, %.0f %%)", p.Air.Slowest, p.Air.SlowestAt.TemperatureC, p.Air.SlowestAt.HumidityPct,
		p.Air.Fastest, p.Air.FastestAt.TemperatureC, p.Air.FastestAt.HumidityPct)
	t.line("  %s", plan.Cautions[0])
}

func firstLine(s string) string {
	first, _, _ := strings.Cut(s, "\n")
	return first
}
