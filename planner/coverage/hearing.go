package coverage

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry/region"
	"echowright/geometry/sight"
	"echowright/planner/acoustics"
	"echowright/planner/recall"
	"echowright/planner/scene"
)

// ear is what the reckoning asks of a mounted sensor. *acoustics.Ear answers it; a test may answer
// with exact polygons.
type ear interface {
	Lobe(t scene.Target, o acoustics.LobeOptions) acoustics.Lobe
	SideView(t scene.Target, o acoustics.LobeOptions) []r2.Point
	Sight(t scene.Target) (heights scene.Span, ok bool)
	Level(t scene.Target, place r2.Point, end acoustics.End) float64
	OwnReading(outline []r2.Point, height scene.Span, round bool, centre r2.Point, radius float64, hidden func(at r2.Point, height float64) bool) (acoustics.Own, bool)
	GroundReading(g scene.Ground, farM float64) (acoustics.Own, bool)
	VanishTurn(t scene.Target, place r2.Point, nearM float64) (s1.Angle, bool)
	AwayM(t scene.Target, place r2.Point) (float64, bool)
}

// listener is a sensor with the distances its clockwork admits.
type listener struct {
	ear
	mount   scene.Sensor
	blind   float64 // nearest distance seen for certain, m
	nearest float64 // nearest distance that may be seen at all, m
	listen  float64 // farthest distance its window admits for certain, m
	half    float64 // half the beam's nominal width across, rad
	// sure is how far off its heading the beam is not doubtful, rad; 0 where it is nowhere doubtful.
	sure float64
	// ends is true when the layout can end the window where it likes.
	ends bool
	// reach is the farthest distance at which a target is seen on axis, m; nil where that is not known.
	reach func(t scene.Target) float64
	// inside says what a panel at a distance inside the blind one reads; nil where nothing is known.
	inside func(d float64) string
	// remount stands the same module elsewhere, to try a remedy; nil where that cannot be tried.
	remount func(s scene.Sensor) ear
	// key stands for the ear with its mount, the machine around it and its window; none where that is not known.
	key recall.Key
}

// shade is the shadow an obstacle casts for a sensor.
type shade struct {
	part string
	dark region.Set
}

// hearing is what one sensor sees of one target with certain obstacles present.
type hearing struct {
	*listener
	sensor  int
	target  scene.Target
	slackDB float64 // tolerance of the threshold
	askM    float64 // error asked of a lobe, m
	// mask is the earliest constant reading between the blind distance and the end of the window; nil if there is none.
	mask   *reading
	things []int   // obstacles at the heights of the line of sight
	shades []shade // their shadows

	raw   region.Set // before shadows
	final region.Set // seen for certain
	errM  float64    // bound on the distance of the edge of final from the true one, m
	// hearsM is the distance beyond which it would not see the target even if any one thing, or two that are named together,
	// were different, m.
	hearsM float64

	mercies *[kindnesses]mercy // by what is left out
	// key stands for all that decides what is heard: what is at a place of it follows from key and place. The sensor's
	// number does not.
	key recall.Key
}

// as is a hearing for a sensor of the same mount, whatever its number.
func (h *hearing) as(sensor int, l *listener) *hearing {
	same := *h
	same.sensor, same.listener = sensor, l
	return &same
}

// far is the greatest distance that is reported: the end of the window, or the constant reading
// before it, since a module that reports its first echo reports nothing later.
func (h *hearing) far() float64 {
	if h.mask != nil {
		return math.Min(h.listen, h.mask.ReadsM)
	}
	return h.listen
}

// lobe asks the ear for the places seen between two distances; 0 leaves an end open.
func (h *hearing) lobe(t scene.Target, near, far float64) (region.Set, float64) {
	l := h.Lobe(t, acoustics.LobeOptions{NearM: near, FarM: far, ErrorM: h.askM})
	return region.FromRings(l.Rings...), l.ErrorM
}

// look fills in the lobe and cuts it by shadows, cast at least as far as the lobe and zonesM, where the zones end.
func (h *hearing) look(obstacles []obstacle, zonesM float64) {
	h.mercies = new([kindnesses]mercy)
	h.raw, h.errM = h.lobe(h.target, h.blind, h.far())
	h.final = h.raw
	reach := math.Max(zonesM, roundedReach(h.raw.Bounds(), h.mount.At))
	if h.reach != nil {
		h.hearsM = (h.reach(h.louder()) + 2*h.target.RadiusM + h.errM) / math.Cos(h.mostTurned())
	} else {
		h.hearsM = math.Inf(1)
	}
	for _, i := range h.things {
		eye, _ := obstacles[i].eye(h.mount)
		dark := region.FromRings(sight.Shadow(eye, obstacles[i].outline, reach+eye.Sub(h.mount.At).Norm())...)
		h.shades = append(h.shades, shade{obstacles[i].name, dark})
		h.final = region.Difference(h.final, dark)
	}
}

// narrow is what is seen for certain in directions in which the beam is not doubtful.
func (h *hearing) narrow() region.Set {
	fan := region.FromRings(sector(h.mount.At, h.mount.Heading, h.sure, reachOf(h.final.Bounds(), h.mount.At)))
	return region.Intersect(h.final, fan)
}

// roundedReach is reachOf rounded up to a power of two, so that a small change of what is to be reached changes nothing; 0 for an
// empty rectangle.
func roundedReach(box r2.Rect, from r2.Point) float64 {
	if box.IsEmpty() {
		return 0
	}
	return math.Exp2(math.Ceil(math.Log2(reachOf(box, from))))
}

// reachOf is the distance from a point to the farthest corner of a rectangle, m.
func reachOf(box r2.Rect, from r2.Point) float64 {
	most := 0.0
	for _, v := range box.Vertices() {
		most = math.Max(most, v.Sub(from).Norm())
	}
	return most
}
