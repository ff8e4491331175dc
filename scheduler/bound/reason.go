package bound

import (
	"fmt"
	"slices"
	"strings"

	"echowright/scheduler/instance"
)

// Reason is a lower bound on the cost of grouping some jobs, in words.
type Reason struct {
	Us     int64
	Clique []int  // when the jobs must all take turns
	Text   string // without the clique's, which Why tells for all parts at once
}

// Teller words reasons with the names and turns of a problem. Its jobs are blocks.
type Teller struct {
	L     *Laid
	Turns []Turn
	G     *Graph // the whole problem, with these turns
}

// Name is the block's only job, or all of them joined.
func (t Teller) Name(b int) string {
	var s []string
	for _, j := range t.L.Blocks[b] {
		s = append(s, t.L.P.JobName(j))
	}
	return strings.Join(s, "+")
}

// Clique is the reason that the jobs, pairwise in conflict, all take turns.
func (t Teller) Clique(jobs []int) Reason {
	r := Reason{Clique: jobs}
	for _, v := range jobs {
		r.Us += t.G.Us[v]
	}
	return r
}

// Share is the reason that no group holds more than share of the jobs.
func (t Teller) Share(jobs []int, share int) Reason {
	sub := t.G.Sub(jobs)
	var opens []int
	for k, v := range sub.ByTurn() {
		if k%share == 0 {
			opens = append(opens, jobs[v])
		}
	}
	r := t.Clique(opens)
	r.Clique = nil
	why := fmt.Sprintf("any %d of them hold a pair in conflict", share+1)
	if share == t.G.AtOnce {
		why = fmt.Sprintf("at most %d may run at once", share)
	}
	r.Text = fmt.Sprintf("No group holds more than %d of these %d (%s): %s. Longest first, every %s opens a group: %s.",
		share, len(jobs), why, t.Names(jobs), ordinal(share), t.sum(opens))
	return r
}

// Levels is the reason that the longest group, the next, and so on each last so long at least.
func (t Teller) Levels(ls []Level) Reason {
	r := Reason{Us: Sum(ls)}
	var parts []string
	for k, l := range ls {
		if k+1 < len(ls) && ls[k+1].Us == l.Us {
			continue // the last of a run of equal ones says it for all
		}
		why := "must all take turns"
		switch {
		case l.Share > 1:
			why = fmt.Sprintf("share groups of at most %d", l.Share)
		case len(l.Jobs) == 1:
			why = "does"
		}
		parts = append(parts, fmt.Sprintf("%d last %s or more, as %s %s", k+1, Time(l.Us), t.Names(l.Jobs), why))
	}
	r.Text = fmt.Sprintf("Of the groups, at least %s. Sum: %s.", strings.Join(parts, "; "), Time(r.Us))
	return r
}

// Search is the reason that every grouping was tried, on top of what a pencil gives.
func (t Teller) Search(jobs []int, us int64, pencil Reason) Reason {
	text := pencil.Text
	if pencil.Clique != nil {
		text = fmt.Sprintf("%s must all take turns: %s.", t.Names(pencil.Clique), t.sum(pencil.Clique))
	}
	return Reason{Us: us, Text: fmt.Sprintf(
		"%s Beyond that by search: these %d alone need %s, all groupings that would be shorter having been tried: %s.",
		text, len(jobs), Time(us), t.Names(jobs))}
}

// Why joins the reasons of the parts into lines, and gives the clique when cliques make it all.
func (t Teller) Why(parts []Reason) (lines []string, clique []int) {
	var total int64
	var others []Reason
	for _, r := range parts {
		total += r.Us
		if r.Clique != nil {
			clique = append(clique, r.Clique...)
		} else {
			others = append(others, r)
		}
	}
	clique = sorted(clique)
	if len(clique) > 0 {
		lines = append(lines, t.turns(clique))
	}
	lines = append(lines, t.lengths()...)
	const most = 2 // lines for parts that are no cliques
	for k, r := range others {
		if k == most && len(others) > most+1 {
			var rest int64
			for _, r := range others[k:] {
				rest += r.Us
			}
			lines = append(lines, fmt.Sprintf("%d more sets likewise need %s.", len(others)-k, Time(rest)))
			break
		}
		lines = append(lines, r.Text)
	}
	if len(parts) > 1 && len(others) > 0 {
		lines = append(lines, fmt.Sprintf("None of these sets may share a group with another, so they add up: %s.", Time(total)))
	}
	if len(others) > 0 {
		clique = nil
	}
	return lines, clique
}

// Alone is why the block that needs the longest cycle by itself needs it.
func (t Teller) Alone() []string {
	us, b := t.L.Alone()
	for _, i := range t.L.Blocks[b] {
		j := t.L.P.Jobs[i]
		if j.RestUs == 0 || j.BusyUs+j.RestUs+2*t.L.P.JitterUs != us {
			continue
		}
		jitter := ""
		if t.L.P.JitterUs > 0 {
			jitter = fmt.Sprintf(" and twice %s of jitter", Time(t.L.P.JitterUs))
		}
		return []string{fmt.Sprintf("%s is busy for %s and must then rest for %s%s, so no cycle is shorter than %s.",
			t.L.P.JobName(i), Time(j.BusyUs), Time(j.RestUs), jitter, Time(us))}
	}
	return []string{fmt.Sprintf("What %s sends meets a window of a later cycle in every cycle shorter than %s.", t.Name(b), Time(us))}
}

