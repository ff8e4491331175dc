package delays

import (
	"fmt"
	"math/bits"
)

// Dithered is a table of pseudo-random delays that repeats.
type Dithered struct {
	ThresholdUs int64
	MostUs      int64     // delays are from 0 to this
	TablesUs    [][]int64 // of each set of jobs that are alike, a delay a cycle
}

// Dither fills tables of so many cycles for so many sets with delays from 0 to span, in whole steps; the same seed gives the same
// tables. If the threshold is no less than half of the span, nearly any two readings agree and the error is a *Cannot.
func Dither(t Terms, sets, cycles int, spanUs int64, seed uint64) (Dithered, error) {
	step := t.step()
	d := Dithered{MostUs: spanUs / step * step}
	d.ThresholdUs = t.ThresholdUs(d.MostUs)
	if d.ThresholdUs*2 >= d.MostUs {
		return Dithered{}, &Cannot{fmt.Sprintf("readings of a true echo may differ by %.4g ms, which is no less than half of the %.4g ms that firings are spread over: most ghosts would pass, too", float64(d.ThresholdUs)/1e3, float64(d.MostUs)/1e3)}
	}
	g := generator(seed)
	for range sets {
		table := make([]int64, cycles)
		for n := range table {
			table[n] = int64(g.below(uint64(d.MostUs/step)+1)) * step
		}
		d.TablesUs = append(d.TablesUs, table)
	}
	return d, nil
}

// generator is SplitMix64: Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014, figure 17, with the
// finishing of Stafford's variant 13. Its whole state is one number, and it is short enough for any firmware.
type generator uint64

func (g *generator) next() uint64 {
	*g += 0x9e3779b97f4a7c15
	z := uint64(*g)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below is a number from 0 to n-1, each as likely as the other to one part in 2^64/n.
func (g *generator) below(n uint64) uint64 {
	hi, _ := bits.Mul64(g.next(), n)
	return hi
}

// Chances that readings of a sound on a fixed path agree within the threshold, if delays are spread evenly over a span.
type Chances struct {
	Steady      float64 // two readings in a row agree; only the listener dithers: sound of another machine, which fires steadily
	Both        float64 // two in a row; sender and listener dither, each by itself
	SteadyThree float64 // three in a row, steady sender
	BothThree   float64 // three in a row, both dither
}

// ChancesOf returns them for r = threshold / span, 0 <= r <= 1/2, by exact integrals over the square or the cube of delays.
//
//	steady      two: 2r - r²                          three: 4r² - 10r³/3
//	both        two: 4r/3 - 2r³/3 + r⁴/4              three: as below
//
// The difference of two delays has the density 1-|t|; with g(t) the chance of another within r of it, three agree with
// 2 ∫ (1-t) g(t)² dt over t = 0..1: g = 2r - r² - t² up to r, 2r(1-t) up to 1-r, (1-t+r)²/2 beyond.
func ChancesOf(r float64) Chances {
	a, r2 := 2*r-r*r, r*r
	near := a*a*r - 2*a*r*r2/3 + r2*r2*r/5 - a*a*r2/2 + a*r2*r2/2 - r2*r2*r2/6
	amid := r2 * (pow4(1-r) - pow4(r))
	end := 4.3 / 4 * r2 * r2 * r2
	return Chances{
		Steady:      2*r - r2,
		Both:        4*r/3 - 2*r*r2/3 + r2*r2/4,
		SteadyThree: 4*r2 - 10*r*r2/3,
		BothThree:   2 * (near + amid + end),
	}
}

func pow4(x float64) float64 { return x * x * x * x }

// Agreeing counts in how many of the cycles of a table two readings in a row agree, if sound of one fixed path comes from a job of
// table from, so many cycles old, to one of table to; a nil from is a steady sender.
func Agreeing(from, to []int64, back int, thresholdUs int64) (cycles int) {
	at := func(table []int64, n int) int64 {
		if table == nil {
			return 0
		}
		return table[((n%len(table))+len(table))%len(table)]
	}
	for n := range to {
		shift := at(from, n+1-back) - at(from, n-back) - at(to, n+1) + at(to, n)
		if max(shift, -shift) <= thresholdUs {
			cycles++
		}
	}
	return cycles
}
