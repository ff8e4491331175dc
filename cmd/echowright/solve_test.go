package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"
)

// Two that hear each other late. Each keeps the other off from its firing until 30 000 − 300 = 29 700 after it,
// for sound of the one ends at 30 000 and the other opens at 300; b's sound of a begins at 700 and a's window
// is over by 9 000, so a may not fire from 8 300 before b on. Both ways: 2 · 29 700.
const twoLate = `{"name":"two","style":"staggered","jobs":[{"open_us":300,"close_us":9000,"busy_us":10000},{"open_us":300,"close_us":9000,"busy_us":10000}],` +
	`"arcs":[{"from":0,"to":1,"from_us":700,"until_us":30000},{"from":1,"to":0,"from_us":700,"until_us":30000}]}`

// The staggered form is answered in its own form and in nothing else.
func TestSolveStaggered(t *testing.T) {
	got := invoke(t, twoLate, "solve", "-")
	var a map[string]any
	if err := json.Unmarshal([]byte(got.out), &a); err != nil || got.status != exitMet {
		t.Fatalf("status %d, %v: %s%s", got.status, err, got.out, got.err)
	}
	delete(a, "seconds")
	want := map[string]any{"name": "two", "cycle_us": 59_400.0, "lower_bound_us": 59_400.0, "proven": true, "starts_us": []any{0.0, 29_700.0}}
	gotText, _ := json.Marshal(a)
	wantText, _ := json.Marshal(want)
	if string(gotText) != string(wantText) {
		t.Errorf("got  %s\nwant %s", gotText, wantText)
	}
}

func TestSolveStaggeredForms(t *testing.T) {
	for _, c := range []struct {
		in     string
		status int
		out    []string
		err    string // the whole message, where there is one
	}{
		// A ring of five equal windows: five halves of one, not three (Deuber and Zhu 1996).
		{in: `{"style":"staggered","windows_us":[2,2,2,2,2],"conflicts":[[0,1],[1,2],[2,3],[3,4],[4,0]]}`, out: []string{`"cycle_us":5,`, `"starts_us":[`}},
		{in: strings.Replace(twoLate, `"arcs"`, `"budget_us":59399,"arcs"`, 1), status: exitNotMet, out: []string{`"cycle_us":59400,`, `"met":false`, "no cycle is shorter than 59.4 ms"}},
		{in: strings.Replace(twoLate, `"arcs"`, `"guard_us":0,"arcs"`, 1), out: []string{`"cycle_us":59400,`, `"met":true`, `"why":[`}},
		// Sound that lasts for longer than any cycle so far: the cycle waits for it.
		{in: `{"style":"staggered","jobs":[{"close_us":5}],"arcs":[{"from":0,"to":0,"from_us":0,"until_us":1000000000000}]}`, out: []string{`"cycle_us":1000000000000,`, `"proven":true`}},
		// A sound of 1 us that is eleven days old and falls into a window of 1 us fired 999 999 999 995 us after it:
		// that is a multiple of 5, not of 6.
		{in: `{"style":"staggered","jobs":[{"open_us":4,"close_us":5}],"arcs":[{"from":0,"to":0,"from_us":999999999999,"until_us":1000000000000}]}`, out: []string{`"cycle_us":6,`, `"proven":true`}},
		{in: `{"style":"staggered","jobs":[{"close_us":5},{"close_us":5}],"arcs":[{"from":0,"to":1,"from_us":0,"until_us":1000000000000}]}`, out: []string{`"cycle_us":1000000000005,`, `"proven":true`}},
		{in: `{"style":"staggered","jobs":[],"arcs":[]}`, out: []string{`"starts_us":[]`, `"proven":true`}},

		{in: `{"style":"stagered","jobs":[]}`, status: 2, err: `1:10: "stagered" does not do here; style is "slots" or "staggered"`},
		{in: `{"style":"staggered","jobs":[{"close_us":5}],"budget_us":0}`, status: 2, err: "1:58: 0 does not do here; budget_us is whole microseconds, 1 to 1000000000000; leave it out for none"},
		{in: `{"style":"staggered","jobs":[{"close_us":5}],"arcs":[{"from":0,"to":1,"from_us":0,"until_us":9}]}`, status: 2, err: "1:54: arc 0: from job 0 to job 1, there are 1; an arc joins two jobs there are and ends no earlier than it begins"},
		{in: "{\"style\":\"staggered\",\n\"jobs\":[{\"close_us\":5},{\"close_us\":5}],\n\"conflicts\":[[0,1]],\"together\":[[0,1]]}", status: 2, err: "3:33: together 0: cannot be done: job 0 and job 1 must fire together, by conflict 0 they never may; a set of different jobs that nothing keeps apart"},
		{in: `{"style":"staggered","jobs":[{"close_us":5},{"close_us":5}],"order":[[0,1],[1,0]]}`, status: 2, err: "1:70: order 0: cannot be done: job 0 must come before job 1, and by other chains after it; a chain of different jobs that no other demand turns round"},
		{in: `{"style":"staggered","windows_us":[2],"jobs":[]}`, status: 2, err: `1:39: key "jobs" belongs to the whole form; give windows_us and conflicts, or jobs and arcs without windows_us`},
	} {
		got := invoke(t, c.in, "solve", "-", "--limit", "20s")
		want := c.err
		if want != "" {
			want = "standard input:" + want + "\n"
		}
		if got.status != c.status || got.err != want {
			t.Errorf("%s\nstatus %d, %q, want %d, %q", c.in, got.status, got.err, c.status, want)
		}
		for _, o := range c.out {
			if !strings.Contains(got.out, o) {
				t.Errorf("%s\n%s has no %s", c.in, got.out, o)
			}
		}
	}
}

