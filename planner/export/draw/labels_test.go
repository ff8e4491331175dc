package draw

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// seatedPlates sets labels beside a drawing and returns their plates and the ends of their leaders, in pixels.
func seatedPlates(pic *Picture, ls []label, c columns, body []Point) (plates []box, leaders [][]Point) {
	at, _ := pic.seats(ls, c, body)
	pic.plates(ls, at)
	for _, s := range pic.layer("labels").Shapes {
		switch {
		case s.Open:
			leaders = append(leaders, pic.pixels(s.Rings[0]))
		case s.Style.Fill == Plate:
			plates = append(plates, around(pic.pixels(s.Rings[0])))
		}
	}
	return plates, leaders
}

// Plates stand beside the drawing, on the page, clear of each other, and no two leaders cross, however many there are.
func TestPlatesHideNothing(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	body := []Point{{1.5, 1}, {2.5, 1}, {2.5, 2}, {1.5, 2}}
	for run := range 60 {
		pic := &Picture{Min: Point{0, 0}, Max: Point{4, 3}, PxX: 200, PxY: 200}
		if run%3 == 0 {
			pic.PxX, pic.PxY = 60, 60 // a page too low for them: it grows
		}
		var ls []label
		for range 1 + rnd.IntN(9) {
			ls = append(ls, label{at: Point{4 * rnd.Float64(), 3 * rnd.Float64()}, text: "echo only just too weak · hides 110 mm", ink: Blind})
		}
		cols := []columns{{left: true}, {right: true}, {true, true}}[rnd.IntN(3)]
		lo, hi := pic.Min, pic.Max
		plates, leaders := seatedPlates(pic, ls, cols, body)
		drawing := around(pic.pixels([]Point{lo, hi}))
		if len(plates) != len(ls) {
			t.Fatalf("%d plates of %d", len(plates), len(ls))
		}
		for i, a := range plates {
			if a.overlap(drawing) > 1e-6 || a.x0 < 0 || a.y0 < 0 || a.x1 > pic.Width() || a.y1 > pic.Height() {
				t.Errorf("plate %d hides the drawing or leaves the page: %v", i, a)
			}
			for j, b := range plates[:i] {
				if a.overlap(b) > 0 {
					t.Errorf("plates %d and %d overlap: %v %v", i, j, a, b)
				}
				if cross(leaders[i][0], leaders[i][1], leaders[j][0], leaders[j][1]) {
					t.Errorf("leaders %d and %d cross", i, j)
				}
			}
		}
	}
}

// What lies before the body is called out at the right, though the left is nearer over the body, what lies behind it at the left,
// and no leader runs over the body.
func TestLeadersKeepOffTheBody(t *testing.T) {
	body := []Point{{-1, -0.5}, {1, -0.5}, {1, 0.5}, {-1, 0.5}}
	var ls []label
	for _, x := range []float64{-1.5, 1.5, -1.4, 1.4} {
		ls = append(ls, label{at: Point{x, 0.1 * x}, text: "shadowed · hides 10 mm", ink: Blind})
	}
	pic := &Picture{Min: Point{-2, -1}, Max: Point{5.5, 1}, PxX: 150, PxY: 150}
	_, leaders := seatedPlates(pic, ls, columns{true, true}, body)
	for i, l := range leaders {
		if (l[1][0] > l[0][0]) != (ls[i].at[0] > 0) {
			t.Errorf("leader %d of %v goes to the far side", i, ls[i].at)
		}
		if n := over(l[0], l[1], pic.pixels(body)); n > 0 {
			t.Errorf("leader %d runs %.0f pixels over the body", i, n)
		}
	}
}

// A name as long as the format allows does not make the plate wider than its column may be; the title says all of it.
func TestLongLinesOfPlatesAreCut(t *testing.T) {
	l := label{text: strings.Repeat("é", 90) + " hears b · reads 1 m"}
	got := l.lines()
	if len(got) != 2 || len([]rune(got[0])) != lineMost || !strings.HasSuffix(got[0], "…") || got[1] != "reads 1 m" {
		t.Errorf("%q", got)
	}
}
