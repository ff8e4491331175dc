package resolve

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"echowright/planner/scene"
)

func TestDelays(t *testing.T) {
	for text, want := range map[string]scene.Delays{
		"":                             {},
		", delays: {way: alternating}": {Way: "alternating", MoversMS: 1.6},
		", delays: {way: dithered}":    {Way: "dithered", MoversMS: 1.6, Span: 20 * time.Millisecond, Seed: 1},
		", delays: {way: dithered, movers: 0 m/s, span: 35.5 ms, seed: 7}": {Way: "dithered", Span: 35500 * time.Microsecond, Seed: 7},
	} {
		sc := resolved(t, with(t, "jitter: 0.1 ms", "jitter: 0.1 ms"+text))
		if !reflect.DeepEqual(sc.Wishes.Delays, want) {
			t.Errorf("%s: %+v, want %+v", text, sc.Wishes.Delays, want)
		}
		named := slices.ContainsFunc(sc.Assumed, func(a scene.Assumption) bool { return a.Key == "wishes.delays.movers" })
		if assumed := want.MoversMS > 0; named != assumed {
			t.Errorf("%s: the speed of movers named among the assumptions: %v", text, named)
		}
	}
}
