package coverage

import (
	"context"
	"reflect"
	"testing"

	"echowright/planner/scene"
)

// kept is how many results a memory holds.
func (m *Memory) kept() int {
	return m.reaches.Len() + m.readings.Len() + m.hearings.Len() + m.views.Len() + m.sites.Len() + m.surveys.Len() + m.discs.Len() + m.strips.Len() +
		m.remedies.Len() + m.patches.Len()
}

// A drag asks for what is new alone, keeps no more after many steps than after some, and gives what a fresh analysis gives.
func TestMemoryOfADrag(t *testing.T) {
	sc := cart(8)
	var m Memory
	early, most := 0, 0
	const steps = 24
	for k := range steps {
		c := *sc
		c.Sensors = append([]scene.Sensor(nil), sc.Sensors...)
		c.Sensors[2].At.Y += 1e-3 * float64(k)
		in := listenAll(t, &c, 1.2)
		in.Advise = false
		fresh := analyse(&c, in)
		in.Memory = &m
		r, err := Analyse(context.Background(), &c, in)
		if err != nil {
			t.Fatal(err)
		}
		if k > 0 && m.hearings.Fresh() != len(sc.Sensors) {
			t.Errorf("%d hearings used, %d sensors", m.hearings.Fresh(), len(sc.Sensors))
		}
		m.Turn()
		if !reflect.DeepEqual(r, fresh) {
			t.Fatalf("step %d: the result is not that of a fresh analysis", k)
		}
		if n := m.kept(); k == steps/3 {
			early = n
		} else if k > steps/3 {
			most = max(most, n)
		}
	}
	// Pieces of the blind region come and go with the place, so the count sways; a leak would double it.
	if most > early*3/2 {
		t.Errorf("%d results kept after a third of the drag, later up to %d", early, most)
	}
}

// What is seen by a sensor that moves is made anew, and of the others nothing is.
func TestMemoryHearsOnlyTheMoved(t *testing.T) {
	sc := cart(8)
	var m Memory
	in := listenAll(t, sc, 1.2)
	in.Memory = &m
	if _, err := Analyse(context.Background(), sc, in); err != nil {
		t.Fatal(err)
	}
	m.Turn()
	before := m.hearings.Len()
	c := *sc
	c.Sensors = append([]scene.Sensor(nil), sc.Sensors...)
	c.Sensors[5].Heading += 0.1
	in = listenAll(t, &c, 1.2)
	in.Memory = &m
	if _, err := Analyse(context.Background(), &c, in); err != nil {
		t.Fatal(err)
	}
	if more := m.hearings.Len() - before; more != 1 {
		t.Errorf("%d hearings made anew for one sensor turned and one target", more)
	}
}
