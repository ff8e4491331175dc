package coverage

import (
	"math"
	"slices"
	"sync"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry/region"
	"echowright/planner/scene"
)

// together is the rank from which causes count that hide a place only together with another one: they
// come after all that do so alone.
const together = 10

// causesAlone is how many causes can keep a sensor from seeing a place by themselves.
const causesAlone = 7

// Two causes together that are common enough to be named: a place that is also too weak by no more than the
// tolerance of the threshold. They follow the causes alone among the lobes with something different.
const (
	endlessAndLouder = causesAlone + iota // neither window nor constant reading
	nearAndLouder                         // not blind
	kindnesses
)

// rankOf is the rank of a cause that alone keeps a sensor from seeing a place: the order of precedence.
var rankOf = map[string]int{
	Shadowed: 0, OwnPart: 1, OwnGround: 2, TooClose: 3, WindowCut: 4, WallTurned: 5, JustTooWeak: 6, TooWeak: causesAlone,
}

// mercy is a sensor's lobe, shadows left aside, as it would be if one thing were different.
type mercy struct {
	once sync.Once
	lobe region.Set
}

// mercyFor returns the lobe without one cause, made when first asked for.
func (h *hearing) mercyFor(cause string) region.Set { return h.kindness(rankOf[cause]) }

func (h *hearing) kindness(what int) region.Set {
	m := &h.mercies[what]
	m.once.Do(func() { m.lobe, _ = h.without(what) })
	return m.lobe
}

func (h *hearing) without(what int) (region.Set, float64) {
	switch what {
	case rankOf[TooClose]:
		return h.lobe(h.target, 0, h.far())
	case rankOf[WindowCut]:
		return h.lobe(h.target, h.blind, 0)
	case rankOf[WallTurned]:
		square := h.target
		square.Turned = scene.Span{}
		return h.lobe(square, h.blind, h.far())
	case rankOf[JustTooWeak]:
		return h.lobe(h.louder(), h.blind, h.far())
	case endlessAndLouder:
		return h.lobe(h.louder(), h.blind, 0)
	case nearAndLouder:
		return h.lobe(h.louder(), 0, h.far())
	}
	return h.lobe(h.target, h.blind, h.listen)
}

// louder is the target as a threshold lower by the tolerance would hear it: it loses so much less.
func (h *hearing) louder() scene.Target {
	t := h.target
	t.LossDB.X -= h.slackDB
	return t
}

// mostTurned is the greatest turn of the target either way, rad, below a right angle.
func (h *hearing) mostTurned() float64 {
	return math.Min(math.Max(math.Abs(h.target.Turned.Lo), math.Abs(h.target.Turned.Hi)), 89*math.Pi/180)
}

// suspects are the causes that may keep a sensor from seeing places between two horizontal distances, m.
func (h *hearing) suspects(nearest, farthest float64) (causes []string) {
	heights, _ := h.Sight(h.target)
	rise := heights.Hi - heights.Lo
	turned := h.mostTurned()
	if h.mask != nil {
		causes = append(causes, h.maskCause())
	}
	// A target answers nearer than its place by up to its diameter, turned by τ from cos τ of the distance; from a
	// height rise off the level it answers farther than the horizontal distance by at most that. A constant reading
	// ends before the window does, so the window is then no cause by itself.
	if nearest*math.Cos(turned) <= h.blind+2*h.target.RadiusM+hair {
		causes = append(causes, TooClose)
	}
	if h.mask == nil && farthest >= h.listen-rise-hair {
		causes = append(causes, WindowCut)
	}
	if turned > 0 {
		causes = append(causes, WallTurned)
	}
	return append(causes, JustTooWeak)
}

func (h *hearing) maskCause() string {
	if h.mask.obstacle < 0 {
		return OwnGround
	}
	return OwnPart
}

