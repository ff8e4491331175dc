package live

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"echowright/assets"
	"echowright/planner"
	"echowright/planner/diag"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// fake steps take a while and carry the question's text through to the Plan, so that answers can be told apart.
type fake struct {
	see, whole  time.Duration
	cancelled   atomic.Int64 // whole analyses that were ended early
	begunWholes atomic.Int64
	forgotten   atomic.Int64
	workers     atomic.Int64 // coverage may use
	breaks      string       // the text whose coverage panics
}

func (f *fake) steps() steps {
	return steps{
		read: func(_ string, text []byte) (*scene.Scene, []string, diag.List) {
			if string(text) == "bad" {
				return nil, nil, diag.List{{Wrong: "bad"}}
			}
			return &scene.Scene{Name: string(text)}, []string{"zones"}, nil
		},
		see: func(ctx context.Context, sc *scene.Scene) (*plan.Plan, error) {
			if sc.Name == f.breaks {
				panic("out of range")
			}
			return f.after(ctx, f.see, sc)
		},
		whole: func(ctx context.Context, sc *scene.Scene, o planner.Options) (*plan.Plan, error) {
			f.begunWholes.Add(1)
			p, err := f.after(ctx, f.whole, sc)
			if err != nil {
				f.cancelled.Add(1)
			}
			return p, err
		},
		share:  func(workers int) { f.workers.Store(int64(workers)) },
		forget: func() { f.forgotten.Add(1) },
	}
}

