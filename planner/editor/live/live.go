// Package live analyses a layout beside the frame loop: in go questions, each the text of a layout as it stands now, out
// come answers as they are reached.
//
//	Ask ─► newest question ─► one goroutine: read ─► see ─► whole ─► advised
//	                                          │      │       │         │
//	Take ◄─ answers, oldest first ◄───────────┴──────┴───────┴─────────┘
//
// A question that wants more than the plan has a search after that, on a goroutine of its own; see more.go.
//
// Only the newest question waits, and it ends what is still reckoned for the one before, but never its coverage: were that
// cut short too, a drag that asks more often than coverage takes would never show a number. While a hand drags, one processor
// of several is left to the frame loop, and the firing plan waits until the hand rests.
package live

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"time"

	"echowright/planner"
	"echowright/planner/diag"
	"echowright/planner/layout"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Question asks for the analysis of a text.
type Question struct {
	Number   int // of the asker's choosing; its answers carry it
	File     string
	Text     []byte        // not to be changed afterwards
	Dragging bool          // the hand has not let go: no remedies are tried
	Beams    planner.Beams // to look at, beside those that decide
	Want     Want          // beside the plan; with it the number is that of the question whose plan it is about
	Search   int           // of the asker's choosing: answers to what is wanted carry it
}

// Stage is how far an answer goes. The stages of a question come in this order; those that a newer question overtakes do not
// come at all.
type Stage int

// The stages.
const (
	Read     Stage = iota // the text is read: Faults, Missing and the Scene, nil where there is none and then nothing follows
	Seen                  // Plan tells what is seen and no more
	Whole                 // Plan is whole but for remedies that are tried
	Advised               // Plan has those too; only when not Dragging
	Found                 // Way is a way out, as it was found
	Searched              // Ways or Margins, whichever was wanted: the search is over
)

// Answer is what was found of a question at one stage.
type Answer struct {
	Number  int
	Stage   Stage
	Faults  diag.List
	Missing []string // what a half-built machine lacks
	Scene   *scene.Scene
	Plan    *plan.Plan // from Seen on
	// Pairs and Own are what Plan.DisturbedPairs tells, from Whole on: counting takes long with many sensors.
	Pairs, Own int
	// Beams are the lobes the question asked for to look at, at the stage Seen; nil where it asked for those of Plan.
	Beams []plan.Lobe
	// Err says that the stage failed; no other follows, and Plan is nil. A panic of the analysis comes as one that begins
	// with "internal fault", the place of it on the lines after the first.
	Err  error
	Took time.Duration // for this stage; 0 where Runner.Now is not set

	// Of what was wanted beside the plan, Plan then being nil.
	Search  int
	Way     plan.Way
	Ways    *plan.Ways
	Margins *plan.Margins
}

// Runner answers questions one at a time on a goroutine of its own.
type Runner struct {
	// Now tells the time for Answer.Took. It may be set before the first Ask.
	Now func() time.Time

	wake  func()
	steps steps
	next  chan Question // the newest question, while it waits
	life  context.Context
	close context.CancelFunc
	done  chan struct{}
	kept  Answer         // the last at stage Advised
	more  sync.WaitGroup // searches under way

	mu      sync.Mutex
	answers []Answer
	drop    context.CancelFunc // ends the later stages of the question at hand
}

// steps is what a question takes; tests put slower ones in.
type steps struct {
	read  func(file string, text []byte) (*scene.Scene, []string, diag.List)
	see   func(ctx context.Context, sc *scene.Scene) (*plan.Plan, error)
	whole func(ctx context.Context, sc *scene.Scene, o planner.Options) (*plan.Plan, error)
	beams func(ctx context.Context, sc *scene.Scene, b planner.Beams) ([]plan.Lobe, error)
	// want does a search about a scene and its plan; found is called for every way out.
	want func(ctx context.Context, w Want, sc *scene.Scene, p *plan.Plan, found func(plan.Way)) (*plan.Ways, *plan.Margins, error)
	// share sets how many processors coverage may use from then on; 0 is all.
	share func(workers int)
	// forget drops what is remembered between questions, after a fault that may have left it half done.
	forget func()
}

// New starts a runner. kinds are the built-in kinds of module. wake is called after each answer, from another
// goroutine; it must not block and may be nil.
func New(kinds []byte, wake func()) *Runner {
	memory, others := new(planner.Memory), new(planner.Memory)
	builtIn, bad := layout.ParseKinds("built-in kinds", kinds)
	return start(steps{
		read: func(file string, text []byte) (*scene.Scene, []string, diag.List) {
			if bad.HasErrors() {
				return nil, nil, bad
			}
			return planner.BeginWith(file, text, builtIn)
		},
		see: func(ctx context.Context, sc *scene.Scene) (*plan.Plan, error) { return memory.See(ctx, sc) },
		whole: func(ctx context.Context, sc *scene.Scene, o planner.Options) (*plan.Plan, error) {
			return memory.Analyse(ctx, sc, o)
		},
		beams: func(ctx context.Context, sc *scene.Scene, b planner.Beams) ([]plan.Lobe, error) {
			p, err := others.See(ctx, b.Of(sc))
			if err != nil {
				return nil, err
			}
			return append([]plan.Lobe{}, p.Lobes...), nil // none is not nil
		},
		want:   search,
		share:  func(workers int) { memory.Workers, others.Workers = workers, workers },
		forget: func() { memory, others = new(planner.Memory), new(planner.Memory) },
	}, wake)
}

