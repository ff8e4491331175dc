package coverage

import (
	"github.com/golang/geo/r2"

	"echowright/geometry/region"
	"echowright/planner/recall"
	"echowright/planner/scene"
)

// Memory keeps parts of an analysis for the next scenes, by the value of all that they follow from. What it hands out is
// never changed. The zero value is empty; it serves one analysis at a time.
type Memory struct {
	reaches  recall.Book[float64]
	readings recall.Book[[]reading]
	hearings recall.Book[[]*hearing] // of one sensor and target, by state
	views    recall.Book[[]r2.Point]
	sites    recall.Book[region.Set] // footprints, and zones with them taken out
	surveys  recall.Book[surveys]    // of one target and state
	discs    recall.Book[disc]       // the largest in a region
	remedies recall.Book[[]remedy]   // of one sensor in a region
	strips   recall.Book[float64]    // how far pieces lie from the body, m
	patches  recall.Book[told]
}

// Turn says that a scene is done: what neither it nor the one before used is forgotten.
func (m *Memory) Turn() {
	m.reaches.Turn()
	m.readings.Turn()
	m.hearings.Turn()
	m.views.Turn()
	m.sites.Turn()
	m.surveys.Turn()
	m.discs.Turn()
	m.remedies.Turn()
	m.strips.Turn()
	m.patches.Turn()
}

// edgesIn stands for what of a region lies in a rectangle: all edges that may reach into it, or, where none does, whether the
// region holds it all. Elsewhere the region may change without changing it.
func edgesIn(s region.Set, box r2.Rect) recall.Key {
	var ends []r2.Point
	for _, r := range s.Rings() {
		a := r[len(r)-1]
		for _, b := range r {
			if r2.RectFromPoints(a, b).Intersects(box) {
				ends = append(ends, a, b)
			}
			a = b
		}
	}
	return recall.Of(ends, len(ends) == 0 && s.Contains(box.Center()), box)
}

// keysOf stands for each kind in its weather and over its ground, and for each sensor with that, the machine and its window,
// in so far as they decide what it hears; its number and its kind's number do not.
func keysOf(sc *scene.Scene, listenM []float64) (kinds, sensors []recall.Key) {
	kinds = make([]recall.Key, len(sc.Kinds))
	for i, k := range sc.Kinds {
		kinds[i] = recall.Of(k, sc.Air, sc.Around.Ground)
	}
	body := recall.Of(sc.Body)
	sensors = make([]recall.Key, len(sc.Sensors))
	for i, s := range sc.Sensors {
		kind := kinds[s.Kind]
		s.Kind = 0
		sensors[i] = recall.Of(kind, body, s, listenM[i])
	}
	return kinds, sensors
}
