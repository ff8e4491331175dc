package resolve

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// The name of an entry stands for each of its sensors; where none is asked, none is kept.
func TestRefresh(t *testing.T) {
	sc := resolved(t, wired+"wishes: {refresh: {bow: 60 ms, side.left: 240 ms}}\n")
	var got []time.Duration
	for i, s := range sc.Sensors {
		if d := sc.Wishes.Refresh[i]; d > 0 {
			got = append(got, d)
		} else if s.Group == "bow" || s.Name == "side.left" {
			t.Errorf("%s: no refresh", s.Name)
		}
	}
	want := []time.Duration{60 * time.Millisecond, 60 * time.Millisecond, 60 * time.Millisecond, 240 * time.Millisecond}
	if slices.Sort(got); !slices.Equal(got, want) {
		t.Errorf("%v", got)
	}
	if sc := resolved(t, wired+"wishes: {style: slots}\n"); sc.Wishes.Refresh != nil {
		t.Errorf("asked of none: %v", sc.Wishes.Refresh)
	}
}

// A refresh is refused where nobody can keep to it, once, at the place of what is wrong.
func TestRefreshRefused(t *testing.T) {
	for _, c := range []struct{ more, at, wrong, right string }{
		{"wishes: {refresh: {bow: 60 ms, bow.2: 30 ms}}\n", "bow.2: ", `sensor "bow.2" has a refresh already, at `, "once"},
		{"wishes: {refresh: {prow: 60 ms}}\n", "prow: ", `there is no sensor "prow"`, "sensors known: bow.1"},
		{"wishes: {refresh: {bow.4: 60 ms}}\n", "bow.4: ", `there is no sensor "bow.4"`, `did you mean "bow.1"?`},
		{"wishes: {refresh: {own: 60 ms}}\n", "own: ", `sensor "own" is of kind "self", which fires by itself`, "when told"},
		{"wishes: {style: as-read, refresh: {bow: 60 ms}}\n", "bow: ", "style as-read keeps no table", "slots or staggered"},
		{"wires:\n  - {sensors: [bow.1, bow.2], chained: true}\nwishes: {refresh: {bow.2: 60 ms}}\n", "bow.2: ", `sensor "bow.2" is a link of a chain`, "from the controller"},
	} {
		text := wired + c.more
		_, all, _ := faults(t, "try.yaml", []byte(text), builtin(t))
		if len(all) != 1 || !strings.Contains(all[0].Wrong, c.wrong) || !strings.Contains(all[0].Right, c.right) {
			t.Errorf("%s:\n%v\nwant %s; %s", c.more, all, c.wrong, c.right)
			continue
		}
		if got := before(text, all[0].Line, all[0].Col); !strings.HasSuffix(got, c.at) {
			t.Errorf("%v: placed after %q, want after %q", all[0], got, c.at)
		}
	}
}
