package ways

import (
	"math"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Scenes that leave little to look for are answered all the same: nothing that wins nothing is offered, and what there is no front for
// is told.
func TestOddScenes(t *testing.T) {
	for name, make := range map[string]func(sc *scene.Scene){
		"no zones":            func(sc *scene.Scene) { sc.Zones = nil },
		"one sensor":          func(sc *scene.Scene) { sc.Sensors = sc.Sensors[:1] },
		"no sensors":          func(sc *scene.Scene) { sc.Sensors = nil },
		"as read":             func(sc *scene.Scene) { sc.Wishes.Style = plan.AsRead },
		"staggered":           func(sc *scene.Scene) { sc.Wishes.Style = plan.Staggered },
		"no budget":           func(sc *scene.Scene) { sc.Wishes.Cycle = 0 },
		"fire when they like": func(sc *scene.Scene) { sc.Kinds[0].Timing.By = scene.ByItself },
		"must fire together":  func(sc *scene.Scene) { sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}} },
		"mounted freely": func(sc *scene.Scene) {
			for i := range sc.Sensors {
				sc.Sensors[i].ArcM = math.NaN()
			}
		},
		"nothing asked of a zone": func(sc *scene.Scene) { sc.Zones[0].Share, sc.Zones[0].GapM = math.NaN(), math.NaN() },
	} {
		t.Run(name, func(t *testing.T) {
			sc := load(t, "testdata/two-beams.yaml", "")
			make(sc)
			p := whole(t, sc)
			all := find(t, sc, p)
			for _, o := range all.Out {
				if o.CycleUs[1] <= 0 || p.HasTable() && o.CycleUs[1] >= o.CycleUs[0] {
					t.Errorf("%s: %v", o.What, o.CycleUs)
				}
			}
			if len(all.Front) == 0 && all.NoFront == "" {
				t.Error("no front, and no word why")
			}
			t.Logf("%d ways out of %d us, %d limits, %s", len(all.Out), all.CycleUs, len(all.Front), all.NoFront)
			if name == "must fire together" && (all.CycleUs != 0 || len(all.Out) == 0) {
				t.Errorf("from no table: %d us, %d ways out", all.CycleUs, len(all.Out))
			}
		})
	}
}
