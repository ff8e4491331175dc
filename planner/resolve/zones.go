package resolve

import (
	"fmt"
	"math"

	"echowright/geometry/region"
	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// zones draws every zone and binds its target.
func (r *resolver) zones() {
	entries := r.list(r.doc, "zones")
	r.sc.Zones = make([]scene.Zone, len(entries)) // never grown: targets keep pointers into it
	for i, e := range entries {
		name, _ := e.Get("name")
		z := &r.sc.Zones[i]
		*z = scene.Zone{
			Name:   name.Text(),
			Entry:  e.Path(),
			Target: -1, // until the targets in use are listed
			SeenBy: max(e.Value("seen-by").Int(), 1),
			Share:  orNaN(e, "share"),
			GapM:   orNaN(e, "largest-gap"),
			OnlyIn: onlyIn(e),
		}
		r.zoneTarget(e, z)
		r.asked(e, z)
		r.zoneRings(e, z)
	}
}

func (r *resolver) zoneTarget(e layout.Entry, z *scene.Zone) {
	ref, _ := e.Get("target")
	if t := r.use(r.lookUp(r.doc, ref, ref)); t != nil {
		t.zones = append(t.zones, &z.Target)
	}
}

// asked notes a zone without a demand: whole cover is meant.
func (r *resolver) asked(e layout.Entry, z *scene.Zone) {
	if math.IsNaN(z.Share) && math.IsNaN(z.GapM) {
		z.Share = 1
		r.note(e.Path()+".share", "zone "+z.Name+": neither share nor largest-gap given: all of it must be seen", false)
	}
	n, sure := r.mounted()
	switch {
	case z.SeenBy <= n:
	case r.begun:
		r.lacks = append(r.lacks, fmt.Sprintf("zone %s asks for %s, there %s so far", quote(z.Name), counted(z.SeenBy, "sensor", "sensors"), areSo(n)))
	case sure:
		by, _ := e.Get("seen-by")
		r.wrong(orElse(by, e), "ask for as many as there are, or mount more", "zone %s must be seen by %d sensors, there are %d", quote(z.Name), z.SeenBy, n)
	}
}

// mounted returns how many sensors the file has, usable ones or not; sure is false where that cannot be told.
func (r *resolver) mounted() (n int, sure bool) {
	all, ok := r.doc.Get("sensors")
	sure = ok && !all.Short()
	for _, e := range all.List() {
		n += e.Mounted()
		sure = sure && !e.Faulty("pair", "count")
	}
	return n, sure
}

// orNaN returns the number under a key, NaN when it is not written.
func orNaN(e layout.Entry, key string) float64 {
	if got, ok := e.Get(key); ok {
		return got.Num()
	}
	return math.NaN()
}

// zoneRings draws a zone; it says what is wrong with one that cannot be.
func (r *resolver) zoneRings(e layout.Entry, z *scene.Zone) {
	what := "zone " + quote(z.Name)
	rings, place := r.draw(e, what)
	if rings == nil {
		return
	}
	set := region.FromRings(rings...)
	if set.IsEmpty() {
		r.wrong(place, "make it larger", "%s encloses nothing", what)
		return
	}
	if r.ring != nil && region.Difference(set, region.FromRings(r.ring)).IsEmpty() {
		r.wrong(place, "let it reach beyond the outline", "%s lies wholly inside the body", what)
		return
	}
	z.Rings = set.Rings()
}

// draw returns the rings of a zone with the entry that describes it.
func (r *resolver) draw(e layout.Entry, what string) ([][]r2.Point, layout.Entry) {
	if e.Faulty("polygon", "sector", "band", "swept") {
		return nil, e
	}
	if p, ok := e.Get("polygon"); ok {
		if ring := r.polygon(p, what); ring != nil {
			return [][]r2.Point{ring}, p
		}
		return nil, p
	}
	if s, ok := e.Get("sector"); ok {
		return r.drawSector(s), s
	}
	if b, ok := e.Get("band"); ok {
		return r.drawBand(b), b
	}
	s, ok := e.Get("swept")
	if !ok || r.ring == nil {
		return nil, s
	}
	way, _ := s.Get("way")
	reach, _ := s.Get("reach")
	return [][]r2.Point{lane(r.ring, sides[way.Text()], reach.Num(), s.Value("wider-by").Num())}, s
}

func (r *resolver) drawBand(b layout.Entry) [][]r2.Point {
	along, _ := b.Get("along")
	depth, _ := b.Get("depth")
	near, far := depth.Span()
	if r.ring == nil {
		return nil
	}
	set := band(r.ring, near, far)
	if along.Text() == "all" {
		return set.Rings()
	}
	side := sides[along.Text()]
	if from, to := r.outline.Side(side); from == to {
		r.wrong(along, "choose another side, or all", "the outline has no %s side", along.Text())
		return nil
	}
	box := sideBox(r.outline, r.ring, side, b.Value("past-corners").Num(), far)
	return region.Intersect(set, region.FromRings(box)).Rings()
}

func (r *resolver) drawSector(s layout.Entry) [][]r2.Point {
	radius, _ := s.Get("radius")
	bearing, _ := s.Get("bearing")
	near, far := radius.Span()
	lo, hi := bearing.Span()
	var centre r2.Point
	if c, ok := s.Get("centre"); ok {
		centre = point(c)
	} else {
		if r.outline == nil {
			return nil
		}
		arc, err := r.sideArc(s)
		if err != nil {
			return nil
		}
		centre, _ = r.outline.At(arc)
	}
	return sector(centre, near, far, lo, hi)
}
