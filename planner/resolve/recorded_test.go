package resolve

import (
	"slices"
	"strings"
	"testing"

	"echowright/planner/layout"
)

// What a layout writes and nothing reckons with is named, one text for each reason, and nothing else is.
func TestRecorded(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"", "", ""},
		{"jitter: 0.1 ms}", "jitter: 0.1 ms}\ntolerance: {heading: 3 deg}", "tolerance.heading is noted; mounting errors are not reckoned with yet"},
		{"jitter: 0.1 ms}", "jitter: 0.1 ms}\ntolerance: {heading: 0 deg, tilt: 1 deg, place: 2 mm}", "tolerance.tilt and tolerance.place are noted; mounting errors are not reckoned with yet"},
		{"jitter: 0.1 ms}", "jitter: 0.1 ms}\ntolerance: {threshold: 3 dB}", ""},
		{"reading: blocking", "reading: capture", ""},
		{"bounces: 1", "bounces: 2", ""},
		{"jitter: 0.1 ms}", "jitter: 0.1 ms}\nmotion: {way: forward, speed: 0.5 m/s}", ""},
		{"jitter: 0.1 ms}", "jitter: 0.1 ms}\nwires: [{sensors: side, bus: flanks, speed: 19.2 kHz}]", "wires.1.speed is noted; how long an answer is fetched is taken from its kind's transfer"},
		{"style: slots", "style: as-read", ""},
		{"reading: blocking", "reading: blocking, powered-from: reversing lamp, boot: 60 ms", "controller.powered-from is noted; the time to the first warning counts from power on, whatever feeds it"},
		{"blind: 40 mm}", "blind: {value: 40 mm, spread: 5 mm}}", "kinds.mine.blind.spread is noted; only the spread of the carrier is reckoned with yet"},
		{"blind: 40 mm}", "range: {value: 4 m, spread: 0.2 m}, carrier: {value: 40 kHz, spread: 1 kHz}}", "kinds.mine.range.spread is noted; only the spread of the carrier is reckoned with yet"},
		{"blind: 40 mm}", "timing: {rest: {value: 9 ms, spread: 1 ms}, burst: {value: 8 cycles, spread: 1 cycles}}, pin-level: {value: 5 V, spread: 0.1 V}, beam: {horizontal: {value: 60 deg, spread: 2 deg}, vertical: {value: 60 deg, spread: 2 deg}}}",
			"kinds.mine.beam.horizontal.spread, kinds.mine.beam.vertical.spread, kinds.mine.pin-level.spread and 2 more are noted; only the spread of the carrier is reckoned with yet"},
		{"surface: cloth}", "loss: {value: 6 dB, spread: 1 dB}}", "targets.leg.loss.spread is noted; the loss is taken as given"},
		{"left: 50 mm}, height: 200 mm", "left: 50 mm}, pair-axis: upright, height: 200 mm", "sensors.eye.pair-axis is noted; the beam is taken as its kind gives it, whichever way the pair is turned"},
	} {
		text := base
		if c.from != "" {
			text = with(t, c.from, c.to)
		}
		text = strings.Replace(text, "{clock: 16 MHz, ", "{", 1)
		if got := strings.Join(resolved(t, text).Recorded, "\n"); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.to, got, c.want)
		}
	}
	if got := resolved(t, base).Recorded; len(got) != 1 || !strings.HasPrefix(got[0], "controller.clock is noted") {
		t.Errorf("a clock: %q", got)
	}
}

// Every path of the table of silent keys is one of the format: the value itself or its spread.
func TestSilentKeysAreOfTheFormat(t *testing.T) {
	var known []string
	for _, r := range layout.Table() {
		known = append(known, r.Path)
		if r.Sourced {
			known = append(known, r.Path+".spread", r.Path+"[].spread")
		}
	}
	for _, s := range silents {
		for _, k := range s.keys {
			if !slices.Contains(known, k) {
				t.Errorf("%s is no key", k)
			}
		}
	}
}

// Defaults are named as a file would write them, counts and flags without a unit.
func TestDefaultsInWords(t *testing.T) {
	text := with(t, ", bounces: 1}", "}")
	text = strings.Replace(text, ", at-once: 1", "", 1)
	text = strings.Replace(text, "{like: open-pair-5v, blind: 40 mm}", "{range: 3 m}", 1)
	sc := resolved(t, text)
	var said []string
	for _, a := range sc.Assumed {
		said = append(said, a.Text)
	}
	for _, want := range []string{"no bounces given: 1 assumed", "no at-once given: 1 assumed", "kind mine: no window-settable given: false assumed"} {
		if !slices.Contains(said, want) {
			t.Errorf("%q is not among %q", want, said)
		}
	}
}
