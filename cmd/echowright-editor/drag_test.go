//go:build !js

package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"image/color"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/pprof"
	"slices"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/cmd/echowright-editor/draw"
	"echowright/cmd/echowright-editor/xvfb"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// order is what a copy of this test binary is to show: the real editor in a window, a sensor of it held and dragged on
// and on. It goes there and the figures come back as JSON.
type order struct {
	File, Sensor string
	Frames       int // to paint
	Moves        int // of the pointer in each
	Profile      string
}

// figures are milliseconds a frame but for the heap.
type figures struct {
	Own, Own95      float64 // Update and Draw of ours, middle and worst of twenty
	Handle, Paint   float64 // of which the editor's, and the painter's
	Whole, Empty    float64 // from one frame to the next, and of a window that is only filled
	HeapAt, HeapEnd float64 // MiB in use after half the frames, and after all
	Texts           int     // how many different texts the drag led to
}

// dragged drives a window from inside.
type dragged struct {
	w                  *window
	order              order
	from               canvas.Point
	frame, step, empty int
	own, handle, paint []float64
	told               time.Duration
	turned             time.Time
	figures            figures
	texts              map[string]bool
	done               bool
}

const emptyFrames = 40

func showDragging() int {
	var o order
	if err := json.Unmarshal([]byte(os.Getenv("ECHOWRIGHT_EDITOR_TEST_ORDER")), &o); err != nil {
		panic(err)
	}
	data, err := os.ReadFile(o.File)
	if err != nil {
		panic(err)
	}
	p, end, err := newProgram(false)
	if err != nil {
		panic(err)
	}
	defer end()
	painter, err := draw.New()
	if err != nil {
		panic(err)
	}
	e := p.(interface {
		spied
		Load(string, []byte)
	})
	e.Handle(input.Event{Kind: input.Resize, Size: canvas.Point{firstW, firstH}})
	e.Load("dragged.yaml", data)
	for until := time.Now().Add(patience); !e.Settled(); time.Sleep(5 * time.Millisecond) {
		if e.Handle(input.Event{Kind: input.Tick}); time.Now().After(until) {
			panic("not reckoned")
		}
	}
	e.Frame()
	at, ok := e.Sensor(o.Sensor)
	if !ok {
		panic("no such sensor")
	}
	d := &dragged{w: &window{program: p, painter: painter, scale: 1, start: time.Now()}, order: o, from: e.Where(at), texts: map[string]bool{}}
	ebiten.SetVsyncEnabled(false)
	ebiten.SetTPS(ebiten.SyncWithFPS)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetWindowSize(firstW, firstH)
	stop := profile(o.Profile)
	defer stop()
	if err := ebiten.RunGame(d); err != nil && !errors.Is(err, ebiten.Termination) {
		panic(err)
	}
	if err := json.NewEncoder(os.Stdout).Encode(d.figures); err != nil {
		panic(err)
	}
	return 0
}

func (d *dragged) Layout(w, h int) (int, int) { return firstW, firstH }

func (d *dragged) event(e input.Event) {
	d.told += 8 * time.Millisecond
	e.Now = d.told
	d.w.program.Handle(e)
}

func (d *dragged) Update() error {
	if d.done {
		return ebiten.Termination
	}
	now := time.Now()
	if d.empty <= emptyFrames {
		if d.empty == 5 {
			d.turned = now
		}
		if d.empty == emptyFrames {
			d.figures.Empty = ms(now.Sub(d.turned)) / (emptyFrames - 5)
			d.event(input.Event{Kind: input.Move, At: d.from})
			d.event(input.Event{Kind: input.Press, At: d.from, Clicks: 1})
			d.turned = time.Now()
		}
		d.empty++
		return nil
	}
	if d.frame == d.order.Frames/10 {
		d.turned = time.Now()
		now = d.turned
	}
	if d.frame == d.order.Frames/2 && d.figures.HeapAt == 0 {
		d.figures.HeapAt = heap() // by then every memory that is bounded is full
		took := time.Since(now)
		d.turned, now = d.turned.Add(took), now.Add(took)
	}
	for range d.order.Moves {
		d.step++ // 40 points to and fro, in steps of less than a point
		y := 40 * math.Sin(float64(d.step)/20)
		d.event(input.Event{Kind: input.Move, At: canvas.Point{d.from[0] + y, d.from[1] + y/2}})
		d.w.look()
	}
	if d.frame%10 == 0 {
		d.texts[d.w.program.(spied).Text()] = true
	}
	d.handle = append(d.handle, ms(time.Since(now))/float64(d.order.Moves))
	return nil
}

