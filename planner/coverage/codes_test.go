package coverage

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry/region"
	"echowright/planner/plan"
)

// quiet lets a stage see all of a small zone before it.
func quiet(s *stage) {
	s.scene.Zones[0].Rings = [][]r2.Point{{{X: 0.9, Y: -0.1}, {X: 0.9, Y: 0.1}, {X: 0.5, Y: 0.1}, {X: 0.5, Y: -0.1}}}
}

// codeCase is a change of a quiet stage that raises a code.
type codeCase struct {
	code string
	make func(*stage)
}

// codeCases has the smallest change for each finding that is not of a blind spot.
func codeCases() []codeCase {
	return []codeCase{
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
}

// TestEveryCodeIsProvoked: every constant of this package that names a code or cause is in its list, and every code of the list has a
// case that raises it, in TestEveryCodeIsRaised or TestEveryCause.
func TestEveryCodeIsProvoked(t *testing.T) {
	provoked := map[string]bool{}
	for _, c := range codeCases() {
		provoked[c.code] = true
	}
	for _, c := range causeCases() {
		provoked[blindCode(c.cause)] = provoked[blindCode(c.cause)] || c.want > 0
	}
	for _, code := range Codes() {
		if !provoked[code] {
			t.Errorf("nothing provokes %s", code)
		}
	}
	if n := len(slices.Compact(slices.Sorted(slices.Values(Codes())))); n != len(Codes()) {
		t.Errorf("%d codes, only %d different", len(Codes()), n)
	}
	for name, value := range textConstants(t, "findings.go", "Code") {
		if name != "CodeBlind" && !slices.Contains(Codes(), value) {
			t.Errorf("%s = %q is not in the list of codes", name, value)
		}
	}
	for name, value := range textConstants(t, "cause.go", "") {
		if !slices.Contains(Causes(), value) {
			t.Errorf("%s = %q is not in the list of causes", name, value)
		}
	}
}

// textConstants are the exported constants of a source file whose names begin so, with their text.
func textConstants(t *testing.T, file, begin string) map[string]string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]string{}
	for name, o := range f.Scope.Objects {
		spec, ok := o.Decl.(*ast.ValueSpec)
		if !ok || o.Kind != ast.Con || !ast.IsExported(name) || !strings.HasPrefix(name, begin) {
			continue
		}
		for i, id := range spec.Names {
			if id.Name != name {
				continue
			}
			if found[name], err = strconv.Unquote(spec.Values[i].(*ast.BasicLit).Value); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(found) == 0 {
		t.Fatalf("%s has no such constants", file)
	}
	return found
}

// TestEveryCodeIsRaised: the change raises it, and without the change nothing does.
func TestEveryCodeIsRaised(t *testing.T) {
	for _, c := range codeCases() {
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

// A zone of which the machine leaves nothing is not met, whatever it asks: nothing was looked at.
func TestNothingLeftIsNotMet(t *testing.T) {
	for _, ask := range []struct{ share, gap float64 }{{0.9, math.NaN()}, {math.NaN(), 0.1}, {0.9, 0.1}, {0, 10}} {
		s := bench(0)
		z := &s.scene.Zones[0]
		z.Rings, z.Share, z.GapM = [][]r2.Point{{{X: -0.4, Y: -0.1}, {X: -0.4, Y: 0.1}, {X: -0.5, Y: 0.1}, {X: -0.5, Y: -0.1}}}, ask.share, ask.gap
		r := s.analyse(1)
		c := r.Coverage[0]
		if r.Met() || c.Met || c.ShareMet != math.IsNaN(ask.share) || c.GapMet != math.IsNaN(ask.gap) {
			t.Errorf("%+v: %+v", ask, c)
		}
		for _, f := range r.Findings {
			if f.Code == CodeNoZone && f.Severity != plan.NotMet {
				t.Errorf("%+v", f)
			}
		}
	}
}

// Each demand is judged by itself: of a zone seen to 0.6 m of 1 m the share and the gap asked decide alone.
func TestDemandsAreJudgedByThemselves(t *testing.T) {
	for _, ask := range []struct {
		share, gap       float64
		shareMet, gapMet bool
	}{{0.1, 5, true, true}, {0.9, 5, false, true}, {0.1, 0.05, true, false}, {0.9, 0.05, false, false}, {math.NaN(), 0.05, true, false}, {0.9, math.NaN(), false, true}} {
		s := bench(0)
		s.far = 0.6
		s.scene.Zones[0].Share, s.scene.Zones[0].GapM = ask.share, ask.gap
		if c := s.analyse(1).Coverage[0]; c.ShareMet != ask.shareMet || c.GapMet != ask.gapMet || c.Met != (ask.shareMet && ask.gapMet) {
			t.Errorf("%+v: %+v", ask, c)
		}
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
		b := new(Memory).describe(blind, pieces, 1e-3)
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
