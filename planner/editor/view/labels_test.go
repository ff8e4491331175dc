package view

import (
	"math/rand/v2"
	"testing"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
)

// boxes are the plates of a drawing and the room of its texts, each text with the plate that holds it or -1.
func boxes(r *typeset.Ruler, shapes []draw.Shape) (plates, texts []canvas.Rect, on []int) {
	for _, s := range shapes {
		if s.Text == "" {
			b := emptyBox()
			for _, p := range s.Rings[0] {
				b.add(p)
			}
			plates = append(plates, canvas.Rect{X: b.lo[0], Y: b.lo[1], W: b.hi[0] - b.lo[0], H: b.hi[1] - b.lo[1]})
			continue
		}
		h := r.Height(s.Size, s.Bold)
		texts = append(texts, canvas.Rect{X: s.At[0], Y: s.At[1] - h.Capital, W: r.Width(s.Text, s.Size, s.Bold), H: h.Capital + h.Descent})
		on = append(on, len(plates)-1)
	}
	for i, t := range texts {
		if on[i] >= 0 && !holdsAll(plates[on[i]], t) {
			on[i] = -1
		}
	}
	return plates, texts, on
}

func holdsAll(a, b canvas.Rect) bool {
	return b.X >= a.X && b.Y >= a.Y && b.X+b.W <= a.X+a.W && b.Y+b.H <= a.Y+a.H
}

// Over random plans and cameras: no plate meets another or leaves the area, no text meets another or a plate it does not
// belong to, and nothing stands where something else covers the drawing.
func TestLabelsKeepApart(t *testing.T) {
	r := ruler(t)
	rnd := rand.New(rand.NewPCG(1, 2))
	seen := 0
	for round := range 400 {
		p, cam, looks, live := random(rnd)
		layers := Drawing(nil, p, live, cam, looks, r)
		plates, texts, on := boxes(r, find(layers, "labels"))
		seen += len(plates)
		for i, a := range plates {
			if !holdsAll(cam.Area, a) {
				t.Fatalf("round %d: plate %v leaves %v", round, a, cam.Area)
			}
			for _, b := range plates[:i] {
				if a.Meets(b) {
					t.Fatalf("round %d: plates %v and %v", round, a, b)
				}
			}
			for _, b := range looks.Clear {
				if a.Meets(b) {
					t.Fatalf("round %d: plate %v on %v", round, a, b)
				}
			}
		}
		for i, a := range texts {
			if !holdsAll(cam.Area, a) {
				t.Fatalf("round %d: text %v leaves %v", round, a, cam.Area)
			}
			for j, b := range texts[:i] {
				if a.Meets(b) {
					t.Fatalf("round %d: texts %d %v and %d %v", round, i, a, j, b)
				}
			}
			for j, b := range plates {
				if on[i] != j && a.Meets(b) {
					t.Fatalf("round %d: text %v on plate %v", round, a, b)
				}
			}
		}
	}
	if seen < 400 {
		t.Errorf("only %d plates in 400 drawings", seen)
	}
}

// Where there is room, labels keep off the sensors.
func TestLabelsKeepOffSensors(t *testing.T) {
	r := ruler(t)
	p := crowd(12)
	cam := Fit(canvas.Rect{W: 916, H: 522}, [2]float64{-1.8, -1.2}, [2]float64{1.8, 1.2})
	plates, _, _ := boxes(r, find(Drawing(nil, p, Live{}, cam, all(p), r), "labels"))
	if len(plates) < 4 {
		t.Fatalf("%d plates", len(plates))
	}
	for _, s := range p.Sensors {
		for _, b := range plates {
			if around(cam.At([2]float64{s.X, s.Y}), wedgeRadius).Meets(b) {
				t.Errorf("a label lies on %s", s.Name)
			}
		}
	}
}

// The same drawing twice is the same to the last shape.
func TestSameTwice(t *testing.T) {
	r := ruler(t)
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 20 {
		p, cam, looks, live := random(rnd)
		var c Cache
		a, b, d := Drawing(&c, p, live, cam, looks, r), Drawing(&c, p, live, cam, looks, r), Drawing(nil, p, live, cam, looks, r)
		if !same(a, b) || !same(a, d) {
			t.Fatal("two drawings of one plan differ")
		}
	}
}
