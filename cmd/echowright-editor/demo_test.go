package main

import (
	"fmt"
	"math"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/export/draw"
)

// demo is a small Program that shows every style of shape and answers to every kind of event, for driving the window.
type demo struct {
	dark    bool
	size    canvas.Point
	heading float64 // of the lobe that can be dragged, degrees
	held    bool
	text    string
	said    []string // what happened last
	wishes  []editor.Wish
	fresh   bool
	zoom    float64
	frame   canvas.Frame
	bed     []draw.Shape
	beams   []draw.Shape
}

func newDemo(dark bool) (editor.Program, func(), error) {
	return &demo{dark: dark, heading: 54, fresh: true, text: "54.0 deg", zoom: 1}, func() {}, nil
}

func (d *demo) Dark() bool { return d.dark }
func (d *demo) Title() string {
	last := ""
	if len(d.said) > 0 {
		last = d.said[len(d.said)-1]
	}
	return fmt.Sprintf("demo [%s] heading %.0f, zoom %.2f, size %.0f×%.0f, %s", d.text, d.heading, d.zoom, d.size[0], d.size[1], last)
}
func (d *demo) Busy() bool { return false }

func (d *demo) say(format string, args ...any) {
	d.said = append(d.said, fmt.Sprintf(format, args...))
	if len(d.said) > 3 {
		d.said = d.said[1:]
	}
}

func (d *demo) Handle(e input.Event) {
	d.fresh = true
	switch e.Kind {
	case input.Resize:
		d.size, d.bed = e.Size, nil
	case input.Press:
		d.held = e.Button == input.Left
		d.say("press %d, %d times, at %.0f %.0f", e.Button, e.Clicks, e.At[0], e.At[1])
		d.turn(e)
	case input.Lift:
		d.held = false
	case input.Move:
		d.turn(e)
		d.fresh = d.held
	case input.Wheel:
		d.zoom *= math.Pow(1.002, -e.Scroll[1])
		d.bed = nil
	case input.Type:
		d.text += e.Text
	case input.Key:
		d.key(e)
	case input.Drop:
		for _, f := range e.Files {
			d.say("dropped %s, %d bytes", f.Name, len(f.Data))
		}
	}
}

func (d *demo) key(e input.Event) {
	switch {
	case e.Mods.Ctrl:
		switch e.Name {
		case "Q":
			d.wishes = append(d.wishes, editor.Wish{Kind: editor.Quit})
		case "S":
			d.wishes = append(d.wishes, editor.Wish{Kind: editor.Save, Name: d.text, Data: []byte("saved\n")})
		case "O":
			d.wishes = append(d.wishes, editor.Wish{Kind: editor.Open})
		case "C":
			d.wishes = append(d.wishes, editor.Wish{Kind: editor.Copy, Text: d.text})
		case "V":
			d.wishes = append(d.wishes, editor.Wish{Kind: editor.Paste})
		case "D":
			d.dark = !d.dark
		}
	case e.Name == "Backspace" && d.text != "":
		d.text = d.text[:len(d.text)-1]
	case e.Name == "Escape":
		d.text = ""
	}
}

// turn points the lobe at the pointer while it is held.
func (d *demo) turn(e input.Event) {
	if d.held {
		m := d.middle()
		d.heading = math.Atan2(m[1]-e.At[1], e.At[0]-m[0]) * 180 / math.Pi
	}
}

func (d *demo) Wishes() []editor.Wish {
	w := d.wishes
	d.wishes = nil
	return w
}

func (d *demo) Answer(r editor.Reply) {
	d.fresh = true
	switch {
	case r.Err != "":
		d.say("wish %d: %s", r.Kind, r.Err)
	case r.Kind == editor.Paste:
		d.text += r.Text
	default:
		d.say("wish %d: %s, %d bytes", r.Kind, r.Name, len(r.Data))
	}
}

func (d *demo) middle() canvas.Point { return canvas.Point{(d.size[0] - 360) / 2, d.size[1]/2 - 60} }

func (d *demo) Frame() (*canvas.Frame, bool) {
	if !d.fresh && d.frame.W > 0 {
		return &d.frame, false
	}
	d.fresh = false
	if d.bed == nil {
		d.bed, d.beams = d.ground(), d.lobes()
	}
	m := d.middle()
	drawing := canvas.Rect{X: 0, Y: 40, W: d.size[0] - 360, H: d.size[1] - 240}
	field := canvas.Rect{X: d.size[0] - 240, Y: 138, W: 120, H: 24}
	d.frame = canvas.Frame{W: d.size[0], H: d.size[1], Field: field, Cursor: canvas.Cross, Layers: []canvas.Layer{
		{Name: "ground", Clip: drawing, Shapes: d.bed},
		{Name: "beams", Clip: drawing, Shapes: d.beams},
		{Name: "chosen", Clip: drawing, Shapes: []draw.Shape{
			{Rings: [][]draw.Point{lobe(m, d.heading, 200*d.zoom, 70*d.zoom)}, Style: draw.Style{Fill: draw.Chosen, Opacity: 0.2, Stroke: draw.Chosen, Width: 2}},
			words(canvas.Point{m[0] + 40, m[1] - 60}, fmt.Sprintf("%.1f°", d.heading), 13, draw.Chosen, draw.Start, true),
		}},
		{Name: "body", Clip: drawing, Shapes: d.body()},
		{Name: "sheet", Shapes: d.sheet(field)},
		{Name: "cycle", Shapes: d.cycle()},
	}}
	return &d.frame, true
}

