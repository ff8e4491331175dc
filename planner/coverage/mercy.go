package coverage

import (
	"math"
	"slices"
	"sync"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry/region"
	"echowright/planner/recall"
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

// kindness is the lobe without one cause or two, made when first asked for.
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
//
// Only what lies in the bounds of the lobes can be among them, so the overlay is made of that alone.
func (h *hearing) remedies(m *Memory, blind region.Set) []remedy {
	near, nearest, farthest := h.before(blind)
	if near.IsEmpty() {
		return nil
	}
	causes := h.suspects(nearest, farthest)
	pairs := h.pairs(causes, farthest)
	box := h.raw.Bounds()
	for _, c := range causes {
		box = box.Union(h.kindness(rankOf[c]).Bounds())
	}
	for _, p := range pairs {
		box = box.Union(h.kindness(p.what).Bounds())
	}
	if box = box.ExpandedByMargin(hair); !box.Intersects(near.Bounds()) {
		return nil
	}
	return h.recalled(m, recall.Of(edgesIn(near, box), causes, pairs), func() []remedy {
		if !box.Contains(near.Bounds()) {
			near = region.Intersect(near, rectangle(box))
		}
		return h.remediesIn(near, causes, pairs)
	})
}

// recalled asks a memory for the remedies of this sensor that follow from what key stands for.
func (h *hearing) recalled(m *Memory, key recall.Key, make func() []remedy) []remedy {
	if h.key == (recall.Key{}) {
		return make()
	}
	found := slices.Clone(m.remedies.Of(recall.Of(h.key, key), make))
	for i := range found {
		found[i].sensor = h.sensor
	}
	return found
}

// twoCauses are two causes that hide a place together, told by the first, and the lobe without both.
type twoCauses struct {
	cause string
	what  int
}

// pairs are the causes together that may keep a sensor from seeing places up to a horizontal distance, m.
func (h *hearing) pairs(causes []string, farthest float64) (pairs []twoCauses) {
	switch {
	case h.mask != nil && farthest > h.mask.ReadsM:
		pairs = append(pairs, twoCauses{h.maskCause(), endlessAndLouder})
	case slices.Contains(causes, WindowCut):
		pairs = append(pairs, twoCauses{WindowCut, endlessAndLouder})
	}
	if slices.Contains(causes, TooClose) {
		pairs = append(pairs, twoCauses{TooClose, nearAndLouder})
	}
	return pairs
}

// remediesIn are the remedies by some causes, alone and together, in a blind region.
func (h *hearing) remediesIn(near region.Set, causes []string, pairs []twoCauses) []remedy {
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
	for _, c := range causes {
		kinder = append(kinder, add(h.kindness(rankOf[c])))
	}
	for _, p := range pairs {
		kinder = append(kinder, add(h.kindness(p.what)))
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
	for i, p := range pairs {
		take(together+rankOf[p.cause], p.cause, h.partOf(p.cause), func(l region.Label) bool { return l.Has(kinder[len(causes)+i]) && open(l) })
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

// before returns the connected parts of a region that a sensor might see if it could hear better, before
// its face and within reach, and bounds on how near and how far they lie, m.
func (h *hearing) before(blind region.Set) (parts region.Set, nearest, farthest float64) {
	var rings [][]r2.Point
	nearest = math.Inf(1)
	pieces := blind.Pieces()
	for _, p := range pieces {
		box := p.Bounds()
		away, within := h.within(box)
		if !within {
			continue
		}
		rings = append(rings, p.Rings()...)
		nearest, farthest = math.Min(nearest, away), math.Max(farthest, reachOf(box, h.mount.At))
	}
	if len(pieces) == 1 && len(rings) > 0 {
		return blind, nearest, farthest
	}
	return region.FromRings(rings...), nearest, farthest
}

// within reports whether some of a rectangle lies before the sensor's face and so near that it might see it if it could
// hear better, and how near, m.
func (h *hearing) within(box r2.Rect) (away float64, ok bool) {
	away = box.ClampPoint(h.mount.At).Sub(h.mount.At).Norm()
	sin, cos := math.Sincos(h.mount.Heading.Radians())
	ahead := r2.Point{X: cos, Y: sin}
	inFront := slices.ContainsFunc(corners(box), func(v r2.Point) bool { return v.Sub(h.mount.At).Dot(ahead) > 0 })
	return away, inFront && away <= h.hearsM
}

// inFan reports whether some of a rectangle may lie inside the beam's nominal width.
func (h *hearing) inFan(box r2.Rect) bool {
	half := math.Min(h.half, math.Pi/2)
	beyond := func(edge, side float64) bool { // all of it on the outer side of an edge of the fan
		sin, cos := math.Sincos(h.mount.Heading.Radians() + edge)
		u := r2.Point{X: cos, Y: sin}
		return !slices.ContainsFunc(corners(box), func(v r2.Point) bool { return side*u.Cross(v.Sub(h.mount.At)) > -hair })
	}
	return !beyond(half, -1) && !beyond(-half, 1)
}

func corners(box r2.Rect) []r2.Point {
	v := box.Vertices()
	return v[:]
}

// nominalRemedies are the places of a blind region inside the beam's nominal width, which this sensor
// hears too weakly to see even if any one other thing were different.
func (h *hearing) nominalRemedies(m *Memory, blind region.Set) []remedy {
	var all []remedy
	for _, p := range blind.Pieces() {
		if h.inFan(p.Bounds()) {
			all = append(all, h.recalled(m, recall.Of(p.Rings()), func() []remedy { return h.nominalIn(p) })...)
		}
	}
	return all
}

func (h *hearing) nominalIn(blind region.Set) []remedy {
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