// Verdict ends the lines with what they mean for the timetable.
func (t Teller) Verdict(lines []string, tt *instance.Timetable) []string {
	switch {
	case len(t.L.Blocks) == 0:
		return []string{"There is nothing to fire."}
	case tt.Proven:
		return append(lines, fmt.Sprintf("The cycle of %s is as short as that, so none is shorter.", Time(tt.CycleUs)))
	}
	return append(lines, fmt.Sprintf("The search ended early: the cycle of %s may be up to %s longer than the shortest.",
		Time(tt.CycleUs), Time(tt.CycleUs-tt.LowerBoundUs)))
}

func (t Teller) turns(clique []int) string {
	switch {
	case len(clique) == 1:
		return fmt.Sprintf("%s alone takes %s.", t.Name(clique[0]), t.sum(clique))
	case t.G.AtOnce == 1 && t.G.N() > 1:
		return fmt.Sprintf("%s, so all %d take turns (%s): %s.",
			t.oneAtOnce(), len(clique), t.Names(t.byTurn(clique)), t.sum(clique))
	}
	return fmt.Sprintf("These %d must all take turns, as any two of them conflict (%s): %s.",
		len(clique), t.Names(t.byTurn(clique)), t.sum(clique))
}

// oneAtOnce says what lets a group hold no more than one.
func (t Teller) oneAtOnce() string {
	if t.L.P.AtOnce != 1 {
		first := slices.Concat(t.L.Blocks[0], t.L.Blocks[1])
		for r, of := range t.L.P.Resources {
			if t.L.Usage.Peak(r, first) > of.Capacity {
				return fmt.Sprintf("All share %s, which has room for one at a time", t.L.P.ResourceName(r))
			}
		}
	}
	return "One at a time"
}

// lengths says what makes turns longer than windows.
func (t Teller) lengths() []string {
	var busy, late []int
	for i, turn := range t.Turns {
		switch turn.Cause {
		case Busy:
			busy = append(busy, i)
		case LateSound:
			late = append(late, i)
		}
	}
	var parts []string
	if len(busy) > 0 {
		parts = append(parts, "as long as it is occupied for "+t.Names(busy))
	}
	if len(late) > 0 {
		parts = append(parts, "until no listener to come can take its sound for "+t.Names(late))
	}
	if len(busy)+len(late) < len(t.Turns) {
		parts = append(parts, "one window for the others")
		if len(parts) == 1 {
			parts[0] = "one window"
		}
	}
	text := "A turn is " + strings.Join(parts, ", ")
	guard := t.L.P.GuardUs + 2*t.L.P.JitterUs
	switch {
	case guard > 0 && len(late) == len(t.Turns):
	case guard > 0 && len(late) > 0:
		text += "; where it is not the sound, with " + t.guard()
	case guard > 0:
		text += ", each with " + t.guard()
	case len(busy)+len(late) == 0:
		return nil
	}
	return []string{text + "."}
}

func (t Teller) guard() string {
	p := t.L.P
	switch {
	case p.JitterUs == 0:
		return Time(p.GuardUs) + " of guard"
	case p.GuardUs == 0:
		return "twice " + Time(p.JitterUs) + " of jitter"
	}
	return fmt.Sprintf("%s of guard and twice %s of jitter", Time(p.GuardUs), Time(p.JitterUs))
}

// Names lists blocks; long lists are cut.
func (t Teller) Names(jobs []int) string {
	const most = 8
	var s []string
	for k, v := range jobs {
		if k == most && len(jobs) > most+1 {
			s = append(s, fmt.Sprintf("%d more", len(jobs)-k))
			break
		}
		s = append(s, t.Name(v))
	}
	return strings.Join(s, ", ")
}

// sum spells an addition; equal turns in a row are counted.
func (t Teller) sum(jobs []int) string {
	type run struct {
		us int64
		n  int
	}
	var runs []run
	var total int64
	for _, v := range t.byTurn(jobs) {
		us := t.G.Us[v]
		total += us
		if k := len(runs) - 1; k >= 0 && runs[k].us == us {
			runs[k].n++
		} else {
			runs = append(runs, run{us, 1})
		}
	}
	const most = 16
	var s []string
	for k, r := range runs {
		if k == most && len(runs) > most+1 {
			s = append(s, fmt.Sprintf("… (%d turns in all)", len(jobs)))
			break
		}
		if r.n > 1 {
			s = append(s, fmt.Sprintf("%d x %s", r.n, Time(r.us)))
		} else {
			s = append(s, Time(r.us))
		}
	}
	if len(jobs) == 1 {
		return s[0]
	}
	return strings.Join(s, " + ") + " = " + Time(total)
}

func (t Teller) byTurn(jobs []int) []int {
	order := t.G.Sub(jobs).ByTurn()
	for k, v := range order {
		order[k] = jobs[v]
	}
	return order
}

// Time spells microseconds, exactly: in ms from 1 ms up.
func Time(us int64) string {
	if us < 1000 {
		return fmt.Sprintf("%d us", us)
	}
	s := strings.TrimRight(fmt.Sprintf("%d.%03d", us/1000, us%1000), "0")
	return strings.TrimSuffix(s, ".") + " ms"
}

func ordinal(n int) string {
	switch {
	case n%10 == 1 && n%100 != 11:
		return fmt.Sprintf("%dst", n)
	case n%10 == 2 && n%100 != 12:
		return fmt.Sprintf("%dnd", n)
	case n%10 == 3 && n%100 != 13:
		return fmt.Sprintf("%drd", n)
	}
	return fmt.Sprintf("%dth", n)
}
