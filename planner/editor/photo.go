package editor

import (
	"bytes"
	"image"
	_ "image/jpeg" // a photo may be one
	_ "image/png"
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/widget"
	"echowright/planner/quantity"
)

// photo is a picture that lies under the drawing, to build the machine over. It belongs to the window, not to the layout.
type photo struct {
	pixels  []byte
	version int
	corner  [2]float64 // of the world under its top left corner, m
	pixelM  float64    // width of one of its pixels, m
	w, h    int
	faint   bool
}

// isPhoto reports whether data is a picture that can lie underneath, and how large it is.
func isPhoto(data []byte) (w, h int, ok bool) {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	return c.Width, c.Height, err == nil && c.Width > 0 && c.Height > 0
}

// setPhoto lays a picture under the drawing, as large as what is shown, and asks for its scale.
func (e *Editor) setPhoto(data []byte, w, h int) {
	a := e.cam.Area
	e.photos++
	p := &photo{pixels: data, version: e.photos, w: w, h: h}
	p.pixelM = math.Min(a.W/float64(w), a.H/float64(h)) / e.cam.Scale
	p.corner = [2]float64{e.cam.Centre[0] - p.pixelM*float64(w)/2, e.cam.Centre[1] + p.pixelM*float64(h)/2}
	e.photo, e.tool, e.stale = p, Scaling, true
	e.say(words.photoScale)
}

// photoLayer is the picture as the camera sees it.
func (e *Editor) photoLayer() (canvas.Layer, bool) {
	p := e.photo
	if p == nil {
		return canvas.Layer{}, false
	}
	step := p.pixelM * e.cam.Scale
	opacity := 0.8
	if p.faint {
		opacity = 0.35
	}
	return canvas.Layer{Name: "photo", Clip: e.cam.Area, Photo: &canvas.Photo{
		Pixels: p.pixels, Version: p.version, At: e.cam.At(p.corner), X: canvas.Point{step, 0}, Y: canvas.Point{0, step}, Opacity: opacity,
	}}, true
}

// scaling is a line drawn over a photo whose true length is then asked for; with Shift the photo is moved instead.
type scaling struct {
	from  [2]float64
	shift bool
	was   [2]float64
}

func (e *Editor) beginScaling(ev input.Event) {
	if e.photo == nil {
		e.tool = Choosing
		return
	}
	at := e.cam.World(ev.At)
	e.gesture = &scaling{at, ev.Mods.Shift, e.photo.corner}
	if !ev.Mods.Shift {
		e.measure, e.looks.Measured = [2][2]float64{at, at}, true
	}
}

func (g *scaling) move(e *Editor, ev input.Event) {
	at := e.cam.World(ev.At)
	if g.shift {
		e.photo.corner = [2]float64{g.was[0] + at[0] - g.from[0], g.was[1] + at[1] - g.from[1]}
		return
	}
	e.measure[1] = at
}

func (g *scaling) lift(e *Editor, _ input.Event) {
	if g.shift {
		return
	}
	e.looks.Measured = false
	if d := apartM(e.measure); d*e.cam.Scale > 3*startPoints {
		e.dialog = &scaleDialog{line: e.measure}
	}
}

func apartM(line [2][2]float64) float64 {
	return math.Hypot(line[1][0]-line[0][0], line[1][1]-line[0][1])
}

// scaleDialog asks for the true length of a line over the photo.
type scaleDialog struct {
	line         [2][2]float64
	value, wrong string
}

func (d *scaleDialog) items(e *Editor) []widget.Item {
	dlg := widget.Item{ID: "scale", Kind: widget.Dialog, At: e.dialogBox(420, 190), Label: words.scaleTitle, Text: words.scaleText, Choices: []widget.Choice{{Label: words.scaleDo, Value: "do"}, {Label: words.cancel, Value: "cancel"}}}
	in := e.board.Inside(dlg)
	return []widget.Item{dlg, {ID: "scale:length", In: "scale", Kind: widget.Field, At: canvas.Rect{X: in.X, Y: in.Y, W: in.W, H: 52}, Label: words.scaleLength, Value: d.value, Wrong: d.wrong, LabelW: labelW}}
}

func (d *scaleDialog) act(e *Editor, a widget.Act) {
	switch {
	case a.ID == "scale:length":
		d.value = a.Value
		if a.Do != widget.Committed {
			return
		}
	case a.Value != "do":
		e.back()
		return
	}
	m, err := quantity.Parse(quantity.Length, d.value)
	switch {
	case err != nil:
		d.wrong = err.Error()
	case m <= 0:
		d.wrong = words.moreThanNothing
	default:
		e.scalePhoto(d.line, m)
		e.back()
		e.tool = Choosing
	}
}

// scalePhoto makes a line over the photo as long as it truly is; where it begins stays.
func (e *Editor) scalePhoto(line [2][2]float64, trueM float64) {
	p, f := e.photo, trueM/apartM(line)
	if p == nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return
	}
	p.pixelM *= f
	for k := range p.corner {
		p.corner[k] = line[0][k] + (p.corner[k]-line[0][k])*f
	}
	e.stale = true
}
