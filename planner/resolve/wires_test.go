package resolve

import (
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"echowright/planner/scene"
)

// wired is a layout in which every way to share a line can be tried; each test adds its wires.
const wired = `echowright: 1
around: {walls: 0.5..8 m, bounces: 2}
body: {outline: {rectangle: [1.2 m, 0.8 m], height: 80..320 mm}}
kinds:
  self: {like: open-pair-5v, timing: {by: itself, own-period: 98..102 ms}}
sensors:
  - {name: bow, count: 3, kind: open-pair-5v, at: {from: front, spread: -300..300 mm}, height: 200 mm}
  - {name: side, pair: mirror, kind: single-can-two-wire, at: {from: left}, height: 200 mm}
  - {name: tail, kind: open-pair-serial, at: {from: rear}, height: 200 mm}
  - {name: own, kind: self, at: {from: rear, left: 200 mm}, height: 200 mm}
zones:
  - {name: ahead, swept: {way: forward, reach: 1 m}, target: wall}
`

// everyWire is one wire of each sort, and motion.
const everyWire = `wires:
  - {sensors: [bow.3, bow.1], trigger: shared}
  - {sensors: [bow.1, bow.2], echo: joined}
  - {sensors: [side.left, bow.2], chained: true}
  - {sensors: side, bus: flanks, addresses: [0x30, 113], start: broadcast}
  - {sensors: [tail], bus: rear, speed: 19.2 kHz}
motion: {way: forward, speed: 0.5 m/s, reaction: 0.5 s, confirm: 2 of 3}
`

// The wires of a layout are bound to the sensors in the order named, an entry standing for all of its own.
func TestWires(t *testing.T) {
	sc := resolved(t, wired+everyWire)
	want := []scene.Wire{
		{Sensors: []int{2, 0}, TriggerShared: true},
		{Sensors: []int{0, 1}, EchoJoined: true},
		{Sensors: []int{3, 1}, Chained: true},
		{Sensors: []int{3, 4}, Bus: "flanks", SpeedHz: 100e3, TriggerShared: true},
		{Sensors: []int{5}, Bus: "rear", SpeedHz: 19.2e3},
	}
	if !reflect.DeepEqual(sc.Wires, want) {
		t.Errorf("wires %+v\nwant  %+v", sc.Wires, want)
	}
	if sc.Around.Bounces != 2 || sc.Motion == nil {
		t.Errorf("around %+v, motion %+v", sc.Around, sc.Motion)
	}
	said := false
	for _, a := range sc.Assumed {
		said = said || a.Text == "bus flanks: no speed given: 100 kHz assumed"
	}
	if !said {
		t.Errorf("the speed assumed is not named: %+v", sc.Assumed)
	}
}

// What cannot be wired so is refused once, at the place of what is wrong.
func TestWiresRefused(t *testing.T) {
	for _, c := range []struct{ wires, at, wrong, right string }{
		{"{sensors: [bow.1, bow.4], trigger: shared}", "[bow.1, ", `there is no sensor "bow.4"`, `did you mean "bow.1"?`},
		{"{sensors: [prow], bus: rear}", "sensors: [", `there is no sensor "prow"`, "sensors known: bow.1, bow.2"},
		{"{sensors: [bow, bow.2], echo: joined}", "[bow, ", `sensor "bow.2" is named twice`, "once"},
		{"{sensors: tail, chained: true}", "sensors: ", `sensor "tail" shares its line with no other`, "at least two"},
		{"{sensors: [side, bow.1], bus: rear}", "[side, ", `sensor "bow.1" is of kind "open-pair-5v", which answers by a pulse`, "two-wire bus or a serial line"},
		{"{sensors: [bow.1, own], trigger: shared}", "[bow.1, ", `sensor "own" is of kind "self", which fires by itself`, "when told"},
		{"{sensors: [own, bow.1], chained: true}", "sensors: [", "which fires by itself", ""},
		{"{sensors: [side, tail], bus: rear}", "[side, ", `bus "rear" is two-wire, sensor "tail" is serial`, "its own bus"},
		{"{sensors: side, bus: rear, addresses: [0x30]}", "addresses: ", "1 address for 2 sensors", "one for each"},
		{"{sensors: side, bus: rear, addresses: [0x30, 0x31, 0x32]}", "addresses: ", "3 addresses for 2 sensors", ""},
		{"{sensors: side, bus: rear, addresses: [0x30, 48]}", "[0x30, ", `address 0x30 on bus "rear" is already that of sensor "side.left"`, "its own"},
		{"{sensors: side.left, bus: rear, addresses: [0x30]}\n  - {sensors: side.right, bus: rear, addresses: [0x30]}", "addresses: [", `address 0x30 on bus "rear" is already that of sensor "side.left"`, ""},
		{"{sensors: side.left, bus: rear, speed: 100 kHz}\n  - {sensors: side.right, bus: rear, speed: 400 kHz}", "speed: ", `bus "rear" runs at 100 kHz elsewhere`, "one speed"},
		{"{sensors: side, bus: rear}\n  - {sensors: side.right, bus: front}", "sensors: ", `sensor "side.right" is in two buses, the first at 14:5`, ""},
		{"{sensors: [bow.1, bow.2], trigger: shared}\n  - {sensors: [bow.3, bow.1], trigger: shared}", "[bow.3, ", `sensor "bow.1" is in two groups with one trigger, the first at 14:5`, "in one wire"},
		{"{sensors: side, bus: rear, start: broadcast}\n  - {sensors: [side.left, bow.1], trigger: shared}", "sensors: [", `sensor "side.left" is in two groups with one trigger`, ""},
		{"{sensors: [bow.1, bow.2], echo: joined}\n  - {sensors: [bow.2, bow.3], echo: joined}", "sensors: [", `sensor "bow.2" is in two joined echo lines`, ""},
		{"{sensors: [bow.1, bow.2], trigger: shared, echo: joined}", "- ", `"bow.1" and "bow.2" fire together (14:5) yet share an echo line`, "part them"},
		{"{sensors: bow, trigger: shared}\n  - {sensors: [bow.3, bow.2], chained: true}", "- ", `"bow.3" and "bow.2" fire together (14:5) yet start one another`, ""},
	} {
		text := wired + "wires:\n  - " + c.wires + "\n"
		_, all, _ := faults(t, "try.yaml", []byte(text), builtin(t))
		if len(all) != 1 || !strings.Contains(all[0].Wrong, c.wrong) || !strings.Contains(all[0].Right, c.right) {
			t.Errorf("%s:\n%v\nwant %s; %s", c.wires, all, c.wrong, c.right)
			continue
		}
		if got := before(text, all[0].Line, all[0].Col); !strings.HasSuffix(got, c.at) {
			t.Errorf("%v: placed after %q, want after %q", all[0], got, c.at)
		}
	}
}

