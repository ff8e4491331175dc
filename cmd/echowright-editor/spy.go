package main

import (
	"encoding/json"
	"slices"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
)

// spied is an editor that tells what a test needs to drive it from outside.
type spied interface {
	editor.Program
	Item(label string) (canvas.Rect, bool)
	Where(m [2]float64) canvas.Point
	Sensor(name string) (at [2]float64, ok bool)
	Verdicts() []editor.Verdict
	Settled() bool
	Text() string
}

// look answers a test's question as JSON: where an item, a sensor or painted words are in the window (points), what
// the verdicts and the text are, whether all is reckoned. What there is not is null.
func look(e spied, f *canvas.Frame, what, name string) string {
	var v any
	switch what {
	case "words":
		if at, ok := wordsIn(f, name); ok {
			v = at
		}
	case "item":
		if r, ok := e.Item(name); ok {
			v = r.Middle()
		}
	case "sensor":
		if at, ok := e.Sensor(name); ok {
			v = e.Where(at)
		}
	case "verdicts":
		v = e.Verdicts()
	case "text":
		v = e.Text()
	case "settled":
		v = e.Settled()
	}
	data, err := json.Marshal(v)
	if err != nil {
		return "null"
	}
	return string(data)
}

// wordsIn is where words are painted, those on top first.
func wordsIn(f *canvas.Frame, name string) (canvas.Point, bool) {
	if f == nil {
		return canvas.Point{}, false
	}
	for _, l := range slices.Backward(f.Layers) {
		for _, s := range slices.Backward(l.Shapes) {
			if s.Text == name {
				return canvas.Point{s.At[0] + s.Shift[0], s.At[1] - s.Shift[1] - s.Size/3}, true
			}
		}
	}
	return canvas.Point{}, false
}
