package region

import "math/bits"

// Overlay is one arrangement of many layers: the plane cut into faces by the boundaries of all of
// them, every face labelled with the layers that hold it. An Overlay never changes.
type Overlay struct {
	*graph
	words  int      // per label
	labels []uint64 // of each cycle
	parent []int32  // of each rim, a cycle of the face it lies in; −1 for the unbounded face
	inner  []bool   // of each cycle: its face is bounded
}

// Label says which layers hold a face. It is valid during the call it is handed to.
type Label struct{ bits []uint64 }

// Mask is a choice of layers.
type Mask struct{ bits []uint64 }

// MaskOf chooses layers by their index; a negative one chooses nothing.
func MaskOf(layers ...int) Mask {
	var m Mask
	for _, l := range layers {
		if l < 0 {
			continue
		}
		for len(m.bits) <= l/64 {
			m.bits = append(m.bits, 0)
		}
		m.bits[l/64] |= 1 << (l % 64)
	}
	return m
}

// Has tells whether the layer holds the face.
func (l Label) Has(layer int) bool {
	return layer >= 0 && layer/64 < len(l.bits) && l.bits[layer/64]>>(layer%64)&1 != 0
}

// Count is the number of layers of the mask that hold the face.
func (l Label) Count(m Mask) int {
	n := 0
	for i := range min(len(l.bits), len(m.bits)) {
		n += bits.OnesCount64(l.bits[i] & m.bits[i])
	}
	return n
}

// Any tells whether some layer of the mask holds the face.
func (l Label) Any(m Mask) bool {
	for i := range min(len(l.bits), len(m.bits)) {
		if l.bits[i]&m.bits[i] != 0 {
			return true
		}
	}
	return false
}

// NewOverlay lays sets over each other; the first is layer 0.
func NewOverlay(layers ...Set) *Overlay {
	var segs []segment
	for i, s := range layers {
		segs = s.segments(segs, int32(i), 1)
	}
	o := &Overlay{graph: newGraph(node(segs), true), words: (len(layers) + 63) / 64}
	o.labels = make([]uint64, o.words*len(o.entry))
	o.parent = make([]int32, len(o.entry))
	o.inner = make([]bool, len(o.entry))
	o.spread(func(c, parent int32) {
		o.parent[c] = parent
		if parent >= 0 {
			o.inner[c] = o.inner[parent]
			copy(o.bits(c), o.bits(parent))
		}
	}, func(c, h int32) {
		o.parent[c], o.inner[c] = -1, true
		label := o.bits(c)
		copy(label, o.bits(o.cycle[h^1]))
		for _, ch := range o.changes[o.first[h>>1]:o.first[h>>1+1]] {
			label[ch.layer/64] ^= 1 << (ch.layer % 64)
		}
	})
	return o
}

func (o *Overlay) bits(c int32) []uint64 {
	return o.labels[int(c)*o.words : int(c)*o.words+o.words]
}

// Extract is the set of the faces whose label is wanted. The unbounded face is never asked for.
func (o *Overlay) Extract(want func(l Label) bool) Set {
	chosen := make([]bool, len(o.entry))
	for c, inner := range o.inner {
		chosen[c] = inner && want(Label{o.bits(int32(c))})
	}
	return o.trace(chosen, o.parent)
}

// FoldAreas gives for k = 0 … len(of) the area in m² of layer within that is held by exactly k of
// the layers of. A layer named twice counts once.
func (o *Overlay) FoldAreas(within int, of []int) []float64 {
	sums := make([]int128, len(of)+1)
	mask := MaskOf(of...)
	for c := range o.inner {
		if l := (Label{o.bits(int32(c))}); l.Has(within) {
			k := l.Count(mask)
			sums[k] = sums[k].plus(o.area[c])
		}
	}
	areas := make([]float64, len(sums))
	for k, s := range sums {
		areas[k] = s.squareMetres()
	}
	return areas
}

// PairAreas gives the area in m² held by both layers of[i] and of[j], as a symmetric matrix with
// each layer's own area on its diagonal. A layer that does not exist is empty.
func (o *Overlay) PairAreas(of []int) [][]float64 {
	n := 64 * o.words
	sums := make([]int128, n*n)
	mask := MaskOf(of...)
	held := make([]int, 0, n)
	for c := range o.inner {
		held = held[:0]
		for w, word := range o.bits(int32(c)) {
			if w >= len(mask.bits) {
				break
			}
			for word &= mask.bits[w]; word != 0; word &= word - 1 {
				held = append(held, 64*w+bits.TrailingZeros64(word))
			}
		}
		area := o.area[c]
		for k, i := range held {
			row := sums[i*n : i*n+n]
			for _, j := range held[k:] {
				row[j] = row[j].plus(area)
			}
		}
	}
	areas := make([][]float64, len(of))
	for i, a := range of {
		areas[i] = make([]float64, len(of))
		for j, b := range of {
			if min(a, b) >= 0 && max(a, b) < n {
				areas[i][j] = sums[min(a, b)*n+max(a, b)].squareMetres()
			}
		}
	}
	return areas
}
