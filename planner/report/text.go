package report

import (
	"fmt"
	"io"
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
	t.wrongReadings()
	t.restsOn()
	_, err := io.WriteString(w, t.b.String())
	return err
}

// Verdict prints only what decides: met or not, the widest hidden thing, the cycle and what makes it, and how much is guessed.
func Verdict(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	t.verdict()
	_, err := io.WriteString(w, t.b.String())
	return err
}

// Firing prints the firing table: a row a firing, times from the start of the cycle.
func Firing(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	s := p.Schedule
	t.line("%s: cycle %s in %d groups, style %s  %s", p.Layout, plan.Milliseconds(s.CycleUs), len(s.Groups), s.Style, t.mark(s.Met))
	t.line("%s", s.Why)
	width := len("sensor")
	for _, f := range s.Firings {
		width = max(width, len([]rune(f.Sensor)))
	}
	t.line("\n  group  %-*s  %10s  %10s  %10s  %10s  %10s   (us from the start of the cycle)", width, "sensor", "fire", "listen", "until", "busy until", "late until")
	for _, f := range s.Firings {
		t.line("  %5d  %-*s  %10d  %10d  %10d  %10d  %10d", f.Group, width, f.Sensor, f.AtUs, f.ListenFromUs, f.ListenUntilUs, f.BusyUntilUs, f.LateUntilUs)
	}
	t.line("\n%s", plan.Cautions[0])
	_, err := io.WriteString(w, t.b.String())
	return err
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
	return ds
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
		seen.met = c.CoveredM2 >= *c.Required.Share*c.AreaM2
	}
	ds = append(ds, seen)
	gap := demand{what: "widest gap", is: plan.Millimetres(c.WidestGapM), met: true, asked: "not asked"}
	if c.Required.LargestGap != nil {
		gap.asked = "asked " + plan.Millimetres(*c.Required.LargestGap)
		gap.met = c.WidestGapM <= *c.Required.LargestGap
	}
	if c.WidestGapAt != nil && c.WidestGapM > 0 {
		gap.why = p.Body.Place(*c.WidestGapAt)
		if cause := causeAt(p, c); cause != "" {
			gap.why += ": " + cause
		}
	}
	return append(ds, gap)
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
	d := demand{label: "cycle", what: fmt.Sprintf("%d groups", len(s.Groups)), is: plan.Milliseconds(s.CycleUs), met: s.Met, asked: "not asked", why: firstLine(s.Why)}
	if len(s.Groups) == 1 {
		d.what = "1 group"
	}
	if s.BudgetUs > 0 {
		d.asked = "within " + plan.Milliseconds(s.BudgetUs)
	}
	if !s.Proven {
		d.why = fmt.Sprintf("not proven shortest: at least %s; %s", plan.Milliseconds(s.LowerBoundUs), d.why)
	}
	return d
}

func disturbanceDemand(p *plan.Plan) demand {
	pairs := len(p.Sensors) * len(p.Sensors) // each with itself too: late sound of its own
	walls := fmt.Sprintf("for walls from %g to %g m, %d bounce", p.Around.WallsM[0], p.Around.WallsM[1], p.Around.Bounces)
	if p.Around.WallsM[0] > p.Around.WallsM[1] || p.Around.Bounces == 0 {
		walls = "for no walls around"
	}
	n := p.Disturbed()
	return demand{label: "disturbed", what: "in this order", is: fmt.Sprintf("%d of %d pairs", n, pairs), asked: "none", met: n == 0,
		why: fmt.Sprintf("%s; fired all at once: %d", walls, p.Schedule.AllAtOnce)}
}

// states returns the states to report, one unnamed when the layout names none.
func states(p *plan.Plan) []string {
	if len(p.States) == 0 {
		return []string{""}
	}
	return p.States
}

func (t *text) verdict() {
	asked, missed := 0, 0
	count := func(ds ...demand) {
		for _, d := range ds {
			if d.asked == "not asked" {
				continue
			}
			asked++
			if !d.met {
				missed++
			}
		}
	}
	for _, s := range states(t.p) {
		count(demands(t.p, s)...)
	}
	count(cycleDemand(t.p), disturbanceDemand(t.p))
	if t.p.Met {
		t.line("%s: all %d demands %s", t.p.Layout, asked, t.mark(true))
	} else {
		t.line("%s: %d of %d demands %s", t.p.Layout, missed, asked, t.mark(false))
	}
	if c, ok := widest(t.p); ok && c.WidestGapM > 0 && c.WidestGapAt != nil {
		in := ""
		if c.State != "" {
			in = ", " + c.State
		}
		t.line("widest hidden thing %s in %s%s: %s", plan.Millimetres(c.WidestGapM), c.Zone, in, t.p.Body.Place(*c.WidestGapAt))
	}
	s := t.p.Schedule
	budget := ""
	if s.BudgetUs > 0 {
		budget = " of " + plan.Milliseconds(s.BudgetUs)
	}
	t.line("cycle %s%s: %s", plan.Milliseconds(s.CycleUs), budget, firstLine(s.Why))
	t.line("%d of %d deciding values are estimates", t.p.Estimates, t.p.Deciding)
}

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
	rows = append(rows, disturbanceDemand(t.p), cycleDemand(t.p))
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

// mend lists the findings that missed a demand and what would mend each.
func (t *text) mend() {
	t.section("mend first", func(f plan.Finding) bool { return f.Severity == plan.NotMet }, true)
	t.section("look at", func(f plan.Finding) bool { return f.Severity == plan.Look }, true)
}

func (t *text) section(title string, want func(plan.Finding) bool, mend bool) {
	n := 0
	for _, f := range t.p.Findings {
		if !want(f) {
			continue
		}
		if n == 0 {
			t.line("\n%s", title)
		}
		n++
		where := ""
		if f.Where != "" {
			where = f.Where + ": "
		}
		t.line("  %d  %s%s  (%s)", n, where, f.Text, f.Code)
		if mend && f.Mend != "" {
			t.line("     mend: %s", f.Mend)
		}
	}
}

// wrongReadings lists constant readings of the machine's own parts, and how far a foreign ping would throw each sensor off.
func (t *text) wrongReadings() {
	var lines []string
	for _, m := range t.p.Masks {
		in := ""
		if m.State != "" {
			in = " while " + m.State
		}
		lines = append(lines, fmt.Sprintf("%s shows %s%s: its own machine (%s)", m.Sensor, plan.Metres(m.ReadsM), in, m.What))
	}
	if worst, ok := worstHarm(t.p); ok {
		lines = append(lines, fmt.Sprintf("%s shows %s..%s if fired together with %s (%s); this order keeps them apart", worst.To,
			plan.Metres(worst.ReadsM[0]), plan.Metres(worst.ReadsM[1]), worst.From, worst.Path))
	}
	if len(lines) > 0 {
		t.line("\ncould read wrongly")
		for _, l := range lines {
			t.line("  %s", l)
		}
	}
}

// worstHarm is the loudest disturbance that firing together would bring between two sensors.
func worstHarm(p *plan.Plan) (worst plan.Arc, ok bool) {
	for _, a := range p.Crosstalk {
		if a.Harms && a.From != a.To && (!ok || a.LevelDB > worst.LevelDB) {
			worst, ok = a, true
		}
	}
	return worst, ok
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
