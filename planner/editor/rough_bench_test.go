package editor_test

import (
	"testing"
	"time"

	"echowright/assets"
	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/live"
	"echowright/planner/editor/typeset"
)

// opening measures a layout from Load to its first frame, to its coverage and to its firing plan, with live.Runner beside, and
// the longest that the frame loop is held up meanwhile and by ten steps of a drag. The aim for the latter is 100 ms.
func opening(b *testing.B, data []byte, sensor string, whole bool) {
	ruler, err := typeset.New()
	if err != nil {
		b.Fatal(err)
	}
	var frame, numbers, plan, held, drag time.Duration
	for range b.N {
		r := live.New(assets.Kinds(), nil)
		e := editor.New(editor.Config{Ruler: ruler, Analysis: r, Kinds: assets.Kinds()})
		begun := time.Now()
		turn := func(ev input.Event) time.Duration {
			from := time.Now()
			ev.Now = from.Sub(begun)
			e.Handle(ev)
			e.Frame()
			took := time.Since(from)
			held = max(held, took)
			return took
		}
		turn(input.Event{Kind: input.Resize, Size: canvas.Point{1280, 800}})
		begun = time.Now()
		e.Load("rough.yaml", data)
		e.Frame()
		frame += time.Since(begun)
		held = max(held, time.Since(begun))
		for now, seen := e.Reckoned(); seen < now && !e.Settled(); now, seen = e.Reckoned() {
			turn(input.Event{Kind: input.Tick})
			time.Sleep(2 * time.Millisecond)
		}
		numbers += time.Since(begun)
		for whole && !e.Settled() {
			turn(input.Event{Kind: input.Tick})
			time.Sleep(2 * time.Millisecond)
		}
		plan += time.Since(begun)
		if at, ok := e.Sensor(sensor); ok {
			p := e.Where(at)
			turn(input.Event{Kind: input.Move, At: p})
			turn(input.Event{Kind: input.Press, At: p, Clicks: 1})
			for k := range 10 {
				drag += turn(input.Event{Kind: input.Move, At: canvas.Point{p[0] + float64(3*k), p[1]}, Mods: input.Mods{Alt: true}}) / 10
				time.Sleep(8 * time.Millisecond)
			}
		}
		r.Close()
	}
	each := func(d time.Duration, name string) {
		b.ReportMetric(float64(d.Microseconds())/1000/float64(b.N), name)
	}
	each(frame, "ms-to-frame")
	each(numbers, "ms-to-numbers")
	each(plan, "ms-to-plan")
	each(drag, "ms-drag-step")
	b.ReportMetric(float64(held.Microseconds())/1000, "ms-held-up")
}

func BenchmarkOpen200Sensors(b *testing.B) { opening(b, ring(200, 10), "left-20", true) }

func BenchmarkOpen500Sensors(b *testing.B) { opening(b, ring(500, 20), "", true) }

func BenchmarkOpen40000Lines(b *testing.B) { opening(b, longFile(40_000), "left-1", true) }

func BenchmarkOpen1000Corners(b *testing.B) { opening(b, outlineOf(1000, false), "left-1", true) }

func BenchmarkOpen10000Corners(b *testing.B) { opening(b, outlineOf(10_000, false), "", true) }

func BenchmarkOpen10000CornersInAPath(b *testing.B) { opening(b, outlineOf(10_000, true), "", true) }
