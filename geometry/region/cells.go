package region

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
	c.ends = grown(c.ends, size+2)
	ends := c.ends
	for i := range segs {
		c.visit(&segs[i], func(cell int64) { ends[cell+2]++ })
	}
	for i := 2; i < len(ends); i++ {
		ends[i] += ends[i-1]
	}
	c.items = grown(c.items, int(ends[size+1]))
	items := c.items
	for i := range segs {
		c.visit(&segs[i], func(cell int64) {
			items[ends[cell+1]] = int32(i)
			ends[cell+1]++
		})
	}
}

// layOut chooses the finest lattice with about as many cells as there are segments.
func (c *cells) layOut(segs []segment) {
	low, high := segs[0].a, segs[0].a
	for i := range segs {
		s := &segs[i]
		low.x, high.x = min(low.x, s.a.x), max(high.x, s.b.x)
		low.y, high.y = min(low.y, s.a.y, s.b.y), max(high.y, s.a.y, s.b.y)
	}
	c.low, c.shift = low, 0
	most := 2*int64(len(segs)) + 1
	for {
		c.cols, c.rows = (high.x-low.x)>>c.shift+1, (high.y-low.y)>>c.shift+1
		if c.cols <= most && c.rows <= most && c.cols*c.rows <= most {
			return
		}
		c.shift++
	}
}

// of is the cell of a point within the bounds.
func (c *cells) of(p point) int {
	return int((p.y-c.low.y)>>c.shift*c.cols + (p.x-c.low.x)>>c.shift)
}

// visit names every cell that has a point of the segment's box less than one step from the segment.
func (c *cells) visit(s *segment, do func(cell int64)) {
	col, lastCol := (s.a.x-c.low.x)>>c.shift, (s.b.x-c.low.x)>>c.shift
	low, high := min(s.a.y, s.b.y)-c.low.y, max(s.a.y, s.b.y)-c.low.y
	row, lastRow := low>>c.shift, high>>c.shift
	if col == lastCol || row == lastRow {
		for r := row; r <= lastRow; r++ {
			for k := col; k <= lastCol; k++ {
				do(r*c.cols + k)
			}
		}
		return
	}
	slope := float64(s.b.y-s.a.y) / float64(s.b.x-s.a.x)
	for ; col <= lastCol; col++ {
		from := max(0, col<<c.shift+c.low.x-s.a.x-1)
		to := min(s.b.x-s.a.x, (col+1)<<c.shift+c.low.x-s.a.x+1)
		p, q := int64(slope*float64(from)), int64(slope*float64(to))
		// Heights are off by less than two steps, by rounding and by |dy|·2^-51; one is the square's.
		y := s.a.y - c.low.y
		first := max(low, y+min(p, q)-3) >> c.shift
		last := min(high, y+max(p, q)+3) >> c.shift
		for r := first; r <= last; r++ {
			do(r*c.cols + col)
		}
	}
}

// grown is a cleared slice of the given length, in the old place if there is room.
func grown(s []int32, n int) []int32 {
	if cap(s) < n {
		return make([]int32, n)
	}
	s = s[:n]
	clear(s)
	return s
}
