package coverage

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/geometry"
	"echowright/geometry/region"
)

// disc is the largest round thing that fits somewhere; radius 0 when nothing does.
type disc struct {
	centre r2.Point
	radius float64 // m
}

// spot is a piece of a blind region worth telling: wider than the error of the lobes' edges.
type spot struct {
	piece
	area    float64 // m²
	hides   disc    // within the whole blind region, its centre in this piece
	own     disc    // within this piece alone
	limited bool    // hides is held between the zone's own borders
	shortDB float64 // how far the echo at the middle of own is below the threshold; of weak echoes only
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
func describe(blind region.Set, pieces []piece, err float64) blindness {
	var found blindness
	whole := blind.Pieces()
	found.widest = widestOf(whole)
	kept, slivers := sift(pieces, err)
	kept, found.slivers = join(kept, slivers)
	for _, p := range kept {
		s := spot{piece: p, area: p.region.Area()}
		s.hides = hidesIn(p.region, whole, found.widest.radius)
		s.own.centre, s.own.radius = geometry.LargestDisk(p.region.Rings(), nil)
		found.spots = append(found.spots, s)
	}
	sortSpots(found.spots)
	return found
}

// sift parts pieces from slivers and from the threads that hang on pieces.
func sift(pieces []piece, err float64) (kept, slivers []piece) {
	for _, p := range pieces {
		body, threads := shave(p.region)
		for _, t := range threads.Pieces() {
			slivers = append(slivers, piece{cause: p.cause, part: p.part, sensor: p.sensor, region: t})
		}
		for _, b := range body.Pieces() {
			one := piece{cause: p.cause, part: p.part, sensor: p.sensor, region: b}
			if narrow(b, err) {
				slivers = append(slivers, one)
			} else {
				kept = append(kept, one)
			}
		}
	}
	return kept, slivers
}

// widestOf is the largest disc in any of the pieces. A disc of radius r has the area πr², so pieces
// too small to hold a wider one than already found are passed over.
func widestOf(pieces []region.Set) (best disc) {
	bySize := slices.Clone(pieces)
	area := make(map[int]float64, len(pieces))
	order := make([]int, len(pieces))
	for i, p := range bySize {
		area[i], order[i] = p.Area(), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(area[b], area[a]) })
	for _, i := range order {
		if area[i] <= math.Pi*best.radius*best.radius {
			break
		}
		if c, r := geometry.LargestDisk(bySize[i].Rings(), nil); r > best.radius {
			best = disc{c, r}
		}
	}
	return best
}

// narrow reports whether no disc of radius err fits into a region. Its area A and perimeter P mostly
// settle it: a disc of radius r takes an area of πr²; and a region lies within its inradius r of its
// edges, hence A <= P·r.
func narrow(s region.Set, err float64) bool {
	area := s.Area()
	if area < math.Pi*err*err {
		return true
	}
	if area > err*perimeter(s) {
		return false
	}
	_, r := geometry.LargestDisk(s.Rings(), nil)
	return r < err
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
	return fuse(kept), lost
}

// fuse makes one of pieces with the same cause that a sliver lay between.
func fuse(pieces []piece) (fused []piece) {
	done := make([]bool, len(pieces))
	for i, p := range pieces {
		if done[i] {
			continue
		}
		var same []piece
		var sets []region.Set
		for j := i; j < len(pieces); j++ {
			if q := pieces[j]; !done[j] && q.cause == p.cause && q.part == p.part {
				done[j] = true
				same, sets = append(same, q), append(sets, q.region)
			}
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
func hidesIn(piece region.Set, whole []region.Set, widest float64) (best disc) {
	around := whole
	if len(whole) > 1 {
		around = partsAround(piece, whole)
	}
	reach := piece.Bounds().ExpandedByMargin(widest + hair)
	for _, w := range around {
		if reach.Size().X*reach.Size().Y < 0.5*w.Bounds().Size().X*w.Bounds().Size().Y {
			w = region.Intersect(w, rectangle(reach))
		}
		if c, r := geometry.LargestDisk(w.Rings(), piece.Rings()); r > best.radius {
			best = disc{c, r}
		}
	}
	return best
}

// snapped is more than the grid of the arrangement can have moved a corner, m.
const snapped = 1e-9

// partsAround returns the parts of a region that may hold a piece of it: those whose bounds do, and of
// several the one that holds the middle of the piece's own largest disc.
func partsAround(piece region.Set, whole []region.Set) (parts []region.Set) {
	for _, w := range whole {
		if w.Bounds().ExpandedByMargin(snapped).Contains(piece.Bounds()) {
			parts = append(parts, w)
		}
	}
	if len(parts) < 2 {
		return parts
	}
	c, _ := geometry.LargestDisk(piece.Rings(), nil)
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

// apart is the least distance between a region and an outline; 0 when they overlap.
func apart(s region.Set, outline []r2.Point) float64 {
	least := math.Inf(1)
	for _, r := range s.Rings() {
		for _, v := range r {
			if geometry.Contains(outline, v) {
				return 0
			}
			least = math.Min(least, geometry.Distance(outline, v))
		}
		for _, v := range outline {
			least = math.Min(least, geometry.Distance(r, v))
		}
	}
	if s.Contains(outline[0]) {
		return 0
	}
	return least
}
