package margins

import (
	"slices"
	"testing"
	"time"

	"echowright/planner/scene"
)

// How often a sensor shall fire stays its own when one before it is gone.
func TestRefreshStaysWithItsSensor(t *testing.T) {
	sc := &scene.Scene{Sensors: []scene.Sensor{{Name: "a"}, {Name: "b"}, {Name: "c"}}}
	sc.Wishes.Refresh = []time.Duration{1, 0, 3}
	if got := without(sc, []int{0}).Wishes.Refresh; !slices.Equal(got, []time.Duration{0, 3}) {
		t.Errorf("without a: %v", got)
	}
	if got := without(sc, []int{1}).Wishes.Refresh; !slices.Equal(got, []time.Duration{1, 3}) {
		t.Errorf("without b: %v", got)
	}
	if !slices.Equal(sc.Wishes.Refresh, []time.Duration{1, 0, 3}) {
		t.Error("the scene itself is changed")
	}
}
