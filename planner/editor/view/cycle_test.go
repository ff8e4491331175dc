package view

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

var strip = canvas.Rect{X: 12, Y: 630, W: 1200, H: 160}

// box of a shape's first ring.
func spanOf(s draw.Shape) (lo, hi canvas.Point) {
	b := emptyBox()
	for _, q := range s.Rings[0] {
		b.add(q)
	}
	return b.lo, b.hi
}

// Every stretch of every firing lies at its times: x is linear in time between the plot's edges.
func TestCycleBars(t *testing.T) {
	p := crowd(6)
	layers, r := Cycle(p, strip, Live{}, Looks{}, ruler(t))
	if r.endUs != p.Schedule.BudgetUs || r.cycleUs != p.Schedule.CycleUs {
		t.Fatalf("ends at %d, the cycle at %d", r.endUs, r.cycleUs)
	}
	x := func(us int64) float64 { return r.plot.X + r.plot.W*float64(us)/float64(p.Schedule.BudgetUs) }
	type piece struct {
		x0, x1 float64
		row    int
	}
	found := map[draw.Ink]map[piece]bool{draw.Deaf: {}, draw.Beam: {}, draw.Grid: {}}
	round := func(v float64) float64 { return math.Round(v*1e6) / 1e6 }
	for _, s := range find(layers, "cycle") {
		if m := found[s.Style.Fill]; m != nil {
			lo, hi := spanOf(s)
			m[piece{round(lo[0]), round(hi[0]), int((lo[1] - r.plot.Y) / r.pitch())}] = true
		}
	}
	for i, f := range p.Schedule.Firings {
		for _, c := range []struct {
			ink         draw.Ink
			from, until int64
		}{{draw.Deaf, f.AtUs, f.MayHearFromUs}, {draw.Deaf, f.MayHearFromUs, f.ListenFromUs}, {draw.Beam, f.ListenFromUs, f.ListenUntilUs}, {draw.Beam, f.ListenUntilUs, f.BusyUntilUs}} {
			if !found[c.ink][piece{round(x(c.from)), round(x(c.until)), i}] {
				t.Errorf("%s: no %s from %d to %d µs", f.Sensor, c.ink, c.from, c.until)
			}
		}
	}
	// Every second group is shaded: here each sensor is one, and they begin 20 ms apart.
	if len(found[draw.Grid]) != 3 || !found[draw.Grid][piece{round(x(20_000)), round(x(40_000)), 0}] {
		t.Errorf("shaded: %v", found[draw.Grid])
	}
	for _, us := range []int64{0, 600, 18_000, 119_999} {
		if got, ok := r.Time(x(us)); !ok || got != us {
			t.Errorf("the time at %d µs reads %d", us, got)
		}
	}
	if got, ok := r.Time(-1e9); !ok || got != 0 {
		t.Errorf("before the beginning: %d", got)
	}
	if got, ok := r.Time(1e9); !ok || got != p.Schedule.CycleUs {
		t.Errorf("after the end: %d", got)
	}
}

// Sound that outlasts the cycle goes on at its beginning.
func TestLateSound(t *testing.T) {
	for _, c := range []struct {
		until, late int64
		want        string
	}{
		{30, 20, "[]"}, {30, 50, "[[30 50]]"}, {80, 130, "[[80 100] [0 30]]"}, {110, 130, "[[10 30]]"}, {80, 1000, "[[80 100] [0 100]]"},
	} {
		if got := fmt.Sprint(lateSpans(plan.Firing{ListenUntilUs: c.until, LateUntilUs: c.late}, 100)); got != c.want {
			t.Errorf("window to %d, sound to %d: %s, want %s", c.until, c.late, got, c.want)
		}
	}
}

func texts(layers []canvas.Layer) (out []draw.Shape) {
	for _, l := range layers {
		for _, s := range l.Shapes {
			if s.Text != "" {
				out = append(out, s)
			}
		}
	}
	return out
}

// Names find their rows; where rows do not fit there is one a group, and where not even those do, none is written.
func TestCycleRows(t *testing.T) {
	p := crowd(12)
	p.Schedule.Groups = [][]string{nil, nil, nil}
	for i, s := range p.Sensors {
		p.Schedule.Groups[i%3] = append(p.Schedule.Groups[i%3], s.Name)
	}
	r := ruler(t)
	layers, ruling := Cycle(p, strip, Live{}, Looks{Chosen: []string{"eye.3"}}, r)
	for _, s := range texts(layers) {
		if !strings.HasPrefix(s.Text, "eye.") {
			continue
		}
		at := canvas.Point{s.At[0] - 2, s.At[1] - 2}
		if got, ok := ruling.Sensor(at); !ok || got != s.Text {
			t.Errorf("on the name %s: %q", s.Text, got)
		}
		if chosen := s.Text == "eye.3"; chosen != (s.Style.Fill == draw.Chosen) {
			t.Errorf("%s is written in %s", s.Text, s.Style.Fill)
		}
	}
	if len(ruling.rows) != 12 {
		t.Errorf("%d rows in 160 points", len(ruling.rows))
	}
	low := strip
	low.H = 90
	layers, ruling = Cycle(p, low, Live{}, Looks{}, r)
	if len(ruling.rows) != 3 {
		t.Fatalf("%d rows in 90 points, want one a group", len(ruling.rows))
	}
	written := 0
	for _, s := range texts(layers) {
		if strings.Contains(s.Text, ": eye.") {
			written++
		}
	}
	if written != 3 {
		t.Errorf("%d groups written", written)
	}
	low.H = 56
	layers, _ = Cycle(p, low, Live{}, Looks{}, r)
	for _, s := range texts(layers) {
		if s.Size < 9 {
			t.Errorf("%q in %g points", s.Text, s.Size)
		}
	}
}