func words(at canvas.Point, s string, size float64, ink draw.Ink, a draw.Anchor, bold bool) draw.Shape {
	return draw.Shape{Text: s, At: at, Size: size, Anchor: a, Bold: bold, Style: draw.Style{Fill: ink}}
}

func lobe(at canvas.Point, degrees, long, wide float64) []draw.Point {
	const n = 180
	s, c := math.Sincos(degrees * math.Pi / 180)
	ps := make([]draw.Point, n)
	for i := range ps {
		t := 2 * math.Pi * float64(i) / n
		x, y := long/2*(1-math.Cos(t)), wide*math.Sin(t)*math.Sqrt((1-math.Cos(t))/2)
		ps[i] = draw.Point{at[0] + x*c - y*s, at[1] - x*s - y*c}
	}
	return ps
}

// plate is a rectangle with round corners.
func plate(r canvas.Rect, round float64) []draw.Point {
	var ps []draw.Point
	for q, c := range []canvas.Point{{r.X + r.W - round, r.Y + r.H - round}, {r.X + round, r.Y + r.H - round}, {r.X + round, r.Y + round}, {r.X + r.W - round, r.Y + round}} {
		for i := range 7 {
			s, k := math.Sincos(math.Pi / 2 * (float64(q) + float64(i)/6))
			ps = append(ps, draw.Point{c[0] + round*k, c[1] + round*s})
		}
	}
	return ps
}

func (d *demo) ground() []draw.Shape {
	s := []draw.Shape{{Rings: [][]draw.Point{plate(canvas.Rect{X: 0, Y: 40, W: d.size[0] - 360, H: d.size[1] - 240}, 0.1)}, Style: draw.Style{Fill: draw.Plate}}}
	for x := 32.3; x < d.size[0]-360; x += 43 {
		s = append(s, draw.Shape{Open: true, Rings: [][]draw.Point{{{x, 40}, {x, d.size[1] - 200}}}, Style: draw.Style{Stroke: draw.Grid, Width: 1}})
	}
	m := d.middle()
	zone := plate(canvas.Rect{X: m[0] - 220*d.zoom, Y: m[1] - 190*d.zoom, W: 440 * d.zoom, H: 380 * d.zoom}, 120*d.zoom)
	return append(s, draw.Shape{Rings: [][]draw.Point{zone}, Style: draw.Style{Stroke: draw.Attention, Width: 1.4, Dotted: true}})
}

func (d *demo) lobes() []draw.Shape {
	var s []draw.Shape
	for i := range 12 {
		s = append(s, draw.Shape{Rings: [][]draw.Point{lobe(d.middle(), float64(i)*30, 240*d.zoom, 60*d.zoom)}, Style: draw.Style{Fill: draw.Beam, Opacity: 0.14, Stroke: draw.Beam, Width: 0.8}})
	}
	return s
}

