package main

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

// Unit windows, one at once, each at least once in every so many: 1 2 3 1 4 2 1 3 is the shortest way to go on for ever
// with 3, 4, 5, 8 (density 0.908), and there is none with 3, 4, 5, 6.
const pinwheel = `{"name":"pinwheel","style":"STYLE","at_once":1,"jobs":[{"close_us":10,"every_us":30},{"close_us":10,"every_us":40},
 {"close_us":10,"every_us":50},{"close_us":10,"every_us":LAST}]}`

func TestSolveEvery(t *testing.T) {
	for _, style := range []string{"slots", "staggered"} {
		in := strings.Replace(pinwheel, "STYLE", style, 1)
		got := invoke(t, strings.Replace(in, "LAST", "80", 1), "solve", "-")
		var a struct {
			Proven    bool
			Cycle     int64     `json:"cycle_us"`
			FiringsUs [][]int64 `json:"firings_us"`
			WidestUs  []int64   `json:"widest_us"`
			Why       []string
		}
		if err := json.Unmarshal([]byte(got.out), &a); err != nil || got.status != exitMet {
			t.Fatalf("status %d, %v: %s%s", got.status, err, got.out, got.err)
		}
		var times []int
		for _, us := range a.FiringsUs {
			times = append(times, len(us))
		}
		if a.Cycle != 80 || !a.Proven || !reflect.DeepEqual(times, []int{3, 2, 2, 1}) || len(a.Why) < 2 {
			t.Errorf("%s", got.out)
		}
		for j, us := range []int64{30, 40, 50, 80} {
			if a.WidestUs[j] > us {
				t.Errorf("job %d: %d us at the widest, asked for %d", j, a.WidestUs[j], us)
			}
		}
		got = invoke(t, strings.Replace(in, "LAST", "60", 1), "solve", "-")
		if got.status != 2 || !strings.HasPrefix(got.err, "standard input:1:") || !strings.Contains(got.err, "cannot be done") || !strings.Contains(got.err, "; give every_us") {
			t.Errorf("status %d: %s%s", got.status, got.out, got.err)
		}
	}
}

func TestSolveEveryRefused(t *testing.T) {
	for _, c := range [][2]string{
		{`{"jobs":[{"close_us":5,"every_us":0}]}`, "1:35: 0 does not do here; every_us is whole microseconds, 1 to 1000000000000; leave it out for once a cycle"},
		{`{"jobs":[{"close_us":5,"every_us":-3}]}`, "1:35: -3 does not do here; every_us is whole microseconds, 1 to 1000000000000; leave it out for once a cycle"},
		{"{\"jobs\":[{\"close_us\":5},\n{\"close_us\":9,\"every_us\":8}]}", "2:1: job 1: cannot be done: job 1 asks to fire every 8 us, and it cannot fire again before 9 us: it is occupied or rests until then; give every_us that the windows, and the turns of others, leave time for"},
		{`{"jobs":[{"close_us":5,"every_us":9},{"close_us":5}],"conflicts":[[0,1]]}`, "1:10: job 0: cannot be done: job 0 asks to fire every 9 us, and a firing of job 1 between two of its own needs 5 us + 5 us = 10 us; give every_us that the windows, and the turns of others, leave time for"},
		{`{"style":"staggered","windows_us":[2],"every_us":[3]}`, `1:39: unknown key "every_us"; the keys are name, windows_us, conflicts; or jobs and those that solve --schema lists`},
	} {
		if got := invoke(t, c[0], "solve", "-"); got.status != 2 || got.err != "standard input:"+c[1]+"\n" {
			t.Errorf("%s\nstatus %d, %q, want %q", c[0], got.status, got.err, c[1])
		}
	}
}
