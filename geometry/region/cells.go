package region

import "slices"

// cells sorts segments into the squares of a coarse lattice: two segments with a point in common
// share a cell, and a segment is in the cell of every grid point whose square it passes.
type cells struct {
	shift      uint // a cell is 2^shift grid steps wide
	low        point
	cols, rows int64
	ends       []int32
	items      []int32
}

func (c *cells) count() int { return int(c.cols * c.rows) }

// at is the ascending list of segments that come into a cell.
func (c *cells) at(cell int) []int32 { return c.items[c.ends[cell]:c.ends[cell+1]] }

func (c *cells) fill(segs []segment) {
	c.layOut(segs)
	size := c.count()
	c.ends = make([]int32, size+2)
	ends := c.ends
	for i := range segs {
		c.visit(&segs[i], func(cell int64) { ends[cell+2]++ })
	}
	for i := 2; i < len(ends); i++ {
		ends[i] += ends[i-1]
	}
	c.items = make([]int32, ends[size+1])
	items := c.items
	for i := range segs {
		c.visit(&segs[i], func(cell int64) {
			items[ends[cell+1]] = int32(i)
			ends[cell+1]++
		})
	}
}

// layOut chooses the finest lattice with about as many cells as there are segments, over the place
// where most of them are: what lies around it counts to the outermost cells, so that one wide zone
// does not throw all lobes into a few cells.
func (c *cells) layOut(segs []segment) {
	const samples = 256
	var xs, ys []int64
	for i := 0; i < len(segs); i += len(segs)/samples + 1 {
		xs, ys = append(xs, segs[i].a.x), append(ys, segs[i].a.y)
	}
	lowX, highX := bulk(xs)
	lowY, highY := bulk(ys)
	c.low, c.shift = point{lowX, lowY}, 0
	most := 2*int64(len(segs)) + 1
	for {
		c.cols, c.rows = (highX-lowX)>>c.shift+1, (highY-lowY)>>c.shift+1
		if c.cols <= most && c.rows <= most && c.cols*c.rows <= most {
			return
		}
		c.shift++
	}
}

// bulk spans the middle seven eighths of the values, and a quarter of that on either side if there
// are values so far out.
func bulk(v []int64) (low, high int64) {
	slices.Sort(v)
	low, high = v[len(v)/16], v[len(v)-1-len(v)/16]
	margin := (high - low) / 4
	return max(low-margin, v[0]), min(high+margin, v[len(v)-1])
}

func (c *cells) col(x int64) int64 { return max(0, min((x-c.low.x)>>c.shift, c.cols-1)) }
func (c *cells) row(y int64) int64 { return max(0, min((y-c.low.y)>>c.shift, c.rows-1)) }

// of is the cell of a point.
func (c *cells) of(p point) int { return int(c.row(p.y)*c.cols + c.col(p.x)) }

// visit names every cell that has a point of the segment's box less than one step from the segment.
func (c *cells) visit(s *segment, do func(cell int64)) {
	firstCol, lastCol := c.col(s.a.x), c.col(s.b.x)
	low, high := min(s.a.y, s.b.y), max(s.a.y, s.b.y)
	row, lastRow := c.row(low), c.row(high)
	if firstCol == lastCol || row == lastRow {
		for r := row; r <= lastRow; r++ {
			for k := firstCol; k <= lastCol; k++ {
				do(r*c.cols + k)
			}
		}
		return
	}
	slope := float64(s.b.y-s.a.y) / float64(s.b.x-s.a.x)
	for col := firstCol; col <= lastCol; col++ {
		from, to := int64(0), s.b.x-s.a.x
		if col > firstCol {
			from = max(from, col<<c.shift+c.low.x-s.a.x-1)
		}
		if col < lastCol {
			to = min(to, (col+1)<<c.shift+c.low.x-s.a.x+1)
		}
		p, q := int64(slope*float64(from)), int64(slope*float64(to))
		// Heights are off by less than two steps, by rounding and by |dy|·2^-51; one is the square's.
		last := c.row(min(high, s.a.y+max(p, q)+3))
		for r := c.row(max(low, s.a.y+min(p, q)-3)); r <= last; r++ {
			do(r*c.cols + col)
		}
	}
}
