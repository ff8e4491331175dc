package slots

import (
	"slices"

	"echowright/scheduler/bound"
)

// incumbent is the best grouping of one part so far, and what no grouping can beat.
type incumbent struct {
	g      *bound.Graph
	groups [][]int
	cost   int64
	floor  int64
	unit   int64  // divides every turn, and with them every cost
	better func() // told of every improvement; may be nil
}

func newIncumbent(g *bound.Graph) *incumbent {
	b := &incumbent{g: g}
	for _, u := range g.Us {
		for u != 0 {
			b.unit, u = u, b.unit%u
		}
	}
	return b
}

// offer keeps the groups if they cost less than the best; it copies them.
func (b *incumbent) offer(groups [][]int) {
	c := b.g.Cost(groups)
	if b.groups != nil && c >= b.cost {
		return
	}
	b.cost, b.groups = c, make([][]int, len(groups))
	for k, gr := range groups {
		b.groups[k] = slices.Clone(gr)
	}
	if b.better != nil {
		b.better()
	}
}

func (b *incumbent) done() bool { return b.cost <= b.floor }

// raise notes that no grouping costs less than floor; then it costs at least the next multiple of the unit.
func (b *incumbent) raise(floor int64) {
	b.floor = max(b.floor, (floor+b.unit-1)/b.unit*b.unit)
}