func (d *dragged) Draw(screen *ebiten.Image) {
	if d.empty <= emptyFrames {
		screen.Fill(color.White)
		return
	}
	if len(d.handle) == 0 {
		return
	}
	start := time.Now()
	d.w.Draw(screen)
	d.paint = append(d.paint, ms(time.Since(start)))
	d.own = append(d.own, d.handle[len(d.handle)-1]+d.paint[len(d.paint)-1])
	if d.frame++; d.frame == d.order.Frames {
		f := &d.figures
		n := d.order.Frames - d.order.Frames/10
		f.Whole = ms(time.Since(d.turned)) / float64(n)
		f.Handle, _ = ranks(d.handle[len(d.handle)-n:])
		f.Paint, _ = ranks(d.paint[len(d.paint)-n:])
		f.Own, f.Own95 = ranks(d.own[len(d.own)-n:])
		f.HeapEnd, f.Texts = heap(), len(d.texts)
		d.done = true
	}
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// heap is what stays in use: an analysis under way beside the frames holds some MiB of its own, so the least of some looks
// counts, over more time than one takes.
func heap() float64 {
	least := math.Inf(1)
	for range 12 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		least = min(least, float64(m.HeapAlloc)/(1<<20))
		time.Sleep(100 * time.Millisecond)
	}
	return least
}

func ranks(v []float64) (middle, nineteenth float64) {
	v = slices.Sorted(slices.Values(v))
	return v[len(v)/2], v[len(v)*19/20]
}

// profile writes what takes time to a file, for looking at; without a name it does nothing.
func profile(name string) func() {
	if name == "" {
		return func() {}
	}
	f, err := os.Create(name)
	if err != nil {
		panic(err)
	}
	if err := pprof.StartCPUProfile(f); err != nil {
		panic(err)
	}
	return func() { pprof.StopCPUProfile(); f.Close() }
}

// drag has a copy of this binary drag a sensor.
func drag(t testing.TB, o order) figures {
	t.Helper()
	server, err := xvfb.Start()
	if err != nil {
		t.Skip(err)
	}
	t.Cleanup(server.Stop)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), shown+"=dragged", "ECHOWRIGHT_EDITOR_TEST_ORDER="+string(text), "DISPLAY="+server.Display, "WAYLAND_DISPLAY=")
	c.Stderr = os.Stderr
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	var f figures
	if err := json.Unmarshal(out, &f); err != nil {
		t.Fatalf("%q: %v", out, err)
	}
	return f
}

// cases are the demo of twelve sensors, and a ring of 64 round a body of 4 m.
func cases(t testing.TB) map[string]order {
	ring := filepath.Join(t.TempDir(), "ring.yaml")
	text := "echowright: 1\nname: ring of 64\nair: {temperature: 5..35 degC, humidity: 20..90 %}\naround: {ground: smooth, walls: 0.5..6 m, bounces: 1}\n" +
		"body:\n  outline: {rectangle: [4 m, 4 m], corner: 100 mm, centre: [0 m, 0 m], height: 60..420 mm}\nsensors:\n"
	for _, side := range []string{"front", "left", "rear", "right"} {
		for k := range 16 {
			text += fmt.Sprintf("  - {name: %s-%d, kind: near-wide, at: {from: %s, %s: %d mm}, heading: 0 deg, height: 250 mm}\n", side, k+1, side,
				map[string]string{"front": "left", "rear": "left", "left": "forward", "right": "forward"}[side], -1875+250*k)
		}
	}
	text += "targets:\n  leg: {shape: post, diameter: 40 mm, height: 0..0.8 m, surface: hard}\n" +
		"zones:\n  - {name: skirt, band: {along: all, depth: 60..400 mm}, target: leg, seen-by: 1, largest-gap: 60 mm}\n" +
		"controller: {reading: capture, at-once: 8}\nwishes: {style: slots, guard: 0.5 ms}\n"
	if err := os.WriteFile(ring, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return map[string]order{
		"12": {File: "../../layouts/shelf-cart.yaml", Sensor: "side.left", Frames: 60, Moves: 1},
		"64": {File: ring, Sensor: "left-8", Frames: 60, Moves: 1},
	}
}

// BenchmarkDragging drags a sensor of the real editor in a real window of 1280 by 800: what our own Update and Draw
// take of a frame, and the whole frame against that of an empty window in the same run.
func BenchmarkDragging(b *testing.B) {
	all := cases(b)
	for _, name := range []string{"12", "64"} {
		b.Run(name, func(b *testing.B) {
			o := all[name]
			o.Profile = os.Getenv("ECHOWRIGHT_PROFILE")
			var f figures
			for b.Loop() {
				f = drag(b, o)
			}
			b.ReportMetric(f.Own, "own-ms-p50")
			b.ReportMetric(f.Own95, "own-ms-p95")
			b.ReportMetric(f.Handle, "editor-ms-p50")
			b.ReportMetric(f.Paint, "paint-ms-p50")
			b.ReportMetric(f.Empty, "empty-ms")
			b.ReportMetric(f.Whole/f.Empty, "×empty")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// Two thousand moves of one drag leave the heap as large as one thousand do.
func TestALongDragKeepsTheHeap(t *testing.T) {
	if testing.Short() {
		t.Skip("opens windows")
	}
	o := cases(t)["12"]
	o.Frames, o.Moves = 50, 40
	f := drag(t, o)
	t.Logf("%+v", f)
	if f.HeapEnd > f.HeapAt*1.15+2 {
		t.Errorf("%.1f MiB after 1000 moves, %.1f after 2000", f.HeapAt, f.HeapEnd)
	}
	if f.Texts < 4 {
		t.Errorf("the drag led to %d texts", f.Texts)
	}
}
