package geometry

import (
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

func outline(t *testing.T, r Ring) *Outline {
	t.Helper()
	o, err := NewOutline(r)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func cart(err float64) Ring { return RoundedRectangle(0.7, 0.5, 0.1, r2.Point{}, err) }

// Places known beforehand on a 0.7 m x 0.5 m body with corners of 0.1 m.
func TestOutlinePlaces(t *testing.T) {
	const err = 1e-7
	o := outline(t, cart(err))
	quarter := 0.1 * math.Pi / 2
	for _, c := range []struct {
		name   string
		s      float64
		p      r2.Point
		normal float64 // degrees
	}{
		{"where x leaves", 0, r2.Point{X: 0.35}, 0},
		{"left on the front", 0.1, r2.Point{X: 0.35, Y: 0.1}, 0},
		{"right on the front", -0.1, r2.Point{X: 0.35, Y: -0.1}, 0},
		{"middle of the left front corner", 0.15 + quarter/2, r2.Point{X: 0.25 + 0.1*math.Sqrt2/2, Y: 0.15 + 0.1*math.Sqrt2/2}, 45},
		{"a third of that corner", 0.15 + quarter/3, r2.Point{X: 0.25 + 0.1*math.Cos(math.Pi/6), Y: 0.15 + 0.1*math.Sin(math.Pi/6)}, 30},
		{"middle of the left side", 0.15 + quarter + 0.25, r2.Point{Y: 0.25}, 90},
		{"middle of the right side", -(0.15 + quarter + 0.25), r2.Point{Y: -0.25}, -90},
		{"rear", 0.15 + 2*quarter + 0.5 + 0.05, r2.Point{X: -0.35, Y: 0.1}, 180},
		{"once round", 2*(0.3+0.5) + 4*quarter + 0.1, r2.Point{X: 0.35, Y: 0.1}, 0},
		{"twice round the other way", -4*(0.3+0.5) - 8*quarter - 0.1, r2.Point{X: 0.35, Y: -0.1}, 0},
	} {
		p, n := o.At(c.s)
		// Chords of sagitta 1e-7 shorten a quarter of 0.16 m by some 2e-7 of it.
		if p.Sub(c.p).Norm() > 1e-6 {
			t.Errorf("%s: %v, want %v", c.name, p, c.p)
		}
		if off := math.Remainder(n.Degrees()-c.normal, 360); math.Abs(off) > 1e-3 {
			t.Errorf("%s: normal %v, want %g", c.name, n.Degrees(), c.normal)
		}
	}
}

// On a coarse polygon the normal still is that of the true curve: within a hundredth of a degree although chords
// turn by five degrees.
func TestOutlineNormalFollowsTheCurve(t *testing.T) {
	o := outline(t, cart(1e-4))
	worst := 0.0
	for s := -o.Length() / 2; s < o.Length()/2; s += 1e-3 {
		p, n := o.At(s)
		inner := r2.Point{X: max(-0.25, min(p.X, 0.25)), Y: max(-0.15, min(p.Y, 0.15))}
		d := p.Sub(inner) // from the rounding's centre or straight out
		worst = max(worst, math.Abs(math.Remainder(float64(n)-math.Atan2(d.Y, d.X), 2*math.Pi)))
	}
	if deg := worst * 180 / math.Pi; deg > 0.01 {
		t.Errorf("normal off by up to %.4f degrees", deg)
	}
}

// A corner meant as one keeps the normals of its edges up to it.
func TestOutlineNormalAtCorners(t *testing.T) {
	kink := math.Pi / 18 // 10 degrees between two edges of a metre
	o := outline(t, Ring{{X: 0, Y: -1}, {X: math.Tan(kink / 2), Y: 0}, {X: 0, Y: 1}, {X: -1, Y: 1}, {X: -1, Y: -1}})
	for _, s := range []float64{0.001, 0.5, 0.99} {
		_, left := o.At(s)
		_, right := o.At(-s)
		if math.Abs(float64(left)-kink/2) > 1e-12 || math.Abs(float64(right)+kink/2) > 1e-12 {
			t.Errorf("s = ±%g: normals %v and %v", s, left.Degrees(), right.Degrees())
		}
	}
}

// Mirroring a body about the x axis takes the place and normal at s to those at −s.
func TestOutlineMirrors(t *testing.T) {
	rng := newRand(4)
	for round := range 300 {
		r := randomStar(rng, 3+rng.IntN(40), 0.3)
		if round%3 == 0 {
			r = cart(1e-4)
		}
		m := make(Ring, len(r))
		for i, p := range r {
			m[i] = r2.Point{X: p.X, Y: -p.Y}
		}
		a, b := outline(t, r), outline(t, m)
		if math.Abs(a.Length()-b.Length()) > 1e-14*a.Length() {
			t.Fatalf("lengths %g and %g", a.Length(), b.Length())
		}
		for range 20 {
			s := (rng.Float64()*2 - 1) * a.Length()
			p, n := a.At(s)
			q, k := b.At(-s)
			if p.Sub(r2.Point{X: q.X, Y: -q.Y}).Norm() > 1e-13 || math.Abs(math.Remainder(float64(n+k), 2*math.Pi)) > 1e-9 {
				t.Fatalf("round %d, s = %g: %v facing %v and %v facing %v", round, s, p, n, q, k)
			}
		}
	}
}

func TestOutlineArcOfUndoesAt(t *testing.T) {
	rng := newRand(6)
	for range 200 {
		o := outline(t, randomStar(rng, 3+rng.IntN(40), 0.3))
		for range 20 {
			s := (rng.Float64() - 0.5) * o.Length()
			p, n := o.At(s)
			back, dist := o.ArcOf(p)
			if math.Abs(back-s) > 1e-12 || dist > 1e-15 {
				t.Fatalf("s = %g came back as %g, %g away", s, back, dist)
			}
			sin, cos := math.Sincos(float64(n))
			const step = 1e-7
			if Contains(o.Ring(), p.Add(r2.Point{X: step * cos, Y: step * sin})) {
				t.Fatalf("the normal at s = %g points inwards", s)
			}
		}
	}
}

func TestOutlineSides(t *testing.T) {
	o := outline(t, cart(1e-6))
	quarter := 0.1 * math.Pi / 2
	front, left := 0.15+quarter/2, 0.25+quarter/2
	for _, c := range []struct {
		side     Side
		from, to float64
		anchor   float64
	}{
		{Front, -front, front, 0},
		{Left, front, front + 2*left, front + left},
		{Rear, front + 2*left - o.Length(), 3*front + 2*left - o.Length(), o.Length() / 2},
		{Right, -front - 2*left, -front, -front - left},
	} {
		from, to := o.Side(c.side)
		if math.Abs(math.Remainder(from-c.from, o.Length())) > 1e-3 || math.Abs(to-from-(c.to-c.from)) > 2e-3 {
			t.Errorf("%v: %g to %g, want %g to %g", c.side, from, to, c.from, c.to)
		}
		if a := o.Anchor(c.side); math.Abs(math.Remainder(a-c.anchor, o.Length())) > 1e-5 {
			t.Errorf("%v: anchor %g, want %g", c.side, a, c.anchor)
		}
	}
	for _, c := range []struct {
		side   Side
		offset float64
		want   r2.Point
	}{
		{Front, 0.1, r2.Point{X: 0.35, Y: 0.1}}, {Rear, 0.1, r2.Point{X: -0.35, Y: 0.1}}, {Left, 0.12, r2.Point{X: 0.12, Y: 0.25}},
		{Right, -0.12, r2.Point{X: -0.12, Y: -0.25}}, {Front, -0.2, r2.Point{X: 0.25 + 0.1*math.Sqrt(0.75), Y: -0.2}},
	} {
		s, err := o.OnSide(c.side, c.offset)
		if err != nil {
			t.Fatal(err)
		}
		if p, _ := o.At(s); p.Sub(c.want).Norm() > 2e-6 {
			t.Errorf("%v at %g: %v, want %v", c.side, c.offset, p, c.want)
		}
	}
	if _, err := o.OnSide(Front, 0.24); err == nil || !strings.Contains(err.Error(), "front side reaches from -0.2") {
		t.Errorf("0.24 m on a front that ends at 0.2207: %v", err)
	}
}

// A notch in the front belongs to it, and the outermost of several places at one offset is meant.
func TestOutlineSideWithNotch(t *testing.T) {
	o := outline(t, Ring{{X: 2, Y: -2}, {X: 2, Y: -1}, {X: 1, Y: -1}, {X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}, {X: -2, Y: 2}, {X: -2, Y: -2}})
	if s, err := o.OnSide(Front, 0.5); err != nil || s != 0.5 {
		t.Errorf("bottom of the notch: %g, %v", s, err)
	}
	if from, to := o.Side(Front); from != -3 || to != 3 {
		t.Errorf("front from %g to %g", from, to)
	}
}

func TestOutlineAwayFromTheOrigin(t *testing.T) {
	o := outline(t, RoundedRectangle(2, 1, 0, r2.Point{X: -5, Y: 0.2}, 1e-3))
	if p, n := o.At(0); p != (r2.Point{X: -4}) || n != 0 {
		t.Errorf("zero at %v facing %v", p, n)
	}
	// No x axis in the rear anchor's way: its middle is taken where x = 0 is not on the left side.
	if p, _ := o.At(o.Anchor(Left)); p.Sub(r2.Point{X: -5, Y: 0.7}).Norm() > 1e-15 {
		t.Errorf("left anchor at %v", p)
	}
}

func TestOutlineRefuses(t *testing.T) {
	for _, c := range []struct {
		name, says string
		ring       Ring
	}{
		{"nothing", "encloses nothing", nil},
		{"a line", "encloses nothing", Ring{{X: 0}, {X: 1}, {X: 2}}},
		{"bow tie", "at (1.2, 1.2) m", Ring{{X: 0, Y: 0}, {X: 2, Y: 2}, {X: 2, Y: 0}, {X: 0, Y: 3}, {X: 0, Y: 2}}},
		{"beside the axis", "x axis", Ring{{X: 0, Y: 1}, {X: 1, Y: 1}, {X: 0, Y: 2}}},
	} {
		if _, err := NewOutline(c.ring); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Both ways of running round give the same outline.
func TestOutlineTakesEitherDirection(t *testing.T) {
	a, b := outline(t, letterL), outline(t, Reverse(letterL))
	for s := -7.0; s < 7; s += 0.37 {
		p, n := a.At(s)
		q, k := b.At(s)
		if p.Sub(q).Norm() > 1e-14 || math.Abs(float64(n-k)) > float64(1e-12*s1.Radian) {
			t.Errorf("s = %g: %v and %v", s, p, q)
		}
	}
}
