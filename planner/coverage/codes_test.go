package coverage

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry/region"
)

// TestEveryCodeIsRaised has the smallest stage for each finding that is not a cause, and a change that silences it.
func TestEveryCodeIsRaised(t *testing.T) {
	quiet := func(s *stage) { // sees all of a small zone before it
		s.scene.Zones[0].Rings = [][]r2.Point{{{X: 0.9, Y: -0.1}, {X: 0.9, Y: 0.1}, {X: 0.5, Y: 0.1}, {X: 0.5, Y: -0.1}}}
	}
	cases := []struct {
		code string
		make func(*stage)
	}{
		{CodeShare, func(s *stage) { s.scene.Zones[0].Share, s.far = 0.9, 0.6 }},
		{CodeGap, func(s *stage) { s.scene.Zones[0].GapM, s.far = 0.1, 0.6 }},
		// The share asked differs from the one there by 1e-6 of the zone; the border of 0.2 m is known to 10 µm, 2e-6 m2 of 0.08.
		{CodeTight, func(s *stage) {
			s.far = 0.6
			c := s.analyse(1).Coverage[0]
			s.scene.Zones[0].Share = c.CoveredM2/c.AreaM2 - 1e-6
		}},
		{CodeNoZone, func(s *stage) {
			s.scene.Zones[0].Rings = [][]r2.Point{{{X: -0.4, Y: -0.1}, {X: -0.4, Y: 0.1}, {X: -0.5, Y: 0.1}, {X: -0.5, Y: -0.1}}}
		}},
		{CodeSlivers, func(s *stage) {
			// One side of the zone lies half the lobes' error outside the beam's edge.
			sin, cos := math.Sincos(0.6)
			edge := func(d float64) r2.Point {
				return r2.Point{X: d*cos - arcError/2*sin, Y: d*sin + arcError/2*cos}
			}
			s.scene.Zones[0].Rings = [][]r2.Point{{edge(0.9), edge(0.4), {X: 0.7}}}
		}},
		{CodeOwnPart, func(s *stage) { s.ears[0].reads, s.ears[0].readsAt = s.scene.Body.Outline, 1.5 }},
		{CodeGround, func(s *stage) { s.ears[0].ground = 1.5 }},
		{CodeNothing, func(s *stage) { s.ears[0].deaf = true }},
		{CodeUnwatched, func(s *stage) { s.ears[0].mount.Heading = 90 * s1.Degree }},
		{CodeStares, func(s *stage) { s.ears[0].mount.Heading = 180 * s1.Degree }},
		{CodeWide, func(s *stage) { s.sure = 0.1 }},
		{CodeHousing, func(s *stage) { s.ears[0].mount.At.X = -0.01 }},
	}
	for _, c := range cases {
		t.Run(c.code, func(t *testing.T) {
			s := bench(0)
			quiet(&s)
			if r := s.analyse(1); raised(r, c.code) || len(r.BlindSpots) > 0 {
				t.Fatalf("raised without a cause: %+v %+v", r.Findings, r.BlindSpots)
			}
			c.make(&s)
			r := s.analyse(1)
			if !raised(r, c.code) {
				t.Errorf("not raised: %+v %+v", r.Findings, r.Coverage)
			}
			for _, f := range r.Findings {
				if f.Text == "" || f.Where == "" {
					t.Errorf("finding without text or place: %+v", f)
				}
			}
		})
	}
}

func TestThreadsAreShavedOff(t *testing.T) {
	// A unit square with a thread 1e-10 m wide and 2 m long on its right side, and a notch cut 1e-10 m wide.
	s := region.FromRings([]r2.Point{
		{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 0.3}, {X: 3, Y: 0.4}, {X: 1, Y: 0.3 + 1e-10}, {X: 1, Y: 1}, {X: 0, Y: 1},
	})
	body, threads := shave(s)
	near(t, "body", body.Area(), 1, 1e-9)
	if b := body.Bounds(); b.X.Hi != 1 {
		t.Errorf("the body still reaches to %g", b.X.Hi)
	}
	near(t, "together", body.Area()+threads.Area(), s.Area(), 1e-12)
	whole := region.FromRings(blob(rand.New(rand.NewPCG(1, 1)), 30))
	if body, threads := shave(whole); !threads.IsEmpty() || body.Area() != whole.Area() {
		t.Error("a region without threads was changed")
	}
}

// FuzzSplit: however remedies overlap, pieces and rest make up the blind region, and spots and slivers too.
func FuzzSplit(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed, uint8(3+seed))
	}
	causes := []string{Shadowed, OwnPart, TooClose, TooWeak}
	f.Fuzz(func(t *testing.T, seed uint64, n uint8) {
		rng := rand.New(rand.NewPCG(seed, 7))
		blind := region.FromRings(blob(rng, 20))
		var rs []remedy
		for i := range int(n % 12) {
			c := rng.IntN(len(causes))
			rs = append(rs, remedy{rank: c, cause: causes[c], sensor: i, where: region.FromRings(blob(rng, 3+rng.IntN(9)))})
		}
		pieces, rest := split(blind, rs)
		sum := rest.Area()
		for _, p := range pieces {
			sum += p.region.Area()
			if p.sensor < 0 || rs[p.sensor].cause != p.cause {
				t.Errorf("piece %s given to sensor %d", p.cause, p.sensor)
			}
		}
		near(t, "pieces", sum, blind.Area(), 1e-8)
		for _, p := range rest.Pieces() {
			pieces = append(pieces, piece{cause: OutsideBeams, sensor: -1, region: p})
		}
		b := describe(blind, pieces, 1e-3)
		sum = b.slivers
		for _, s := range b.spots {
			sum += s.area
			if s.hides.radius > b.widest.radius+1e-8 {
				t.Errorf("a spot hides %g, the whole %g", s.hides.radius, b.widest.radius)
			}
		}
		near(t, "spots", sum, blind.Area(), 1e-8)
	})
}
