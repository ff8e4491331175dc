package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// A path by two walls is drawn with both, its metres beside it and the false reading on a plate.
func TestPathSaysItsLengthAndWhatItWouldRead(t *testing.T) {
	p := plantest.Small()
	a := &p.Crosstalk[0]
	a.From, a.To, a.Path = "a", "b", "two walls"
	a.Points = [][2]float64{{0, 0}, {0.3, 0.4}, {0.7, 0.4}, {1, 0}} // legs of 0.5, 0.4 and 0.5 m
	p.Air.Slowest, p.Air.Fastest = 340, 340
	p.Sensors[1].ReadingError = [2]float64{} // b listens 12 ms: 340 * 0.012 / 2 = 2.04 m at the most
	pic := Layout(p, View{State: plantest.Hostile, Target: plantest.Hostile, Paths: 3})
	bars := 0
	for _, s := range pic.layer("disturbance").Shapes {
		if s.Style.Dashed {
			continue
		}
		bars++
		mid := Point{(s.Rings[0][0][0] + s.Rings[0][1][0]) / 2, (s.Rings[0][0][1] + s.Rings[0][1][1]) / 2}
		if !slices.ContainsFunc([]Point{{0.3, 0.4}, {0.7, 0.4}}, func(q Point) bool { return math.Hypot(q[0]-mid[0], q[1]-mid[1]) < 1e-9 }) {
			t.Errorf("a reflector at %v", mid)
		}
	}
	if bars != 2 {
		t.Errorf("%d reflectors of 2", bars)
	}
	for _, c := range [][2]string{{"names", "1.40 m"}, {"labels", "b hears a"}, {"labels", "reads 0.52 m to 2.04 m"}} {
		if !slices.ContainsFunc(pic.layer(c[0]).Shapes, func(s Shape) bool { return s.Text == c[1] }) {
			t.Errorf("%s lack %q", c[0], c[1])
		}
	}
	if !slices.ContainsFunc(pic.layer("labels").Shapes, func(s Shape) bool { return s.Title == "b hears a · reads 0.52 m to 2.04 m" }) {
		t.Error("the plate has no title")
	}
}

// The bar of a mirror stands square to the bisector: both legs make the same angle with it.
func TestReflectorIsAMirror(t *testing.T) {
	from, at, to := Point{0, 0}, Point{2, 1}, Point{0.5, -2}
	r := Reflector(from, at, to, 0.1).Rings[0]
	along := Point{r[1][0] - r[0][0], r[1][1] - r[0][1]}
	cos := func(q Point) float64 {
		d := Point{q[0] - at[0], q[1] - at[1]}
		return (d[0]*along[0] + d[1]*along[1]) / math.Hypot(d[0], d[1])
	}
	if math.Abs(cos(from)+cos(to)) > 1e-12 {
		t.Errorf("legs make %g and %g with the bar", cos(from), cos(to))
	}
}

// Paths of different kinds come first, then the loudest; what comes by another target is not in the view.
func TestDrawnPathsAreOfEveryKind(t *testing.T) {
	var p plan.Plan
	for i, path := range []string{"wall", "wall", "direct", "target: post", "target: cloth", "wall"} {
		p.Crosstalk = append(p.Crosstalk, plan.Arc{From: fmt.Sprint("s", i), To: "b", Path: path, LevelDB: 30 - float64(i), Harms: i != 1})
	}
	var got []string
	for _, a := range drawn(&p, View{Target: "post", Paths: 4}) {
		got = append(got, a.From+" "+a.Path)
	}
	if want := "s0 wall, s2 direct, s3 target: post, s5 wall"; strings.Join(got, ", ") != want {
		t.Errorf("drawn %q, want %s", got, want)
	}
}
