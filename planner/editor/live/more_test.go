package live

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// searching is a runner of fake steps whose search is do, with the first question answered.
func searching(t *testing.T, f *fake, do func(ctx context.Context, w Want, found func(plan.Way)) (*plan.Ways, *plan.Margins, error)) (*Runner, chan struct{}) {
	woken := make(chan struct{}, 1)
	s := f.steps()
	s.want = func(ctx context.Context, w Want, sc *scene.Scene, p *plan.Plan, found func(plan.Way)) (*plan.Ways, *plan.Margins, error) {
		if sc.Name != p.Layout {
			t.Errorf("the plan of %s is searched with the scene of %s", p.Layout, sc.Name)
		}
		return do(ctx, w, found)
	}
	r := start(s, func() {
		select {
		case woken <- struct{}{}:
		default:
		}
	})
	t.Cleanup(r.Close)
	ask(r, 1, false)
	until(t, r, woken, 1, Advised)
	return r, woken
}

// What is known of a text is not told again with what is wanted beside; ways come as they are found, then all of them.
func TestWaysComeAsTheyAreFound(t *testing.T) {
	next := make(chan bool)
	r, woken := searching(t, &fake{}, func(_ context.Context, w Want, found func(plan.Way)) (*plan.Ways, *plan.Margins, error) {
		if w != WaysOut {
			t.Errorf("wanted %d", w)
		}
		found(plan.Way{What: "a"})
		<-next
		found(plan.Way{What: "b"})
		return &plan.Ways{CycleUs: 7}, nil, nil
	})
	r.Ask(Question{Number: 1, Text: []byte("1"), Want: WaysOut, Search: 5})
	all := until(t, r, woken, 1, Found)
	if len(all) != 1 || all[0].Way.What != "a" || all[0].Search != 5 {
		t.Fatalf("%+v", all)
	}
	next <- true
	all = until(t, r, woken, 1, Searched)
	if len(all) != 2 || all[0].Way.What != "b" || all[1].Ways.CycleUs != 7 || all[1].Search != 5 {
		t.Errorf("%+v", all)
	}
}

// A search that does not end when it is told to holds up nothing: the next text has its numbers, and nothing more is heard of the old one.
func TestASearchHoldsUpNothing(t *testing.T) {
	begun, goOn := make(chan bool), make(chan bool)
	r, woken := searching(t, &fake{}, func(ctx context.Context, _ Want, found func(plan.Way)) (*plan.Ways, *plan.Margins, error) {
		begun <- true
		<-goOn
		if ctx.Err() == nil {
			t.Error("the search was not told to end")
		}
		found(plan.Way{What: "late"})
		return &plan.Ways{}, nil, nil
	})
	r.Ask(Question{Number: 1, Text: []byte("1"), Want: WaysOut, Search: 1})
	<-begun
	ask(r, 2, true)
	until(t, r, woken, 2, Seen)
	goOn <- true
	ask(r, 3, false)
	for _, a := range until(t, r, woken, 3, Advised) {
		if a.Stage >= Found {
			t.Errorf("%+v", a)
		}
	}
	// The same question, wanting nothing, ends a search too.
	r.Ask(Question{Number: 3, Text: []byte("3"), Want: WaysOut, Search: 2})
	<-begun
	r.Ask(Question{Number: 3, Text: []byte("3")})
	for len(r.next) > 0 {
		time.Sleep(time.Millisecond)
	}
	goOn <- true
	ask(r, 4, false)
	for _, a := range until(t, r, woken, 4, Advised) {
		if a.Stage >= Found || a.Number == 3 {
			t.Errorf("%+v", a)
		}
	}
}

// A fault of a search is its answer, and the next search goes on as ever.
func TestASearchThatFails(t *testing.T) {
	fail := func() error { panic("out of range") }
	r, woken := searching(t, &fake{}, func(_ context.Context, _ Want, _ func(plan.Way)) (*plan.Ways, *plan.Margins, error) {
		return nil, nil, fail()
	})
	r.Ask(Question{Number: 1, Text: []byte("1"), Want: WaysOut, Search: 1})
	all := until(t, r, woken, 1, Searched)
	if a := all[len(all)-1]; a.Err == nil || !strings.HasPrefix(a.Err.Error(), "internal fault") {
		t.Errorf("%+v", a)
	}
	fail = func() error { return errors.New("as ever") }
	r.Ask(Question{Number: 1, Text: []byte("1"), Want: WhatBreaks, Search: 2})
	all = until(t, r, woken, 1, Searched)
	if a := all[len(all)-1]; a.Search != 2 || a.Err.Error() != "as ever" {
		t.Errorf("%+v", a)
	}
}

// A question whose plan is not there yet has it made first; both searches of a real layout are answered.
func TestSearchesOfALayout(t *testing.T) {
	text, err := layouts.FS.ReadFile("first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	woken := make(chan struct{}, 1)
	r := New(assets.Kinds(), func() {
		select {
		case woken <- struct{}{}:
		default:
		}
	})
	t.Cleanup(r.Close)
	r.Ask(Question{Number: 1, File: "rover.yaml", Text: text, Want: WaysOut, Search: 1})
	all := untilWithin(t, time.Minute, r, woken, 1, Searched)
	if got := stagesOf(all); got[0] != "1:0" || all[len(all)-1].Ways == nil {
		t.Errorf("%v, %+v", got, all[len(all)-1].Err)
	}
	r.Ask(Question{Number: 1, File: "rover.yaml", Text: text, Want: WhatBreaks, Search: 2})
	all = untilWithin(t, time.Minute, r, woken, 1, Searched)
	if a := all[len(all)-1]; len(all) != 1 || a.Margins == nil || len(a.Margins.Rows) == 0 {
		t.Errorf("%v", stagesOf(all))
	}
}
