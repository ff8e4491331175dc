package draw

import (
	"math"

	pic "echowright/planner/export/draw"
)

// inks are the colours of one of the papers.
type inks map[pic.Ink]pic.RGB

func inksOf(dark bool) inks {
	m := inks{}
	for _, t := range pic.Palette {
		m[t.Ink] = t.Light
		if dark {
			m[t.Ink] = t.Dark
		}
	}
	return m
}

// of is an ink at an opacity, where 0 means opaque; ok is false for no ink, and for one not in the palette.
func (m inks) of(ink pic.Ink, opacity float64) (colour, bool) {
	v, ok := m[ink]
	if !ok {
		return colour{}, false
	}
	a := 1.0
	if opacity > 0 {
		a = math.Min(opacity, 1)
	}
	return colour{float32(v[0]) / 255, float32(v[1]) / 255, float32(v[2]) / 255, 1}.times(float32(a)), true
}

// The lengths of dashes, dots and hatches in points are those of the exported drawings.
const (
	dashOn, dashOff       = 6, 4
	dotOn, dotOff         = 1.5, 3.5
	hatchEvery, hatchWide = 6, 1.6
	mostDashes            = 20000 // a line of more is far larger than any window and set down whole
)

// shape adds the fill, the hatch and the stroke of a path at a scale.
func (m *mesh) shape(s *pic.Shape, scale float64, tones inks) {
	st := s.Style
	stroke, stroked := tones.of(st.Stroke, 0)
	stroked = stroked && st.Width > 0
	width := 0.0
	if stroked {
		width = st.Width * scale
	}
	var rings [][]point
	for _, r := range s.Rings {
		if ps := pixels(r, scale); ps != nil {
			rings = append(rings, thin(snap(ps, !s.Open, width), !s.Open))
		}
	}
	whole := stroked && !st.Dashed && !st.Dotted
	if c, ok := tones.of(st.Fill, st.Opacity); ok && !s.Open {
		if st.Hatched {
			m.hatched(rings, scale, c)
		} else {
			m.fill(rings, c, !whole || width < 0.75)
		}
	}
	if stroked {
		for _, ps := range rings {
			m.stroked(ps, !s.Open, st, scale, stroke)
		}
	}
}

func (m *mesh) hatched(rings [][]point, scale float64, c colour) {
	hatch(rings, hatchEvery*scale, func(a, b point) { m.stroke([]point{a, b}, false, hatchWide*scale, c) })
}

func (m *mesh) stroked(ps []point, closed bool, st pic.Style, scale float64, c colour) {
	width := st.Width * scale
	on, off := 0.0, 0.0
	switch {
	case st.Dotted:
		on, off = dotOn*scale, dotOff*scale
	case st.Dashed:
		on, off = dashOn*scale, dashOff*scale
	}
	if on == 0 || length(ps)/(on+off) > mostDashes {
		m.stroke(ps, closed, width, c)
		return
	}
	dashes(ps, closed, on, off, func(piece []point) { m.stroke(piece, false, width, c) })
}

func length(ps []point) float64 {
	l := 0.0
	for i := 1; i < len(ps); i++ {
		l += math.Hypot(ps[i].x-ps[i-1].x, ps[i].y-ps[i-1].y)
	}
	return l
}

// pixels scales a ring; nil when a place in it is no number or so far away that a pixel is lost in rounding.
func pixels(r []pic.Point, scale float64) []point {
	const far = 1e6
	ps := make([]point, len(r))
	for i, q := range r {
		x, y := q[0]*scale, q[1]*scale
		if !(math.Abs(x) < far && math.Abs(y) < far) {
			return nil
		}
		ps[i] = point{x, y}
	}
	return ps
}

// snap moves level and upright sides so that their paint begins and ends between pixels: such a side is crisp
// at every scale. A side of less than some pixels is part of a curve and stays.
func snap(ps []point, closed bool, width float64) []point {
	const least = 4
	half := 0.0
	if w := math.Max(1, math.Round(width)); width > 0 && int(w)%2 == 1 {
		half = 0.5
	}
	to := func(v float64) float64 { return math.Floor(v-half+0.5) + half }
	out := append([]point(nil), ps...)
	for i := range ps {
		j := (i + 1) % len(ps)
		if j == 0 && !closed {
			break
		}
		dx, dy := math.Abs(ps[j].x-ps[i].x), math.Abs(ps[j].y-ps[i].y)
		if dy < 1e-6 && dx > least {
			out[i].y, out[j].y = to(ps[i].y), to(ps[i].y)
		}
		if dx < 1e-6 && dy > least {
			out[i].x, out[j].x = to(ps[i].x), to(ps[i].x)
		}
	}
	return out
}