// remedies are the places of a blind region where this sensor would see, by what keeps it from it:
//
//	layers: blind | raw lobe | shadows … | lobes with one thing different … | lobe of an endless window
//	alone:    in the raw lobe and a shadow; or in no shadow and in a lobe with one thing different
//	together: in a shadow and in a lobe with something different; or beyond a constant reading or the window, or
//	          too close, and only just too weak or in both of the former
func (h *hearing) remedies(blind region.Set) []remedy {
	near, nearest, farthest := h.before(blind)
	if near.IsEmpty() {
		return nil
	}
	const blindLayer, rawLayer = 0, 1
	layers := []region.Set{near, h.raw}
	add := func(s region.Set) int {
		layers = append(layers, s)
		return len(layers) - 1
	}
	var shades, kinder []int
	for _, s := range h.shades {
		shades = append(shades, add(s.dark))
	}
	causes := h.suspects(nearest, farthest)
	for _, c := range causes {
		kinder = append(kinder, add(h.mercyFor(c)))
	}
	var pairs []layeredRemedy
	pair := func(cause string, what int) {
		pairs = append(pairs, layeredRemedy{cause, add(h.kindness(what))})
		kinder = append(kinder, pairs[len(pairs)-1].layer)
	}
	switch {
	case h.mask != nil && farthest > h.mask.ReadsM:
		pair(h.maskCause(), endlessAndLouder)
	case slices.Contains(causes, WindowCut):
		pair(WindowCut, endlessAndLouder)
	}
	if slices.Contains(causes, TooClose) {
		pair(TooClose, nearAndLouder)
	}
	o, dark, kind := region.NewOverlay(layers...), region.MaskOf(shades...), region.MaskOf(kinder...)
	var found []remedy
	take := func(rank int, cause, part string, want func(l region.Label) bool) {
		if where := o.Extract(func(l region.Label) bool { return l.Has(blindLayer) && want(l) }); !where.IsEmpty() {
			found = append(found, remedy{rank: rank, cause: cause, part: part, sensor: h.sensor, where: where})
		}
	}
	for i, s := range h.shades {
		earlier := region.MaskOf(shades[:i]...)
		first := func(l region.Label) bool { return l.Has(shades[i]) && !l.Any(earlier) }
		take(rankOf[Shadowed], Shadowed, s.part, func(l region.Label) bool { return l.Has(rawLayer) && first(l) })
		take(together, Shadowed, s.part, func(l region.Label) bool { return !l.Has(rawLayer) && l.Any(kind) && first(l) })
	}
	open := func(l region.Label) bool { return !l.Has(rawLayer) && !l.Any(dark) }
	for i, c := range causes {
		take(rankOf[c], c, h.partOf(c), func(l region.Label) bool { return l.Has(kinder[i]) && open(l) })
	}
	for _, p := range pairs {
		take(together+rankOf[p.cause], p.cause, h.partOf(p.cause), func(l region.Label) bool { return l.Has(p.layer) && open(l) })
	}
	return found
}

// layeredRemedy is a cause and the layer of places that would be seen without it.
type layeredRemedy struct {
	cause string
	layer int
}

// partOf names what answers where a constant reading is the cause.
func (h *hearing) partOf(cause string) string {
	if cause == OwnPart {
		return h.mask.what
	}
	return ""
}

// before returns the connected parts of a region that a sensor might see if it could hear better, before
// its face and within reach, and bounds on how near and how far they lie, m.
func (h *hearing) before(blind region.Set) (parts region.Set, nearest, farthest float64) {
	reach := math.Inf(1)
	if h.reach != nil {
		reach = (h.reach(h.louder()) + 2*h.target.RadiusM + h.errM) / math.Cos(h.mostTurned())
	}
	sin, cos := math.Sincos(h.mount.Heading.Radians())
	ahead := r2.Point{X: cos, Y: sin}
	var rings [][]r2.Point
	nearest = math.Inf(1)
	for _, p := range blind.Pieces() {
		box := p.Bounds()
		away := box.ClampPoint(h.mount.At).Sub(h.mount.At).Norm()
		inFront := slices.ContainsFunc(corners(box), func(v r2.Point) bool { return v.Sub(h.mount.At).Dot(ahead) > 0 })
		if !inFront || away > reach {
			continue
		}
		rings = append(rings, p.Rings()...)
		nearest, farthest = math.Min(nearest, away), math.Max(farthest, reachOf(box, h.mount.At))
	}
	return region.FromRings(rings...), nearest, farthest
}

func corners(box r2.Rect) []r2.Point {
	v := box.Vertices()
	return v[:]
}

// nominalRemedies are the places of a blind region inside the beam's nominal width, which this sensor
// hears too weakly to see even if any one other thing were different.
func (h *hearing) nominalRemedies(blind region.Set) []remedy {
	wide := region.FromRings(sector(h.mount.At, h.mount.Heading, h.half, reachOf(blind.Bounds(), h.mount.At)))
	in := region.Difference(region.Intersect(blind, wide), h.final)
	if in.IsEmpty() {
		return nil
	}
	return []remedy{{rank: rankOf[TooWeak], cause: TooWeak, sensor: h.sensor, where: in}}
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
