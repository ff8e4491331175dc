// Package compare sets kinds of module side by side: the figures a buyer weighs, each with the one
// line of arithmetic it comes from. In: kinds, targets, a span of weather. Out: a table of plain text.
package compare

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Table is a comparison: a row a figure, a cell a kind.
type Table struct {
	Kinds   []string
	Targets []string // each compared against, described
	Rows    []Row
}

// Row is one figure of every kind.
type Row struct {
	What  string
	Cells []Cell
}

// Cell is one figure of one kind and where it comes from.
type Cell struct{ Is, From string }

// Side compares kinds against targets over a span of weather.
func Side(kinds []scene.Kind, targets []scene.Target, air scene.Air) (Table, error) {
	var t Table
	models := make([]*acoustics.Model, len(kinds))
	for i, k := range kinds {
		m, err := acoustics.NewModel(k, air)
		if err != nil {
			return Table{}, fmt.Errorf("kind %s: %w", k.Name, err)
		}
		models[i] = m
		t.Kinds = append(t.Kinds, k.Name)
	}
	row := func(what string, cell func(i int) Cell) {
		r := Row{What: what}
		for i := range kinds {
			r.Cells = append(r.Cells, cell(i))
		}
		t.Rows = append(t.Rows, r)
	}
	row("level at 1 m of path", func(i int) Cell { return gain(kinds[i], models[i], air) })
	for _, target := range targets {
		var failed error
		row("seen to, "+target.Name, func(i int) Cell {
			c, err := reach(kinds[i], models[i], target)
			failed = errors.Join(failed, err)
			return c
		})
		if failed != nil {
			return Table{}, failed
		}
		t.Targets = append(t.Targets, described(target))
	}
	row("blind to", func(i int) Cell { return blind(kinds[i], models[i]) })
	row("beam across x upright", func(i int) Cell { return beam(kinds[i], models[i]) })
	row("one reading takes", func(i int) Cell { return reading(kinds[i], models[i]) })
	row("reads wrong by", func(i int) Cell { return readingError(kinds[i], models[i]) })
	row("asks of the controller", func(i int) Cell { return asks(kinds[i]) })
	row("current", func(i int) Cell { return current(kinds[i]) })
	row("water", func(i int) Cell { return Cell{Is: or(kinds[i].Water, "not stated"), From: "as stated"} })
	return t, nil
}

// described says what a target is: "cloth: a wall of cloth, 6 dB lost, 0..2 m high".
func described(t scene.Target) string {
	what := "a " + string(t.Shape)
	if t.RadiusM > 0 {
		what += " of " + plan.Metres(2*t.RadiusM)
	}
	if t.Surface != "" {
		what += ", " + t.Surface
	}
	if t.LossDB.X > 0 {
		what += fmt.Sprintf(", %.0f dB lost", t.LossDB.X)
	}
	return fmt.Sprintf("%s: %s, from %s to %s over the ground", t.Name, what, plan.Metres(t.HeightM.Lo), plan.Metres(t.HeightM.Hi))
}

func blind(k scene.Kind, m *acoustics.Model) Cell {
	_, fast := m.Speed()
	return Cell{Is: plan.Millimetres(m.BlindM()),
		From: fmt.Sprintf("%.0f mm at 20 degC x %.0f/343 m/s in the fastest air; inside it reads %s", k.BlindM.X*1000, fast.Value, k.InsideReads)}
}

func beam(k scene.Kind, m *acoustics.Model) Cell {
	if m.BeamShape() == "table" {
		return measured(k.Beam)
	}
	ways := "one way"
	if k.Beam.Meaning.TwoWay {
		ways = "two way"
	}
	across, upright := m.SemiAxes()
	return Cell{Is: fmt.Sprintf("%.0f x %.0f deg", k.Beam.Across.Degrees(), k.Beam.Upright.Degrees()),
		From: fmt.Sprintf("%g dB %s; as a piston of %.1f mm across and %.1f mm upright in diameter at %.4g kHz", k.Beam.Meaning.LevelDB, ways, 2000*across, 2000*upright, m.Frequency()/1000)}
}

// measured is a beam measured on the bench: between which bearings and elevations, and how far.
func measured(b scene.Beam) Cell {
	var sides, ups scene.Span
	far := 0.0
	for _, q := range b.Table {
		sides = scene.Span{Lo: math.Min(sides.Lo, q.Bearing.Degrees()), Hi: math.Max(sides.Hi, q.Bearing.Degrees())}
		ups = scene.Span{Lo: math.Min(ups.Lo, q.Elevation.Degrees()), Hi: math.Max(ups.Hi, q.Elevation.Degrees())}
		far = math.Max(far, q.RangeM)
	}
	return Cell{Is: fmt.Sprintf("measured, %.0f..%.0f deg", sides.Lo, sides.Hi),
		From: fmt.Sprintf("a table of %d places against %s, from %.0f to %.0f deg across and %.0f to %.0f deg upright, at most %s",
			len(b.Table), b.TableAgainst.Name, sides.Lo, sides.Hi, ups.Lo, ups.Hi, plan.Metres(far))}
}

