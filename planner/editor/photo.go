package editor

import (
	"bytes"
	"errors"
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
	before  *photo // lay there before this one
}

// photoSize is how many pixels a picture has; image.ErrFormat for what is none of a known kind.
func photoSize(data []byte) (w, h int, err error) {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err == nil && (c.Width <= 0 || c.Height <= 0) {
		err = errors.New("it has no pixels")
	}
	return c.Width, c.Height, err
}

// setPhoto lays a picture under the drawing, as large as what is shown, and asks for its scale.
func (e *Editor) setPhoto(data []byte, w, h int) {
	a := e.cam.Area
	e.photos++
	p := &photo{pixels: data, version: e.photos, w: w, h: h, before: e.photo}
	if p.before != nil {
		p.before.before = nil
	}
	p.pixelM = math.Min(max(a.W, leastRoom)/float64(w), max(a.H, leastRoom)/float64(h)) / e.cam.Scale
	p.corner = [2]float64{e.cam.Centre[0] - p.pixelM*float64(w)/2, e.cam.Centre[1] + p.pixelM*float64(h)/2}
	e.photo, e.stale = p, true
	if e.shown == nil {
		e.say(words.photoLater)
		return
	}
	e.tool = Scaling
	e.say(words.photoScale)
}

// losePhoto takes a picture away that turned out not to be readable; the one before comes back.
func (e *Editor) losePhoto(version int) {
	if e.photo == nil || e.photo.version != version {
		return
	}
	if e.photo = e.photo.before; e.tool == Scaling {
		e.tool = Choosing
	}
	if _, scaling := e.gesture.(*scaling); scaling {
		e.gesture, e.looks.Measured = nil, false
	}
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
	case e.photo != nil && !sizable(e.photo.pixelM*float64(max(e.photo.w, e.photo.h))*m/apartM(d.line)):
		d.wrong = words.photoSizable
	default:
		e.scalePhoto(d.line, m)
		e.back()
		e.tool = Choosing
	}
}

// sizable reports whether a picture can be as large as that, m: larger than a hair and no larger than where sensors may stand.
func sizable(m float64) bool { return m >= 1e-3 && m <= 10_000 }

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
