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
		for _, p := range all.Pieces() {
			pieces = append(pieces, piece{cause: r.cause, part: r.part, region: p, sensor: nearest(p, rs, class, c)})
		}
	}
	return pieces, o.Extract(func(l region.Label) bool { return l.Has(0) && classOf(l) < 0 })
}

// nearest is the sensor whose remedies of class c hold most of a piece.
func nearest(p region.Set, rs []remedy, class []int, c int) int {
	best, most := -1, -1.0
	for i, r := range rs {
		if class[i] != c || r.where.IsEmpty() || !r.where.Bounds().Intersects(p.Bounds()) {
			continue
		}
		if a := region.Intersect(p, r.where).Area(); a > most {
			best, most = r.sensor, a
		}
	}
	return best
}
