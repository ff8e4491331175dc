package view

import (
	"math"
	"slices"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
)

// tag is a text that belongs to a place.
type tag struct {
	at     canvas.Point
	texts  []string // lines
	ink    draw.Ink
	bare   bool // without a plate
	bold   bool
	leader bool         // with a line to its place
	gap    float64      // kept from its place, in points
	way    canvas.Point // the way from its place it had best stand, or zero
	other  []anchor     // further places it could belong to
}

// anchor is a place a text could belong to, and what speaks against it beside what it covers there.
type anchor struct {
	at      canvas.Point
	way     canvas.Point
	against float64
}

// Measures of tags, in points.
const (
	linePoints  = 16
	platePad    = 8
	platePadTop = 5
	plateGap    = 4 // between tags
	edgeGap     = 6 // from the border of the area
	bareOpacity = 0.72
)

// tag asks for a text. Tags are set down in this order: plates, then bare texts, each as they were asked for.
func (s *sheet) tag(t tag) {
	here := func(p canvas.Point) bool { return finite(p) && s.cam.Area.Holds(p) }
	t.other = slices.DeleteFunc(t.other, func(a anchor) bool { return !here(a.at) })
	if !here(t.at) && len(t.other) > 0 {
		t.at, t.way, t.other = t.other[0].at, t.other[0].way, t.other[1:]
	}
	if here(t.at) && len(t.texts) > 0 {
		s.tags = append(s.tags, t)
	}
}

// drawn is all that texts had best not cover: the lines of what is drawn so far, but for the grid, and for the sound, after which
// they would run.
func (s *sheet) drawn() *ink {
	k := &s.cache.ink
	k.lay(s.cam.Area)
	for _, l := range s.layers {
		if l.Name == "grid" || l.Name == "sound" || l.Name == "scale" {
			continue
		}
		for _, sh := range l.Shapes {
			k.shape(sh)
		}
	}
	k.dry()
	return k
}

// labels sets the tags down where they cover neither each other nor what had best be seen.
func (s *sheet) labels() {
	slices.SortStableFunc(s.tags, func(a, b tag) int {
		switch {
		case a.bare == b.bare:
			return 0
		case b.bare:
			return -1
		}
		return 1
	})
	under := s.drawn()
	s.layer("leaders")
	leaders := len(s.layers) - 1
	s.layer("labels")
	w := newLabelled(labelled{area: s.cam.Area.Inset(edgeGap), taken: append(s.taken, s.looks.Clear...), keep: s.keep, ink: under})
	for _, t := range s.tags {
		size, pad := float64(plain), canvas.Point{platePad, platePadTop}
		if t.bare {
			size, pad = small, canvas.Point{1, 1}
		}
		wide := 0.0
		var texts []string
		for _, text := range t.texts {
			if text = typeset.Fit(s.ruler, text, size, t.bold, w.area.W-2*pad[0]); text != "" {
				texts = append(texts, text)
				wide = max(wide, s.ruler.Width(text, size, t.bold))
			}
		}
		if len(texts) == 0 {
			continue
		}
		line := float64(linePoints)
		if t.bare {
			line = small + 2
		}
		r, ok := w.place(t, wide+2*pad[0], line*float64(len(texts))+2*pad[1])
		if !ok {
			continue
		}
		if t.leader {
			s.leader(leaders, t, r)
		}
		st := draw.Style{Fill: draw.Plate, Stroke: t.ink, Width: 1}
		if t.bare {
			st = draw.Style{Fill: draw.Plate, Opacity: bareOpacity}
		}
		s.add(filled(r, st))
		for i, text := range texts {
			at := canvas.Point{r.X + pad[0], r.Y + pad[1] + line*(float64(i)+0.76)}
			s.add(draw.Shape{Text: text, At: at, Size: size, Bold: t.bold, Anchor: draw.Start, Style: draw.Style{Fill: t.ink}})
		}
	}
}

// leader draws a line from a tag to its place, with a dot there.
func (s *sheet) leader(layer int, t tag, r canvas.Rect) {
	from := nearestIn(r, t.at)
	l := &s.layers[layer]
	l.Shapes = append(l.Shapes, draw.Shape{Rings: [][]draw.Point{{from, t.at}}, Open: true, Style: draw.Style{Stroke: t.ink, Width: 1}},
		draw.Shape{Rings: [][]draw.Point{s.circle(t.at, 2.5)}, Style: draw.Style{Fill: t.ink}})
}

// nearestIn is the place of a rectangle that is nearest to p.
func nearestIn(r canvas.Rect, p canvas.Point) canvas.Point {
	return canvas.Point{min(max(p[0], r.X), r.X+r.W), min(max(p[1], r.Y), r.Y+r.H)}
}

