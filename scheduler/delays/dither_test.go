package delays_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/scheduler/delays"
)

var dithered = delays.Terms{CycleUs: 60_000, FiringUs: 100, ReadingUs: 1, Drift: 0.009}

func TestDitherIsSeeded(t *testing.T) {
	a, err := delays.Dither(dithered, 5, 64, 20_000, 7)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := delays.Dither(dithered, 5, 64, 20_000, 7)
	c, _ := delays.Dither(dithered, 5, 64, 20_000, 8)
	for k := range a.TablesUs {
		if !slices.Equal(a.TablesUs[k], b.TablesUs[k]) || slices.Equal(a.TablesUs[k], c.TablesUs[k]) {
			t.Errorf("table %d: %v %v %v", k, a.TablesUs[k][:4], b.TablesUs[k][:4], c.TablesUs[k][:4])
		}
		for _, us := range a.TablesUs[k] {
			if us < 0 || us > 20_000 {
				t.Errorf("delay of %d us", us)
			}
		}
	}
}

// The first outputs for the seed 1234567, as several published implementations of SplitMix64 give them (from memory): delays from 0
// to 2^k - 1 are their upper k bits.
func TestGeneratorIsSplitMix64(t *testing.T) {
	const span = 1<<20 - 1
	d, err := delays.Dither(delays.Terms{CycleUs: 10, Drift: 0}, 1, 5, span, 1234567)
	if err != nil {
		t.Fatal(err)
	}
	for n, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821} {
		if got := d.TablesUs[0][n]; got != int64(want>>44) {
			t.Errorf("number %d: %d, want %d", n, got, want>>44)
		}
	}
}

// Chances against an exact count over all delays of a fine grid. A grid of n steps differs from the continuum by about 1/n.
func TestChancesByCount(t *testing.T) {
	const n = 400
	tri := make([]float64, 2*n-1) // how often two delays differ by k - (n-1)
	for i := range n {
		for j := range n {
			tri[i-j+n-1] += 1.0 / n / n
		}
	}
	even := make([]float64, n)
	for i := range even {
		even[i] = 1.0 / n
	}
	count := func(p []float64, within float64) (two, three float64) {
		for i, pi := range p {
			near := 0.0
			for j, pj := range p {
				if d := math.Abs(float64(i - j)); d < within {
					near += pj
				} else if d == within {
					near += pj / 2
				}
			}
			two += pi * near
			three += pi * near * near
		}
		return two, three
	}
	for _, steps := range []float64{4, 10, 37, 100, 200} {
		c := delays.ChancesOf(steps / n)
		one, oneThree := count(even, steps)
		both, bothThree := count(tri, steps)
		for what, pair := range map[string][2]float64{"steady": {c.Steady, one}, "both": {c.Both, both}, "three, steady": {c.SteadyThree, oneThree}, "three, both": {c.BothThree, bothThree}} {
			if math.Abs(pair[0]-pair[1]) > 1.5/n*pair[1]+1e-5 {
				t.Errorf("r %g, %s: %.6f, by count %.6f", steps/n, what, pair[0], pair[1])
			}
		}
	}
}

// Threshold 0.5 ms, span 20 ms: 0.0494, 0.0333 and 0.0012, worked from 2r - r^2 and 4r/3 and not taken from a publication, the latter two of formulas of the first order in r.
func TestWorkedChances(t *testing.T) {
	c := delays.ChancesOf(0.5 / 20)
	for _, w := range []struct{ got, want, digits float64 }{{c.Steady, 0.0494, 5e-5}, {c.Both, 0.0333, 5e-5}, {c.BothThree, 0.0012, 5e-5}} {
		if math.Abs(w.got-w.want) > w.digits {
			t.Errorf("%.5f, worked %.4f", w.got, w.want)
		}
	}
}

// The share of agreeing pairs of readings in long tables is the chance, within four standard deviations and some for readings that
// follow one another.
func TestTablesAgreeAsOftenAsReckoned(t *testing.T) {
	const cycles = 200_000
	d, err := delays.Dither(dithered, 2, cycles, 20_000, 3)
	if err != nil {
		t.Fatal(err)
	}
	c := delays.ChancesOf(float64(d.ThresholdUs) / 20_000)
	for back := range 3 {
		for what, v := range map[string]struct {
			from []int64
			want float64
		}{"steady": {nil, c.Steady}, "both": {d.TablesUs[1], c.Both}} {
			got := float64(delays.Agreeing(v.from, d.TablesUs[0], back, d.ThresholdUs)) / cycles
			if dev := 6 * math.Sqrt(v.want/cycles); math.Abs(got-v.want) > dev {
				t.Errorf("%s, %d cycles old: %.5f, reckoned %.5f within %.5f", what, back, got, v.want, dev)
			}
		}
	}
}

// What moves as well agrees no more often than what stands: the difference of readings is likeliest at none.
func TestMovingGhostsAgreeNoMoreOften(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	const tries = 200_000
	c := delays.ChancesOf(0.05)
	for _, drift := range []float64{0.01, 0.05, 0.3} {
		agree := 0
		for range tries {
			if math.Abs(r.Float64()-r.Float64()-r.Float64()+r.Float64()+drift) <= 0.05 {
				agree++
			}
		}
		if share := float64(agree) / tries; share > c.Both+6*math.Sqrt(c.Both/tries) {
			t.Errorf("drift %g: %.4f, more than %.4f", drift, share, c.Both)
		}
	}
}

func TestDitherTooNarrow(t *testing.T) {
	for span, can := range map[int64]bool{0: false, 900: false, 1800: false, 20_000: true} {
		_, err := delays.Dither(dithered, 1, 8, span, 1)
		if (err == nil) != can {
			t.Errorf("span %d us: %v", span, err)
		}
	}
}
