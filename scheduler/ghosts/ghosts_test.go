package ghosts_test

import (
	"slices"
	"testing"

	"echowright/scheduler/ghosts"
)

// By hand: two jobs, 2 ms and 6 ms later in every second cycle of 100 ms; nothing moves and nothing jitters. Sound of the other
// shifts by 4 ms in one cycle and 8 ms across two, a job's own of the last cycle by 4 and 12 ms; own sound two cycles old by none.
func TestShiftsByHand(t *testing.T) {
	rule := ghosts.Rule{CycleUs: 100_000, DelaysUs: [][]int64{{0, 2000}, {0, 6000}}}
	all := [][2]int{{0, 1}, {1, 0}, {0, 0}, {1, 1}}
	for _, threshold := range []int64{3999, 4000, 7999, 8000, 11999, 12000} {
		rule.ThresholdUs = threshold
		got := rule.Accepted(all, 2)
		for _, g := range got {
			shift := map[bool]int64{true: 4000, false: 8000}[g.Back%2 == 0]
			if g.From == g.To {
				shift = int64(g.Back%2) * 2 * rule.DelaysUs[g.From][1]
			}
			if shift > threshold {
				t.Errorf("threshold %d: accepted %+v, which shifts by %d us", threshold, g, shift)
			}
		}
		count := 0
		for _, s := range []int64{4000, 8000, 4000, 4000, 8000, 4000, 4000, 0, 12000, 0} {
			if s <= threshold {
				count++
			}
		}
		if len(got) != count {
			t.Errorf("threshold %d: %d accepted, by hand %d", threshold, len(got), count)
		}
	}
}

// One microsecond decides: drift 0.01, cycle 100 ms, firings off by 100 us, readings by 5. Between readings of the first lie at most
// 100 + 2 + 0.2 ms: a true echo changes by 1022 us and 2 (100 + 5).
func TestTrueEchoesPass(t *testing.T) {
	rule := ghosts.Rule{CycleUs: 100_000, FiringUs: 100, ReadingUs: 5, Drift: 0.01, DelaysUs: [][]int64{{0, 2000}}}
	for threshold, lost := range map[int64]bool{1231: true, 1232: false, 1233: false} {
		rule.ThresholdUs = threshold
		if got := slices.Contains(rule.Lost(), 0); got != lost {
			t.Errorf("threshold %d us: lost %v", threshold, got)
		}
	}
}

// A ghost that jitter and drift may bring within the threshold counts as accepted, though at none of their ends it is: 4 ms of shift,
// less or more 4 x 1 ms of jitter.
func TestInBetween(t *testing.T) {
	rule := ghosts.Rule{CycleUs: 100_000, FiringUs: 1000, DelaysUs: [][]int64{{0, 2000}, {0, 2000}}}
	rule.ThresholdUs = 1
	if len(rule.Accepted([][2]int{{0, 1}}, 0)) == 0 {
		t.Error("a ghost that does not shift is said to be rejected")
	}
}
