package draw

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// The length of a line inside a box is that of a hundred thousand steps along it.
func TestLengthOfALineUnderABox(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	b := box{2, 1, 7, 4}
	for range 40 {
		s := segment{a: Point{10 * rnd.Float64(), 6 * rnd.Float64()}, b: Point{10 * rnd.Float64(), 6 * rnd.Float64()}}
		if rnd.IntN(4) == 0 {
			s.b[rnd.IntN(2)] = 3
			s.a[0] = s.b[0] // upright
		}
		const steps = 100000
		in := 0
		for k := range steps {
			u := (float64(k) + 0.5) / steps
			x, y := s.a[0]+u*(s.b[0]-s.a[0]), s.a[1]+u*(s.b[1]-s.a[1])
			if x > b.x0 && x < b.x1 && y > b.y0 && y < b.y1 {
				in++
			}
		}
		want := distance(s.a, s.b) * float64(in) / steps
		if got := s.under(b); math.Abs(got-want) > 2e-4*(1+want) { // two steps of at most 12 units
			t.Errorf("%v: %g, counted %g", s, got, want)
		}
	}
}

// Of two names that want one place one takes it and the other the next best, and neither stands on a mark or off the page.
func TestNamesGiveWay(t *testing.T) {
	b := &board{page: box{0, 0, 100, 100}, marks: []box{{40, 0, 60, 20}}, lines: []segment{{Point{0, 50}, Point{30, 50}, 1}}}
	spots := []spot{
		{box{-10, 70, 10, 80}, 0},  // half off the page
		{box{45, 5, 65, 15}, 0},    // on the mark
		{box{5, 45, 25, 55}, 1},    // on the line: 20 pixels
		{box{70, 70, 90, 80}, 2},   // free
		{box{75, 72, 95, 82}, 0.5}, // free but for the one before
		{box{30, 80, 50, 90}, 9},   // free and far
	}
	got := b.place([]name{{text: "a", spots: spots}, {text: "b", spots: spots}})
	// Free: 2, 0.5, 9. The pair of least cost that does not overlap is 0.5 with 9.
	if want := []box{spots[4].box, spots[5].box}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// crowd is a body with sensors all round it, as close as their names allow.
func crowd(n int) *plan.Plan {
	p := plantest.Small()
	proto := p.Sensors[0]
	p.Sensors, p.Body.Parts = nil, nil
	p.Body.Outline = plan.Ring{{-0.3, -0.2}, {0.3, -0.2}, {0.3, 0.2}, {-0.3, 0.2}}
	for i := range n {
		s := proto
		a := 2 * math.Pi * float64(i) / float64(n)
		s.Name, s.Heading = fmt.Sprintf("corner.%d", i), a
		s.X, s.Y = 0.3*math.Cos(a), 0.2*math.Sin(a)
		p.Sensors = append(p.Sensors, s)
	}
	return p
}

// namesOf are the texts of the names layer with their boxes.
func namesOf(pic *Picture) (texts []string, at []box) {
	for _, s := range pic.layer("names").Shapes {
		if s.Text != "" {
			texts, at = append(texts, s.Text), append(at, pic.textBox(s))
		}
	}
	return texts, at
}

// Every sensor's name stands nearer to it than to any other sensor, over none of them and over no other name.
func TestNamesStandBesideTheirSensors(t *testing.T) {
	p := crowd(12)
	pic := Layout(p, View{State: plantest.Hostile, Target: plantest.Hostile})
	texts, at := namesOf(pic)
	for _, s := range p.Sensors {
		i := slices.Index(texts, s.Name)
		if i < 0 {
			t.Errorf("%s is not named: %q", s.Name, texts)
			continue
		}
		x, y := pic.Px(Point{s.X, s.Y})
		own, _ := gap(at[i], []Point{{x, y}})
		for _, o := range p.Sensors {
			x, y := pic.Px(Point{o.X, o.Y})
			if d, _ := gap(at[i], []Point{{x, y}}); o.Name != s.Name && d <= own || d == 0 {
				t.Errorf("%s stands %.0f pixels from its sensor and %.0f from %s", s.Name, own, d, o.Name)
			}
		}
	}
	for i, a := range at {
		for j := range i {
			if len(texts[i]) < 20 && len(texts[j]) < 20 && a.overlap(at[j]) > 0 {
				t.Errorf("%s and %s overlap", texts[i], texts[j])
			}
		}
	}
}

// The drawing says the name of every sensor and zone it shows, none over a sensor or over another.
func TestDrawingNamesWhatItShows(t *testing.T) {
	p := plantest.Small()
	p.Zones[0].Name, p.Sensors[0].Name, p.Body.Parts[0].Name = "lane", "eye", "jaw"
	pic := Layout(p, View{State: plantest.Hostile, Target: plantest.Hostile})
	names, at := namesOf(pic)
	for _, want := range []string{"lane", "eye", "b", "jaw"} {
		if !slices.Contains(names, want) {
			t.Errorf("%s is not named: %q", want, names)
		}
	}
	for i, a := range at {
		for j := range i {
			if a.overlap(at[j]) > 0 {
				t.Errorf("%s and %s overlap", names[i], names[j])
			}
		}
		for _, s := range p.Sensors {
			if x, y := pic.Px(Point{s.X, s.Y}); a.x0 < x && x < a.x1 && a.y0 < y && y < a.y1 {
				t.Errorf("%s stands over %s", names[i], s.Name)
			}
		}
	}
}

// A name that had to go far has a line to its thing, which ends there; one beside it has none.
func TestNamesMovedAwayHaveALeader(t *testing.T) {
	for far, leaders := range map[float64]int{5: 0, 40: 1} {
		pic := &Picture{Max: Point{200, 100}, PxX: 1, PxY: 1}
		pic.names([]name{{text: "eye", ink: Text, of: []Point{{50, 50}}, spots: []spot{{box{50 + far, 45, 90 + far, 58}, 0}}}})
		n := 0
		for _, s := range pic.layer("names").Shapes {
			if s.Open {
				n++
				if end := s.Rings[0][1]; distance(end, Point{50, 50}) > 1e-9 { // y up: 100 - 50
					t.Errorf("the leader ends at %v", end)
				}
			}
		}
		if n != leaders {
			t.Errorf("at %g pixels %d leaders, want %d", far, n, leaders)
		}
	}
}

// The same plan gives the same drawing, shape by shape.
func TestDrawingIsTheSameTwice(t *testing.T) {
	v := View{State: plantest.Hostile, Target: plantest.Hostile, Paths: 3}
	if !reflect.DeepEqual(Layout(crowd(12), v), Layout(crowd(12), v)) {
		t.Error("two drawings of one plan differ")
	}
}
