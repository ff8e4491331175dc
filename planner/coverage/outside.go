package coverage

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry"
	"echowright/geometry/region"
	"echowright/planner/plan"
)

// neighbours returns the two sensors whose beams, shadows left aside, come nearest to a place, fewer if fewer
// see anything. Of equally near ones, to the nanometre, the first in the layout goes first.
func neighbours(hs []*hearing, p r2.Point) []int {
	away := make([]float64, len(hs))
	var order []int
	for i, h := range hs {
		away[i] = math.Inf(1)
		for _, r := range h.raw.Rings() {
			away[i] = math.Min(away[i], geometry.Distance(r, p))
		}
		if !math.IsInf(away[i], 1) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(nanometres(away[a]), nanometres(away[b])) })
	return order[:min(2, len(order))]
}

// offHeading is the angle from a sensor's heading to a place, left positive.
func (h *hearing) offHeading(p r2.Point) s1.Angle {
	d := p.Sub(h.mount.At)
	return s1.Angle(math.Remainder(math.Atan2(d.Y, d.X)-h.mount.Heading.Radians(), 2*math.Pi))
}

func side(a s1.Angle) string {
	if a < 0 {
		return "right"
	}
	return "left"
}

// faces is how near to a sensor's heading a place lies for which turning the sensor is no advice.
// Common practice, no source.
const faces = 5 * s1.Degree

// mendOutside names the two sensors between which a spot lies, and the turn of one of them that a
// second reckoning of the zone found to help; without one, plain advice, which turns neither a sensor that sees the
// spot already nor one that faces it. A sensor that looks straight into a
// part it stands against needs no turn but another mount.
func (st *study) mendOutside(v *verdict, s *spot) string {
	if t := v.turn; t != nil && s == t.spot {
		return t.String()
	}
	near := neighbours(v.hearings, s.own.centre)
	var off []string
	for _, i := range near {
		h := v.hearings[i]
		for _, o := range st.obstacles {
			if o.in(v.state) && o.staresInto(h.mount) {
				return st.mendShadow(h, o.name)
			}
		}
		a := h.offHeading(s.own.centre)
		if a.Abs() > faces && !h.final.Contains(s.own.centre) {
			off = append(off, fmt.Sprintf("%s (it lies %.0f deg to the %s of its heading)", h.mount.Name, a.Abs().Degrees(), side(a)))
		}
	}
	more := v.moreMustSee(s)
	switch len(off) {
	case 0:
		return more + "put a sensor that faces this place"
	case 1:
		return fmt.Sprintf("%sturn %s towards it, or put a sensor that faces this place", more, off[0])
	}
	return fmt.Sprintf("%sturn %s or %s towards it, or put a sensor between the two", more, off[0], off[1])
}

// moreMustSee says who sees a spot already where that is too few; empty where nobody does.
func (v *verdict) moreMustSee(s *spot) string {
	var seen []string
	for _, h := range v.hearings {
		if h.final.Contains(s.own.centre) {
			seen = append(seen, h.mount.Name)
		}
	}
	switch {
	case len(seen) == 0 || v.zone.SeenBy <= len(seen):
		return ""
	case len(seen) == 1 && v.zone.SeenBy == 2:
		return fmt.Sprintf("a second sensor must see it, only %s does: ", seen[0])
	}
	return fmt.Sprintf("%d sensors must see it, only %s: ", v.zone.SeenBy, strings.Join(seen, ", "))
}

// turn is a change of one heading that was tried.
type turn struct {
	spot           *spot
	name           string
	by             s1.Angle
	gapWas, gap    float64 // m
	covered, whole float64 // m²
	errM2          float64
	met            bool
}

func (t turn) String() string {
	text := fmt.Sprintf("turn %s by %.0f deg to the %s: widest gap %s to %s, %s seen (this zone tried)", t.name, t.by.Abs().Degrees(), side(t.by),
		plan.Millimetres(t.gapWas), plan.Millimetres(t.gap), plan.Percent(t.covered, t.whole, t.errM2))
	if !t.met {
		text += "; not enough by itself"
	}
	return text
}

// turns are the first steps in which a mount is turned towards a spot, least first.
var turns = []int{1, 2, 4, 6, 8, 10, 15, 20, 30, mostTurn}

// tryTurns turns each of the two neighbours of a zone's widest spot towards it, step by step, and keeps
// the least turn that meets the demand, to the degree, else the one that leaves the narrowest gap without
// seeing less.
func (st *study) tryTurns(v *verdict) {
	s := v.widestSpot()
	if v.met() || s == nil || s.cause != OutsideBeams {
		return
	}
	near := neighbours(v.hearings, s.own.centre)
	try := func(i, by int) (turn, bool) {
		h := v.hearings[i]
		off := h.offHeading(s.own.centre)
		if h.remount == nil || s1.Angle(by)*s1.Degree > off.Abs() {
			return turn{}, false
		}
		if off < 0 {
			by = -by
		}
		t := st.tryTurn(v, change{sensor: i, left: by})
		t.spot = s
		return t, t.covered >= v.figures.covered && t.gap < 0.95*t.gapWas
	}
	lo := 0
	for _, by := range turns {
		for _, i := range near {
			t, helps := try(i, by)
			if helps && (v.turn == nil || t.met || t.gap < v.turn.gap) {
				v.turn = &t
			}
			if !helps || !t.met {
				continue
			}
			for hi := by; hi-lo > 1; {
				mid := (lo + hi) / 2
				if t, helps := try(i, mid); helps && t.met {
					v.turn, hi = &t, mid
				} else {
					lo = mid
				}
			}
			return
		}
		lo = by
	}
}

// tryTurn reckons a zone again with one sensor turned. Only what lies in the bounds of its lobe before
// and after can differ, so the overlay is made of that alone.
func (st *study) tryTurn(v *verdict, c change) turn {
	old := v.hearings[c.sensor]
	h := st.rehear(old, st.changed(c), v.state)
	box := rectangle(old.final.Bounds().Union(h.final.Bounds()))
	zone := region.Intersect(v.region, box)
	lobes := []region.Set{h.final}
	for i, g := range v.hearings {
		if i != c.sensor && g.final.Bounds().Intersects(box.Bounds()) {
			lobes = append(lobes, g.final)
		}
	}
	found := surveyZones([]demand{{zone, v.zone.SeenBy}}, lobes).zones
	elsewhere := region.Difference(v.figures.blind, box)
	blind := region.Union(elsewhere, found[0].blind)
	trial := verdict{zone: v.zone, errM: v.errM, figures: v.figures}
	trial.figures.covered = v.figures.area - elsewhere.Area() - (found[0].area - found[0].covered)
	trial.blind.widest = st.memory.widestOf(blind)
	trial.judge()
	return turn{
		name: old.mount.Name, by: s1.Angle(c.left) * s1.Degree, gapWas: v.widest(), gap: trial.widest(),
		covered: trial.figures.covered, whole: v.figures.area, errM2: v.areaError(), met: trial.met(),
	}
}

func rectangle(box r2.Rect) region.Set {
	return region.FromRings(corners(box))
}
