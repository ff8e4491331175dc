package coverage

import (
	"fmt"
	"math"
	"strings"

	"github.com/golang/geo/r2"

	"echowright/geometry"
	"echowright/planner/plan"
)

// why adds to a spot's cause the figure that decides it, reckoned at the middle of the spot's own disc.
func (st *study) why(v *verdict, s *spot) string {
	if s.sensor < 0 {
		return ""
	}
	h := v.hearings[s.sensor]
	name, p := h.mount.Name, s.own.centre
	away, _ := h.AwayM(h.target, p)
	switch s.cause {
	case OwnPart, OwnGround:
		return fmt.Sprintf("; %s %s, and nothing beyond", name, h.mask)
	case TooClose:
		if away >= h.blind {
			return ""
		}
		text := fmt.Sprintf("; %s sees from %s on, this is %s from it", name, plan.Metres(h.blind), plan.Metres(away))
		if h.inside != nil {
			text += ", where " + h.inside(away)
		}
		return text
	case WindowCut:
		return fmt.Sprintf("; %s listens to %s, this is %s from it", name, plan.Metres(h.listen), plan.Metres(away))
	case WallTurned:
		if turn, ok := h.VanishTurn(h.target, p, h.blind); ok && h.target.Turned.Contains(turn.Radians()) {
			return fmt.Sprintf("; %s, %s from it, loses it once turned by %.0f deg", name, plan.Metres(away), turn.Abs().Degrees())
		}
	case JustTooWeak:
		return fmt.Sprintf("; %s short for %s, %s from it", fewDB(math.Min(s.shortDB, h.slackDB)), name, plan.Metres(away))
	case TooWeak:
		switch {
		case math.IsInf(s.shortDB, 1):
			return fmt.Sprintf("; not even %s, %s from it, has an answer from there", name, plan.Metres(away))
		case s.shortDB > h.slackDB:
			return fmt.Sprintf("; %s short for %s, %s from it", fewDB(s.shortDB), name, plan.Metres(away))
		}
	}
	return ""
}

// fewDB prints a level to the decibel, which is more than any of these is known to.
func fewDB(db float64) string {
	if db < 0.95 {
		return "under 1 dB"
	}
	return fmt.Sprintf("%.0f dB", db)
}

// String says what a sensor reads for ever, or may read, and how loud.
func (m *reading) String() string {
	if !m.Always() {
		return fmt.Sprintf("may read %s at %s, from nothing at the weak end of supply and weather to %s over its threshold at the strong end",
			m.name(), plan.Metres(m.ReadsM), fewDB(m.LevelDB))
	}
	levels := fewDB(m.LevelDB)
	if weak := fewDB(m.WeakDB); weak != levels {
		levels = strings.TrimSuffix(weak, " dB") + " to " + levels
	}
	return fmt.Sprintf("always reads %s at %s, %s over its threshold", m.name(), plan.Metres(m.ReadsM), levels)
}

func (m *reading) name() string {
	if m.obstacle < 0 {
		return "the ground"
	}
	return m.what
}

// mendFor is the remedy for the cause of the widest spot, and the changes it speaks of.
func (st *study) mendFor(v *verdict) (string, []plan.Change) {
	if cs := v.classes(); len(cs) > 0 {
		return st.mend(v, cs[0]), st.tryFor(v, cs[0])
	}
	return "", nil
}

// tryFor is the changes of sensors that mend speaks of for a class of blind spots, where it names them by figures.
func (st *study) tryFor(v *verdict, c *class) []plan.Change {
	s := c.spots[0]
	if s.sensor < 0 {
		return nil
	}
	h := v.hearings[s.sensor]
	switch c.cause {
	case OutsideBeams:
		if t := v.turn; t != nil && s == t.spot {
			return []plan.Change{{Sensor: t.name, LeftDeg: math.Round(t.by.Degrees())}}
		}
	case WindowCut:
		if h.ends && !h.told(c) {
			return []plan.Change{{Sensor: h.mount.Name, ListenM: math.Ceil(100*h.farthest(c)-1e-6) / 100}}
		}
	case OwnPart, OwnGround:
		if cure := st.cureOf(h.mask, v.state); cure != nil {
			return cure.tries(st)
		}
	}
	return nil
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
		return st.mendShadow(h, c.part)
	case OwnPart, OwnGround:
		return st.mendReading(v, h)
	case TooClose:
		return fmt.Sprintf("a kind for %s that is blind for less than its %s, or ask for nothing within %s of the body (a band says so, a swept lane cannot)",
			name, plan.Metres(h.blind), millimetresUp(st.farthestFromBody(c)))
	case WindowCut:
		if !h.ends {
			return fmt.Sprintf("a kind for %s that listens to %s: the window of this one cannot be set", name, centimetresUp(h.farthest(c)))
		}
		if h.told(c) {
			return fmt.Sprintf("a kind for %s whose line is held until it has listened to %s: this one ends sooner by itself", name, centimetresUp(h.farthest(c)))
		}
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

// told reports whether the layout already asks the sensor to listen past all of a class: then its line ends sooner by itself.
func (h *hearing) told(c *class) bool { return h.mount.ListenM >= h.farthest(c) }

func eachCorner(c *class, do func(p r2.Point)) {
	for _, s := range c.spots {
		for _, r := range s.region.Rings() {
			for _, p := range r {
				do(p)
			}
		}
	}
}

func (st *study) mendShadow(h *hearing, part string) string {
	for _, o := range st.obstacles {
		if o.name != part {
			continue
		}
		if o.staresInto(h.mount) {
			return fmt.Sprintf("%s looks straight into %s, against which it stands: turn it away, or mount it on the far side, or above or below its heights of %s to %s",
				h.mount.Name, part, plan.Metres(o.height.Lo), plan.Metres(o.height.Hi))
		}
		return fmt.Sprintf("mount %s where %s is not in between, or above or below its heights of %s to %s", h.mount.Name, part,
			plan.Metres(o.height.Lo), plan.Metres(o.height.Hi))
	}
	return ""
}

// mendReading says what rids a zone of a constant reading, and what becomes of the zone.
func (st *study) mendReading(v *verdict, h *hearing) string {
	if c := st.cureOf(h.mask, v.state); c != nil {
		return fmt.Sprintf("%s: then %s is read no more, and %s (tried)", c.say(st), h.mask.name(), c.of(v))
	}
	return fmt.Sprintf("turn, tilt or move %s so that %s is out of its beam", h.mount.Name, h.mask.name())
}