func (d *demo) body() []draw.Shape {
	m := d.middle()
	hull := canvas.Rect{X: m[0] - 80, Y: m[1] - 54, W: 160, H: 108}
	blind := canvas.Rect{X: m[0] - 98, Y: m[1] - 72, W: 196, H: 144}
	s := []draw.Shape{
		{Rings: [][]draw.Point{plate(blind, 30), plate(hull, 20)}, Style: draw.Style{Fill: draw.Blind, Hatched: true, Stroke: draw.Blind, Width: 1.2}},
		{Rings: [][]draw.Point{plate(hull, 20)}, Style: draw.Style{Fill: draw.Body, Stroke: draw.Text, Width: 2.4}},
		{Open: true, Rings: [][]draw.Point{{{m[0] - 22, m[1]}, {m[0] + 22, m[1]}}, {{m[0] + 10, m[1] - 8}, {m[0] + 22, m[1]}, {m[0] + 10, m[1] + 8}}}, Style: draw.Style{Stroke: draw.Quiet, Width: 1.6}},
		words(canvas.Point{m[0], m[1] + 20}, "forward", 11, draw.Quiet, draw.Middle, false),
		{Rings: [][]draw.Point{{{m[0] + 80, m[1] - 10}, {m[0] + 88, m[1] - 6}, {m[0] + 88, m[1] + 6}, {m[0] + 80, m[1] + 10}}}, Style: draw.Style{Fill: draw.Text}},
		{Open: true, Rings: [][]draw.Point{{{m[0] + 88, m[1]}, {m[0] + 190, m[1] - 90}, {m[0] + 60, m[1] - 54}}}, Style: draw.Style{Stroke: draw.Late, Width: 1.6, Dashed: true}},
	}
	for k := range 3 {
		var arc []draw.Point
		for i := range 41 {
			sn, c := math.Sincos((float64(i)/40*100 - 50) * math.Pi / 180)
			r := 170 - float64(k)*4
			arc = append(arc, draw.Point{m[0] - r*c, m[1] + r*sn})
		}
		s = append(s, draw.Shape{Open: true, Rings: [][]draw.Point{arc}, Style: draw.Style{Stroke: draw.Front, Width: 2 - 0.6*float64(k)}})
	}
	label := canvas.Rect{X: 24, Y: d.size[1] - 250, W: 296, H: 24}
	return append(s,
		draw.Shape{Open: true, Rings: [][]draw.Point{{{170, label.Y}, {m[0] - 90, m[1]}}}, Style: draw.Style{Stroke: draw.Blind, Width: 0.8}},
		draw.Shape{Rings: [][]draw.Point{plate(label, 5)}, Style: draw.Style{Fill: draw.Plate, Stroke: draw.Blind, Width: 1}},
		words(canvas.Point{34, label.Y + 16}, "between two beams · hides a post up to 68 mm", 12, draw.Blind, draw.Start, true),
	)
}

func (d *demo) sheet(field canvas.Rect) []draw.Shape {
	x := d.size[0] - 348
	s := []draw.Shape{
		words(canvas.Point{16, 25}, "Orchard cart", 15, draw.Text, draw.Start, true),
		words(canvas.Point{118, 25}, "orchard-cart.yaml · saved 14 s ago", 12, draw.Quiet, draw.Start, false),
		{Rings: [][]draw.Point{plate(canvas.Rect{X: x, Y: 40, W: 336, H: d.size[1] - 240}, 8)}, Style: draw.Style{Fill: draw.Plate, Stroke: draw.Line, Width: 1}},
		words(canvas.Point{x + 16, 64}, "shoulder-left", 15, draw.Text, draw.Start, true),
		words(canvas.Point{x + 320, 64}, "sensor 3 of 12", 12, draw.Quiet, draw.End, false),
		words(canvas.Point{x + 16, 155}, "Heading", 12, draw.Quiet, draw.Start, false),
		{Rings: [][]draw.Point{plate(field, 5)}, Style: draw.Style{Fill: draw.Paper, Stroke: draw.Chosen, Width: 2}},
		words(canvas.Point{field.X + 8, field.Y + 17}, d.text, 13, draw.Text, draw.Start, false),
		words(canvas.Point{x + 16, 200}, "Beam half width 38 deg", 12, draw.Quiet, draw.Start, false),
		words(canvas.Point{x + 150, 200}, "estimate", 12, draw.Attention, draw.Start, true),
	}
	for i, t := range d.said {
		s = append(s, words(canvas.Point{x + 16, 240 + 18*float64(i)}, t, 12, draw.Text, draw.Start, false))
	}
	return s
}

func (d *demo) cycle() []draw.Shape {
	y := d.size[1] - 188
	s := []draw.Shape{
		{Rings: [][]draw.Point{plate(canvas.Rect{X: 12, Y: y, W: d.size[0] - 24, H: 176}, 8)}, Style: draw.Style{Fill: draw.Plate, Stroke: draw.Line, Width: 1}},
		words(canvas.Point{28, y + 20}, "One cycle", 13, draw.Text, draw.Start, true),
	}
	box := func(x0, y0, x1, y1 float64) [][]draw.Point {
		return [][]draw.Point{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}
	}
	for i := range 12 {
		ry := y + 42 + 10.5*float64(i)
		x0 := 138 + 90.3*float64(i*5%8)
		s = append(s,
			words(canvas.Point{130, ry + 7}, fmt.Sprintf("flank-left-%d", i+1), 9, draw.Text, draw.End, false),
			draw.Shape{Rings: box(x0, ry, x0+14.4, ry+7), Style: draw.Style{Fill: draw.Deaf}},
			draw.Shape{Rings: box(x0+14.4, ry, x0+186.7, ry+7), Style: draw.Style{Fill: draw.Beam, Opacity: 0.75}},
			draw.Shape{Open: true, Rings: [][]draw.Point{{{x0 + 190, ry + 3.5}, {x0 + 260, ry + 3.5}}}, Style: draw.Style{Stroke: draw.Late, Width: 1.4, Dotted: true}},
		)
	}
	return append(s, draw.Shape{Open: true, Rings: [][]draw.Point{{{d.size[0] - 90, y + 36}, {d.size[0] - 90, y + 168}}}, Style: draw.Style{Stroke: draw.Attention, Width: 1.6, Dashed: true}})
}