// Among sounds as old as they may be, there are far more cycles to tell apart than can be listed: the limit
// ends that. How soon it ends depends on the machine, so only a hang is caught.
func TestSolveStaggeredLimit(t *testing.T) {
	var jobs, arcs []string
	for i := range 8 {
		jobs = append(jobs, fmt.Sprintf(`{"open_us":%d,"close_us":%d}`, i, 90+7*i))
		for j := range 8 {
			if from := 999_999_990_000 - 1_234_567_891*(i*8+j)%7_777; i != j {
				arcs = append(arcs, fmt.Sprintf(`{"from":%d,"to":%d,"from_us":%d,"until_us":%d}`, i, j, from, from+100+(i*13+j*7)%50))
			}
		}
	}
	in := fmt.Sprintf(`{"style":"staggered","jobs":[%s],"arcs":[%s]}`, strings.Join(jobs, ","), strings.Join(arcs, ","))
	began := time.Now()
	got := invoke(t, in, "solve", "-", "--limit", "1s")
	if got.status != exitMet || !strings.Contains(got.out, `"starts_us":[`) || time.Since(began) > 15*time.Second {
		t.Errorf("status %d after %v: %s%s", got.status, time.Since(began), got.out, got.err)
	}
	t.Log(got.out)
}

// A budget that no cycle keeps is answered with what clashes: a ring of five staggered is held 5 x 30 / 2 = 75 ms (Deuber and Zhu 1996),
// any four of it 60. A budget that is kept, or a bare instance, is answered as before.
func TestSolveClash(t *testing.T) {
	in := `{"style":"%s","budget_us":%d,"jobs":[{"close_us":30000},{"close_us":30000},{"close_us":30000},{"close_us":30000},{"close_us":30000},{"close_us":9000}],"conflicts":[[0,1],[1,2],[2,3],[3,4],[4,0],[5,1]]}`
	type answer struct {
		Clash []struct {
			Kind string
			Jobs []int
		}
		BoundUs  int64  `json:"clash_bound_us"`
		Smallest bool   `json:"clash_smallest"`
		Text     string `json:"clash_text"`
		Why      []string
	}
	for _, c := range []struct {
		style         string
		budget, bound int64
		status        int
	}{{"staggered", 74_999, 75_000, exitNotMet}, {"staggered", 75_000, 0, exitMet}, {"slots", 89_999, 90_000, exitNotMet}, {"slots", 90_000, 0, exitMet}} {
		got := invoke(t, fmt.Sprintf(in, c.style, c.budget), "solve", "-")
		var a answer
		if err := json.Unmarshal([]byte(got.out), &a); err != nil || got.status != c.status || len(a.Why) == 0 {
			t.Fatalf("status %d, %v: %s%s", got.status, err, got.out, got.err)
		}
		demands := 0
		if c.bound > 0 {
			demands = 10
		}
		if a.BoundUs != c.bound || len(a.Clash) != demands || a.Smallest != (demands > 0) || (a.Text != "") != a.Smallest {
			t.Errorf("%s, %d: %s", c.style, c.budget, got.out)
		}
		for _, d := range a.Clash {
			if len(d.Jobs) == 0 || d.Jobs[len(d.Jobs)-1] == 5 {
				t.Errorf("%s: %+v", c.style, d)
			}
		}
	}
}
