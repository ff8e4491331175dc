package editor_test

import (
	"math"
	"reflect"
	"slices"
	"testing"
)

// drawnArea is how much of the drawing its beams cover, each by itself, square points.
func (d *desk) drawnArea() (area float64) {
	f, _ := d.Frame()
	for _, l := range f.Layers {
		if l.Name != "beams" && l.Name != "chosen beams" {
			continue
		}
		for _, s := range l.Shapes {
			for _, ring := range s.Rings {
				for i, a := range ring {
					b := ring[(i+1)%len(ring)]
					area += (a[0]*b[1] - b[0]*a[1]) / 2
				}
			}
		}
	}
	return math.Abs(area)
}

// Looking at other beams changes the drawing and nothing else, says so over the drawing, and one click takes it back.
func TestOtherBeamsAreOnlyLookedAt(t *testing.T) {
	d := opened(t, "shelf-cart")
	usual, plates, text := d.drawnArea(), slices.Clone(d.Verdicts()), d.Text()
	d.run("strongest")
	if a := d.drawnArea(); a <= 1.02*usual {
		t.Errorf("beams cover %.0f at their strongest, %.0f for certain", a, usual)
	}
	if d.Text() != text || !reflect.DeepEqual(d.Verdicts(), plates) {
		t.Error("looking changed the machine or its verdicts")
	}
	d.clickOn("do:beams-usual")
	if a := d.drawnArea(); a != usual {
		t.Errorf("beams cover %.0f, before %.0f", a, usual)
	}

	d.run("beams at a height")
	d.set("height:at", "2 apples")
	if _, ok := d.Item("height:at"); !ok {
		t.Fatal("a height that is none was taken")
	}
	d.set("height:at", "30 m")
	if a := d.drawnArea(); a != 0 {
		t.Errorf("a ball 30 m up is seen: %.0f", a)
	}
	d.run("beams that decide")
	if a := d.drawnArea(); a != usual {
		t.Errorf("beams cover %.0f, before %.0f", a, usual)
	}
}