func (f *fake) after(ctx context.Context, d time.Duration, sc *scene.Scene) (*plan.Plan, error) {
	select {
	case <-time.After(d):
		return &plan.Plan{Layout: sc.Name}, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// ask is a question whose text is its number.
func ask(r *Runner, n int, dragging bool) {
	r.Ask(Question{Number: n, Text: []byte(strconv.Itoa(n)), Dragging: dragging})
}

// until takes answers until one of that number and stage, or gives up after 10 s.
func until(t *testing.T, r *Runner, woken <-chan struct{}, number int, stage Stage) (all []Answer) {
	t.Helper()
	return untilWithin(t, 10*time.Second, r, woken, number, stage)
}

func untilWithin(t *testing.T, longest time.Duration, r *Runner, woken <-chan struct{}, number int, stage Stage) (all []Answer) {
	t.Helper()
	late := time.After(longest)
	for {
		for _, a := range r.Take() {
			all = append(all, a)
			if a.Number == number && a.Stage == stage {
				return all
			}
		}
		select {
		case <-woken:
		case <-late:
			t.Fatalf("no answer %d at stage %d; got %v", number, stage, stagesOf(all))
		}
	}
}

func stagesOf(all []Answer) (s []string) {
	for _, a := range all {
		s = append(s, fmt.Sprintf("%d:%d", a.Number, a.Stage))
	}
	return s
}

// started is a runner of fake steps that wakes a channel.
func started(t *testing.T, f *fake) (*Runner, chan struct{}) {
	woken := make(chan struct{}, 1)
	r := start(f.steps(), func() {
		select {
		case woken <- struct{}{}:
		default:
		}
	})
	t.Cleanup(r.Close)
	return r, woken
}

func TestStagesInOrder(t *testing.T) {
	r, woken := started(t, &fake{})
	ask(r, 1, false)
	all := until(t, r, woken, 1, Advised)
	if got := stagesOf(all); !slices.Equal(got, []string{"1:0", "1:1", "1:2", "1:3"}) {
		t.Error(got)
	}
	if a := all[0]; a.Scene == nil || len(a.Missing) != 1 || a.Plan != nil {
		t.Errorf("read: %+v", a)
	}
	for _, a := range all[1:] {
		if a.Plan == nil || a.Plan.Layout != "1" || a.Scene == nil || a.Err != nil {
			t.Errorf("%+v", a)
		}
	}
	// A hand that has not let go gets no remedies; a text with faults gets them and nothing else.
	ask(r, 2, true)
	until(t, r, woken, 2, Whole)
	r.Ask(Question{Number: 3, Text: []byte("bad")})
	until(t, r, woken, 3, Read)
	ask(r, 4, true)
	if got := stagesOf(until(t, r, woken, 4, Whole)); !slices.Equal(got, []string{"4:0", "4:1", "4:2"}) {
		t.Error(got)
	}
}

// A drag asks every 5 ms while coverage takes 30 ms and the whole much longer: numbers keep coming, each for a question that was
// the newest when its turn came, and the last question is answered whole.
func TestDragKeepsFlowing(t *testing.T) {
	f := &fake{see: 30 * time.Millisecond, whole: 300 * time.Millisecond}
	r, woken := started(t, f)
	const asked = 100
	var seen []Answer
	begun := time.Now()
	for n := 1; n <= asked; n++ {
		ask(r, n, true)
		time.Sleep(5 * time.Millisecond)
		for _, a := range r.Take() {
			if a.Stage == Seen {
				seen = append(seen, a)
			}
			if a.Stage > Seen {
				t.Errorf("answer %d at stage %d while the hand moves", a.Number, a.Stage)
			}
		}
	}
	// Of the time there was, half in coverage is little even on a busy machine; were stale coverage cancelled there would be none.
	if least := int(time.Since(begun) / f.see / 2); len(seen) < min(least, 5) {
		t.Errorf("%d coverages in a drag of %v", len(seen), time.Since(begun))
	}
	if !slices.IsSortedFunc(seen, func(a, b Answer) int { return a.Number - b.Number }) {
		t.Error("answers go back in time")
	}
	all := until(t, r, woken, asked, Whole)
	if got := all[len(all)-1]; got.Err != nil || got.Plan.Layout != strconv.Itoa(asked) {
		t.Errorf("%+v", got)
	}
}

// While a hand drags one processor is left to the frame loop, where there are two or more, and no firing plan is begun
// before it rests.
func TestDragLeavesRoom(t *testing.T) {
	f := &fake{}
	r, woken := started(t, f)
	ask(r, 1, true)
	until(t, r, woken, 1, Seen)
	if got, all := int(f.workers.Load()), runtime.GOMAXPROCS(0); got != max(1, all-1) {
		t.Errorf("%d workers of %d", got, all)
	}
	begun := time.Now()
	for n := 2; n <= 40; n++ {
		ask(r, n, true)
		if took := time.Since(begun); took > lull/2 {
			t.Skipf("%v between two questions", took) // a machine too busy to drag on
		}
		time.Sleep(5 * time.Millisecond)
		begun = time.Now()
	}
	if n := f.begunWholes.Load(); n > 0 {
		t.Errorf("%d firing plans were begun while the hand moved", n)
	}
	until(t, r, woken, 40, Whole)
	ask(r, 41, false)
	until(t, r, woken, 41, Advised)
	if n := f.workers.Load(); n != 0 {
		t.Errorf("%d workers once the hand let go", n)
	}
}

// A newer question ends a whole analysis at once, and nothing more is heard of the older one.
func TestNewestEndsTheWhole(t *testing.T) {
	f := &fake{whole: time.Hour}
	r, woken := started(t, f)
	ask(r, 1, false)
	until(t, r, woken, 1, Seen)
	for f.begunWholes.Load() == 0 {
		time.Sleep(time.Millisecond)
	}
	ask(r, 2, false)
	all := until(t, r, woken, 2, Seen)
	if got := stagesOf(all); !slices.Equal(got, []string{"2:0", "2:1"}) || f.cancelled.Load() != 1 {
		t.Error(got, f.cancelled.Load())
	}
}

// Asking never waits for what is reckoned, however long that takes, and of questions that pile up only the newest counts.
func TestAskNeverBlocks(t *testing.T) {
	f := &fake{see: 50 * time.Millisecond}
	r, woken := started(t, f)
	begun := time.Now()
	for n := 1; n <= 1000; n++ {
		ask(r, n, true)
	}
	if d := time.Since(begun); d > 5*time.Second {
		t.Errorf("1000 questions took %v to ask", d)
	}
	all := until(t, r, woken, 1000, Whole)
	if len(all) > 40 {
		t.Errorf("%d answers to questions that piled up", len(all))
	}
}

func TestFaultIsAnAnswer(t *testing.T) {
	f := &fake{breaks: "1"}
	r, woken := started(t, f)
	ask(r, 1, false)
	all := until(t, r, woken, 1, Seen)
	a := all[len(all)-1]
	if a.Err == nil || !strings.HasPrefix(a.Err.Error(), "internal fault") || a.Plan != nil || f.forgotten.Load() != 1 {
		t.Errorf("%+v, forgotten %d times", a, f.forgotten.Load())
	}
	ask(r, 2, false)
	if got := stagesOf(until(t, r, woken, 2, Advised)); got[0] != "2:0" {
		t.Errorf("after the fault: %v", got)
	}
}

// Close ends an analysis at hand and tells no more; closing and asking afterwards are harmless.
func TestCloseEndsAll(t *testing.T) {
	f := &fake{see: time.Hour}
	r, _ := started(t, f)
	ask(r, 1, false)
	time.Sleep(10 * time.Millisecond)
	r.Close()
	ask(r, 2, false)
	ask(r, 3, false)
	r.Close()
	for _, a := range r.Take() {
		if a.Stage != Read || errors.Is(a.Err, context.Canceled) {
			t.Errorf("%+v", a)
		}
	}
}

// The real steps: a layout of the demo from its text to remedies, with the time each stage took.
func TestRealLayout(t *testing.T) {
	text, err := os.ReadFile("../../../layouts/first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	woken := make(chan struct{}, 16)
	r := New(assets.Kinds(), func() { woken <- struct{}{} })
	defer r.Close()
	r.Now = time.Now
	r.Ask(Question{Number: 1, File: "rover", Text: text})
	all := until(t, r, woken, 1, Advised)
	sc, faults := planner.Load("rover", text, assets.Kinds())
	if len(faults) != len(all[0].Faults) {
		t.Errorf("%v, %v", faults, all[0].Faults)
	}
	for _, a := range all {
		if a.Err != nil || a.Took <= 0 {
			t.Fatalf("stage %d: %v, %v", a.Stage, a.Err, a.Took)
		}
	}
	want, err := planner.Analyse(context.Background(), sc, planner.Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := all[3].Plan
	if len(all[1].Plan.Coverage) != len(want.Coverage) || all[1].Plan.Coverage[0].CoveredM2 != want.Coverage[0].CoveredM2 ||
		got.Schedule.CycleUs != want.Schedule.CycleUs || len(got.Findings) != len(want.Findings) {
		t.Error("the answers are not those of the analysis")
	}
}
