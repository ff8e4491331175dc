package region

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
)

// layersFrom reads up to five layers of rings. The first byte chooses the scale; then every byte is
// a point of a lattice of 16 by 15, a byte 0xFx ends a ring, and 0xFF a layer. On the finest scale
// the lattice is the grid itself, where all crossings have to be rounded by as much as can be.
func layersFrom(data []byte) (layers [][][]r2.Point) {
	if len(data) == 0 {
		return nil
	}
	mode := data[0]
	scale := []float64{1.0 / 8, Grid, 1e-9, 3 * Grid, 0.1}[mode%5]
	shift := float64(mode/5%5) / 3
	var rings [][]r2.Point
	var ring []r2.Point
	for i, b := range append(data[1:len(data):len(data)], 0xFF) {
		if b < 0xF0 {
			p := r2.Point{X: float64(b >> 4), Y: float64(b & 15)}
			if mode >= 128 {
				// Nearly on the lattice: edges that would coincide cross at the smallest angles.
				p.X += 1e-11 * float64(i%7)
				p.Y -= 1e-11 * float64(i%5)
			}
			ring = append(ring, r2.Point{X: p.X*scale + shift, Y: p.Y*scale - shift})
			continue
		}
		rings = append(rings, ring)
		ring = nil
		if b == 0xFF {
			layers = append(layers, rings)
			rings = nil
			if len(layers) == 5 {
				break
			}
		}
	}
	return layers
}

func FuzzOverlay(f *testing.F) {
	f.Add([]byte("\x00\x00\x40\x44\x04\xff\x22\x62\x66\x26"))
	f.Add([]byte("\x01\x00\xe5\x33\xff\x21\x7a\xc0\x19\xff\x00\xe5\x91\xc3"))
	f.Add([]byte("\x02\x11\xb2\x35\x99\xf0\x36\x8a\x21\xff\x11\xb2\x99\x35"))
	f.Add([]byte("\x80\x00\x90\x99\x09\xff\x00\x90\x99\x09\xff\x09\x99\x90"))
	f.Add([]byte("\x81\x00\xe1\xd2\x13\xff\x01\xe2\xc4\x05\xf3\x77\x78\x88"))
	f.Add([]byte("\x03\x00\xee\x0e\xe0\x55\xff\x5a\xa5\x3c\xc3\xff\x0d\xd0\xe7"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 120 {
			return
		}
		checkLayers(t, data)
	})
}

func checkLayers(t *testing.T, data []byte) {
	t.Helper()
	layers := layersFrom(data)
	var sets []Set
	edges := 0
	length := 0.0
	for _, rings := range layers {
		s := FromRings(rings...)
		mustBeClean(t, s)
		mustWind(t, s, rings)
		sets = append(sets, s)
		for _, r := range rings {
			edges += len(r)
			for i, p := range r {
				length += p.Sub(r[(i+1)%len(r)]).Norm()
			}
		}
	}
	// Every edge may be bent by a few grid steps where others meet it.
	slack := 4 * Grid * (length + float64(edges*edges)*Grid)
	mustBeNoded(t, sets)
	of := make([]int, len(sets))
	for i := range of {
		of[i] = i
	}
	o := NewOverlay(sets...)
	for i, s := range sets {
		sum := 0.0
		for _, f := range o.FoldAreas(i, of) {
			sum += f
		}
		if math.Abs(sum-s.Area()) > slack {
			t.Fatalf("layer %d: folds add up to %g, area %g", i, sum, s.Area())
		}
	}
	mask := MaskOf(of...)
	back := make([]Set, len(sets))
	for i, s := range sets {
		back[len(sets)-1-i] = s
	}
	other := NewOverlay(back...)
	total := 0.0
	for k := 1; k <= len(sets); k++ {
		exactly := func(l Label) bool { return l.Count(mask) == k }
		s := o.Extract(exactly)
		mustBeClean(t, s)
		total += s.Area()
		if math.Float64bits(o.facesArea(exactly)) != math.Float64bits(s.Area()) {
			t.Fatalf("%d-fold: faces give %g, rings %g", k, o.facesArea(exactly), s.Area())
		}
		if !sameSet(s, other.Extract(exactly)) {
			t.Fatalf("%d-fold depends on the order of layers", k)
		}
		if d := AtLeast(k, sets...).Area() - o.facesArea(func(l Label) bool { return l.Count(mask) >= k }); math.Abs(d) > slack {
			t.Fatalf("AtLeast %d is off by %g", k, d)
		}
	}
	union := Union(sets...)
	mustBeClean(t, union)
	if math.Abs(total-union.Area()) > slack {
		t.Fatalf("folds add up to %g, union has %g", total, union.Area())
	}
	if len(sets) > 1 {
		a, b := sets[0], sets[1]
		both, onlyA := Intersect(a, b), Difference(a, b)
		mustBeClean(t, both)
		mustBeClean(t, onlyA)
		if d := both.Area() + onlyA.Area() - a.Area(); math.Abs(d) > slack {
			t.Fatalf("intersection and difference are off by %g", d)
		}
	}
}

