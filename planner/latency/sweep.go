package latency

import (
	"cmp"
	"slices"

	"github.com/golang/geo/r2"
)

// edge is a straight piece of a border that is passed going across the way: x is linear in y from y0 < y1.
type edge struct{ y0, x0, y1, x1 float64 }

func (e edge) at(y float64) float64 {
	switch y {
	case e.y0:
		return e.x0
	case e.y1:
		return e.x1
	}
	u := (y - e.y0) / (e.y1 - e.y0)
	return float64(e.x0*(1-u)) + float64(e.x1*u)
}

func (e edge) between(y0, y1 float64) edge { return edge{y0, e.at(y0), y1, e.at(y1)} }

// edgesOf lists the edges of rings that do not run along the way.
func edgesOf(rings [][]r2.Point) (edges []edge) {
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if a.Y > b.Y {
				a, b = b, a
			}
			if a.Y < b.Y {
				edges = append(edges, edge{a.Y, a.X, b.Y, b.X})
			}
		}
	}
	return edges
}

// endsOf is every y at which an edge ends, in order, each once.
func endsOf(edges []edge) (ys []float64) {
	for _, e := range edges {
		ys = append(ys, e.y0, e.y1)
	}
	slices.Sort(ys)
	return slices.Compact(ys)
}

// sweep visits every strip between neighbouring ys with the edges that span it, least x first. The edges must not
// cross, and all their ends be among ys, which are in order.
func sweep(edges []edge, ys []float64, visit func(from, to float64, over []edge)) {
	edges = slices.Clone(edges)
	slices.SortFunc(edges, func(a, b edge) int { return cmp.Compare(a.y0, b.y0) })
	var over []edge
	next := 0
	for i := 1; i < len(ys); i++ {
		from, to := ys[i-1], ys[i]
		over = slices.DeleteFunc(over, func(e edge) bool { return e.y1 <= from })
		for ; next < len(edges) && edges[next].y0 <= from; next++ {
			over = append(over, edges[next])
		}
		if len(over) == 0 {
			continue
		}
		middle := (from + to) / 2
		slices.SortFunc(over, func(a, b edge) int { return cmp.Compare(a.at(middle), b.at(middle)) })
		visit(from, to, over)
	}
}
