package coverage

import (
	"slices"

	"echowright/geometry/region"
)

// The causes of blind spots in their order of precedence. A place has the first cause that alone
// keeps one more sensor from seeing it; a place that two things hide has the first of them.
const (
	Shadowed     = "shadowed"                // body or a part stands between
	OwnPart      = "reads its own part"      // a part answers earlier than the target, for ever
	OwnGround    = "reads the ground"        // the ground does
	TooClose     = "too close"               // inside the blind distance
	WindowCut    = "window cut short"        // farther than the sensor listens
	WallTurned   = "wall turned away"        // seen squarely, not at every turn of its range
	JustTooWeak  = "echo only just too weak" // within the tolerance of the threshold
	TooWeak      = "too weak"                // inside the nominal beam, level insufficient
	OutsideBeams = "outside every beam"
)

// Causes lists them all in their order of precedence.
func Causes() []string {
	return []string{Shadowed, OwnPart, OwnGround, TooClose, WindowCut, WallTurned, JustTooWeak, TooWeak, OutsideBeams}
}

// remedy is where one more sensor would see if one thing were different.
type remedy struct {
	rank   int // smaller goes first
	cause  string
	part   string // that shades or answers
	sensor int
	where  region.Set
}

// piece is a part of a blind region with one cause.
type piece struct {
	cause, part string
	sensor      int // the one that comes nearest to seeing it; -1 where none does
	region      region.Set
}

// split divides a blind region by cause: each place goes to the remedy of least rank that holds it,
// ties to the earlier in the list. It returns the pieces, each connected, and what no remedy reaches.
func split(blind region.Set, remedies []remedy) (pieces []piece, rest region.Set) {
	if blind.IsEmpty() || len(remedies) == 0 {
		return nil, blind
	}
	rs := slices.Clone(remedies)
	slices.SortStableFunc(rs, func(a, b remedy) int { return a.rank - b.rank })
	layers, class, classes := []region.Set{blind}, make([]int, len(rs)), []remedy(nil)
	for i, r := range rs {
		layers = append(layers, r.where)
		class[i] = slices.IndexFunc(classes, func(c remedy) bool { return c.cause == r.cause && c.part == r.part })
		if class[i] < 0 {
			class[i] = len(classes)
			classes = append(classes, r)
		}
	}
	o := region.NewOverlay(layers...)
	classOf := func(l region.Label) int {
		for i := range rs {
			if l.Has(i + 1) {
				return class[i]
			}
		}
		return -1
	}
	for c, r := range classes {
		all := o.Extract(func(l region.Label) bool { return l.Has(0) && classOf(l) == c })
		parts := all.Pieces()
		for i, sensor := range nearest(parts, rs, class, c) {
			pieces = append(pieces, piece{cause: r.cause, part: r.part, region: parts[i], sensor: sensor})
		}
	}
	return pieces, o.Extract(func(l region.Label) bool { return l.Has(0) && classOf(l) < 0 })
}

// nearest is for each piece of class c the sensor whose remedies of that class hold most of it.
func nearest(pieces []region.Set, rs []remedy, class []int, c int) []int {
	sensors, doubtful := make([]int, len(pieces)), make([]bool, len(pieces))
	asked := make([]bool, len(rs))
	var layers []region.Set
	for i, p := range pieces {
		sensors[i] = -1
		box := p.Bounds()
		for k, r := range rs {
			if class[k] != c || !r.where.Bounds().Intersects(box) {
				continue
			}
			// The remedies of a class leave nothing of its pieces out, so where only one can hold it, that one does.
			doubtful[i] = doubtful[i] || sensors[i] >= 0 && sensors[i] != r.sensor
			sensors[i] = r.sensor
		}
		if doubtful[i] {
			layers = append(layers, p)
			for k, r := range rs {
				asked[k] = asked[k] || class[k] == c && r.where.Bounds().Intersects(box)
			}
		}
	}
	if len(layers) == 0 {
		return sensors
	}
	of := make([]int, len(layers), len(layers)+len(rs))
	for k := range layers {
		of[k] = k
	}
	var askedOf []int
	for k, r := range rs {
		if asked[k] {
			of = append(of, len(layers))
			layers, askedOf = append(layers, r.where), append(askedOf, k)
		}
	}
	both := region.NewOverlay(layers...).PairAreas(of)
	row, first := 0, len(of)-len(askedOf)
	for i := range pieces {
		if !doubtful[i] {
			continue
		}
		most := 0.0
		for k, r := range askedOf {
			if a := both[row][first+k]; a > most {
				sensors[i], most = rs[r].sensor, a
			}
		}
		row++
	}
	return sensors
}
