package instance_test

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"echowright/scheduler/instance"
)

const staggeredForm = `{"name":"two","style":"staggered","jobs":[{"open_us":300,"close_us":9000,"busy_us":10000},{"close_us":8000}],` +
	`"arcs":[{"from":0,"to":1,"from_us":700,"until_us":30000}]}`

// The staggered form is jobs and arcs and nothing else; what says more is a whole problem.
func TestReadStaggered(t *testing.T) {
	want := instance.Problem{Name: "two", Style: instance.Staggered,
		Jobs: []instance.Job{{OpenUs: 300, CloseUs: 9000, BusyUs: 10000}, {CloseUs: 8000}},
		Arcs: []instance.Arc{{From: 0, To: 1, FromUs: 700, UntilUs: 30000}}}
	got, bare, err := readAny(staggeredForm)
	if err != nil || !bare || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, bare %v, %v", got, bare, err)
	}
	for text, wantBare := range map[string]bool{
		`{"style":"staggered","jobs":[]}`:                                            true,
		`{"jobs":[{"close_us":1}],"arcs":[]}`:                                        false, // slots
		`{"style":"staggered","jobs":[{"close_us":1,"rest_us":5}],"arcs":[]}`:        false,
		`{"style":"staggered","jobs":[{"close_us":1}],"guard_us":5}`:                 false,
		`{"style":"staggered","windows_us":[3,1],"conflicts":[[0,1]]}`:               true,
		`{"windows_us":[3,1],"style":"slots"}`:                                       true,
		`{"style":"staggered","jobs":[{"close_us":1}],"arcs":[],"conflicts":[]}`:     false,
		`{"style":"staggered","jobs":[{"name":"a","close_us":1}],"arcs":[]}`:         false,
		`{"style":"slots","jobs":[{"close_us":1}],"arcs":[],"name":"\u0073tyle"}`:    false,
		`{"\u0073tyle":"staggered","jobs":[{"close_us":1}],"arcs":[],"name":"jobs"}`: true,
	} {
		if _, bare, err := readAny(text); err != nil || bare != wantBare {
			t.Errorf("%s: bare %v, %v", text, bare, err)
		}
	}
}

func TestWriteStaggered(t *testing.T) {
	p := instance.Problem{Name: "a<b", Style: instance.Staggered, BudgetUs: 12, Jobs: make([]instance.Job, 2)}
	tt := instance.Timetable{CycleUs: 12, LowerBoundUs: 11, Firings: []instance.Firing{{Job: 1}, {Job: 0, AtUs: 7}}, Why: "one\ntwo"}
	for _, c := range []struct {
		write func(b *strings.Builder) error
		want  string
	}{
		{func(b *strings.Builder) error { return instance.WriteBare(b, p, tt, 0.5) },
			`{"name":"a<b","cycle_us":12,"lower_bound_us":11,"proven":false,"starts_us":[7,0],"seconds":0.5}`},
		{func(b *strings.Builder) error { return instance.WriteWhole(b, p, tt, 0.5, nil) },
			`{"name":"a<b","cycle_us":12,"lower_bound_us":11,"proven":false,"starts_us":[7,0],"seconds":0.5,"budget_us":12,"met":true,"why":["one","two"]}`},
		{func(b *strings.Builder) error {
			return instance.WriteBare(b, instance.Problem{Style: instance.Staggered}, instance.Timetable{Proven: true}, 0.5)
		},
			`{"name":"","cycle_us":0,"lower_bound_us":0,"proven":true,"starts_us":[],"seconds":0.5}`},
	} {
		var b strings.Builder
		if err := c.write(&b); err != nil || b.String() != c.want+"\n" {
			t.Errorf("%v\ngot  %swant %s", err, b.String(), c.want)
		}
	}
	var b strings.Builder
	if err := instance.WriteProblem(&b, p); err != nil || !strings.Contains(b.String(), `"style":"staggered"`) {
		t.Errorf("%v %s", err, b.String())
	}
}

func TestUnknownStyle(t *testing.T) {
	var f *instance.Fault
	for _, s := range []instance.Style{-1, 2} {
		if err := (instance.Problem{Style: s}).Validate(); !errors.As(err, &f) {
			t.Errorf("style %d: %v", s, err)
		}
	}
}