func start(s steps, wake func()) *Runner {
	r := &Runner{wake: wake, steps: s, next: make(chan Question, 1), done: make(chan struct{}), drop: func() {}}
	r.life, r.close = context.WithCancel(context.Background())
	go r.run()
	return r
}

// Ask puts a question in the place of whatever waits, and ends what is reckoned for the one at hand after its
// coverage. It does not block.
func (r *Runner) Ask(q Question) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.drop()
	select {
	case <-r.next:
	default:
	}
	r.next <- q // only Ask fills it, one at a time, so there is room
}

// Take returns the answers found since the last call, in the order they were found. It does not block.
func (r *Runner) Take() []Answer {
	r.mu.Lock()
	defer r.mu.Unlock()
	found := r.answers
	r.answers = nil
	return found
}

// Close ends all work and waits for the goroutine. Questions asked later are not answered.
func (r *Runner) Close() {
	r.close()
	<-r.done
	r.more.Wait()
}

func (r *Runner) run() {
	defer close(r.done)
	for {
		select {
		case <-r.life.Done():
			return
		case q := <-r.next:
			r.answer(q)
		}
	}
}

// answer takes a question through its stages.
func (r *Runner) answer(q Question) {
	later := r.begin()
	if r.kept.Plan != nil && r.kept.Number == q.Number { // the text is the same: only what is wanted beside the plan is new
		r.look(later, q)
		return
	}
	a := Answer{Number: q.Number}
	stage := func(s Stage, do func() (*plan.Plan, error)) bool {
		begun := r.now()
		a.Stage = s
		a.Plan, a.Err = r.guarded(do)
		a.Took = r.now().Sub(begun)
		if r.life.Err() != nil || s > Seen && later.Err() != nil {
			return false // overtaken
		}
		r.tell(a)
		return a.Err == nil
	}
	read := stage(Read, func() (*plan.Plan, error) {
		a.Scene, a.Missing, a.Faults = r.steps.read(q.File, q.Text)
		return nil, nil
	})
	if !read || a.Scene == nil {
		return
	}
	r.steps.share(workers(q.Dragging))
	seen := stage(Seen, func() (p *plan.Plan, err error) {
		if p, err = r.steps.see(r.life, a.Scene); err == nil && q.Beams != (planner.Beams{}) {
			a.Beams, err = r.steps.beams(r.life, a.Scene, q.Beams)
		}
		return p, err
	})
	if !seen || later.Err() != nil {
		return
	}
	if q.Dragging && !rests(later) {
		return
	}
	count := func(p *plan.Plan, err error) (*plan.Plan, error) {
		if a.Pairs, a.Own = 0, 0; err == nil && p != nil {
			a.Pairs, a.Own = p.DisturbedPairs()
		}
		return p, err
	}
	whole := stage(Whole, func() (*plan.Plan, error) {
		return count(r.steps.whole(later, a.Scene, planner.Options{Quick: true}))
	})
	if whole && !q.Dragging && stage(Advised, func() (*plan.Plan, error) { return count(r.steps.whole(later, a.Scene, planner.Options{})) }) {
		r.kept = a
		r.look(later, q)
	}
}

// workers is on how many processors coverage is reckoned; 0 is all.
func workers(dragging bool) int {
	if dragging {
		return max(1, runtime.GOMAXPROCS(0)-1)
	}
	return 0
}

// lull is how long a hand that drags must rest for the firing plan to be worth beginning: moves of a mouse come every 8 to 16 ms
// (common practice, no source).
const lull = 60 * time.Millisecond

// rests waits for the hand to rest; false when a newer question comes before.
func rests(later context.Context) bool {
	select {
	case <-later.Done():
		return false
	case <-time.After(lull):
		return true
	}
}

// begin makes the context of the later stages of the question just taken, ended at once where another waits already.
func (r *Runner) begin() context.Context {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.drop()
	later, drop := context.WithCancel(r.life)
	r.drop = drop
	if len(r.next) > 0 {
		drop()
	}
	return later
}

func (r *Runner) tell(a Answer) {
	r.mu.Lock()
	r.answers = append(r.answers, a)
	r.mu.Unlock()
	if r.wake != nil {
		r.wake()
	}
}

func (r *Runner) now() time.Time {
	if r.Now == nil {
		return time.Time{}
	}
	return r.Now()
}

// guarded turns a panic into an error: a fault of the analysis must not take the user's work with it.
func (r *Runner) guarded(do func() (*plan.Plan, error)) (p *plan.Plan, err error) {
	defer func() {
		if f := recover(); f != nil {
			r.steps.forget()
			p, err = nil, fmt.Errorf("internal fault in the analysis: %v\n%s", f, debug.Stack())
		}
	}()
	return do()
}