// Title and reason leave the top right free and never run over each other; a plan without a schedule says so, and so does
// one that is being made anew.
func TestCycleTitle(t *testing.T) {
	r := ruler(t)
	for _, w := range []float64{150, 260, 400, 700, 1200} {
		p := crowd(8)
		p.Schedule.Why = strings.Repeat("all of them must take turns, ", 30)
		a := canvas.Rect{X: 5, Y: 7, W: w, H: 140}
		for _, stale := range []bool{false, true} {
			layers, _ := Cycle(p, a, Live{Stale: stale}, Looks{}, r)
			right, said := a.X, false
			for _, s := range texts(layers) {
				said = said || s.Text == words.stale
				if s.At[1] != a.Y+15 {
					continue
				}
				if s.At[0] < right {
					t.Errorf("%g wide: %q begins in what is before it", w, s.Text)
				}
				right = s.At[0] + r.Width(s.Text, s.Size, s.Bold)
			}
			if right > a.X+w-buttonWide && right > a.X+r.Width(words.cycle, 13, true) {
				t.Errorf("%g wide: the title reaches to %g of %g", w, right, a.X+w)
			}
			if w >= 400 && said != stale {
				t.Errorf("stale %v, said %v", stale, said)
			}
		}
	}
	for _, p := range []*plan.Plan{{}, {Sensors: crowd(2).Sensors}} {
		found := false
		layers, ruling := Cycle(p, strip, Live{}, Looks{}, r)
		for _, s := range texts(layers) {
			found = found || s.Text == words.noSchedule
		}
		if !found {
			t.Error("a plan without a schedule does not say so")
		}
		if _, ok := ruling.Time(600); ok {
			t.Error("there is a time without a cycle")
		}
	}
}

// What is written on the axis keeps apart, wherever the mark stands.
func TestAxisWords(t *testing.T) {
	r := ruler(t)
	for _, budget := range []int64{0, 50_000, 119_000, 121_000, 300_000} {
		for mark := time.Duration(0); mark <= 120*time.Millisecond; mark += time.Millisecond {
			p := crowd(6)
			p.Schedule.BudgetUs = budget
			layers, ruling := Cycle(p, strip, Live{}, Looks{Marked: true, Mark: mark}, r)
			var spans [][2]float64
			for _, s := range texts(layers) {
				if s.At[1] != ruling.plot.Y-6 {
					continue
				}
				w, x := r.Width(s.Text, s.Size, s.Bold), s.At[0]
				switch s.Anchor {
				case draw.Middle:
					x -= w / 2
				case draw.End:
					x -= w
				}
				for _, o := range spans {
					if x < o[1] && o[0] < x+w {
						t.Fatalf("budget %d, mark %v: %q runs into another", budget, mark, s.Text)
					}
				}
				spans = append(spans, [2]float64{x, x + w})
			}
			flag := false
			for _, s := range find(layers, "time") {
				if s.Text == "" && !s.Open {
					lo, hi := spanOf(s)
					flag = math.Abs((lo[0]+hi[0])/2-ruling.At(mark.Microseconds())) < 1e-6
				}
			}
			if !flag {
				t.Fatalf("mark %v: no flag at its time", mark)
			}
		}
	}
}

// However short a stretch of a firing is, it is drawn at least a point wide and within the rows: a painter makes spikes of hairs.
func TestShortStretchesAreNoHairs(t *testing.T) {
	p := crowd(3)
	for i := range p.Schedule.Firings {
		f := &p.Schedule.Firings[i]
		f.MayHearFromUs = f.AtUs + 1
		f.ListenFromUs = f.AtUs + 2
	}
	area := canvas.Rect{W: 684, H: 96}
	layers, ruling := Cycle(p, area, Live{}, Looks{}, ruler(t))
	n := 0
	for _, s := range find(layers, "cycle") {
		if s.Style.Fill != draw.Deaf {
			continue
		}
		b := emptyBox()
		for _, q := range s.Rings[0] {
			b.add(q)
		}
		if n++; b.hi[0]-b.lo[0] < 1-1e-9 || s.Style.Width > 0 || b.lo[0] < ruling.plot.X-1 || b.lo[1] < ruling.plot.Y || b.hi[1] > ruling.plot.Y+ruling.plot.H {
			t.Errorf("a stretch %v of the plot %v, edge %g wide", b, ruling.plot, s.Style.Width)
		}
	}
	if n != 2*len(p.Schedule.Firings) {
		t.Errorf("%d stretches of %d firings", n, len(p.Schedule.Firings))
	}
}
