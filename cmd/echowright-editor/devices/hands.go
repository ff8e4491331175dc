package devices

import (
	"cmp"
	"math"
	"slices"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// Sample is what the devices report at one tick, in window points.
type Sample struct {
	Now      time.Duration
	Size     canvas.Point // of the window
	At       canvas.Point // the pointer
	Pressed  [3]bool      // buttons that went down since the last tick, by input.Button
	Released [3]bool
	Wheel    canvas.Point // notches, as the system counts them: left and up are positive
	Keys     []Key        // held now, or pressed and let go since the last tick
	Mods     input.Mods
	Typed    string
	Touches  []Touch // fingers on the glass
}

// Key is a key that is down.
type Key struct {
	Code int    // the same key has the same
	Name string // as in input.Event
	New  bool   // it went down since the last tick
}

// Touch is a finger.
type Touch struct {
	ID int
	At canvas.Point
}

// Hands turn samples into events. The zero value has seen nothing yet.
type Hands struct {
	last    Sample
	seen    bool
	inside  bool
	down    [3]bool
	clicks  [3]click
	repeats map[int]time.Duration // when a held key repeats next
	fingers fingers
}

// click is the latest press of a button.
type click struct {
	at    canvas.Point
	when  time.Duration
	count int
}

const (
	notch       = 40                     // points a notch of the wheel scrolls
	quickTurn   = 400 * time.Millisecond // between presses that count as one double click
	onePlace    = 4                      // points they may lie apart
	repeatAfter = 450 * time.Millisecond
	repeatEvery = 40 * time.Millisecond
)

// Events are what happened between the last sample and this one.
func (h *Hands) Events(s Sample) []input.Event {
	var es []input.Event
	add := func(e input.Event) {
		e.Now, e.Mods = s.Now, s.Mods
		if e.Kind != input.Resize && e.At == (canvas.Point{}) {
			e.At = s.At
		}
		es = append(es, e)
	}
	if !h.seen || s.Size != h.last.Size {
		add(input.Event{Kind: input.Resize, Size: s.Size})
	}
	h.pointer(s, add)
	h.fingers.events(s, add)
	last := h.keys(s, add)
	if s.Typed != "" && (!s.Mods.Ctrl || s.Mods.Alt) { // control and alt together write a third sign on many keyboards
		add(input.Event{Kind: input.Type, Text: s.Typed})
	}
	for _, name := range last {
		add(input.Event{Kind: input.Key, Name: name})
	}
	h.last, h.seen = s, true
	return es
}

// pointer reports moves before presses, so that a press always falls where the pointer is known to be.
func (h *Hands) pointer(s Sample, add func(input.Event)) {
	holds := canvas.Rect{W: s.Size[0], H: s.Size[1]}.Holds(s.At)
	held := h.down != [3]bool{}
	if h.seen && s.At != h.last.At && (holds || held) {
		add(input.Event{Kind: input.Move, At: s.At})
	}
	if h.inside && !holds && !held {
		add(input.Event{Kind: input.Leave, At: s.At})
	}
	h.inside = holds
	for b := range h.down {
		if s.Pressed[b] && holds && !h.down[b] {
			h.down[b] = true
			add(input.Event{Kind: input.Press, At: s.At, Button: input.Button(b), Clicks: h.clicks[b].press(s.At, s.Now)})
		}
		if s.Released[b] && h.down[b] {
			h.down[b] = false
			add(input.Event{Kind: input.Lift, At: s.At, Button: input.Button(b)})
		}
	}
	if s.Wheel != (canvas.Point{}) && holds {
		add(input.Event{Kind: input.Wheel, At: s.At, Scroll: canvas.Point{0 - s.Wheel[0]*notch, 0 - s.Wheel[1]*notch}})
	}
}

// press counts presses in quick turn at one place.
func (c *click) press(at canvas.Point, now time.Duration) int {
	if c.count == 0 || now-c.when > quickTurn || math.Hypot(at[0]-c.at[0], at[1]-c.at[1]) > onePlace {
		c.count = 0
	}
	*c = click{at, now, c.count + 1}
	return c.count
}

// keys reports keys that go down, and held ones again and again. It returns those that end what is typed: a quick hand
// strikes them in the tick of the last letters, and a tick does not tell which came first.
func (h *Hands) keys(s Sample, add func(input.Event)) (last []string) {
	if h.repeats == nil {
		h.repeats = map[int]time.Duration{}
	}
	for _, k := range s.Keys {
		due, held := h.repeats[k.Code]
		switch {
		case k.New || !held:
			h.repeats[k.Code] = s.Now + repeatAfter
		case s.Now >= due:
			h.repeats[k.Code] = s.Now + repeatEvery
		default:
			continue
		}
		switch k.Name {
		case "":
		case "Enter", "Tab", "Escape":
			last = append(last, k.Name)
		default:
			add(input.Event{Kind: input.Key, Name: k.Name})
		}
	}
	for code := range h.repeats {
		if !slices.ContainsFunc(s.Keys, func(k Key) bool { return k.Code == code }) {
			delete(h.repeats, code)
		}
	}
	return last
}

// fingers make one touch a pointer with its left button, and two a pan and a pinch. The press is held back
// until it is clear that no second finger comes, so that a pinch moves nothing that lay under its first finger.
type fingers struct {
	state   fingerState
	id      int
	from    canvas.Point
	at      canvas.Point
	since   time.Duration
	clicks  click
	mid     canvas.Point
	between float64
}

type fingerState int

const (
	noFinger fingerState = iota
	waiting              // one finger, its press not told yet
	dragging             // one finger, its press told
	pair                 // two fingers
	spent                // fingers left over from a pair
)

const (
	secondFinger = 70 * time.Millisecond // for how long a second finger may come after the first
	firstMove    = 6                     // points after which the first is taken to drag
)

func (f *fingers) events(s Sample, add func(input.Event)) {
	ts := slices.SortedFunc(slices.Values(s.Touches), func(a, b Touch) int { return cmp.Compare(a.ID, b.ID) })
	switch {
	case len(ts) >= 2:
		f.two(ts[0].At, ts[1].At, s.Now, add)
	case len(ts) == 1:
		f.one(ts[0], s.Now, add)
	default:
		f.none(s.Now, add)
	}
}

func (f *fingers) one(t Touch, now time.Duration, add func(input.Event)) {
	if f.state == pair {
		f.state = spent
	}
	if f.state == noFinger || (f.state != spent && f.id != t.ID) {
		f.none(now, add)
		f.state, f.id, f.from, f.at, f.since = waiting, t.ID, t.At, t.At, now
		return
	}
	moved := t.At != f.at
	f.at = t.At
	if f.state == waiting && (now-f.since >= secondFinger || math.Hypot(t.At[0]-f.from[0], t.At[1]-f.from[1]) > firstMove) {
		f.press(now, add)
		moved = t.At != f.from
	}
	if f.state == dragging && moved {
		add(input.Event{Kind: input.Move, At: t.At})
	}
}

func (f *fingers) press(now time.Duration, add func(input.Event)) {
	f.state = dragging
	add(input.Event{Kind: input.Move, At: f.from})
	add(input.Event{Kind: input.Press, At: f.from, Clicks: f.clicks.press(f.from, now)})
}

func (f *fingers) none(now time.Duration, add func(input.Event)) {
	if f.state == waiting {
		f.press(now, add)
	}
	if f.state == dragging {
		add(input.Event{Kind: input.Lift, At: f.at})
		add(input.Event{Kind: input.Leave, At: f.at})
	}
	f.state = noFinger
}

func (f *fingers) two(a, b canvas.Point, now time.Duration, add func(input.Event)) {
	if f.state == dragging {
		f.none(now, add)
	}
	mid := canvas.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	between := math.Max(1, math.Hypot(a[0]-b[0], a[1]-b[1]))
	if f.state == pair {
		if pan := (canvas.Point{f.mid[0] - mid[0], f.mid[1] - mid[1]}); pan != (canvas.Point{}) {
			add(input.Event{Kind: input.Wheel, At: mid, Scroll: pan})
		}
		if z := between / f.between; z != 1 {
			add(input.Event{Kind: input.Pinch, At: mid, Zoom: z})
		}
	}
	f.state, f.mid, f.between = pair, mid, between
}
