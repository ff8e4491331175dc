package latency

import (
	"cmp"
	"slices"
)

// ask is what one sensor must give on a line of the lane: a stretch so long, its far end so far off, m.
type ask struct{ length, distance float64 }

// worst is the widest piece of the lane on which fewer sensors than asked give what is asked of each; ok is
// false where there is none wider than the lane's slit. Of pieces equally wide it is the rightmost.
func (l *lane) worst(of func(p *path) ask) (piece [2]float64, ok bool) {
	type turn struct {
		y    float64
		step int
	}
	var turns []turn
	for i := range l.paths {
		a := of(&l.paths[i])
		var parts [][2]float64
		for _, s := range l.paths[i].stretchs {
			if part, ok := s.where(a.length, a.distance); ok {
				parts = append(parts, part)
			}
		}
		for _, part := range joined(parts) {
			turns = append(turns, turn{part[0], 1}, turn{part[1], -1})
		}
	}
	// A part that begins where another ends leaves nothing between them: beginnings come first.
	slices.SortFunc(turns, func(a, b turn) int { return cmp.Or(cmp.Compare(a.y, b.y), -cmp.Compare(a.step, b.step)) })
	widest := l.slitM
	take := func(from, to float64) {
		// What is wider by rounding alone is not wider, so that a machine alike on both sides gives one answer.
		if to-from > widest+1e-12 {
			piece, ok, widest = [2]float64{from, to}, true, to-from
		}
	}
	for _, span := range l.spans() {
		count, bare := 0, span[0]
		for _, t := range turns {
			y := min(max(t.y, span[0]), span[1])
			count += t.step
			switch {
			case t.step > 0 && count == l.seenBy:
				take(bare, y)
			case t.step < 0 && count == l.seenBy-1:
				bare = y
			}
		}
		if count < l.seenBy {
			take(bare, span[1])
		}
	}
	return piece, ok
}

// spans is the lane across the way, m; parts of a machine that stand apart make several.
func (l *lane) spans() [][2]float64 {
	spans := make([][2]float64, len(l.front))
	for i, e := range l.front {
		spans[i] = [2]float64{e.y0, e.y1}
	}
	return joined(spans)
}

// halvings bring any bracket of metres or metres a second below the last digit that counts.
const halvings = 60

// last finds the greatest x for which good holds, between lo, where it does, and hi, where it does not; good
// must not come back once lost. bad is just beyond.
func last(lo, hi float64, good func(x float64) bool) (x, bad float64) {
	for range halvings {
		if middle := lo + (hi-lo)/2; good(middle) {
			lo = middle
		} else {
			hi = middle
		}
	}
	return lo, hi
}