// mustBeNoded compares all segments of the arrangement with each other.
func mustBeNoded(t *testing.T, sets []Set) {
	t.Helper()
	var segs []segment
	for i, s := range sets {
		segs = s.segments(segs, int32(i), 1)
	}
	n := node(segs)
	for i, a := range n.arcs {
		e := segment{a: n.vertices[a.from], b: n.vertices[a.to]}
		for _, b := range n.arcs[:i] {
			if a.from == b.from && a.to == b.to {
				continue
			}
			mustNotCross(t, e, segment{a: n.vertices[b.from], b: n.vertices[b.to]})
		}
		for _, p := range n.vertices {
			if exactOrient(e.a, e.b, p) == 0 && e.a.less(p) && p.less(e.b) {
				t.Fatal("a vertex inside an edge", e, p)
			}
		}
	}
}

// mustWind compares the set with the winding numbers of the rings at points that are not too near
// an edge for rounding to matter.
func mustWind(t *testing.T, s Set, rings [][]r2.Point) {
	t.Helper()
	low, high := r2.Point{X: math.Inf(1), Y: math.Inf(1)}, r2.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, r := range rings {
		for _, p := range r {
			low.X, low.Y = min(low.X, p.X), min(low.Y, p.Y)
			high.X, high.Y = max(high.X, p.X), max(high.Y, p.Y)
		}
	}
	const n = 12
	for i := range n * n {
		p := r2.Point{
			X: low.X + (high.X-low.X)*(float64(i%n)+0.37)/n,
			Y: low.Y + (high.Y-low.Y)*(float64(i/n)+0.61)/n,
		}
		if w, near := windingNumber(rings, p); near > 6*Grid && s.Contains(p) != (w != 0) {
			t.Fatalf("at %v: winding %d, contains %v", p, w, s.Contains(p))
		}
	}
}

// windingNumber sums the angles seen from p, and gives the distance of the nearest edge. It shares
// nothing with the code it judges.
func windingNumber(rings [][]r2.Point, p r2.Point) (w int, near float64) {
	near = math.Inf(1)
	turn := 0.0
	for _, r := range rings {
		for i := range r {
			a, b := r[i].Sub(p), r[(i+1)%len(r)].Sub(p)
			turn += math.Atan2(a.Cross(b), a.Dot(b))
			d := b.Sub(a)
			k := 0.0
			if n := d.Dot(d); n > 0 {
				k = max(0, min(1, -a.Dot(d)/n))
			}
			near = min(near, a.Add(d.Mul(k)).Norm())
		}
	}
	return int(math.Round(turn / (2 * math.Pi))), near
}

func TestRandomLayers(t *testing.T) {
	for seed := range 250 {
		r := newRand(uint64(seed))
		data := make([]byte, 4+r.IntN(60))
		for i := range data {
			data[i] = byte(r.IntN(256))
			if i > 0 && data[i] >= 0xF0 && r.IntN(2) == 0 {
				data[i] -= 0x80
			}
		}
		checkLayers(t, data)
	}
}

// facesArea is the area in m² of the faces whose label is wanted, summed face by face: what Extract's rings must enclose.
func (o *Overlay) facesArea(want func(l Label) bool) float64 {
	var sum int128
	for c, inner := range o.inner {
		if inner && want(Label{o.bits(int32(c))}) {
			sum = sum.plus(o.area[c])
		}
	}
	return sum.squareMetres()
}
