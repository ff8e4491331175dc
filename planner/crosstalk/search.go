package crosstalk

import (
	"context"
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// What is handed on is always the outer bound; these say when it is near enough to the truth.
const (
	// GapM is the least stretch of path lengths without a loud enough path that divides one arc from the next.
	GapM = 0.25
	// pathWithinM is how far an end of an arc may lie beyond the last path found, m: under 0.1 ms of sound; by two walls
	// twoWithinM, 0.3 ms.
	pathWithinM   = 0.03
	twoWithinM    = 0.1
	levelWithinDB = 0.5
	// hairDB, by two walls twoHairDB, is how far a path may stay below the threshold and still count: those just too quiet lie along a line, and
	// no search could tell them all apart.
	hairDB    = 0.05
	twoHairDB = 0.1
	// mostBoxes ends a search that has become fruitless; what is left then counts as loud enough.
	mostBoxes = 6000
)

// family is all reflectors of one sort in every allowed place.
type family interface {
	// first lists boxes that together hold the family.
	first(into []box) []box
	// guess works out some paths that are likely to be among the extreme ones.
	guess(into []place) []place
	// bound bounds all paths of b: their lengths and their gains. False where there are none.
	bound(b *box) bool
	// try works out some paths of b, or near it, exactly.
	try(b *box, into []place) []place
	// slack is how far an end of an arc may lie beyond the last path found, m, and how far a path found may be too quiet, dB.
	slack() (m, dB float64)
	// halve splits b; false when it is as small as the family allows.
	halve(b *box) (one, two box, ok bool)
}

// box is a set of reflectors, with what bounds every path by them. Which of the fields say where they stand is the family's
// matter.
type box struct {
	sec  *sector // directions of a wall
	d    span    // its distances from the body, m
	at   [3]int32
	size [3]int32 // directions of a path's legs, ticks
	plot *plot    // places of a target
	// mirror is the specular point of a target in the middle of them, and cos that of the incidence; 0: not worked out.
	mirror r3.Vector
	cos    float64
	turn   span // directions of its normal, rad
	zone   int16
	mode   int8

	length span // without what bending adds, m
	// gain[k] is the most, over all paths with k bent ends, of their level after 1 m without absorption, dB; -Inf where
	// there are none.
	gain [3]float64

	loud span // lengths at which a path may be loud enough, with what bending adds
}

// place is one path, or a run of like paths of all lengths between two.
type place struct {
	length span // without what bending adds, m
	gain   float64
	bent   int
	points trail // corners of the shortest
	own    own
}

// trail is the corners of a path: the sender, up to three places of reflection, the listener.
type trail struct {
	at [5]r2.Point
	n  int
}

func (t *trail) list() []r2.Point { return append([]r2.Point(nil), t.at[:t.n]...) }

// grain is the inverse of what keys are rounded up to, in m or dB: boxes that mirror each other then promise the same
// whatever the rounding, and their order of making decides.
const grain = 1 << 32

// entry is a box in the queue: the one with the greatest key, and of those the first made, is looked at first.
type entry struct {
	key float64
	box int
}

func (a entry) before(b entry) bool { return a.key > b.key || a.key == b.key && a.box < b.box }

// hunt is a search over one family for one link; its memory is used again and again. It belongs to one call of arcs, whose
// context it holds.
type hunt struct {
	ctx   context.Context
	link  *link
	fam   family
	boxes []box // all that were kept, in their order of making
	queue []entry
	batch []entry
	first []box
	tried []place

	slackM, hair float64 // the family's

	known spans // lengths of paths found
	outer spans // lengths of paths that may exist besides, hardly farther from known than the family allows, unless the search was cut short

	only  span    // lengths looked at for the loudest path
	level float64 // of the loudest path found; -Inf before there is one
	best  place
	alone bool // a path was found by which the listener does not hear the same thing itself, in time
}

// cover finds the lengths of all paths that are loud enough: it halves boxes until each is too quiet throughout or holds
// hardly a length away from paths found.
//
//	paths found      ====|        |=======|
//	a box of paths     ---------------          halved: part of it is news
//	another                        -----        done
//
// Both lie in what is returned, as do boxes left when the search is cut short, so no path that is loud enough lies outside.
func (h *hunt) cover(l *link, f family) []span {
	h.reset(l, f)
	h.known, h.outer = spans{h.known.list[:0], GapM}, spans{h.outer.list[:0], GapM}
	h.alone = false
	h.tried = f.guess(h.tried[:0])
	for i := range h.tried {
		h.found(&h.tried[i])
	}
	h.first = f.first(h.first[:0])
	for _, b := range h.first {
		h.offer(b)
	}
	for n := 0; len(h.queue) > 0; n += len(h.batch) {
		h.nextBatch()
		spent := h.spent(n)
		if !spent {
			h.look()
		}
		for _, k := range h.batch {
			b := &h.boxes[k.box] // until the next is kept
			news := h.news(b)
			one, two, ok := box{}, box{}, false
			if news > 0 && !spent {
				one, two, ok = f.halve(b)
			}
			if !ok {
				h.outer.add(b.loud)
				continue
			}
			h.offer(one)
			h.offer(two)
		}
	}
	for _, s := range h.known.list {
		h.outer.add(s)
	}
	return append([]span(nil), h.outer.list...)
}

// spent ends a search after so many boxes, or when nobody waits for its answer any more.
func (h *hunt) spent(boxes int) bool { return boxes >= mostBoxes || h.ctx.Err() != nil }

// nextBatch takes from the queue what is to be looked at next: all boxes that promise the same. Looking at them together
// makes the answer the same whatever their order, which mirroring a machine turns about.
func (h *hunt) nextBatch() {
	h.batch = append(h.batch[:0], h.queue[0])
	h.queue = pop(h.queue)
	for len(h.queue) > 0 && h.queue[0].key == h.batch[0].key {
		h.batch = append(h.batch, h.queue[0])
		h.queue = pop(h.queue)
	}
}

// look tries all boxes of the batch that still hold news; what one of them shows does not keep the next from being tried.
func (h *hunt) look() {
	h.tried = h.tried[:0]
	for _, k := range h.batch {
		if b := &h.boxes[k.box]; h.news(b) > 0 {
			h.tried = h.fam.try(b, h.tried)
		}
	}
	for i := range h.tried {
		h.found(&h.tried[i])
	}
}

// news is how much b promises that is not known, rounded up.
func (h *hunt) news(b *box) float64 {
	return math.Ceil(h.known.misses(b.loud, h.slackM)*grain) / grain
}

func (h *hunt) found(p *place) {
	hi := min(p.length.hi, h.link.reach(p.gain+h.hair))
	if hi < p.length.lo {
		return
	}
	h.known.add(span{p.length.lo, hi + float64(p.bent)*h.link.detour})
	h.alone = h.alone || !p.own.same(p.length.lo)
}

// offer adds b to the queue of cover unless it is empty or too quiet.
func (h *hunt) offer(fresh box) {
	b := h.keep(fresh)
	if h.fam.bound(b) {
		b.loud = h.link.loud(b)
		if b.loud.hi >= b.loud.lo {
			if news := h.news(b); news > 0 {
				h.queue = push(h.queue, entry{news, len(h.boxes) - 1})
				return
			}
			h.outer.add(b.loud)
		}
	}
	h.boxes = h.boxes[:len(h.boxes)-1]
}

// keep puts a box where the search keeps them, and lends it until the next.
func (h *hunt) keep(b box) *box {
	h.boxes = append(h.boxes, b)
	return &h.boxes[len(h.boxes)-1]
}

func (h *hunt) reset(l *link, f family) {
	h.link, h.fam, h.queue, h.boxes = l, f, h.queue[:0], h.boxes[:0]
	h.slackM, h.hair = f.slack()
}

// sharing is a family that can say of a whole box that the listener hears the same thing by itself, for certain and no later.
type sharing interface {
	shared(b *box) bool
}

// same reports whether the listener is proven to hear the same thing by itself, in time, wherever a path is loud enough.
// Without a proof it says no; alone tells of a path known to be against it.
func (h *hunt) same(l *link, fam family, alone bool) bool {
	f, ok := fam.(sharing)
	if !ok || alone {
		return false
	}
	h.reset(l, fam)
	h.alone = false
	todo := fam.first(nil)
	for n := 0; len(todo) > 0; n++ {
		b := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if !h.fam.bound(&b) {
			continue
		}
		if s := h.link.loud(&b); s.hi < s.lo || f.shared(&b) {
			continue
		}
		h.tried = fam.try(&b, h.tried[:0])
		for i := range h.tried {
			h.found(&h.tried[i])
		}
		one, two, ok := h.fam.halve(&b)
		if !ok || h.alone || h.spent(n) {
			return false
		}
		todo = append(todo, one, two)
	}
	return true
}

// loudest bounds the level of all paths of these lengths, and finds one that comes within levelWithinDB of it.
func (h *hunt) loudest(l *link, f family, only span) (bound float64) {
	h.reset(l, f)
	h.only, h.level, h.best = only, math.Inf(-1), place{}
	h.tried = f.guess(h.tried[:0])
	for i := range h.tried {
		h.louder(&h.tried[i])
	}
	h.first = f.first(h.first[:0])
	for _, b := range h.first {
		h.offerLoud(b)
	}
	for n := 0; len(h.queue) > 0; n += len(h.batch) {
		top := h.queue[0]
		if top.key <= h.level+levelWithinDB || h.spent(n) {
			return max(top.key, h.level)
		}
		h.nextBatch()
		for _, k := range h.batch {
			h.tried = f.try(&h.boxes[k.box], h.tried[:0])
			for i := range h.tried {
				h.louder(&h.tried[i])
			}
		}
		for _, k := range h.batch {
			one, two, ok := f.halve(&h.boxes[k.box])
			if !ok {
				return max(top.key, h.level)
			}
			h.offerLoud(one)
			h.offerLoud(two)
		}
	}
	return h.level
}

func (h *hunt) louder(p *place) {
	at := max(p.length.lo, h.only.lo)
	if at > min(p.length.hi, h.only.hi) {
		return
	}
	if level := p.gain - h.link.fade(at); level > h.level {
		h.best, h.level = *p, level
	}
}

func (h *hunt) offerLoud(fresh box) {
	b := h.keep(fresh)
	if h.fam.bound(b) && b.length.meets(h.only) {
		level := max(b.gain[0], b.gain[1], b.gain[2]) - h.link.fade(max(b.length.lo, h.only.lo))
		if level >= 0 && level > h.level {
			h.queue = push(h.queue, entry{math.Ceil(level*grain) / grain, len(h.boxes) - 1})
			return
		}
	}
	h.boxes = h.boxes[:len(h.boxes)-1]
}

// push and pop keep queue[0] the entry to be looked at first.
func push(queue []entry, e entry) []entry {
	queue = append(queue, e)
	i := len(queue) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !e.before(queue[up]) {
			break
		}
		queue[i] = queue[up]
		i = up
	}
	queue[i] = e
	return queue
}

func pop(queue []entry) []entry {
	last := len(queue) - 1
	e := queue[last]
	queue = queue[:last]
	i := 0
	for {
		down := 2*i + 1
		if down >= last {
			break
		}
		if down+1 < last && queue[down+1].before(queue[down]) {
			down++
		}
		if !queue[down].before(e) {
			break
		}
		queue[i] = queue[down]
		i = down
	}
	if last > 0 {
		queue[i] = e
	}
	return queue
}
