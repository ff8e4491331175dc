package instance_test

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"echowright/scheduler/instance"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

var update = flag.Bool("update", false, "write problem.schema.json anew")

func readAny(s string) (instance.Problem, bool, error) { return instance.Read(strings.NewReader(s)) }

const full = `{
 "name": "bench", "style": "slots",
 "jobs": [
  {"name": "a", "open_us": 300, "close_us": 10000, "busy_us": 12000, "transfer_us": 500, "rest_us": 20000},
  {"close_us": 9000}, {"close_us": 8000}, {"close_us": 7000}
 ],
 "arcs": [{"from": 0, "to": 2, "from_us": 700, "until_us": 10500}, {"to": 3, "from": 3, "from_us": 0, "until_us": 0}],
 "conflicts": [[2, 3]], "together": [[0, 1]], "order": [[0, 2, 3]],
 "resources": [{"name": "port", "capacity": 1, "uses": [{"job": 0, "amount": 1, "from_us": 12000, "until_us": 12500}]}],
 "at_once": 2, "guard_us": 200, "jitter_us": 50, "budget_us": 90000
}`

func TestRead(t *testing.T) {
	want := instance.Problem{
		Name: "bench",
		Jobs: []instance.Job{{Name: "a", OpenUs: 300, CloseUs: 10000, BusyUs: 12000, TransferUs: 500, RestUs: 20000},
			{CloseUs: 9000}, {CloseUs: 8000}, {CloseUs: 7000}},
		Arcs:      []instance.Arc{{From: 0, To: 2, FromUs: 700, UntilUs: 10500}, {From: 3, To: 3}},
		Conflicts: [][2]int{{2, 3}}, Together: [][]int{{0, 1}}, Order: [][]int{{0, 2, 3}},
		Resources: []instance.Resource{{Name: "port", Capacity: 1, Uses: []instance.Use{{Job: 0, Amount: 1, FromUs: 12000, UntilUs: 12500}}}},
		AtOnce:    2, GuardUs: 200, JitterUs: 50, BudgetUs: 90000,
	}
	got, bare, err := readAny(full)
	if err != nil || bare || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, bare %v, %v", got, bare, err)
	}
	if p, bare, err := readAny(`{"windows_us":[1]}`); err != nil || !bare || len(p.Jobs) != 1 {
		t.Errorf("bare: %+v, %v, %v", p, bare, err)
	}
	if p, bare, err := readAny("\ufeff" + `{"jobs":[]}`); err != nil || bare || len(p.Jobs) != 0 {
		t.Errorf("no jobs: %+v, %v, %v", p, bare, err)
	}
}

// Every fault has its place. Those marked are refused by the schema too.
var refused = []struct {
	text, at, wrong string
	schema          bool
}{
	{`{"jobs":[{"close_us":1}],"guard":7}`, "1:26", `unknown key "guard"`, true},
	{`{"jobs":[{"close_us":1}],"jobs":[]}`, "1:26", `key "jobs" a second time`, false},
	{`{"jobs":[{"open_us":1}]}`, "1:10", "no close_us", true},
	{`{"jobs":[{"close_us":-1}]}`, "1:22", "-1 does not do", true},
	{`{"jobs":[{"close_us":0}]}`, "1:10", "job 0: takes no time", false},
	{`{"jobs":[{"close_us":1.5}]}`, "1:22", "1.5 does not do", true},
	{`{"jobs":[{"close_us":"1"}]}`, "1:22", `"1" does not do`, true},
	{`{"jobs":[{"close_us":1000000000001}]}`, "1:22", "1000000000001 does not do", true},
	{"{\"jobs\":[{\"close_us\":1},\n {\"open_us\":3,\"close_us\":2}]}", "2:2", "job 1: listens from 3 to 2 us", false},
	{`{"jobs":7}`, "1:9", "7 does not do", true},
	{`{"jobs":[[]]}`, "1:10", "[ does not do", true},
	{`{"jobs":[{"close_us":1}],"arcs":[{"from":0,"to":1,"from_us":0,"until_us":1}]}`, "1:34", "arc 0: from job 0 to job 1", false},
	{`{"jobs":[{"close_us":1}],"arcs":[{"from":0,"to":0,"from_us":2,"until_us":1}]}`, "1:34", "arc 0: arrives from 2 to 1", false},
	{`{"jobs":[{"close_us":1}],"arcs":[{"from":0,"to":0,"until_us":1}]}`, "1:34", "no from_us", true},
	{`{"jobs":[{"close_us":1},{"close_us":1}],"conflicts":[[0,1],[1,1]]}`, "1:60", "conflict 1: job 1 with itself", false},
	{`{"jobs":[{"close_us":1},{"close_us":1}],"conflicts":[[0,1,1]]}`, "1:59", "more than 2", true},
	{`{"jobs":[{"close_us":1},{"close_us":1}],"conflicts":[[0]]}`, "1:54", "a list of 1", true},
	{`{"jobs":[{"close_us":1},{"close_us":1}],"together":[[0,2]]}`, "1:53", "together 0: job 2, there are 2", false},
	{`{"jobs":[{"close_us":1},{"close_us":1}],"order":[[0,0]]}`, "1:50", "order 0: job 0 twice", false},
	{`{"jobs":[{"close_us":1},{"close_us":1}],"conflicts":[[0,1]],"together":[[1,0]]}`, "1:73", "together 0: cannot be done: job 0 and job 1 must fire together", false},
	{`{"jobs":[{"close_us":1},{"close_us":1}],"order":[[0,1],[1,0]]}`, "1:50", "order 0: cannot be done", false},
	{`{"jobs":[{"close_us":1}],"resources":[{"capacity":0,"uses":[]}]}`, "1:51", "0 does not do", true},
	{`{"jobs":[{"close_us":1}],"resources":[{"capacity":1,"uses":[{"job":0,"amount":2,"from_us":0,"until_us":1}]}]}`, "1:39", "resource 0: cannot be done: resource 0 gives out 1, job 0 needs more", false},
	{`{"jobs":[{"close_us":1}],"resources":[{"capacity":1,"uses":[{"job":3,"amount":1,"from_us":0,"until_us":1}]}]}`, "1:61", "resource 0 use 0: job 3", false},
	{`{"jobs":[{"close_us":1}],"resources":[{"capacity":1,"uses":[{"job":0,"amount":1,"from_us":1,"until_us":1}]}]}`, "1:61", "resource 0 use 0: in use from 1 to 1", false},
	{`{"jobs":[{"close_us":1}],"budget_us":0}`, "1:38", "0 does not do", true},
	{`{"jobs":[{"close_us":1}],"at_once":0}`, "1:36", "0 does not do", true},
	{`{"style":"other","jobs":[]}`, "1:10", `"other" does not do`, true},
	{`{"jobs":[{"close_us":1}],"windows_us":[1]}`, "1:2", `key "jobs" belongs to the whole form`, true},
	{`{"jobs":[{"close_us":1}`, "1:24", "ends too early", true},
}

