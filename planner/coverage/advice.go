package coverage

import (
	"fmt"
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/plan"
)

// why adds to a spot's cause the figure that decides it.
func (st *study) why(v *verdict, s *spot) string {
	if s.sensor < 0 {
		return ""
	}
	h := v.hearings[s.sensor]
	name, away := h.mount.Name, s.hides.centre.Sub(h.mount.At).Norm()
	switch s.cause {
	case OwnPart, OwnGround:
		return fmt.Sprintf("; %s always reads %s (%s), %.0f dB over its threshold, and nothing beyond", name, plan.Metres(h.mask.reads), h.mask.what, h.mask.levelDB)
	case TooClose:
		text := fmt.Sprintf("; %s sees from %s on, this is %s from it", name, plan.Metres(h.blind), plan.Metres(away))
		if h.inside != nil && away < h.blind {
			text += ", where " + h.inside(away)
		}
		return text
	case WindowCut:
		return fmt.Sprintf("; %s listens to %s, this is %s from it", name, plan.Metres(h.listen), plan.Metres(away))
	case WallTurned:
		if turn, ok := h.VanishTurn(h.target, away); ok {
			return fmt.Sprintf("; %s at %s loses it once turned by %.1f deg", name, plan.Metres(away), turn.Degrees())
		}
	case JustTooWeak, TooWeak:
		if level := h.Level(h.target, s.hides.centre, acoustics.Certain); !math.IsInf(level, -1) {
			return fmt.Sprintf("; %.1f dB short for %s, %s from it", -level, name, plan.Metres(away))
		}
	}
	return ""
}

// mendFor is the remedy for the cause of the widest spot.
func (st *study) mendFor(v *verdict) string {
	if cs := v.classes(); len(cs) > 0 {
		return st.mend(v, cs[0])
	}
	return ""
}

// mend says what would mend a class of blind spots; figures in it are reckoned for all its spots.
func (st *study) mend(v *verdict, c *class) string {
	s := c.spots[0]
	if s.sensor < 0 {
		return "no sensor sees this target at all: look at its height and at theirs"
	}
	h := v.hearings[s.sensor]
	name := h.mount.Name
	switch c.cause {
	case Shadowed:
		return st.mendShadow(name, c.part)
	case OwnPart, OwnGround:
		return st.mendReading(h)
	case TooClose:
		return fmt.Sprintf("let the zone begin %s off the body, or take a kind for %s that is blind for less than its %s",
			millimetresUp(st.farthestFromBody(c)), name, plan.Metres(h.blind))
	case WindowCut:
		return fmt.Sprintf("let %s listen to %s", name, centimetresUp(h.farthest(c)))
	case WallTurned:
		return "a second sensor turned the other way, a wider beam, or fewer degrees of turn asked for"
	case JustTooWeak:
		return fmt.Sprintf("measure %s on the bench: if its threshold is lower than stated this is seen; else a stronger kind, or one mounted nearer", name)
	case TooWeak:
		return fmt.Sprintf("a stronger kind for %s, or one mounted nearer to this place", name)
	}
	return st.mendOutside(v, s)
}

func centimetresUp(m float64) string { return fmt.Sprintf("%.2f m", math.Ceil(100*m-1e-6)/100) }

// farthestFromBody is the distance from the body's outline within which all spots of a class lie, m.
func (st *study) farthestFromBody(c *class) float64 {
	most := 0.0
	eachCorner(c, func(p r2.Point) { most = math.Max(most, geometry.Distance(st.sc.Body.Outline, p)) })
	return most
}

// farthest bounds the distance at which the places of a class answer a sensor, m: no farther than
// along the straight line to the place at the farther end of the heights it looks at.
func (h *hearing) farthest(c *class) float64 {
	most := 0.0
	heights, _ := h.Sight(h.target)
	eachCorner(c, func(p r2.Point) { most = math.Max(most, p.Sub(h.mount.At).Norm()) })
	return math.Hypot(most, math.Max(math.Abs(heights.Lo-h.mount.HeightM), math.Abs(heights.Hi-h.mount.HeightM)))
}

func eachCorner(c *class, do func(p r2.Point)) {
	for _, s := range c.spots {
		for _, r := range s.region.Rings() {
			for _, p := range r {
				do(p)
			}
		}
	}
}

func (st *study) mendShadow(name, part string) string {
	for _, o := range st.obstacles {
		if o.name == part {
			return fmt.Sprintf("mount %s where %s is not in between, or above or below its heights of %s to %s", name, part,
				plan.Metres(o.height.Lo), plan.Metres(o.height.Hi))
		}
	}
	return ""
}

// turns are the steps tried when a mount is turned or tilted, least first.
var turns = []s1.Angle{2 * s1.Degree, 4 * s1.Degree, 6 * s1.Degree, 8 * s1.Degree, 10 * s1.Degree, 15 * s1.Degree, 20 * s1.Degree, 30 * s1.Degree, 45 * s1.Degree}

// mendReading looks for the least turn or tilt that rids a sensor of its constant reading, each tried
// by reckoning the reading again.
func (st *study) mendReading(h *hearing) string {
	const plain = "turn or move %s so that %s is out of its beam, or end its window before %s"
	if h.remount == nil {
		return fmt.Sprintf(plain, h.mount.Name, h.mask.what, plan.Metres(h.mask.reads))
	}
	for _, by := range turns {
		up, left, right := h.mount, h.mount, h.mount
		up.Tilt += by
		if !st.stillReads(h, h.remount(up)) {
			return fmt.Sprintf("tilted up by %.0f deg more, %s no longer reads it (tried)", by.Degrees(), h.mount.Name)
		}
		if h.mask.obstacle < 0 {
			continue
		}
		left.Heading += by
		right.Heading -= by
		if !st.stillReads(h, h.remount(left)) {
			return fmt.Sprintf("turned %.0f deg to the left, %s no longer reads it (tried)", by.Degrees(), h.mount.Name)
		}
		if !st.stillReads(h, h.remount(right)) {
			return fmt.Sprintf("turned %.0f deg to the right, %s no longer reads it (tried)", by.Degrees(), h.mount.Name)
		}
	}
	return fmt.Sprintf(plain, h.mount.Name, h.mask.what, plan.Metres(h.mask.reads))
}

// stillReads reports whether another mount of a sensor has the same constant reading inside its window.
func (st *study) stillReads(h *hearing, e ear) bool {
	var reads float64
	var ok bool
	if h.mask.obstacle < 0 {
		reads, _, ok = e.GroundReading(st.sc.Around.Ground)
	} else {
		o := st.obstacles[h.mask.obstacle]
		reads, _, ok = e.OwnReading(o.outline, o.height, o.round, o.centre, o.radius)
	}
	return ok && reads >= h.nearest && reads < h.listen
}
