package bound

import "math/bits"

// Set is a set of small whole numbers, one bit each. Sets used together have the same length.
type Set []uint64

// NewSet returns an empty set with room for 0..n-1.
func NewSet(n int) Set { return make(Set, (n+63)/64) }

// NewSets returns so many empty sets with room for 0..n-1 each.
func NewSets(count, n int) []Set {
	words := (n + 63) / 64
	all := make([]uint64, count*words)
	sets := make([]Set, count)
	for k := range sets {
		sets[k] = all[k*words : (k+1)*words : (k+1)*words]
	}
	return sets
}

// Full returns the set {0..n-1}.
func Full(n int) Set {
	s := NewSet(n)
	for i := range n {
		s.Add(i)
	}
	return s
}

func (s Set) Has(i int) bool { return s[i>>6]>>(uint(i)&63)&1 != 0 }
func (s Set) Add(i int)      { s[i>>6] |= 1 << (uint(i) & 63) }
func (s Set) Drop(i int)     { s[i>>6] &^= 1 << (uint(i) & 63) }

// Len counts the members.
func (s Set) Len() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// First returns the least member, or -1.
func (s Set) First() int {
	for k, w := range s {
		if w != 0 {
			return k<<6 + bits.TrailingZeros64(w)
		}
	}
	return -1
}

// Next returns the least member >= i, or -1.
func (s Set) Next(i int) int {
	k := i >> 6
	if k >= len(s) {
		return -1
	}
	if w := s[k] >> (uint(i) & 63); w != 0 {
		return i + bits.TrailingZeros64(w)
	}
	for k++; k < len(s); k++ {
		if s[k] != 0 {
			return k<<6 + bits.TrailingZeros64(s[k])
		}
	}
	return -1
}

// Common counts the members s and t share.
func (s Set) Common(t Set) int {
	n := 0
	for k, w := range s {
		n += bits.OnesCount64(w & t[k])
	}
	return n
}

// Meets tells whether s and t share a member.
func (s Set) Meets(t Set) bool {
	for k, w := range s {
		if w&t[k] != 0 {
			return true
		}
	}
	return false
}

// Inside tells whether every member of s is in t.
func (s Set) Inside(t Set) bool {
	for k, w := range s {
		if w&^t[k] != 0 {
			return false
		}
	}
	return true
}

// Empty tells whether s has no member.
func (s Set) Empty() bool { return s.First() < 0 }

// And makes s the members a and b share; Less makes it the members of a not in b.
func (s Set) And(a, b Set) {
	for k := range s {
		s[k] = a[k] & b[k]
	}
}

// Less makes s the members of a that are not in b.
func (s Set) Less(a, b Set) {
	for k := range s {
		s[k] = a[k] &^ b[k]
	}
}

// Clone copies s.
func (s Set) Clone() Set { return append(Set(nil), s...) }

// Members lists s in ascending order.
func (s Set) Members() []int {
	var m []int
	for i := s.First(); i >= 0; i = s.Next(i + 1) {
		m = append(m, i)
	}
	return m
}
