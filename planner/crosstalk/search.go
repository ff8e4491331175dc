package crosstalk

import "math"

// The searches stop when the answer is known within these; what is handed on is always the outer bound.
const (
	pathWithinM   = 0.03 // under 0.1 ms of sound
	levelWithinDB = 0.5
	// hairDB is how far a wall may stay below the threshold and still end a search: those just too quiet lie along a line.
	hairDB = 0.05
	// mostBoxes ends a search that has become fruitless; its outer bound then stays as it is.
	mostBoxes = 5000
)

// goal is what a search looks for among the walls: the greatest value.
type goal struct {
	// hopes is a bound from above by the lengths of a box's paths alone, given the level they would carry on both axes.
	hopes func(b *box, carried float64) float64
	// of is the bound from above by lengths and levels; -Inf where nothing in the box is loud enough.
	of func(b *box, threshold float64) float64
	// is the value of one wall.
	is     func(p *place) float64
	within float64
	// quiet walls count too: what is found only tells when to stop.
	quiet bool
}

// The three goals. A bent path is longer than its image's, by up to the detour, half the way round the body.
func loudest() goal {
	return goal{
		hopes: func(_ *box, carried float64) float64 { return carried },
		of: func(b *box, threshold float64) float64 {
			if v := b.loudest(); v >= threshold {
				return v
			}
			return math.Inf(-1)
		},
		is:     func(p *place) float64 { return p.level },
		within: levelWithinDB,
		quiet:  true,
	}
}

func shortest() goal {
	return goal{
		hopes: func(b *box, _ float64) float64 { return -b.path.lo },
		of: func(b *box, threshold float64) float64 {
			if b.loudest() >= threshold {
				return -b.path.lo
			}
			return math.Inf(-1)
		},
		is:     func(p *place) float64 { return -p.path },
		within: pathWithinM,
	}
}

func longest(detour float64) goal {
	return goal{
		hopes: func(b *box, _ float64) float64 { return b.path.hi + 2*detour },
		of: func(b *box, threshold float64) float64 {
			for bent := 2; bent >= 0; bent-- {
				if b.level[bent] >= threshold {
					return b.path.hi + float64(bent)*detour
				}
			}
			return math.Inf(-1)
		},
		is:     func(p *place) float64 { return p.path + float64(p.bent)*detour },
		within: pathWithinM,
	}
}

// grain is the inverse of what keys are rounded up to, in m or dB: boxes that mirror each other then promise the same
// whatever the rounding, and their order of making decides.
const grain = 1 << 32

// hunt is one search over all walls of a link.
type hunt struct {
	link      *link
	goal      goal
	threshold float64 // least level of a path that counts, dB

	queue     []box
	made      int
	incumbent float64 // value of the best wall found; -Inf before there is one
	best      place
}

// start makes ready for another search; known is a wall loud enough to begin with, if there is one.
func (h *hunt) start(l *link, g goal, known *place) {
	*h = hunt{link: l, goal: g, queue: h.queue[:0], incumbent: math.Inf(-1)}
	if known != nil {
		h.best, h.incumbent = *known, g.is(known)
	}
}

// run finds the greatest value of the goal over all walls whose path is no weaker than the threshold, by halving the box that
// promises most until no box promises more than the best wall found, but for what the goal leaves open. The bound it
// returns is proven. Without any such wall it is -Inf.
func (h *hunt) run(first []sector) (bound float64) {
	for i := range first {
		h.offer(box{sec: &first[i], d: h.link.walls})
	}
	for n := 0; len(h.queue) > 0; n++ {
		b := h.queue[0]
		if b.key <= h.incumbent+h.goal.within || n == mostBoxes || h.look(&b) {
			return max(b.key, h.incumbent)
		}
		h.queue = pop(h.queue)
		one, two := h.link.halve(&b)
		h.offer(one)
		h.offer(two)
	}
	return h.incumbent
}

// look tries the wall in the middle of b, and reports whether it ends the search: it offers what b promises and is, but for a
// hair, loud enough.
func (h *hunt) look(b *box) (end bool) {
	p, ok := h.link.at((b.sec.from+b.sec.to)/2, (b.d.lo+b.d.hi)/2)
	if !ok {
		return false
	}
	value := h.goal.is(&p)
	if (h.goal.quiet || p.level >= h.threshold) && value > h.incumbent {
		h.best, h.incumbent = p, value
	}
	return !h.goal.quiet && b.key-value <= h.goal.within && p.level >= h.threshold-hairDB
}

// offer adds b to the queue unless it is empty or promises no more than what is known. Lengths are cheap and looked at first.
func (h *hunt) offer(b box) {
	l := h.link
	si, sj, ok := l.measure(&b)
	if !ok {
		return
	}
	if carried := l.carried(b.path.lo) + l.axes; carried < h.threshold || h.goal.hopes(&b, carried) <= h.incumbent {
		return
	}
	l.weigh(&b, si, sj)
	b.key = math.Ceil(h.goal.of(&b, h.threshold)*grain) / grain
	if b.key <= h.incumbent {
		return
	}
	h.made++
	b.seq = h.made
	h.queue = push(h.queue, b)
}

// before reports whether a is looked at before b.
func (b *box) before(c *box) bool {
	return b.key > c.key || b.key == c.key && b.seq < c.seq
}

// push and pop keep queue[0] the box to be looked at first.
func push(queue []box, b box) []box {
	queue = append(queue, b)
	i := len(queue) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !b.before(&queue[up]) {
			break
		}
		queue[i] = queue[up]
		i = up
	}
	queue[i] = b
	return queue
}

func pop(queue []box) []box {
	last := len(queue) - 1
	b := queue[last]
	queue = queue[:last]
	i := 0
	for {
		down := 2*i + 1
		if down >= last {
			break
		}
		if down+1 < last && queue[down+1].before(&queue[down]) {
			down++
		}
		if !queue[down].before(&b) {
			break
		}
		queue[i] = queue[down]
		i = down
	}
	if last > 0 {
		queue[i] = b
	}
	return queue
}
