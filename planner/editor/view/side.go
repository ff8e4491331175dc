package view

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// Handles are the grips of a side view, and its camera.
type Handles struct {
	Tilt, Height canvas.Rect
	origin       canvas.Point // of the ground below the sensor
	scale        float64      // points a metre
}

// World is the place at a point of the side view: distance from the sensor along its heading and height above ground, m.
func (h Handles) World(p canvas.Point) [2]float64 {
	if !(h.scale > 0) {
		return [2]float64{}
	}
	return [2]float64{(p[0] - h.origin[0]) / h.scale, (h.origin[1] - p[1]) / h.scale}
}

// At is where a place of the side view lies in the window.
func (h Handles) At(m [2]float64) canvas.Point {
	return canvas.Point{h.origin[0] + m[0]*h.scale, h.origin[1] - m[1]*h.scale}
}

// Side is a sensor's beam over the ground along its heading, with the target, the parts that stand there, and grips for
// tilt and height.
func Side(p *plan.Plan, sensor string, area canvas.Rect, looks Looks, r canvas.Ruler) ([]canvas.Layer, Handles) {
	if p == nil || !roomy(area) || area.W < 40 || area.H < 48 {
		return nil, Handles{}
	}
	of, ok := sensorIn(p, sensor)
	if !ok {
		return nil, Handles{}
	}
	s := &sheet{p: p, cache: new(Cache), looks: looks, ruler: r, cam: Camera{Area: area}, room: area.Inset(-spill)}
	s.target, s.state = Shown(p, looks)
	v := sideOf(p, sensor, s.target)
	stand := draw.StandingParts(p, of)
	h := Handles{origin: looks.Side.origin, scale: looks.Side.scale}
	if !(h.scale > 0) {
		h = sideRuling(p, of, v, stand, area)
	}

	s.layer("side")
	s.ground(h)
	back := h.World(canvas.Point{area.X, 0})[0]
	body := p.Body.HeightM
	s.upright(h, [2]float64{max(back, -0.5), 0}, body, draw.Style{Fill: draw.Body, Stroke: draw.Text, Width: 1.6})
	for _, r := range v.Polygon {
		pts := s.store.take(len(r))
		for _, q := range r {
			if at := h.At(q); finite(at) {
				pts = append(pts, at)
			}
		}
		s.shape(draw.Style{Fill: draw.Beam, Opacity: 0.2, Stroke: draw.Beam, Width: 1.2}, "", cutRing(pts, s.room)...)
	}
	s.sideTarget(h, of, v)
	s.sideParts(h, of, stand)
	s.layer("side title")
	s.sideTitle(of, v)
	s.sideGrips(&h, of)
	return s.layers, h
}

// sideOf is a sensor's view from the side of a target, or of the first there is.
func sideOf(p *plan.Plan, sensor, target string) (v plan.SideView) {
	for _, o := range p.SideViews {
		if o.Sensor == sensor && (v.Sensor == "" || o.Target == target) {
			v = o
		}
	}
	return v
}

// sideRuling is the scale at which all of it fits.
func sideRuling(p *plan.Plan, of plan.Sensor, v plan.SideView, stand []draw.Standing, area canvas.Rect) Handles {
	far, top := 0.3, math.Max(of.Z, p.Body.HeightM[1])
	if !(top > 0.1) || top > 1000 {
		top = 0.1
	}
	for _, r := range v.Polygon {
		for _, q := range r {
			far, top = math.Max(far, q[0]), math.Max(top, q[1])
		}
	}
	for _, st := range stand {
		far, top = math.Max(far, float64(st.To)/1000), math.Max(top, p.Body.Parts[st.Part].HeightM[1])
	}
	const left, right, above, below = 40, 10, 26, 14
	scale := min((area.W-left-right)/far, (area.H-above-below)/top)
	if !(scale > 0) || math.IsInf(scale, 0) {
		scale = 1
	}
	return Handles{origin: canvas.Point{area.X + left, area.Y + area.H - below}, scale: scale}
}

func (s *sheet) sideTitle(of plan.Sensor, v plan.SideView) {
	a := s.cam.Area
	const size = 13
	s.add(filled(canvas.Rect{X: a.X, Y: a.Y, W: a.W, H: 20}, draw.Style{Fill: draw.Plate, Opacity: bareOpacity}))
	s.add(draw.Shape{Text: words.side, At: canvas.Point{a.X, a.Y + 14}, Size: size, Bold: true, Anchor: draw.Start, Style: draw.Style{Fill: draw.Text}})
	left := s.ruler.Width(words.side, size, true) + 12
	text := words.height(of)
	if text = typeset.Fit(s.ruler, text, small, false, a.W-left); text != "" {
		s.add(draw.Shape{Text: text, At: canvas.Point{a.X + a.W, a.Y + 14}, Size: small, Anchor: draw.End, Style: draw.Style{Fill: draw.Quiet}})
	}
	y := a.Y + 30
	note := func(text string) {
		if text = typeset.Fit(s.ruler, text, small, false, a.W); text != "" {
			w := s.ruler.Width(text, small, false) + 4
			s.add(filled(canvas.Rect{X: a.X + a.W - w, Y: y - 10, W: w, H: small + 3}, draw.Style{Fill: draw.Plate, Opacity: bareOpacity}))
			s.add(draw.Shape{Text: text, At: canvas.Point{a.X + a.W, y}, Size: small, Anchor: draw.End, Style: draw.Style{Fill: draw.Attention}})
			y += small + 3
		}
	}
	note(words.offBody(of.Z, s.p.Body.HeightM))
	if len(v.Polygon) == 0 {
		note(words.noSide)
	}
}