func TestReadRefuses(t *testing.T) {
	for _, c := range refused {
		_, _, err := readAny(c.text)
		var bad *instance.BadInput
		if !errors.As(err, &bad) {
			t.Errorf("%s: got %v, want a BadInput", c.text, err)
			continue
		}
		if at := fmt.Sprintf("%d:%d", bad.Line, bad.Col); at != c.at || !strings.HasPrefix(bad.Wrong, c.wrong) || bad.Right == "" {
			t.Errorf("%s: got %s %s; %s\nwant %s %s", c.text, at, bad.Wrong, bad.Right, c.at, c.wrong)
		}
	}
}

// The committed schema is the table's, takes what the reader takes, and refuses what it can.
func TestSchema(t *testing.T) {
	if *update {
		if err := os.WriteFile("problem.schema.json", instance.Schema(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile("problem.schema.json")
	if err != nil || !bytes.Equal(data, instance.Schema()) {
		t.Fatalf("problem.schema.json is not what the table says (go test ./scheduler/instance -update): %v", err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("problem.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("problem.json")
	if err != nil {
		t.Fatal(err)
	}
	valid := func(text string) error {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			return err
		}
		return schema.Validate(v)
	}
	for _, text := range []string{full, `{"jobs":[]}`} {
		if err := valid(text); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
	for _, r := range refused {
		if err := valid(r.text); (err != nil) != r.schema {
			t.Errorf("%s: schema says %v", r.text, err)
		}
	}
}

func TestWriteWhole(t *testing.T) {
	p := instance.Problem{Name: "a<b", BudgetUs: 11, Jobs: make([]instance.Job, 2)}
	tt := instance.Timetable{CycleUs: 12, LowerBoundUs: 12, Proven: true, Groups: [][]int{{1}, {0}},
		Firings: []instance.Firing{{Job: 1}, {Job: 0, AtUs: 7}}, Why: "one\ntwo"}
	want := `{"name":"a<b","cycle_us":12,"lower_bound_us":12,"proven":true,"slots":[[1],[0]],"seconds":0.5,` +
		`"starts_us":[7,0],"budget_us":11,"met":false,"why":["one","two"]}` + "\n"
	var b strings.Builder
	if err := instance.WriteWhole(&b, p, tt, 0.5, nil); err != nil || b.String() != want {
		t.Errorf("%v\ngot  %swant %s", err, b.String(), want)
	}
}

// What is written of a problem reads as the same problem.
func TestWriteProblem(t *testing.T) {
	for _, text := range []string{full, `{"jobs":[]}`, `{"windows_us":[3,4],"conflicts":[[0,1]]}`} {
		p, _, err := readAny(text)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := instance.WriteProblem(&b, p); err != nil {
			t.Fatal(err)
		}
		again, isBare, err := readAny(b.String())
		if err != nil || isBare {
			t.Fatalf("%s: %v, bare %t", b.String(), err, isBare)
		}
		if fmt.Sprintf("%+v", p) != fmt.Sprintf("%+v", again) {
			t.Errorf("%s\nreads as %+v\nnot as   %+v", b.String(), again, p)
		}
	}
}

// Whatever is read is valid and possible; whatever is refused has a place inside the text.
func FuzzRead(f *testing.F) {
	f.Add(full)
	for _, r := range refused {
		f.Add(r.text)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, _, err := readAny(s)
		if err == nil {
			if err := errors.Join(p.Validate(), p.Possible()); err != nil {
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
