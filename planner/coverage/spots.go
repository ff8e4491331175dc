package coverage

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/geometry"
	"echowright/geometry/region"
	"echowright/planner/recall"
)

// disc is the largest round thing that fits somewhere; radius 0 when nothing does.
type disc struct {
	centre r2.Point
	radius float64 // m
}

// spot is a piece of a blind region worth telling: wider than the error of the lobes' edges.
type spot struct {
	piece
	area     float64 // m²
	hides    disc    // within the whole blind region, its centre in this piece
	own      disc    // within this piece alone
	limited  bool    // hides is held between the zone's own borders
	nearestM float64 // from the body's outline, 0 where it touches it
	shortDB  float64 // how far the echo at the middle of own is below the threshold; of weak echoes only
}

// blindness is a blind region told as spots.
type blindness struct {
	spots   []spot  // widest first
	slivers float64 // m² in pieces too narrow to tell from the error of the lobes' edges
	widest  disc    // in the whole region
	limited bool    // widest is held between the zone's own borders
}

// describe turns the pieces of a blind region into spots. A piece in which no disc of radius err
// fits is a sliver: it joins the neighbour it has the longest border with, or is left out of the list.
func (m *Memory) describe(blind region.Set, pieces []piece, err float64) blindness {
	found := m.divide(blind, pieces, err)
	for i := range found.spots {
		s := &found.spots[i]
		s.hides, s.own = m.hidesIn(s.region, blind.Pieces(), found.widest), m.disc(s.region)
	}
	sortSpots(found.spots)
	return found
}

// divide is describe but for the discs of the spots and their order.
func (m *Memory) divide(blind region.Set, pieces []piece, err float64) blindness {
	found := blindness{widest: m.widestOf(blind)}
	kept, slivers := m.sift(pieces, err)
	kept, found.slivers = join(kept, slivers)
	for _, p := range kept {
		found.spots = append(found.spots, spot{piece: p, area: p.region.Area()})
	}
	return found
}

// sift parts pieces from slivers and from the threads that hang on pieces.
func (m *Memory) sift(pieces []piece, err float64) (kept, slivers []piece) {
	for _, p := range pieces {
		body, threads := shave(p.region)
		for _, t := range threads.Pieces() {
			slivers = append(slivers, piece{cause: p.cause, part: p.part, sensor: p.sensor, region: t})
		}
		for _, b := range body.Pieces() {
			one := piece{cause: p.cause, part: p.part, sensor: p.sensor, region: b}
			if m.narrow(b, err) {
				slivers = append(slivers, one)
			} else {
				kept = append(kept, one)
			}
		}
	}
	return kept, slivers
}

// widestOf is the largest disc in a region. A disc of radius r has the area πr², so pieces
// too small to hold a wider one than already found are passed over.
func (m *Memory) widestOf(s region.Set) (best disc) {
	pieces := s.Pieces()
	area := make(map[int]float64, len(pieces))
	order := make([]int, len(pieces))
	for i, p := range pieces {
		area[i], order[i] = p.Area(), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(area[b], area[a]) })
	for _, i := range order {
		if area[i] <= math.Pi*best.radius*best.radius {
			break
		}
		if d := m.disc(pieces[i]); d.radius > best.radius {
			best = d
		}
	}
	return best
}

// narrow reports whether no disc of radius err fits into a region. Its area A and perimeter P mostly
// settle it: a disc of radius r takes an area of πr²; and a region lies within its inradius r of its
// edges, hence A <= P·r.
func (m *Memory) narrow(s region.Set, err float64) bool {
	area := s.Area()
	if area < math.Pi*err*err {
		return true
	}
	if area > err*perimeter(s) {
		return false
	}
	return m.disc(s).radius < err
}

// join adds each sliver to the kept piece it has the longest border with, and sums the areas of those
// that have none.
func join(kept, slivers []piece) ([]piece, float64) {
	bounds := make([]r2.Rect, len(kept))
	for i, p := range kept {
		bounds[i] = p.region.Bounds()
	}
	joined, lost := make([][]region.Set, len(kept)), 0.0
	for _, s := range slivers {
		if to := neighbour(s.region, kept, bounds); to >= 0 {
			joined[to] = append(joined[to], s.region)
		} else {
			lost += s.region.Area()
		}
	}
	for i, more := range joined {
		if len(more) > 0 {
			kept[i].region = region.Union(append(more, kept[i].region)...)
		}
	}
	return fuse(kept, func(i int) bool { return len(joined[i]) > 0 }), lost
}

// fuse makes one of pieces with the same cause that a sliver lay between: only one that was joined to some can have. All others
// touch at points at most.
func fuse(pieces []piece, grown func(i int) bool) (fused []piece) {
	done := make([]bool, len(pieces))
	for i, p := range pieces {
		if done[i] {
			continue
		}
		var same []piece
		var sets []region.Set
		open := false
		for j := i; j < len(pieces); j++ {
			if q := pieces[j]; !done[j] && q.cause == p.cause && q.part == p.part {
				done[j] = true
				same, sets, open = append(same, q), append(sets, q.region), open || grown(j)
			}
		}
		if !open {
			fused = append(fused, same...)
			continue
		}
		for _, one := range region.Union(sets...).Pieces() {
			fused = append(fused, piece{cause: p.cause, part: p.part, sensor: sensorOf(one, same), region: one})
		}
	}
	return fused
}

