// Package report sets a Plan down for people: a summary for the terminal and one HTML file with its
// drawings inline, nothing fetched, made to be read on a screen or on paper. In: a Plan. Out: bytes.
package report

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"echowright/planner/export/draw"
	"echowright/planner/export/svg"
	"echowright/planner/plan"
)

//go:embed report.html
var page string

//go:embed ways.html
var waysPage string

// Write writes the report as one HTML file.
func Write(w io.Writer, p *plan.Plan) error {
	t, err := template.New("report").Funcs(template.FuncMap{
		"layout":   layoutPicture,
		"cycle":    func(p *plan.Plan) (template.HTML, error) { return inline(draw.Cycle(p, 980)) },
		"front":    func(w *plan.Ways) (template.HTML, error) { return inline(draw.RangeAgainstCycle(w, 760, 360)) },
		"costs":    plan.Way.Costs,
		"limit":    plan.Limit.Says,
		"side":     func(p *plan.Plan, v plan.SideView) (template.HTML, error) { return inline(draw.Side(p, v, 470, 220)) },
		"curves":   func(p *plan.Plan, kind string) (template.HTML, error) { return inline(draw.Curves(p, kind, 620, 300)) },
		"css":      func() template.CSS { return template.CSS(svg.Style) },
		"views":    views,
		"kinds":    kinds,
		"mm":       plan.Millimetres,
		"m":        plan.Metres,
		"ms":       plan.Milliseconds,
		"m2":       plan.SquareMetres,
		"percent":  plan.Percent,
		"deg":      func(rad float64) string { return fmt.Sprintf("%.1f°", rad*180/math.Pi) },
		"db":       func(x float64) string { return fmt.Sprintf("%.0f dB", x) },
		"share":    func(x float64) string { return fmt.Sprintf("%+.1f %%", 100*x) },
		"hundred":  func(x float64) float64 { return 100 * x },
		"place":    func(p *plan.Plan, at [2]float64) string { return p.Body.Place(at) },
		"cautions": func() []string { return plan.Cautions },
		"loud":     loudArcs,
		"card":     card,
		"same":     sameThing,
		"who":      who,
		"legend":   legend,
		"margins":  (*plan.Plan).MarginRows,
		"lost":     (*plan.Plan).LostRows,
		"first":    (*plan.Plan).FirstBreak,
		"gridmost": func() int { return gridMost },
		"orders":   orders,
		"around":   around,
		"untold":   untold,
		"delayed":  delayed,
		"dropping": dropping,
		"span":     plan.LengthSpan,
		"sides":    draw.SideGroups,
		"groups":   bySeverity,
		"overlaps": overlaps,
		"gap":      gapText,
		"reaches":  reaches,
		"ticks":    func(x float64) string { return fmt.Sprintf("%g", x) },
		"heading":  plan.Toward,
		"speed":    speed,
		"safely":   plan.UpTo,
		"readings": confirmed,
		"ready":    readyText,
		"tallied":  tallied,
		"cycleis":  func(p *plan.Plan) string { return cycleDemand(p).is },
		"sec":      plan.Duration,
		"leftopen": leftOpen,
		"join":     func(names []string) string { return strings.Join(names, ", ") },
		"lines":    func(s string) []string { return strings.Split(s, "\n") },
	}).Parse(page + waysPage)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, p); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

func inline(pic *draw.Picture) (template.HTML, error) {
	var b bytes.Buffer
	err := svg.Picture(&b, pic, false)
	// The writer escapes every name; the markup is ours.
	return template.HTML(b.String()), err
}

// leftOpen is what was assumed and is not among the estimates already.
func leftOpen(p *plan.Plan) (out []string) {
	for _, a := range p.Assumed {
		if !slices.Contains(p.EstimateList, a) {
			out = append(out, a)
		}
	}
	return out
}

// view is one plan view of the report: a target in a state.
type view struct{ State, Target string }

// views are the pairs of state and target that some zone asks for, in order.
func views(p *plan.Plan) (out []view) {
	seen := map[view]bool{}
	for _, c := range p.Coverage {
		v := view{c.State, c.Target}
		if !seen[v] {
			seen[v] = true
			out = append(out, v)
		}
	}
	return out
}

func layoutPicture(p *plan.Plan, v view, paths int) (template.HTML, error) {
	return inline(draw.Layout(p, draw.View{State: v.State, Target: v.Target, Width: 980, Height: 680, Paths: paths}))
}

// kinds are the kinds that have curves, in order.
func kinds(p *plan.Plan) (out []string) {
	for _, c := range p.Curves {
		if len(out) == 0 || out[len(out)-1] != c.Kind {
			out = append(out, c.Kind)
		}
	}
	return out
}

// loudArcs are the arcs worth a row in print: the loudest of each ordered pair that would disturb fired
// together, at most n.
func loudArcs(p *plan.Plan, n int) (out []plan.Arc) {
	arcs := slices.Clone(p.Crosstalk)
	slices.SortStableFunc(arcs, func(a, b plan.Arc) int { return cmp.Compare(b.LevelDB, a.LevelDB) })
	seen := map[[2]string]bool{}
	for _, a := range arcs {
		pair := [2]string{a.From, a.To}
		if len(out) == n {
			break
		}
		if a.From == a.To || !a.Harms || seen[pair] {
			continue
		}
		seen[pair] = true
		out = append(out, a)
	}
	return out
}

// reachRow is sensors that see a target from and to the same distances on their axis.
type reachRow struct {
	Names []string
	plan.Reach
}

func reaches(p *plan.Plan) (out []reachRow) {
	at := map[plan.Reach]int{}
	for _, s := range p.Sensors {
		for _, r := range s.OnAxis {
			key := r
			key.FromM, key.ToM = math.Round(r.FromM*1e3), math.Round(r.ToM*1e2) // as printed
			i, known := at[key]
			if !known {
				i = len(out)
				at[key] = i
				out = append(out, reachRow{Reach: r})
			}
			out[i].Names = append(out[i].Names, s.Name)
		}
	}
	slices.SortStableFunc(out, func(a, b reachRow) int { return cmp.Compare(a.Target, b.Target) })
	return out
}

// worthM2 is the least overlap that gets a row, m2: less is within what the lobes' own error of a
// millimetre makes along their edges.
const worthM2 = 0.001

// overlapRows are the overlaps that deserve printing, greatest first, and how many are left out.
type overlapRows struct {
	Rows []plan.Overlap
	Left int
}

func overlaps(p *plan.Plan) (o overlapRows) {
	for _, v := range p.Overlaps {
		if v.AreaM2 < worthM2 {
			o.Left++
			continue
		}
		o.Rows = append(o.Rows, v)
	}
	slices.SortStableFunc(o.Rows, func(a, b plan.Overlap) int { return cmp.Compare(b.AreaM2, a.AreaM2) })
	return o
}
