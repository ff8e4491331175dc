package stagger

// none is a distance that nothing demands.
const none = int64(-1) << 60

// net keeps the longest paths between all vertices closed while edges come and go, at fixed weights.
type net struct {
	n    int
	far  []int64 // by x*n+y: y fires at least so long after x
	via  []int32 // the edge by which that got so long, in added
	back []was
	// added holds the edges put in, in order.
	added []addedEdge
	xs    []int32
	ys    []int32
}

type was struct {
	far int64
	at  int32
	via int32
}

type addedEdge struct{ u, v, lit int32 } // lit < 0: always there

func newNet(n int) *net {
	t := &net{n: n, far: make([]int64, n*n), via: make([]int32, n*n)}
	t.clear()
	return t
}

func (t *net) clear() {
	for i := range t.far {
		t.far[i], t.via[i] = none, -1
	}
	for x := range t.n {
		t.far[x*t.n+x] = 0
	}
	t.back, t.added = t.back[:0], t.added[:0]
}

// add puts in an edge. It reports false, and changes nothing, if that would close a ring that adds up to more than
// nothing. The entries changed are those in back from the mark of before.
func (t *net) add(u, v int32, us int64, lit int32) bool {
	n := t.n
	iu, iv := int(u), int(v)
	if r := t.far[iv*n+iu]; r > none && r+us > 0 {
		return false
	}
	if t.far[iu*n+iv] >= us {
		return true
	}
	e := int32(len(t.added))
	t.added = append(t.added, addedEdge{u, v, lit})
	t.xs, t.ys = t.xs[:0], t.ys[:0]
	for y := range n {
		if d := t.far[iv*n+y]; d > none && us+d > t.far[iu*n+y] {
			t.ys = append(t.ys, int32(y))
		}
	}
	for x := range n {
		if d := t.far[x*n+iu]; d > none && d+us > t.far[x*n+iv] {
			t.xs = append(t.xs, int32(x))
		}
	}
	tail := t.far[iv*n : iv*n+n]
	for _, x := range t.xs {
		base := int(x) * n
		d := t.far[base+iu] + us
		row := t.far[base : base+n]
		for _, y := range t.ys {
			if far := d + tail[y]; far > row[y] {
				at := int32(base) + y
				t.back = append(t.back, was{row[y], at, t.via[at]})
				row[y] = far
				t.via[at] = e
			}
		}
	}
	return true
}

// undo takes back what came after the marks.
func (t *net) undo(back, added int) {
	for k := len(t.back) - 1; k >= back; k-- {
		w := t.back[k]
		t.far[w.at], t.via[w.at] = w.far, w.via
	}
	t.back, t.added = t.back[:back], t.added[:added]
}

// path appends the literals of the edges on the longest path from x to y.
func (t *net) path(x, y int32, lits []int32) []int32 {
	for x != y {
		e := t.added[t.via[int(x)*t.n+int(y)]]
		lits = t.path(x, e.u, lits)
		if e.lit >= 0 {
			lits = append(lits, e.lit)
		}
		x = e.v
	}
	return lits
}
