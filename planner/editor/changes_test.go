package editor_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"echowright/assets"
	"echowright/planner"
	"echowright/planner/editor/live"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/planner/ways"
)

// reads answers with the scene and what is seen of it alone: enough to take a way out.
type reads struct {
	memory  planner.Memory
	answers []live.Answer
	scene   *scene.Scene
}

func (r *reads) Ask(q live.Question) {
	sc, missing, faults := planner.Begin(q.File, q.Text, assets.Kinds())
	r.scene = sc
	r.answers = append(r.answers, live.Answer{Number: q.Number, Scene: sc, Missing: missing, Faults: faults})
	if sc != nil {
		p, err := r.memory.See(context.Background(), sc)
		r.answers = append(r.answers, live.Answer{Number: q.Number, Stage: live.Seen, Plan: p, Err: err})
	}
}

func (r *reads) Take() []live.Answer {
	out := r.answers
	r.answers = nil
	return out
}

// A way out that is taken is the very layout it was reckoned with: what the file then says is the scene with the changes made, for every kind of
// change, of single sensors, pairs, rows and freely placed ones. Places differ by less than half a micrometre and angles by less than
// half a millionth of a degree, as they are written in whole ones.
func TestChangesTakenAreTheChangesReckoned(t *testing.T) {
	type cs = []plan.Change
	both := func(a, b string, of plan.Change, mirrored bool) cs {
		x, y := of, of
		x.Sensor, y.Sensor = a, b
		if mirrored {
			y.LeftDeg, y.MoveM = -y.LeftDeg, -y.MoveM
		}
		return cs{x, y}
	}
	cart := string(sample(t, "shelf-cart"))
	tug := string(sample(t, "linen-tug"))
	free := strings.Replace(string(sample(t, "first-rover")), "\ntargets:", "  - {name: free, kind: open-pair-5v, at: {place: [10 mm, 20 mm]}, recessed: true, heading: 30 deg, height: 100 mm}\n\ntargets:", 1)
	one := strings.Replace(cart, "\ntargets:", "  - {name: odd, kind: skirt-pair, at: {arc: 290.3 mm}, heading: 11.3 deg outward, tilt: 2.2 deg, height: 200 mm}\n  - {name: ahead, kind: skirt-pair, at: {from: rear, left: 20 mm}, heading: 171 deg from forward, height: 200 mm}\n\ntargets:", 1)
	for i, c := range []struct {
		text    string
		changes cs
	}{
		{cart, cs{{Style: plan.Staggered}}},
		{cart, cs{{Reading: "capture", AtOnce: 3}}},
		{cart, cs{{Reading: "capture", AtOnce: 2}, {Style: plan.Staggered}}},
		{cart, cs{{Sensor: "side.left", ListenM: 0.37}}},
		{cart, both("side.left", "side.right", plan.Change{ListenM: 0.37}, true)},
		{cart, cs{{Sensor: "side.left", LeftDeg: 12.3}}},
		{cart, both("side.left", "side.right", plan.Change{LeftDeg: -7.1}, true)},
		{cart, both("side.left", "side.right", plan.Change{LeftDeg: 7.1}, false)},
		{cart, cs{{Sensor: "side.right", UpDeg: 3.7}}},
		{cart, cs{{Sensor: "side.left", MoveM: 0.07}}},
		{cart, cs{{Sensor: "side.right", MoveM: -0.07}}},
		{cart, both("side.left", "side.right", plan.Change{MoveM: 0.03}, true)},
		{cart, both("side.left", "side.right", plan.Change{MoveM: 0.03}, false)},
		{cart, cs{{Sensor: "bow-corner.left", MoveM: 0.11}}},
		{cart, cs{{Sensor: "bow-corner.right", MoveM: 0.36, LeftDeg: 10.4}}},
		{cart, cs{{Sensor: "bow.2", MoveM: 0.02}}},
		{cart, both("bow.1", "bow.2", plan.Change{MoveM: 0.02}, false)},
		{cart, both("bow.1", "bow.2", plan.Change{LeftDeg: 4.4}, false)},
		{cart, cs{{Sensor: "bow.1", LeftDeg: 4.4}}},
		{cart, cs{{Sensor: "side.left", LeftDeg: 5}, {Sensor: "side.left", ListenM: 0.5}, {Sensor: "bow.1", MoveM: -0.05}, {Style: plan.Staggered}}},
		{tug, cs{{Sensor: "bow.1", ListenM: 0.31}, {Sensor: "bow-corner.left", ListenM: 0.08}, {Sensor: "bow-corner.right", ListenM: 0.08}}},
		{tug, cs{{Sensor: "bow.2", MoveM: 0.04}}},
		{tug, both("bow.1", "bow.2", plan.Change{EveryUs: 91_500}, false)},
		{tug, cs{{Sensor: "bow.1", EveryUs: 200_000}}},
		{cart, cs{{Sensor: "side.left", EveryUs: 200_000, ListenM: 0.5}}},
		{free, cs{{Sensor: "free", LeftDeg: 12.3, UpDeg: 1.1, ListenM: 0.6}}},
		{one, cs{{Sensor: "odd", LeftDeg: 2.6}}},
		{one, cs{{Sensor: "odd", MoveM: 0.013}}},
		{one, cs{{Sensor: "odd", MoveM: 0.4}}},
		{one, cs{{Sensor: "odd", MoveM: 0.4, LeftDeg: -20.2}}},
		{one, cs{{Sensor: "ahead", LeftDeg: -2.6}}},
		{one, cs{{Sensor: "ahead", MoveM: 0.04}}},
		{one, cs{{Sensor: "ahead", MoveM: 0.4}}},
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			a := new(reads)
			d := deskWith(t, a)
			d.Load("a.yaml", []byte(c.text))
			d.Frame()
			if a.scene == nil {
				t.Fatal("the layout cannot be read")
			}
			want, err := ways.With(a.scene, c.changes...)
			if err != nil {
				t.Fatal(err)
			}
			d.MakeChanges(c.changes)
			d.Frame()
			if d.Text() == c.text || a.scene == nil {
				t.Fatalf("%+v is not made; %s", c.changes, d.Said())
			}
			if got := a.scene; got.Wishes.Style != want.Wishes.Style || got.Controller.Reading != want.Controller.Reading || got.Controller.AtOnce != want.Controller.AtOnce {
				t.Errorf("wishes %+v, controller %+v", got.Wishes, got.Controller)
			}
			if len(a.scene.Sensors) != len(want.Sensors) {
				t.Fatalf("%d sensors of %d", len(a.scene.Sensors), len(want.Sensors))
			}
			for i, got := range a.scene.Sensors {
				w := want.Sensors[i]
				const m, deg = 0.5e-6 + 1e-12, 0.5e-6 + 1e-9
				if got.At.Sub(w.At).Norm() > m || math.Abs((got.Heading-w.Heading).Normalized().Degrees()) > deg || math.Abs((got.Tilt-w.Tilt).Degrees()) > deg ||
					math.Abs(got.ListenM-w.ListenM) > m || got.HeightM != w.HeightM || got.Kind != w.Kind {
					t.Errorf("%+v: %s\n at %v, %v, tilt %v, listens to %v, but was reckoned with\n at %v, %v, tilt %v, listens to %v", c.changes, got.Name,
						got.At, got.Heading.Degrees(), got.Tilt.Degrees(), got.ListenM, w.At, w.Heading.Degrees(), w.Tilt.Degrees(), w.ListenM)
				}
			}
			if gone, come := diff(c.text, d.Text()); t.Failed() {
				t.Logf("gone %q, come %q", gone, come)
			}
			if d.key("Ctrl+Z"); d.Text() != c.text {
				t.Error("one undo does not take it back")
			}
		})
	}
}
