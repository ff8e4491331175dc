// Package compare sets kinds of module side by side: the figures a buyer weighs, each with the one
// line of arithmetic it comes from. In: kinds, targets, a span of weather. Out: a table of plain text.
package compare

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Table is a comparison: a row a figure, a cell a kind.
type Table struct {
	Kinds []string
	Rows  []Row
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
	for _, target := range targets {
		row("seen to, "+target.Name, func(i int) Cell { return reach(models[i], target) })
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

// reach is the farthest distance on axis at both ends of the weather; the arithmetic is that of the worse end.
func reach(m *acoustics.Model, t scene.Target) Cell {
	worst, best := m.ReachM(t)
	if worst <= 0 {
		return Cell{Is: "not seen", From: fmt.Sprintf("gain %.1f dB does not reach it beyond the blind distance", m.Gain().Lo)}
	}
	alpha := m.Absorption().Hi
	from := fmt.Sprintf("%.1f - 20 lg(2 x %.2f)", m.Gain().Lo, worst)
	switch t.Shape {
	case scene.Post:
		from += fmt.Sprintf(" - 10 lg((%.2f+%.3g)/%.3g)", worst, t.RadiusM, t.RadiusM)
	case scene.Sphere:
		from += fmt.Sprintf(" - 20 lg((%.2f+%.3g)/%.3g)", worst, t.RadiusM, t.RadiusM)
	}
	from += fmt.Sprintf(" - %.2f x %.2f", alpha, 2*worst)
	if t.LossDB.X > 0 {
		from += fmt.Sprintf(" - %.0f", t.LossDB.X)
	}
	return Cell{Is: fmt.Sprintf("%s..%s", plan.Metres(worst), plan.Metres(best)), From: from + " dB = 0"}
}

func blind(k scene.Kind, m *acoustics.Model) Cell {
	_, fast := m.Speed()
	return Cell{Is: plan.Millimetres(m.BlindM()),
		From: fmt.Sprintf("%.0f mm at 20 degC x %.0f/343 m/s in the fastest air; inside it reads %s", k.BlindM.X*1000, fast.Value, k.InsideReads)}
}

func beam(k scene.Kind, m *acoustics.Model) Cell {
	ways := "one way"
	if k.Beam.Meaning.TwoWay {
		ways = "two way"
	}
	across, upright := m.SemiAxes()
	return Cell{Is: fmt.Sprintf("%.0f x %.0f deg", k.Beam.Across.Degrees(), k.Beam.Upright.Degrees()),
		From: fmt.Sprintf("%g dB %s; as a piston %.1f x %.1f mm at %.4g kHz", k.Beam.Meaning.LevelDB, ways, 2000*across, 2000*upright, m.Frequency()/1000)}
}

// reading is the time one reading occupies the module when nothing answers: the longer of its window and its held line.
func reading(k scene.Kind, m *acoustics.Model) Cell {
	far := 0.0
	for _, r := range k.Ranges {
		far = math.Max(far, r.M.X)
	}
	slow, _ := m.Speed()
	window := m.ListenUntil(far)
	from := fmt.Sprintf("2 x %.2f m / %.0f m/s + start %.2g ms + burst %.2g ms = %.1f ms", far, slow.Value,
		k.Timing.TriggerToBurst.Hi.Seconds()*1000, k.Timing.Burst.Seconds()*1000, window.Seconds()*1000)
	takes := window
	if b := k.Timing.BusyWithoutEcho; b > takes || !k.Timing.WindowSettable && k.Timing.By != scene.ByController && b > 0 {
		takes = b
		from += fmt.Sprintf("; line held %.3g ms when nothing answers", b.Seconds()*1000)
	}
	if a := k.Timing.AnswerAfter; a > takes {
		takes = a
		from += fmt.Sprintf("; answer ready after %.3g ms", a.Seconds()*1000)
	}
	takes += k.Timing.Transfer + k.Timing.Rest
	if k.Timing.Transfer+k.Timing.Rest > 0 {
		from += fmt.Sprintf("; + fetch %.2g ms + rest %.3g ms", k.Timing.Transfer.Seconds()*1000, k.Timing.Rest.Seconds()*1000)
	}
	return Cell{Is: fmt.Sprintf("%.1f ms", takes.Seconds()*1000), From: from}
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
