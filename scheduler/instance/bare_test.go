package instance_test

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"echowright/scheduler/instance"
)

func read(s string) (instance.Problem, error) { return instance.ReadBare(strings.NewReader(s)) }

func TestReadBare(t *testing.T) {
	want := instance.Problem{Name: "é \"x\"",
		Jobs:      []instance.Job{{CloseUs: 10}, {CloseUs: 1}, {CloseUs: 1_000_000_000_000}},
		Conflicts: [][2]int{{0, 1}, {2, 1}, {1, 0}}}
	for _, s := range []string{
		`{"name":"é \"x\"","windows_us":[10,1,1000000000000],"conflicts":[[0,1],[2,1],[1,0]]}`,
		"\ufeff{\r\n\t\"conflicts\" : [ [0 , 1],[2,1],[1,0] ],\r\n\"windows_us\":[10,1,1000000000000] , \"name\":\"\\u00e9 \\\"x\\\"\"}\r\n",
		`{"style":"slots","name":"é \"x\"","windows_us":[10,1,1000000000000],"conflicts":[[0,1],[2,1],[1,0]]}`,
	} {
		if got, err := read(s); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\n%+v, %v", s, got, err)
		}
	}
	if p, err := read(`{"windows_us":[]}`); err != nil || len(p.Jobs) != 0 {
		t.Errorf("no jobs: %+v, %v", p, err)
	}
}

func TestReadBareRefuses(t *testing.T) {
	for _, c := range []struct{ text, at, wrong string }{
		{"", "1:1", "ends too early"},
		{" \n ", "2:2", "ends too early"},
		{"{}", "1:1", "no windows_us"},
		{"[]", "1:1", "[ where { is due"},
		{strings.Repeat("[", 100_000), "1:1", "[ where { is due"},
		{`{"windows_us":` + strings.Repeat("[", 100_000), "1:16", "window ["},
		{"7", "1:1", "7 where { is due"},
		{"null", "1:1", "null where { is due"},
		{"\xff\xfe{", "1:1", "byte 0xff is no text"},
		{"{\"name\":\"\x00\"}", "1:9", "not JSON"},
		{`{"windows_us":[1,2],"conflicts":[[0,1],[1,1]]}`, "1:40", "job 1 in conflict with itself"},
		{`{"conflicts":[[0,2]],"windows_us":[1,2]}`, "1:15", "conflict with job 2, there are 2"},
		{`{"windows_us":[1,2],"conflicts":[[0,-1]]}`, "1:37", "job number -1"},
		{`{"windows_us":[1,2],"conflicts":[[0]]}`, "1:36", "job number ]"},
		{`{"windows_us":[1,2],"conflicts":[[0,1,1]]}`, "1:39", "1 where the pair should end"},
		{`{"windows_us":[1,2],"conflicts":[0,1]}`, "1:34", "0 where a pair is due"},
		{`{"windows_us":[1,2],"conflicts":{}}`, "1:33", "{ where [ is due"},
		{"{\n \"windows_us\" : [1,,2]}", "2:20", "not JSON"},
		{`{"windows_us":[1,]}`, "1:18", "not JSON"},
		{`{"windows_us":[1,"2"]}`, "1:18", `window "2"`},
		{`{"windows_us":[1,2.5]}`, "1:18", "window 2.5"},
		{`{"windows_us":[1,-3]}`, "1:18", "window -3"},
		{`{"windows_us":[0]}`, "1:16", "window 0"},
		{`{"windows_us":[1e999]}`, "1:16", "window 1e999"},
		{`{"windows_us":[NaN]}`, "1:16", "not JSON"},
		{`{"windows_us":[1000000000001]}`, "1:16", "window 1000000000001"},
		{`{"windows_us":[99999999999999999999999]}`, "1:16", "window 99999999999999999999999"},
		{`{"windows_us":[null]}`, "1:16", "window null"},
		{`{"windows_us":[1`, "1:17", "ends too early"},
		{`{"windows_us":[1]} {}`, "1:20", "more after the end"},
		{`{"windows_us":[1]} x`, "1:20", "more after the end"},
		{"{\"windows_us\":[1]\r\n,\"name\":\"é\",\"windows_us\":[2]}", "2:13", `key "windows_us" a second time`},
		{`{"window_us":[1]}`, "1:2", `unknown key "window_us"`},
		{`{"Name":"a"}`, "1:2", `unknown key "Name"`},
		{`{"name":7}`, "1:9", "7 where a text is due"},
		{`{1:2}`, "1:2", "not JSON"},
		{`{"jobs":[]}`, "1:2", `key "jobs" belongs to the whole form`},
		{`{"style":"other"}`, "1:10", `unknown style "other"`},
		{`{"windows_us":[` + strings.Repeat("1,", instance.MaxJobs) + `1]}`, fmt.Sprint("1:", 16+2*instance.MaxJobs), "more than 4096 windows"},
	} {
		_, err := read(c.text)
		var bad *instance.BadInput
		if !errors.As(err, &bad) {
			t.Errorf("%.60q: got %v, want a BadInput", c.text, err)
			continue
		}
		if at := fmt.Sprintf("%d:%d", bad.Line, bad.Col); at != c.at || !strings.HasPrefix(bad.Wrong, c.wrong) || bad.Right == "" {
			t.Errorf("%.60q: got %s %s; %s\nwant %s %s", c.text, at, bad.Wrong, bad.Right, c.at, c.wrong)
		}
	}
}