// ground draws the ground, and along it a ruler of round lengths.
func (s *sheet) ground(h Handles) {
	a := s.cam.Area
	y := h.origin[1]
	s.add(filled(canvas.Rect{X: a.X, Y: y, W: a.W, H: 4}, draw.Style{Fill: draw.Body}))
	s.line(draw.Style{Stroke: draw.Text, Width: 1.6}, "", canvas.Point{a.X, y}, canvas.Point{a.X + a.W, y})
	step := draw.Step(52 / h.scale)
	for i := range int(a.W/52) + 2 {
		m := float64(i) * step
		x := h.At([2]float64{m, 0})[0]
		if x > a.X+a.W-12 {
			break
		}
		s.line(draw.Style{Stroke: draw.Text, Width: 1}, "", canvas.Point{x, y}, canvas.Point{x, y + 4})
		s.add(draw.Shape{Text: length(m), At: canvas.Point{x, y + 13}, Size: 10, Anchor: draw.Middle, Style: draw.Style{Fill: draw.Quiet}})
	}
}

// upright adds a rectangle of the side view: along, and heights.
func (s *sheet) upright(h Handles, along, heights [2]float64, st draw.Style) {
	a, b := h.At([2]float64{along[0], heights[0]}), h.At([2]float64{along[1], heights[1]})
	if !finite(a) || !finite(b) {
		return
	}
	// At least two points thick.
	if b[0]-a[0] < 2 {
		b[0] = a[0] + 2
	}
	if a[1]-b[1] < 2 {
		b[1] = a[1] - 2
	}
	s.shape(st, "", cutRing([]canvas.Point{a, {b[0], a[1]}, b, {a[0], b[1]}}, s.room)...)
}

// sideTarget draws the target at its heights, where the beam still sees it.
func (s *sheet) sideTarget(h Handles, of plan.Sensor, v plan.SideView) {
	for _, t := range s.p.Targets {
		if t.Name != v.Target && (v.Target != "" || t.Name != s.target) {
			continue
		}
		far := 0.0
		for _, r := range v.Polygon {
			for _, q := range r {
				far = max(far, q[0])
			}
		}
		x := 0.55 * far
		if far == 0 {
			x = 0.5 * h.World(canvas.Point{s.cam.Area.X + s.cam.Area.W, 0})[0]
		}
		st := draw.Style{Fill: draw.Plate, Stroke: draw.Text, Width: 1.2}
		if t.Shape == "sphere" {
			if c := h.At([2]float64{x, (t.HeightM[0] + t.HeightM[1]) / 2}); finite(c) {
				s.disc(c, min(max(t.RadiusM*h.scale, 1), 500), st, t.Name)
			}
			return
		}
		top := min(t.HeightM[1], h.World(canvas.Point{0, s.cam.Area.Y + 24})[1])
		w := min(max(t.RadiusM, 1/h.scale), 0.1*far+1/h.scale)
		s.upright(h, [2]float64{x - w, x + w}, [2]float64{t.HeightM[0], top}, st)
		return
	}
}

// sideParts draws what stands in the sensor's direction; what is only there in some states, dashed.
func (s *sheet) sideParts(h Handles, of plan.Sensor, stand []draw.Standing) {
	for _, st := range stand {
		part := s.p.Body.Parts[st.Part]
		if !part.In(s.state) {
			continue
		}
		s.upright(h, [2]float64{float64(st.From) / 1000, float64(st.To) / 1000}, part.HeightM,
			draw.Style{Fill: draw.Body, Stroke: draw.Text, Width: 1.2, Dashed: len(part.OnlyIn) > 0})
	}
}

// sideGrips draws the sensor, an arrow up and down beside it that raises it, and a line along its axis with a grip that
// tilts it.
func (s *sheet) sideGrips(h *Handles, of plan.Sensor) {
	c := h.At([2]float64{0, of.Z})
	if !finite(c) {
		return
	}
	s.layer("side grips")
	sin, cos := math.Sincos(of.Tilt)
	at := func(along, up float64) canvas.Point {
		return canvas.Point{c[0] + along*cos - up*sin, c[1] - along*sin - up*cos}
	}
	s.shape(draw.Style{Fill: draw.Chosen}, of.Name, at(0, 5), at(8, 8), at(8, -8), at(0, -5))
	far := min(80, 0.3*s.cam.Area.W)
	g := at(far, 0)
	st := draw.Style{Stroke: draw.Chosen, Width: 1.6}
	grip := draw.Style{Fill: draw.Plate, Stroke: draw.Chosen, Width: 2}
	s.line(st, "", at(10, 0), at(far-gripRadius, 0))
	s.disc(g, gripRadius, grip, "")
	u := canvas.Point{c[0] - 20, c[1]}
	s.line(st, "", canvas.Point{u[0], u[1] - 9}, canvas.Point{u[0], u[1] + 9})
	for _, up := range []float64{-1, 1} {
		s.shape(draw.Style{Fill: draw.Chosen}, "", canvas.Point{u[0] - 5, u[1] + 7*up}, canvas.Point{u[0] + 5, u[1] + 7*up}, canvas.Point{u[0], u[1] + 14*up})
	}
	h.Tilt, h.Height = around(g, 12), around(u, 14)
}
