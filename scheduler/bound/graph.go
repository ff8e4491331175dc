package bound

import (
	"slices"

	"echowright/scheduler/instance"
)

// Graph is a slots problem laid bare: each vertex a job with the time its turn takes, an edge
// between two that may not share a group, and how many may. A grouping costs the sum of its
// groups' longest turns.
type Graph struct {
	Us     []int64 // turn of each vertex, guard included
	Adj    []Set   // neighbours
	AtOnce int     // most members of a group, at least 1
}

// N is the number of vertices.
func (g *Graph) N() int { return len(g.Us) }

// NewGraph returns a graph without edges. atOnce 0 means any number.
func NewGraph(us []int64, atOnce int) *Graph {
	n := len(us)
	if atOnce <= 0 || atOnce > n {
		atOnce = max(n, 1)
	}
	g := &Graph{Us: us, Adj: make([]Set, n), AtOnce: atOnce}
	for i := range g.Adj {
		g.Adj[i] = NewSet(n)
	}
	return g
}

// Join adds the edge i-j; i = j adds none.
func (g *Graph) Join(i, j int) {
	if i != j {
		g.Adj[i].Add(j)
		g.Adj[j].Add(i)
	}
}

// Sub returns the graph on the given vertices, in that order.
func (g *Graph) Sub(vs []int) *Graph {
	us := make([]int64, len(vs))
	for a, v := range vs {
		us[a] = g.Us[v]
	}
	s := NewGraph(us, min(g.AtOnce, len(vs)))
	for a, v := range vs {
		for b := range a {
			if g.Adj[v].Has(vs[b]) {
				s.Join(a, b)
			}
		}
	}
	return s
}

// Turn is how long a job keeps every other group waiting, and why.
type Turn struct {
	Us    int64 // guard included
	Cause Cause
	To    int // the listener, when the cause is LateSound
}

// Cause is what makes a turn as long as it is.
type Cause int

// The causes, in the order in which equal ones are preferred.
const (
	Window    Cause = iota // it listens so long
	Busy                   // its line or its transfer is occupied so long
	LateSound              // what it sent could be taken by a later listener until then
)

// Turns gives the turn of every job: the longest of its window, its busy time, and the latest
// time at which a job fired at its end would open only after the last of its sound, for whatever
// job may come next; then the guard. The rule does not depend on the order of the groups.
func Turns(p instance.Problem) []Turn {
	ts := make([]Turn, len(p.Jobs))
	for i, j := range p.Jobs {
		ts[i] = Turn{Us: j.CloseUs, Cause: Window}
		if j.BusyUs > j.CloseUs {
			ts[i] = Turn{Us: j.BusyUs, Cause: Busy}
		}
	}
	for _, a := range p.Arcs {
		if late := a.UntilUs - p.Jobs[a.To].OpenUs; late > ts[a.From].Us {
			ts[a.From] = Turn{Us: late, Cause: LateSound, To: a.To}
		}
	}
	for i := range ts {
		ts[i].Us += p.GuardUs
	}
	return ts
}

// FromProblem lays a problem bare. Two jobs conflict when the problem says so, or when an arc
// between them overlaps the listener's window if both fire at the same instant; sound that ends
// as the window opens, or starts as it closes, does not overlap.
func FromProblem(p instance.Problem) *Graph {
	ts := Turns(p)
	us := make([]int64, len(ts))
	for i, t := range ts {
		us[i] = t.Us
	}
	g := NewGraph(us, p.AtOnce)
	for _, c := range p.Conflicts {
		g.Join(c[0], c[1])
	}
	for _, a := range p.Arcs {
		to := p.Jobs[a.To]
		if a.FromUs < to.CloseUs && to.OpenUs < a.UntilUs {
			g.Join(a.From, a.To)
		}
	}
	if g.AtOnce == 1 {
		for i := range us {
			for j := range i {
				g.Join(i, j)
			}
		}
	}
	return g
}

// RestUs is the least cycle the jobs' rests allow, and the job that asks for it (-1: none).
func RestUs(p instance.Problem) (us int64, job int) {
	job = -1
	for i, j := range p.Jobs {
		if j.RestUs > 0 && j.BusyUs+j.RestUs > us {
			us, job = j.BusyUs+j.RestUs, i
		}
	}
	return us, job
}

// Cost is the sum of the groups' longest turns.
func (g *Graph) Cost(groups [][]int) int64 {
	var sum int64
	for _, gr := range groups {
		var longest int64
		for _, v := range gr {
			longest = max(longest, g.Us[v])
		}
		sum += longest
	}
	return sum
}

// Joins splits the graph into the parts of which every vertex conflicts with every vertex of all
// other parts (the components of the complement). No group mixes parts, so their costs add up.
func (g *Graph) Joins() [][]int {
	left := Full(g.N())
	free := NewSet(g.N())
	var parts [][]int
	for v := left.First(); v >= 0; v = left.First() {
		left.Drop(v)
		part := []int{v}
		for k := 0; k < len(part); k++ {
			free.Less(left, g.Adj[part[k]])
			for w := free.First(); w >= 0; w = free.Next(w + 1) {
				part = append(part, w)
				left.Drop(w)
			}
		}
		slices.Sort(part)
		parts = append(parts, part)
	}
	return parts
}
