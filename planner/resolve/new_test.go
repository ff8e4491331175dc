package resolve

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"echowright/planner/scene"
)

func TestNewLayoutResolves(t *testing.T) {
	lookers := append([]looker{near}, far...)
	rng := rand.New(rand.NewPCG(3, 1))
	for i := range 120 {
		o := NewOptions{
			LengthM: 0.05 + 3*rng.Float64()*rng.Float64(),
			WidthM:  0.05 + 2*rng.Float64()*rng.Float64(),
			SpeedMS: 0.01 + 3*rng.Float64(),
		}
		half := math.Min(o.LengthM, o.WidthM) / 2
		o.CornerM = half * []float64{0, 0.2, 0.6, 1}[i%4]
		if i == 0 {
			o = NewOptions{}
		}
		text, err := NewLayout(o)
		if err != nil {
			t.Fatalf("%+v: %v", o, err)
		}
		sc := resolved(t, string(text))
		if m := sc.Motion; m == nil || m.Way != scene.Forward || i > 0 && math.Abs(m.SpeedMS-o.SpeedMS) > 6e-4 || m.Reaction.Seconds() != reactionS || m.DecelMS2 != brakingMS || m.MarginM != spareM {
			t.Errorf("%+v: motion %+v", o, m)
		}
		// What the lane's length was reckoned with is what the catalogue says, the longest trigger included.
		for _, s := range sc.Sensors {
			k := sc.Kinds[s.Kind]
			i := slices.IndexFunc(lookers, func(a looker) bool { return a.kind == k.Name })
			if busy := (k.Timing.TriggerToBurst.Hi + k.Timing.Burst + k.Timing.BusyWithoutEcho).Seconds(); i < 0 || math.Abs(lookers[i].busyS-busy) > 0.02*busy {
				t.Errorf("%s: busy for %g s in the catalogue", k.Name, busy)
			}
		}
		if want := max(o.LengthM, o.WidthM); i > 0 && math.Abs(max(spanOf(sc.Body.Outline))-want) > 2e-3 {
			t.Errorf("%+v: body is %v", o, max(spanOf(sc.Body.Outline)))
		}
	}
}

func TestNewLayoutRefuses(t *testing.T) {
	for _, c := range []struct {
		o    NewOptions
		want string
	}{
		{NewOptions{LengthM: -1}, "length"},
		{NewOptions{LengthM: math.NaN()}, "length"},
		{NewOptions{WidthM: math.Inf(1)}, "width"},
		{NewOptions{LengthM: 1, WidthM: 0.5, CornerM: 0.3}, "corner radius of 300 mm cannot be; give 0..250 mm"},
		{NewOptions{SpeedMS: 11}, "top speed of 11 m/s cannot be; give 0.01..10 m/s"},
	} {
		if _, err := NewLayout(c.o); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.o, err, c.want)
		}
	}
}
