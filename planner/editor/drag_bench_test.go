package editor_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner"
	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/live"
	"echowright/planner/editor/typeset"
)

// between answers a question only when it is told to, so that a benchmark counts none of the analysis.
type between struct {
	memory  planner.Memory
	asked   *live.Question
	answers []live.Answer
}

func (a *between) Ask(q live.Question) { a.asked = &q }

func (a *between) Take() []live.Answer {
	out := a.answers
	a.answers = nil
	return out
}

// answer is what live.Runner would tell of the question asked last: to the firing plan once no hand drags.
func (a *between) answer() {
	q := a.asked
	if a.asked = nil; q == nil {
		return
	}
	sc, missing, faults := planner.Begin(q.File, q.Text, assets.Kinds())
	a.answers = append(a.answers, live.Answer{Number: q.Number, Stage: live.Read, Scene: sc, Missing: missing, Faults: faults})
	if sc == nil {
		return
	}
	p, err := a.memory.See(context.Background(), sc)
	a.answers = append(a.answers, live.Answer{Number: q.Number, Stage: live.Seen, Plan: p, Err: err})
	if err == nil && !q.Dragging {
		p, err = a.memory.Analyse(context.Background(), sc, planner.Options{Quick: true})
		whole := live.Answer{Number: q.Number, Stage: live.Whole, Plan: p, Err: err}
		if err == nil {
			whole.Pairs, whole.Own = p.DisturbedPairs()
		}
		a.answers = append(a.answers, whole)
	}
}

// ring is one of some sensors, four by four, round a body whose side is in metres.
func ring(n int, side float64) []byte {
	text := fmt.Sprintf("echowright: 1\nname: ring\nair: {temperature: 5..35 degC, humidity: 20..90 %%}\naround: {ground: smooth, walls: 0.5..6 m, bounces: 1}\n"+
		"body:\n  outline: {rectangle: [%[1]g m, %[1]g m], corner: 100 mm, centre: [0 m, 0 m], height: 60..420 mm}\nsensors:\n", side)
	step := 1000 * side / float64(n/4)
	for i, from := range []string{"front", "left", "rear", "right"} {
		for k := range n / 4 {
			text += fmt.Sprintf("  - {name: %s-%d, kind: near-wide, at: {from: %s, %s: %g mm}, heading: 0 deg, height: 250 mm}\n",
				from, k+1, from, []string{"left", "forward"}[i%2], step*(float64(k)+0.5)-500*side)
		}
	}
	return []byte(text + "targets:\n  leg: {shape: post, diameter: 40 mm, height: 0..0.8 m, surface: hard}\n" +
		"zones:\n  - {name: skirt, band: {along: all, depth: 60..400 mm}, target: leg, seen-by: 1, largest-gap: 60 mm}\n" +
		"controller: {reading: capture, at-once: 8}\nwishes: {style: slots, guard: 0.5 ms}\n")
}

// dragged counts the editor's share of each step of a drag, Handle and Frame, with a new coverage to show at every step. The
// aims are less than 4 ms with 12 sensors and 8 ms with 64, with what a painter takes of the processor.
func dragged(b *testing.B, file string, data []byte, sensor string) {
	ruler, err := typeset.New()
	if err != nil {
		b.Fatal(err)
	}
	a := &between{}
	e := editor.New(editor.Config{Ruler: ruler, Analysis: a, Kinds: assets.Kinds()})
	e.Handle(input.Event{Kind: input.Resize, Size: canvas.Point{1280, 800}})
	e.Load(file, data)
	a.answer()
	h := hold(b, e, sensor)
	texts := map[string]bool{}
	var took []float64
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		begun := time.Now()
		h.step()
		took = append(took, float64(time.Since(begun).Microseconds())/1000)
		b.StopTimer()
		a.answer()
		texts[e.Text()] = true
		b.StartTimer()
	}
	b.StopTimer()
	slices.Sort(took)
	b.ReportMetric(took[len(took)/2], "ms-p50")
	b.ReportMetric(took[len(took)*19/20], "ms-p95")
	if b.N > 20 && len(texts) < 4 {
		b.Errorf("%d steps led to %d texts", b.N, len(texts))
	}
}

// grip is a sensor that a hand holds.
type grip struct {
	e    *editor.Editor
	from canvas.Point
	k    int
}

func hold(b *testing.B, e *editor.Editor, sensor string) *grip {
	e.Frame()
	at, ok := e.Sensor(sensor)
	if !ok {
		b.Fatal("no such sensor")
	}
	h := &grip{e: e, from: e.Where(at)}
	h.do(input.Move, h.from)
	h.do(input.Press, h.from)
	return h
}

func (h *grip) do(kind input.Kind, p canvas.Point) {
	h.k++
	h.e.Handle(input.Event{Kind: kind, At: p, Clicks: 1, Now: time.Duration(h.k) * 8 * time.Millisecond, Mods: input.Mods{Alt: true}})
	h.e.Frame()
}

// step drags the sensor on: 40 points to and fro, by no more than two at once, without keeping to steps so that each has a
// text of its own.
func (h *grip) step() {
	y := 40 * math.Sin(float64(h.k+10)/20)
	h.do(input.Move, canvas.Point{h.from[0] + y, h.from[1] + y/2})
}

// BenchmarkDragToNumbers32 is the time from a step of a drag to the frame with the coverage of it, by live.Runner beside. The
// aim is 50 ms.
func BenchmarkDragToNumbers32(b *testing.B) {
	ruler, err := typeset.New()
	if err != nil {
		b.Fatal(err)
	}
	woken := make(chan struct{}, 1)
	r := live.New(assets.Kinds(), func() {
		select {
		case woken <- struct{}{}:
		default:
		}
	})
	defer r.Close()
	e := editor.New(editor.Config{Ruler: ruler, Analysis: r, Kinds: assets.Kinds()})
	e.Handle(input.Event{Kind: input.Resize, Size: canvas.Point{1280, 800}})
	ahead := "  - {name: ahead, swept: {way: forward, reach: 0.6 m, wider-by: 30 mm}, target: leg, seen-by: 2, share: 90 %}\n"
	e.Load("ring.yaml", bytes.Replace(ring(32, 2), []byte("controller:"), []byte(ahead+"controller:"), 1))
	for !e.Settled() {
		<-woken
	}
	h := hold(b, e, "left-4")
	var took []float64
	for range b.N {
		begun := time.Now()
		h.step()
		for now, seen := e.Reckoned(); seen < now; now, seen = e.Reckoned() {
			<-woken
			e.Frame()
		}
		took = append(took, float64(time.Since(begun).Microseconds())/1000)
	}
	slices.Sort(took)
	b.ReportMetric(took[len(took)/2], "ms-p50")
	b.ReportMetric(took[len(took)*19/20], "ms-p95")
}

func BenchmarkDrag12(b *testing.B) {
	data, err := layouts.FS.ReadFile("shelf-cart.yaml")
	if err != nil {
		b.Fatal(err)
	}
	dragged(b, "shelf-cart.yaml", data, "side.left")
}

func BenchmarkDrag64(b *testing.B) { dragged(b, "ring.yaml", ring(64, 4), "left-8") }