// A wire says nothing of sensors that were refused already.
func TestNoFaultOfWiresFollowsFromAnother(t *testing.T) {
	const wires = "wires:\n  - {sensors: [bow.1, tail], trigger: shared}\n  - {sensors: side, bus: rear, addresses: [0x30, 0x31]}\n"
	if _, all, _ := faults(t, "try.yaml", []byte(wired+wires), builtin(t)); len(all) > 0 {
		t.Fatal(all)
	}
	for _, c := range [][2]string{
		{"count: 3", "count: three"},
		{"name: bow", "name: 3"},
		{"{name: tail,", "{nmae: tail,"},
		{"sensors:\n", "senors:\n"},
		{"kind: open-pair-serial", "kind: open-pair-cereal"},
		{"kind: single-can-two-wire", "kind: single-can-too-wire"},
		{"at: {from: left}", "at: {from: left, forward: 3 m}"},
		{"  - {name: tail", "  - what\n  - {name: tail"},
	} {
		text := strings.Replace(wired, c[0], c[1], 1) + wires
		_, all, _ := faults(t, "try.yaml", []byte(text), builtin(t))
		for _, d := range all {
			if d.Line > strings.Count(wired, "\n")+1 || len(all) > 2 {
				t.Errorf("%s → %s:\n%v", c[0], c[1], all)
			}
		}
		if len(all) == 0 {
			t.Errorf("%s → %s: nothing is wrong", c[0], c[1])
		}
	}
}

// Motion as given, and as assumed where it is left open; none where the layout says nothing.
func TestMotion(t *testing.T) {
	given := resolved(t, wired+"motion: {way: backward, speed: 0.8 m/s, turn: -60..60 deg/s, reaction: 60 ms, deceleration: 2 m/s2, margin: 200 mm, confirm: 2 of 3}\nwishes: {style: as-read, first-warning: 1.2 s}\ncontroller: {boot: 60 ms, powered-from: reversing lamp}\n")
	want := scene.Motion{Way: scene.Backward, SpeedMS: 0.8, TurnRadS: given.Motion.TurnRadS, Reaction: 60 * time.Millisecond, DecelMS2: 2, MarginM: 0.2, Confirm: 2, Of: 3}
	turn := angle(given.Motion.TurnRadS.Hi).Degrees()
	if *given.Motion != want || given.Motion.TurnRadS.Lo != -given.Motion.TurnRadS.Hi || turn < 59.999999 || turn > 60.000001 {
		t.Errorf("motion %+v", given.Motion)
	}
	if w := given.Wishes; w.Style != "as-read" || w.FirstWarning != 1200*time.Millisecond {
		t.Errorf("wishes %+v", w)
	}
	if c := given.Controller; c.Boot != 60*time.Millisecond || c.PoweredFrom != "reversing lamp" {
		t.Errorf("controller %+v", c)
	}
	open := resolved(t, wired+"motion: {way: left, speed: 0.5 m/s}\n")
	if *open.Motion != (scene.Motion{Way: scene.Leftward, SpeedMS: 0.5, Reaction: time.Second, DecelMS2: 1, MarginM: 0.1, Confirm: 1, Of: 1}) {
		t.Errorf("motion with defaults %+v", open.Motion)
	}
	var said []string
	for _, a := range open.Assumed {
		if strings.HasPrefix(a.Key, "motion.") {
			said = append(said, a.Text)
		}
	}
	if got := strings.Join(said, "; "); got != "no confirm given: 1 of 1 assumed; no turn given: 0 deg/s assumed; no reaction given: 1 s assumed; no deceleration given: 1 m/s2 assumed; no margin given: 100 mm assumed" {
		t.Errorf("assumed of motion: %s", got)
	}
}

// The two samples of the layout tests, which have every key in them, resolve whole.
func TestFullSamples(t *testing.T) {
	for name, wires := range map[string]int{"cart": 3, "trailer": 0} {
		data, err := os.ReadFile("../layout/testdata/good/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		sc := resolved(t, string(data))
		if sc.Motion == nil || sc.Around.Bounces != 2 || len(sc.Wires) != wires {
			t.Errorf("%s: motion %+v, around %+v, wires %+v", name, sc.Motion, sc.Around, sc.Wires)
		}
	}
}
