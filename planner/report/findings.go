package report

import (
	"slices"
	"strings"

	"echowright/planner/plan"
)

// numbered is findings that say the same of several places, or that the same would mend, one group.
type numbered struct {
	No       int
	Findings []plan.Finding
	Mend     string
	AsAt     int // number of an earlier group of the same remedy; Mend is then empty
}

// grouped numbers findings and puts those together that one thing would mend, where the first of them
// stands. Findings of one code and text are one, with all their places. What earlier groups already said
// would mend it is not said again.
func grouped(fs []plan.Finding, earlier []numbered) (out []numbered) {
	said := map[string]int{}
	for _, g := range earlier {
		if g.AsAt == 0 && g.Mend != "" {
			said[g.Mend] = g.No
		}
	}
	at := map[string]int{}
	for _, f := range merged(fs) {
		if i, known := at[f.Mend]; known && f.Mend != "" {
			out[i].Findings = append(out[i].Findings, f)
			continue
		}
		g := numbered{Findings: []plan.Finding{f}, Mend: f.Mend}
		if no := said[f.Mend]; no > 0 {
			g.Mend, g.AsAt = "", no
		}
		at[f.Mend] = len(out)
		out = append(out, g)
	}
	for i := range out {
		out[i].No = len(earlier) + i + 1
	}
	return out
}

// merged makes one finding of those that differ by their place alone, or by the name of the sensor that
// is their place.
func merged(fs []plan.Finding) (out []plan.Finding) {
	var places [][]string
	for _, f := range fs {
		i := slices.IndexFunc(out, func(g plan.Finding) bool { return nameless(g) == nameless(f) })
		if i < 0 {
			out, places = append(out, f), append(places, []string{f.Where})
			continue
		}
		out[i] = unnamed(out[i], "each")
		if !slices.Contains(places[i], f.Where) {
			places[i] = append(places[i], f.Where)
		}
	}
	for i := range out {
		out[i].Where = strings.Join(places[i], "; ")
	}
	return out
}

// nameless is what a finding says, without its place.
func nameless(f plan.Finding) [5]string {
	f = unnamed(f, "\x00")
	return [5]string{f.Severity, f.Code, f.Text, f.Reason, f.Mend}
}

// unnamed puts a word for the name a finding's place begins with, wherever that stands in its text and remedy.
func unnamed(f plan.Finding, word string) plan.Finding {
	name, _, _ := strings.Cut(f.Where, ", ")
	if name == "" {
		return f
	}
	put := func(s string) string {
		var out []string
		for _, w := range strings.Split(s, " ") {
			if bare := strings.Trim(w, ",;:()"); bare == name {
				w = strings.Replace(w, name, word, 1)
			}
			out = append(out, w)
		}
		return strings.Join(out, " ")
	}
	f.Text, f.Mend = put(f.Text), put(f.Mend)
	return f
}

// bySeverity groups all findings of a plan, those of one severity at a time.
func bySeverity(p *plan.Plan) (out []numbered) {
	for _, severity := range []string{plan.NotMet, plan.Look, plan.Note} {
		out = append(out, grouped(ofSeverity(p, severity), out)...)
	}
	return out
}

func ofSeverity(p *plan.Plan, severity string) (out []plan.Finding) {
	for _, f := range p.Findings {
		if f.Severity == severity {
			out = append(out, f)
		}
	}
	return out
}