func TestTooLarge(t *testing.T) {
	_, err := read(strings.Repeat(" ", instance.MaxBytes+1))
	if err == nil || !strings.Contains(err.Error(), "more than 32 MB") {
		t.Errorf("got %v", err)
	}
}

func TestWriteBare(t *testing.T) {
	p := instance.Problem{Name: "a<b"}
	tt := instance.Timetable{CycleUs: 12, LowerBoundUs: 11, Groups: [][]int{{0, 3}, {1}, {2}}}
	for _, c := range []struct {
		t    instance.Timetable
		want string
	}{
		{tt, `{"name":"a<b","cycle_us":12,"lower_bound_us":11,"proven":false,"slots":[[0,3],[1],[2]],"seconds":0.5}`},
		{instance.Timetable{Proven: true}, `{"name":"a<b","cycle_us":0,"lower_bound_us":0,"proven":true,"slots":[],"seconds":0.5}`},
	} {
		var b strings.Builder
		if err := instance.WriteBare(&b, p, c.t, 0.5); err != nil || b.String() != c.want+"\n" {
			t.Errorf("%v\ngot  %swant %s", err, b.String(), c.want)
		}
	}
}

// Whatever is read is a valid problem; whatever is refused has a place inside the text.
func FuzzReadBare(f *testing.F) {
	for _, s := range []string{
		`{"name":"a","windows_us":[10,1,1,10],"conflicts":[[0,1],[1,2],[2,3]]}`,
		`{"windows_us":[1],"conflicts":[[0,0]]}`, `{"windows_us":[1.5e3]}`, "{", "\ufeff{}", `{"a":{"b":[[]]}}`,
		`{"style":"slots","windows_us":[]}`, "{\"name\":\"\\ud800\"}", "\x00",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := read(s)
		if err == nil {
			if err := p.Validate(); err != nil {
				t.Fatal(err)
			}
			return
		}
		var bad *instance.BadInput
		if !errors.As(err, &bad) {
			t.Fatalf("untyped error %v", err)
		}
		lines := strings.Split(strings.TrimPrefix(s, "\ufeff"), "\n")
		if bad.Line < 1 || bad.Line > len(lines) || bad.Col < 1 || bad.Col > len(lines[bad.Line-1])+1 {
			t.Fatalf("%d:%d lies outside the text", bad.Line, bad.Col)
		}
	})
}