// sensorOf is the sensor of the largest of the pieces that a fused one was made of.
func sensorOf(fused region.Set, from []piece) int {
	sensor, most, box := from[0].sensor, -1.0, fused.Bounds().ExpandedByMargin(snapped)
	for _, p := range from {
		if a := p.region.Area(); a > most && box.Contains(p.region.Bounds()) {
			sensor, most = p.sensor, a
		}
	}
	return sensor
}

// beside is how far beside the middle of an edge its other side is looked at, m: many grid steps, yet
// nothing against a piece worth keeping.
const beside = 1e-8

// neighbour is the piece that lies beside most of the edges of a sliver by length; -1 if none does.
func neighbour(sliver region.Set, kept []piece, bounds []r2.Rect) int {
	shared, best := make([]float64, len(kept)), -1
	for _, r := range sliver.Rings() {
		a := r[len(r)-1]
		for _, b := range r {
			edge, middle := b.Sub(a), a.Add(b).Mul(0.5)
			a = b
			out := middle.Sub(edge.Ortho().Mul(beside / edge.Norm())) // rings have their region on the left
			for i, p := range kept {
				if bounds[i].ContainsPoint(out) && p.region.Contains(out) {
					shared[i] += edge.Norm()
					break
				}
			}
		}
	}
	for i, length := range shared {
		if length > 0 && (best < 0 || length > shared[best]) {
			best = i
		}
	}
	return best
}

// hidesIn is the largest disc with its centre in a piece that stays inside the connected part of the
// blind region around the piece: a disc is connected, so it cannot leave that part. No disc is larger
// than the widest, so what lies farther from the piece than that is cut away first.
func (m *Memory) hidesIn(piece region.Set, whole []region.Set, widest disc) (best disc) {
	if widest.radius > 0 && piece.Contains(widest.centre) {
		return widest
	}
	around := whole
	if len(whole) > 1 {
		around = m.partsAround(piece, whole)
	}
	reach := piece.Bounds().ExpandedByMargin(roundedUp(widest.radius) + hair)
	for _, w := range around {
		d := m.discs.Of(recall.Of(edgesIn(w, reach), piece.Rings()), func() disc {
			if reach.Size().X*reach.Size().Y < 0.5*w.Bounds().Size().X*w.Bounds().Size().Y {
				w = region.Intersect(w, rectangle(reach))
			}
			c, r := geometry.LargestDisk(w.Rings(), piece.Rings())
			return disc{c, r}
		})
		if d.radius > best.radius {
			best = d
		}
	}
	return best
}

// roundedUp rounds a length up by less than a fifth, to one of few, so that a small change of it mostly changes nothing.
func roundedUp(m float64) float64 { return math.Exp2(math.Ceil(4*math.Log2(m)) / 4) }

// disc is the largest disc in a region.
func (m *Memory) disc(s region.Set) disc {
	rings := s.Rings()
	return m.discs.Of(recall.Of(rings), func() disc {
		c, r := geometry.LargestDisk(rings, nil)
		return disc{c, r}
	})
}

// snapped is more than the grid of the arrangement can have moved a corner, m.
const snapped = 1e-9

// partsAround returns the parts of a region that may hold a piece of it: those whose bounds do, and of
// several the one that holds the middle of the piece's own largest disc.
func (m *Memory) partsAround(piece region.Set, whole []region.Set) (parts []region.Set) {
	for _, w := range whole {
		if w.Bounds().ExpandedByMargin(snapped).Contains(piece.Bounds()) {
			parts = append(parts, w)
		}
	}
	if len(parts) < 2 {
		return parts
	}
	c := m.disc(piece).centre
	for _, w := range parts {
		if w.Contains(c) {
			return []region.Set{w}
		}
	}
	return parts
}

// sortSpots puts the widest first, of several in one gap the one that makes most of it. Widths are compared to the nanometre, so that a scene moved or
// turned, whose widths differ by rounding, keeps the order of its spots; then areas, likewise.
func sortSpots(s []spot) {
	slices.SortStableFunc(s, func(a, b spot) int {
		return cmp.Or(cmp.Compare(nanometres(b.hides.radius), nanometres(a.hides.radius)),
			cmp.Compare(nanometres(b.own.radius), nanometres(a.own.radius)), cmp.Compare(nanometres(b.area), nanometres(a.area)))
	})
}

// nanometres rounds a length, so that what differs by rounding compares equal.
func nanometres(x float64) float64 { return math.Round(x * 1e9) }

// apart is the least distance between a region and an outline; 0 when they overlap, and from nothing.
func apart(s region.Set, outline []r2.Point) float64 {
	if len(outline) == 0 {
		return 0
	}
	least := math.Inf(1)
	box := r2.RectFromPoints(outline...)
	for _, r := range s.Rings() {
		for _, v := range r {
			if box.ContainsPoint(v) && geometry.Contains(outline, v) {
				return 0
			}
			least = nearer(outline, v, least)
		}
		for _, v := range outline {
			least = nearer(r, v, least)
		}
	}
	if s.Contains(outline[0]) {
		return 0
	}
	return least
}

// nearer is the distance of a point from the edges of a ring, or least where that is smaller. Most edges lie farther by their
// bounds already.
func nearer(ring []r2.Point, p r2.Point, least float64) float64 {
	a := ring[len(ring)-1]
	for _, b := range ring {
		x := max(min(a.X, b.X)-p.X, p.X-max(a.X, b.X))
		y := max(min(a.Y, b.Y)-p.Y, p.Y-max(a.Y, b.Y))
		if x < least && y < least {
			least = min(least, nearestOfEdge(a, b, p).Sub(p).Norm())
		}
		a = b
	}
	return least
}