// reading is the time one reading occupies the module when nothing answers: the longer of its window and its held line.
func reading(k scene.Kind, m *acoustics.Model) Cell {
	far := 0.0
	for _, r := range k.Ranges {
		far = math.Max(far, r.M.X)
	}
	ms := func(d time.Duration) float64 { return d.Seconds() * 1000 }
	slow, _ := m.Speed()
	window := m.ListenUntil(far)
	from := fmt.Sprintf("window 2 x %.2f m / %.0f m/s + start %.2g ms + burst %.2g ms = %.1f ms", far, slow.Value, ms(k.Timing.TriggerToBurst.Hi), ms(k.Timing.Burst), ms(window))
	takes, what := window, "window"
	if b := k.Timing.BusyWithoutEcho; b > takes || !k.Timing.WindowSettable && k.Timing.By != scene.ByController && b > 0 {
		takes, what = b, "line held when nothing answers"
	}
	if a := k.Timing.AnswerAfter; a > takes {
		takes, what = a, "answer ready"
	}
	sum := fmt.Sprintf("%s %.4g", what, ms(takes))
	if d := k.Timing.Transfer; d > 0 {
		takes += d
		sum += fmt.Sprintf(" + fetch %.2g", ms(d))
	}
	if d := k.Timing.Rest; d > 0 {
		takes += d
		sum += fmt.Sprintf(" + rest %.3g", ms(d))
	}
	return Cell{Is: fmt.Sprintf("%.1f ms", ms(takes)), From: fmt.Sprintf("%s; %s = %.1f ms", from, sum, ms(takes))}
}

func readingError(k scene.Kind, m *acoustics.Model) Cell {
	e := m.ReadingError()
	slow, fast := m.Speed()
	is := fmt.Sprintf("%+.1f..%+.1f %%", 100*e[0], 100*e[1])
	if k.AssumedSpeed.X == 0 {
		return Cell{Is: is, From: "compensates for temperature"}
	}
	return Cell{Is: is, From: fmt.Sprintf("%.0f/%.1f - 1 and %.0f/%.1f - 1", k.AssumedSpeed.X, slow.Value, k.AssumedSpeed.X, fast.Value)}
}

func asks(k scene.Kind) Cell {
	is := map[scene.Interface]string{
		scene.PulseEcho: "a trigger pin and a timed echo pin",
		scene.Serial:    "a serial receiver",
		scene.TwoWire:   "a two-wire bus and an address",
	}[k.Interface]
	who := map[scene.Timer]string{
		scene.ByModule:     "the module times itself",
		scene.ByController: "the controller times the echo",
		scene.ByItself:     "it fires by itself and cannot be told when",
	}[k.Timing.By]
	return Cell{Is: is, From: fmt.Sprintf("%s; pins at %.2g V", who, k.PinVolts.X)}
}

func current(k scene.Kind) Cell {
	return Cell{Is: fmt.Sprintf("%.3g mA, peak %.3g mA", k.Supply.AverageA.X*1000, k.Supply.PeakA.X*1000),
		From: fmt.Sprintf("%.3g..%.3g V; peak lasts %.2g ms", k.Supply.VoltsV.Lo, k.Supply.VoltsV.Hi, k.Supply.PeakLasts.Seconds()*1000)}
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// Text prints the table: the figures side by side, then the arithmetic of each.
func (t Table) Text() string {
	var b strings.Builder
	width := make([]int, len(t.Kinds)+1)
	for _, r := range t.Rows {
		width[0] = max(width[0], len(r.What))
		for i, c := range r.Cells {
			width[i+1] = max(width[i+1], len(c.Is), len(t.Kinds[i]))
		}
	}
	line := func(first string, cells []string) {
		s := fmt.Sprintf("%-*s", width[0], first)
		for i, c := range cells {
			s += fmt.Sprintf("  %-*s", width[i+1], c)
		}
		b.WriteString(strings.TrimRight(s, " ") + "\n")
	}
	line("", t.Kinds)
	for _, r := range t.Rows {
		var cells []string
		for _, c := range r.Cells {
			cells = append(cells, c.Is)
		}
		line(r.What, cells)
	}
	if len(t.Targets) > 0 {
		b.WriteString("\nagainst, on axis and facing the module\n  " + strings.Join(t.Targets, "\n  ") + "\n")
	}
	b.WriteString("\nhow each figure comes about (levels in dB over the module's own threshold, low supply, most absorption)\n")
	for _, r := range t.Rows {
		for i, c := range r.Cells {
			if c.From != "as stated" {
				fmt.Fprintf(&b, "  %s, %s: %s\n", r.What, t.Kinds[i], c.From)
			}
		}
	}
	return b.String()
}
