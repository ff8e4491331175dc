package coverage

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry/region"
	"echowright/planner/scene"
)

// Ranks of remedies. First come the causes that alone keep a sensor from seeing a place, then two
// that do so together, then the nominal beam.
const (
	alone    = 0
	together = 10
	nominal  = 20
)

// rankOf is a cause's place in the order of precedence.
var rankOf = map[string]int{
	Shadowed: 0, OwnPart: 1, OwnGround: 2, TooClose: 3, WindowCut: 4, WallTurned: 5, JustTooWeak: 6, TooWeak: 7,
}

// mercy is the lobe as it would be, shadows left aside, if one thing were different.
type mercy struct {
	cause string
	lobe  region.Set
}

// kindness returns the sensor's lobes with one thing different each, made once.
func (h *hearing) kindness() []mercy {
	h.once.Do(func() {
		add := func(cause string, t scene.Target, near, far float64) {
			if l, _ := h.lobe(t, near, far); !l.IsEmpty() {
				h.mercies = append(h.mercies, mercy{cause, l})
			}
		}
		if h.mask != nil {
			add(h.maskCause(), h.target, h.blind, h.listen)
		}
		add(TooClose, h.target, 0, h.far())
		add(WindowCut, h.target, h.blind, h.farOpen())
		if h.target.Turned != (scene.Span{}) {
			square := h.target
			square.Turned = scene.Span{}
			add(WallTurned, square, h.blind, h.far())
		}
		// A threshold lower by so much is a target that loses so much less.
		louder := h.target
		louder.LossDB.X -= h.slackDB
		add(JustTooWeak, louder, h.blind, h.far())
	})
	return h.mercies
}

// farOpen is the far limit were the window open: a constant reading still ends it, else nothing (0).
func (h *hearing) farOpen() float64 {
	if h.mask != nil {
		return h.mask.reads
	}
	return 0
}

func (h *hearing) maskCause() string {
	if h.mask.obstacle < 0 {
		return OwnGround
	}
	return OwnPart
}

// remedies are the places of a blind region where this sensor would see, by what keeps it from it:
//
//	layers: blind | raw lobe | shadows … | lobes with one thing different …
//	alone:    in the raw lobe and a shadow; or in no shadow and in a lobe with one thing different
//	together: in a shadow and in a lobe with one thing different
func (h *hearing) remedies(blind region.Set) []remedy {
	mercies := h.kindness()
	near := within(blind, mercies, h.raw)
	if near.IsEmpty() {
		return nil
	}
	const blindLayer, rawLayer = 0, 1
	layers, shades, kind := []region.Set{near, h.raw}, []int{}, []int{}
	for _, s := range h.shades {
		shades = append(shades, len(layers))
		layers = append(layers, s.dark)
	}
	for _, m := range mercies {
		kind = append(kind, len(layers))
		layers = append(layers, m.lobe)
	}
	o, dark, any := region.NewOverlay(layers...), region.MaskOf(shades...), region.MaskOf(kind...)
	var found []remedy
	take := func(rank int, cause, part string, want func(l region.Label) bool) {
		if where := o.Extract(func(l region.Label) bool { return l.Has(blindLayer) && want(l) }); !where.IsEmpty() {
			found = append(found, remedy{rank: rank, cause: cause, part: part, sensor: h.sensor, where: where})
		}
	}
	for i, s := range h.shades {
		first := func(l region.Label) bool { return l.Has(shades[i]) && !l.Any(region.MaskOf(shades[:i]...)) }
		take(alone+rankOf[Shadowed], Shadowed, s.part, func(l region.Label) bool { return l.Has(rawLayer) && first(l) })
		take(together, Shadowed, s.part, func(l region.Label) bool { return !l.Has(rawLayer) && l.Any(any) && first(l) })
	}
	for i, m := range mercies {
		take(alone+rankOf[m.cause], m.cause, h.partOf(m.cause), func(l region.Label) bool {
			return l.Has(kind[i]) && !l.Has(rawLayer) && !l.Any(dark)
		})
	}
	return found
}

// partOf names what answers where a constant reading is the cause.
func (h *hearing) partOf(cause string) string {
	if cause == OwnPart {
		return h.mask.what
	}
	return ""
}

// within returns the connected parts of a region whose bounds touch those of a sensor's lobes.
func within(blind region.Set, mercies []mercy, raw region.Set) region.Set {
	box := raw.Bounds()
	for _, m := range mercies {
		box = box.Union(m.lobe.Bounds())
	}
	var rings [][]r2.Point
	for _, p := range blind.Pieces() {
		if p.Bounds().Intersects(box) {
			rings = append(rings, p.Rings()...)
		}
	}
	return region.FromRings(rings...)
}

// nominalRemedies are the places of a blind region inside the beam's nominal width: hidden behind
// something, or heard too weakly.
func (h *hearing) nominalRemedies(blind region.Set) []remedy {
	in := region.Intersect(blind, region.FromRings(sector(h.mount.At, h.mount.Heading, h.half, reachOf(blind.Bounds(), h.mount.At))))
	in = region.Difference(in, h.final)
	var found []remedy
	add := func(rank int, cause, part string, where region.Set) {
		if !where.IsEmpty() {
			found = append(found, remedy{rank: rank, cause: cause, part: part, sensor: h.sensor, where: where})
		}
	}
	for _, s := range h.shades {
		if in.IsEmpty() {
			return found
		}
		add(nominal, Shadowed, s.part, region.Intersect(in, s.dark))
		in = region.Difference(in, s.dark)
	}
	add(nominal+rankOf[TooWeak], TooWeak, "", in)
	return found
}

// sector is a polygon round a sector of a disc: apex, middle bearing, half angle up to 90 degrees and a
// radius in metres which all of its outer edge lies beyond.
func sector(apex r2.Point, middle s1.Angle, half, radius float64) []r2.Point {
	const steps = 8
	half = math.Min(half, math.Pi/2)
	ring, out := []r2.Point{apex}, radius/math.Cos(half/steps)
	for i := 0; i <= steps; i++ {
		sin, cos := math.Sincos(middle.Radians() + half*(2*float64(i)/steps-1))
		ring = append(ring, r2.Point{X: apex.X + float64(out*cos), Y: apex.Y + float64(out*sin)})
	}
	return ring
}
