package stagger

import "slices"

// assignment gives every one of k another to follow it, each followed once, at the least cost: shortest augmenting
// paths (Jonker, Volgenant, "A shortest augmenting path algorithm for dense and sparse linear assignment problems",
// Computing 38, 1987). What it keeps is used again.
type assignment struct {
	k     int
	cost  []int64 // from row to column, k by k
	u, v  []int64 // prices of rows and columns, from 1: no cost is below the sum of its two
	row   []int   // by column, from 1
	way   []int
	least []int64
	used  []bool
}

func newAssignment(k int) *assignment {
	return &assignment{k: k, cost: make([]int64, k*k), u: make([]int64, k+1), v: make([]int64, k+1),
		row: make([]int, k+1), way: make([]int, k+1), least: make([]int64, k+1), used: make([]bool, k+1)}
}

// solve returns the least cost.
func (t *assignment) solve() (sum int64) {
	const inf = int64(1) << 60
	k := t.k
	clear(t.u)
	clear(t.v)
	clear(t.row)
	for i := 1; i <= k; i++ {
		t.row[0] = i
		for j := range t.least {
			t.least[j], t.used[j] = inf, false
		}
		at := 0
		for t.row[at] != 0 {
			t.used[at] = true
			r, step, to := t.row[at], inf, 0
			cost, price := t.cost[(r-1)*k:r*k], t.u[r]
			for j := 1; j <= k; j++ {
				if t.used[j] {
					continue
				}
				if c := cost[j-1] - price - t.v[j]; c < t.least[j] {
					t.least[j], t.way[j] = c, at
				}
				if t.least[j] < step {
					step, to = t.least[j], j
				}
			}
			for j := range k + 1 {
				if t.used[j] {
					t.u[t.row[j]] += step
					t.v[j] -= step
				} else {
					t.least[j] -= step
				}
			}
			at = to
		}
		for at != 0 {
			t.row[at] = t.row[t.way[at]]
			at = t.way[at]
		}
	}
	for j := 1; j <= k; j++ {
		sum += t.cost[(t.row[j]-1)*k+j-1]
	}
	return sum
}

// next lists who follows each.
func (t *assignment) next() []int {
	next := slices.Repeat([]int{-1}, t.k)
	for j := 1; j <= t.k; j++ {
		next[t.row[j]-1] = j - 1
	}
	return next
}
