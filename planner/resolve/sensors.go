package resolve

import (
	"fmt"
	"math"
	"strconv"

	"echowright/geometry"
	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// length writes a length as a file would.
func length(m float64) string { return quantity.Format(quantity.Length, round(m, 1e-4)) }

// round cuts a number for a message to a multiple of step.
func round(x, step float64) float64 {
	n := math.Round(x / step)
	if n == 0 {
		return 0 // never −0
	}
	return n / math.Round(1/step)
}

// sides by the word of the format.
var sides = map[string]geometry.Side{
	"front": geometry.Front, "left": geometry.Left, "rear": geometry.Rear, "right": geometry.Right,
	"forward": geometry.Front, "backward": geometry.Rear,
}

// sensors places every entry. Names stay apart because those of entries do and hold no dots.
func (r *resolver) sensors() {
	for _, e := range r.list(r.doc, "sensors") {
		r.sc.Sensors = append(r.sc.Sensors, r.sensorEntry(e)...)
	}
}

// sensorEntry writes one entry out as the sensors it stands for.
func (r *resolver) sensorEntry(e layout.Entry) []scene.Sensor {
	name, _ := e.Get("name")
	kind, _ := e.Get("kind")
	h, _ := e.Get("height")
	axis, _ := e.Get("pair-axis")
	base := scene.Sensor{
		Group:       name.Text(),
		Entry:       e.Path(),
		Kind:        r.kindIndex(kind.Text(), kind),
		HeightM:     h.Num(),
		Tilt:        angle(e.Value("tilt").Num()),
		PairUpright: axis.Text() == "upright",
		Recessed:    e.Value("recessed").Bool(),
		ListenM:     optional(e, "listen-to"),
	}
	r.usesPairAxis(base, axis)
	mounts := r.mounts(e)
	names := namesFor(base.Group, e, mounts)
	var out []scene.Sensor
	for i, m := range mounts {
		s := base
		s.Name, s.At, s.ArcM, s.Image = names[i], m.at, m.arcM, i > 0 && e.Has("pair")
		turn, ok := r.turn(e, m, i > 0 && e.Has("pair"))
		if !ok {
			return nil
		}
		s.Heading = turn
		out = append(out, s)
	}
	for _, s := range out {
		r.offBody(s)
		if r.solid(e, s) {
			break // one message an entry
		}
	}
	if e.Has("pair") && len(out) == 2 && out[0].At.Y < out[1].At.Y {
		out[0], out[1] = out[1], out[0]
	}
	for i := range out {
		out[i].Nth = i + 1
	}
	return out
}

// usesPairAxis refuses a pair axis on a single can.
func (r *resolver) usesPairAxis(s scene.Sensor, axis layout.Entry) {
	if axis.Exists() && s.Kind >= 0 && !r.sc.Kinds[s.Kind].Pair {
		r.wrong(axis, "leave it out", "kind %s is a single can and has no pair axis", quote(r.sc.Kinds[s.Kind].Name))
	}
}

// namesFor names the sensors of an entry: as it is, .left and .right, or .1, .2 …
func namesFor(group string, e layout.Entry, mounts []mount) []string {
	switch {
	case e.Has("pair") && len(mounts) == 2:
		if mounts[0].at.Y > mounts[1].at.Y {
			return []string{group + ".left", group + ".right"}
		}
		return []string{group + ".right", group + ".left"}
	case e.Has("count"):
		out := make([]string, len(mounts))
		for i := range out {
			out[i] = group + "." + strconv.Itoa(i+1)
		}
		return out
	}
	return []string{group}
}

// mounts finds the places of an entry; of a mirrored one the given place comes first. None when what is
// wrong has been said.
func (r *resolver) mounts(e layout.Entry) []mount {
	at, _ := e.Get("at")
	if e.Faulty("at", "count") {
		return nil
	}
	if e.Has("count") {
		return r.spread(e, at)
	}
	m, err := r.placeAt(at)
	if err != nil {
		return nil
	}
	if !e.Has("pair") {
		return []mount{m}
	}
	other := m.mirrored(r.outline)
	if m.at.Sub(other.at).Norm() < insideTol {
		pair, _ := e.Get("pair")
		r.wrong(pair, "leave pair out, or move it off the middle line", "a sensor on the middle line has itself for a mirror image")
		return nil
	}
	r.mirrorOdd(e, m, other)
	return []mount{m, other}
}

// mirrorOdd notes a pair on a machine whose two sides differ.
func (r *resolver) mirrorOdd(e layout.Entry, m, other mount) {
	if d := math.Hypot(m.at.X-other.at.X, m.at.Y+other.at.Y); d > insideTol {
		r.note(e.Path()+".pair", fmt.Sprintf("the two sides of the outline differ: the mirror image of %s by arc length stands %s from its mirror image in space",
			e.Key(), length(d)), false)
	}
}

// placeAt finds one place.
func (r *resolver) placeAt(at layout.Entry) (mount, error) {
	if p, ok := at.Get("place"); ok {
		return r.atPlace(point(p)), nil
	}
	if r.outline == nil {
		return mount{}, errUnusable
	}
	if a, ok := at.Get("arc"); ok {
		return r.onArc(a, a.Num())
	}
	s, err := r.sideArc(at)
	if err != nil {
		return mount{}, err
	}
	return onOutline(r.outline, s), nil
}

// atPlace is the mount at a place of its own: on the outline where a module's own thickness joins the two.
func (r *resolver) atPlace(p r2.Point) mount {
	if r.outline != nil {
		if s, off := r.outline.ArcOf(p); off <= mountTol {
			return onOutline(r.outline, s)
		}
	}
	return mount{at: p, arcM: math.NaN(), free: true}
}

// sideArc finds the arc length of a place given from a side, saying what is wrong with it.
func (r *resolver) sideArc(at layout.Entry) (float64, error) {
	from, _ := at.Get("from")
	side := sides[from.Text()]
	offset, said := 0.0, from
	for key, sign := range map[string]float64{"left": 1, "right": -1, "forward": 1, "back": -1} {
		if e, ok := at.Get(key); ok {
			offset, said = sign*e.Num(), e
		}
	}
	s, err := r.outline.OnSide(side, offset)
	if err != nil {
		r.wrong(said, "give another offset, another side, or a length along the outline with arc", "%s", r.tooFar(side, offset, err))
		return 0, errUnusable
	}
	return s, nil
}

// tooFar words that a side ends before an offset, or turns away there.
func (r *resolver) tooFar(side geometry.Side, offset float64, err error) string {
	from, to := r.outline.Side(side)
	if from == to {
		return err.Error()
	}
	a, _ := r.outline.At(from)
	b, _ := r.outline.At(to)
	lo, hi := a.Y, b.Y
	if side == geometry.Left || side == geometry.Right {
		lo, hi = a.X, b.X
	}
	lo, hi = math.Min(lo, hi), math.Max(lo, hi)
	if lo <= offset && offset <= hi {
		return fmt.Sprintf("no edge of the outline faces the %s at %s", side, length(offset))
	}
	return fmt.Sprintf("the %s side reaches from %s to %s, not to %s", side, length(lo), length(hi), length(offset))
}

// onArc is the place at an arc length, refused where that is more than once round.
func (r *resolver) onArc(e layout.Entry, s float64) (mount, error) {
	if whole := r.outline.Length(); math.Abs(s) > whole {
		r.wrong(e, fmt.Sprintf("give %s to %s", length(-whole/2), length(whole/2)), "an arc length of %s is beyond the outline, which is %s round", length(s), length(whole))
		return mount{}, errUnusable
	}
	return onOutline(r.outline, s), nil
}

// spread finds the places of a counted entry, evenly along the outline from one end of the spread to the
// other, in the order of their names.
func (r *resolver) spread(e, at layout.Entry) []mount {
	if r.outline == nil {
		return nil
	}
	sp, ok := at.Get("spread")
	if !ok { // a single one
		m, err := r.placeAt(at)
		if err != nil {
			return nil
		}
		return []mount{m}
	}
	n, _ := e.Get("count")
	from, _ := at.Get("from")
	side := sides[from.Text()]
	lo, hi := sp.Span()
	if half := r.outline.Length() / 2; math.Max(-lo, hi) > half {
		r.wrong(sp, fmt.Sprintf("stay within %s to %s", length(-half), length(half)), "the spread goes beyond half the outline, which is %s round", length(2*half))
		return nil
	}
	anchor := r.outline.Anchor(side)
	var out []mount
	// names count from left to right, along the left and right sides from front to rear: from the greatest offset down
	for _, d := range spreadOver(hi, lo, n.Int()) {
		s := anchor + forwardArc(side)*d
		out = append(out, onOutline(r.outline, math.Remainder(s, r.outline.Length())))
	}
	return out
}

// turn is the heading of a sensor at a mount; mirrored for the other one of a pair.
func (r *resolver) turn(e layout.Entry, m mount, other bool) (s1.Angle, bool) {
	h := e.Value("heading")
	by := angle(h.Num())
	switch h.Word() {
	case "outward", "inward":
		sense := m.outward()
		if sense == 0 {
			r.wrong(h, "give the turn as a plain angle, counter-clockwise", "%q says nothing here: neither turn leads away from the middle line", h.Word())
			return 0, false
		}
		if h.Word() == "inward" {
			sense = -sense
		}
		return (m.facing + s1.Angle(sense)*by).Normalized(), true
	case "from forward":
		if other {
			by = -by
		}
		return by.Normalized(), true
	}
	if other {
		by = -by
	}
	return (m.facing + by).Normalized(), true
}

// solid refuses a sensor inside solid material at its height, and reports whether it did.
func (r *resolver) solid(e layout.Entry, s scene.Sensor) bool {
	if s.Recessed || e.Faulty("height", "recessed", "recess") {
		return false
	}
	at, _ := e.Get("at")
	const right = "move it to the surface, or write recessed: true"
	if r.ring != nil && within(r.sc.Body.HeightM, s.HeightM) && inside(r.ring, s.At) {
		r.wrong(at, right, "sensor %s is inside the body, %s from its outline", quote(s.Name), length(geometry.Distance(r.ring, s.At)))
		return true
	}
	for _, p := range r.sc.Body.Parts {
		if p.Outline == nil || !within(p.HeightM, s.HeightM) || !inside(p.Outline, s.At) {
			continue
		}
		where := ""
		if len(p.OnlyIn) > 0 {
			where = " (there in state " + p.OnlyIn[0] + ")"
		}
		r.wrong(at, right, "sensor %s is inside part %s%s", quote(s.Name), quote(p.Name), where)
		return true
	}
	return false
}

// offBody notes a sensor on the outline at a height the body does not reach.
func (r *resolver) offBody(s scene.Sensor) {
	h := r.sc.Body.HeightM
	if math.IsNaN(s.ArcM) || h.Contains(s.HeightM) || h.Lo >= h.Hi {
		return
	}
	where := "above"
	if s.HeightM < h.Lo {
		where = "below"
	}
	r.note("sensors."+s.Group+".height", fmt.Sprintf("sensor %s at %s stands %s the body, which reaches from %s to %s: held by a bracket that shades nothing",
		s.Name, length(s.HeightM), where, length(h.Lo), length(h.Hi)), false)
}

// inside reports whether a place lies deeper in a ring than drawings are exact.
func inside(ring []r2.Point, p r2.Point) bool {
	return geometry.Contains(ring, p) && geometry.Distance(ring, p) > insideTol
}