// labelled is what is known of the area while tags are set down.
type labelled struct {
	area  canvas.Rect
	taken []canvas.Rect     // nothing goes there
	keep  []canvas.Rect     // had best not be covered
	lines [][2]canvas.Point // leaders
	ink   *ink              // costs as much as is covered of it

	sin, cos [directions]float64
}

// directions is how many a tag is tried in from its place.
const directions = 16

func newLabelled(w labelled) *labelled {
	for k := range directions {
		w.sin[k], w.cos[k] = math.Sincos(2 * math.Pi * float64(k) / directions)
	}
	return &w
}

// place finds where a tag of a size covers least: near its place, else anywhere. It is false where there is no room.
func (w *labelled) place(t tag, wide, high float64) (canvas.Rect, bool) {
	if wide > w.area.W || high > w.area.H {
		return canvas.Rect{}, false
	}
	best, least := canvas.Rect{}, math.Inf(1)
	try := func(r canvas.Rect, base float64) {
		if base >= least {
			return
		}
		if c := base + w.cost(t, r, base, least); c < least {
			best, least = r, c
		}
	}
	round := func(a anchor, rings []float64) {
		for _, far := range rings {
			far += t.gap
			for k := range directions {
				sin, cos := w.sin[k], w.cos[k]
				c := canvas.Point{a.at[0] + cos*(far+wide/2), a.at[1] - sin*(far+high/2)}
				off := a.against
				if a.way != (canvas.Point{}) {
					off += 20 * (1 - cos*a.way[0] + sin*a.way[1]) // window points count downwards
				}
				try(canvas.Rect{X: c[0] - wide/2, Y: c[1] - high/2, W: wide, H: high}, far+off)
			}
		}
	}
	rings := []float64{10, 24, 44, 70, 104, 150}
	if t.bare {
		rings = []float64{4, 10, 18, 30}
	}
	round(anchor{at: t.at, way: t.way}, rings)
	for _, a := range t.other {
		round(a, rings[:2])
	}
	if math.IsInf(least, 1) && !t.bare {
		const across, down = 12, 16
		for i := range across {
			for j := range down {
				r := canvas.Rect{X: w.area.X + (w.area.W-wide)*float64(i)/(across-1), Y: w.area.Y + (w.area.H-high)*float64(j)/(down-1), W: wide, H: high}
				n := nearestIn(r, t.at)
				try(r, 100+math.Hypot(n[0]-t.at[0], n[1]-t.at[1]))
			}
		}
	}
	if math.IsInf(least, 1) {
		return best, false
	}
	w.taken = append(w.taken, best.Inset(-plateGap))
	if t.leader {
		w.lines = append(w.lines, [2]canvas.Point{nearestIn(best, t.at), t.at})
	}
	return best, true
}

// cost weighs what a tag would cover; infinite where it may not stand. Where with the base it reaches a limit, it need not be
// all.
func (w *labelled) cost(t tag, r canvas.Rect, base, limit float64) float64 {
	if r.X < w.area.X || r.Y < w.area.Y || r.X+r.W > w.area.X+w.area.W || r.Y+r.H > w.area.Y+w.area.H {
		return math.Inf(1)
	}
	for _, o := range w.taken {
		if r.Meets(o) {
			return math.Inf(1)
		}
	}
	c := w.ink.under(r)
	if base+c >= limit {
		return c
	}
	for _, o := range w.keep {
		if a := overlap(r, o); a > 0 {
			if c += 120 + a; base+c >= limit {
				return c
			}
		}
	}
	for _, l := range w.lines {
		if _, _, ok := inside(l[0], l[1], r); ok {
			c += 150
		}
	}
	if t.leader && base+c < limit {
		from := nearestIn(r, t.at)
		for _, o := range w.taken {
			if _, _, ok := inside(from, t.at, o); ok {
				c += 150
			}
		}
		for _, l := range w.lines {
			if crosses(from, t.at, l[0], l[1]) {
				c += 80
			}
		}
		for _, o := range w.keep {
			if !o.Holds(t.at) {
				if _, _, ok := inside(from, t.at, o); ok {
					c += 30
				}
			}
		}
	}
	return c
}

func overlap(a, b canvas.Rect) float64 {
	w := min(a.X+a.W, b.X+b.W) - max(a.X, b.X)
	h := min(a.Y+a.H, b.Y+b.H) - max(a.Y, b.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// crosses reports whether two lines properly cross.
func crosses(a, b, c, d canvas.Point) bool {
	side := func(p, q, r canvas.Point) float64 { return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0]) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}
