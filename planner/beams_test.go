package planner

import (
	"context"
	"math"
	"os"
	"testing"

	"echowright/assets"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// lobeAreas are the areas of what each sensor sees of each target, m².
func lobeAreas(t *testing.T, sc *scene.Scene) map[[3]string]float64 {
	t.Helper()
	p, err := new(Memory).See(context.Background(), sc)
	if err != nil {
		t.Fatal(err)
	}
	areas := map[[3]string]float64{}
	for _, l := range p.Lobes {
		areas[[3]string{l.Sensor, l.Target, l.State}] += shoelace(l.Polygon)
	}
	return areas
}

func shoelace(p plan.Polygon) (area float64) {
	for _, ring := range p {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			area += (a[0]*b[1] - b[0]*a[1]) / 2
		}
	}
	return area
}

// At the strong end no sensor sees less, and some see more; a ball far above every beam is seen by none, one as high as the sensors
// by those that see a post there.
func TestBeamsToLookAt(t *testing.T) {
	for _, name := range []string{"first-rover", "shelf-cart"} {
		data, err := os.ReadFile("../layouts/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		sc, list := Load(name, data, assets.Kinds())
		if list.HasErrors() {
			t.Fatal(list)
		}
		usual, strong := lobeAreas(t, sc), lobeAreas(t, Beams{Strong: true}.Of(sc))
		more := false
		for k, a := range usual {
			// Both edges lie within a millimetre or two of the truth.
			if strong[k] < a-0.002*math.Sqrt(a)*4 {
				t.Errorf("%s: %v sees %.4f m2 at the strong end, %.4f m2 for certain", name, k, strong[k], a)
			}
			more = more || strong[k] > 1.02*a
		}
		if !more {
			t.Errorf("%s: nothing is seen farther at the strong end", name)
		}
		if above := lobeAreas(t, Beams{AtHeight: true, HeightM: 50}.Of(sc)); len(above) > 0 {
			t.Errorf("%s: a ball 50 m up is seen: %v", name, above)
		}
		if level := lobeAreas(t, Beams{AtHeight: true, HeightM: sc.Sensors[0].HeightM}.Of(sc)); len(level) == 0 {
			t.Errorf("%s: a ball as high as the sensors is not seen", name)
		}
	}
}
