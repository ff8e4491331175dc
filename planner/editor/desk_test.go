package editor_test

import (
	"context"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner"
	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/live"
	"echowright/planner/editor/typeset"
	"echowright/planner/export"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/planner/ways"
)

// desk is an editor under test, without a window: hands are method calls, time stands still but for wait.
type desk struct {
	*editor.Editor
	t    *testing.T
	now  time.Duration
	at   canvas.Point
	asks int // events made
}

// atOnce answers every question before the next event, so that a test says what comes of each.
type atOnce struct {
	memory  planner.Memory
	answers []live.Answer
	advise  bool // remedies are tried
	slow    bool // a search goes on until go on is called
	asked   live.Question
	scene   *scene.Scene
	plan    *plan.Plan
}

// goOn tells what the search that was asked for last finds, ways in an order of the test's.
func (a *atOnce) goOn(order func([]plan.Way), end bool) {
	q, s := a.asked, live.Answer{Number: a.asked.Number, Search: a.asked.Search, Stage: live.Searched}
	switch q.Want {
	case live.WaysOut:
		var found []plan.Way
		found, s.Ways, s.Err = a.ways()
		if order != nil {
			order(found)
		}
		for _, w := range found {
			a.answers = append(a.answers, live.Answer{Number: q.Number, Search: q.Search, Stage: live.Found, Way: w})
		}
	case live.WhatBreaks:
		s.Margins, s.Err = planner.Margins(context.Background(), a.scene, a.plan)
	}
	if end {
		a.answers = append(a.answers, s)
	}
}

// ways are those of the plan; those of a sample are found once for all tests.
func (a *atOnce) ways() (found []plan.Way, all *plan.Ways, err error) {
	type searched struct {
		found []plan.Way
		all   *plan.Ways
	}
	if known, ok := foundBefore.Load(string(a.asked.Text)); ok {
		s := known.(searched)
		return slices.Clone(s.found), s.all, nil
	}
	all, err = ways.Find(context.Background(), a.scene, a.plan, ways.Options{Found: func(w plan.Way) { found = append(found, w) }})
	foundBefore.Store(string(a.asked.Text), searched{slices.Clone(found), all})
	return found, all, err
}

var foundBefore sync.Map // by text

func (a *atOnce) Ask(q live.Question) {
	again := a.plan != nil && a.asked.Number == q.Number
	if a.asked = q; again {
		if q.Want != live.Nothing && !a.slow {
			a.goOn(nil, true)
		}
		return
	}
	a.plan = nil
	sc, missing, faults := planner.Begin(q.File, q.Text, assets.Kinds())
	a.answers = append(a.answers, live.Answer{Number: q.Number, Stage: live.Read, Scene: sc, Missing: missing, Faults: faults})
	if sc == nil {
		return
	}
	p, err := a.memory.See(context.Background(), sc)
	seen := live.Answer{Number: q.Number, Stage: live.Seen, Plan: p, Err: err}
	if q.Beams != (planner.Beams{}) && err == nil {
		var other *plan.Plan
		if other, err = new(planner.Memory).See(context.Background(), q.Beams.Of(sc)); err == nil {
			seen.Beams = append([]plan.Lobe{}, other.Lobes...)
		}
	}
	a.answers = append(a.answers, seen)
	if err != nil || q.Dragging {
		return
	}
	p, err = a.memory.Analyse(context.Background(), sc, planner.Options{Quick: !a.advise})
	whole := live.Answer{Number: q.Number, Stage: live.Whole, Plan: p, Err: err}
	a.scene, a.plan = sc, p
	if err == nil {
		whole.Pairs, whole.Own = p.DisturbedPairs()
	}
	a.answers = append(a.answers, whole)
}

func (a *atOnce) Take() []live.Answer {
	out := a.answers
	a.answers = nil
	return out
}

func newDesk(t *testing.T) *desk { return deskWith(t, &atOnce{}) }

func deskWith(t *testing.T, a editor.Analysis) *desk {
	t.Helper()
	ruler, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	d := &desk{t: t, Editor: editor.New(editor.Config{
		Ruler: ruler, Analysis: a, Kinds: assets.Kinds(), Exports: export.All,
		Samples: []editor.Sample{{Name: "first-rover", Data: sample(t, "first-rover")}},
	})}
	d.do(input.Event{Kind: input.Resize, Size: canvas.Point{1280, 800}})
	d.Wishes()
	return d
}

func sample(t *testing.T, name string) []byte {
	t.Helper()
	data, err := layouts.FS.ReadFile(name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// opened is a desk with a sample open.
func opened(t *testing.T, name string) *desk {
	d := newDesk(t)
	d.Load(name+".yaml", sample(t, name))
	d.Frame()
	return d
}

func (d *desk) do(ev input.Event) {
	d.now += 10 * time.Millisecond
	ev.Now = d.now
	d.Handle(ev)
	d.Frame()
}

func (d *desk) press(at canvas.Point, m ...input.Mods) {
	d.asks++
	d.move(at, m...)
	d.do(input.Event{Kind: input.Press, At: at, Clicks: 1, Mods: held(m)})
}

func (d *desk) move(at canvas.Point, m ...input.Mods) {
	d.at = at
	d.do(input.Event{Kind: input.Move, At: at, Mods: held(m)})
}

func (d *desk) lift(m ...input.Mods) { d.do(input.Event{Kind: input.Lift, At: d.at, Mods: held(m)}) }

func (d *desk) click(at canvas.Point, m ...input.Mods) {
	d.press(at, m...)
	d.lift(m...)
}

// drag pulls from one place to another in some steps.
func (d *desk) drag(from, to canvas.Point, m ...input.Mods) {
	d.press(from, m...)
	for k := 1; k <= 5; k++ {
		f := float64(k) / 5
		d.move(canvas.Point{from[0] + f*(to[0]-from[0]), from[1] + f*(to[1]-from[1])}, m...)
	}
	d.lift(m...)
}

func held(m []input.Mods) (all input.Mods) {
	for _, one := range m {
		all.Shift, all.Ctrl, all.Alt = all.Shift || one.Shift, all.Ctrl || one.Ctrl, all.Alt || one.Alt
	}
	return all
}

// key presses keys as the table writes them: "Ctrl+Z".
func (d *desk) key(keys ...string) {
	for _, k := range keys {
		d.asks++
		var m input.Mods
		steps := strings.Split(k, "+")
		for _, s := range steps[:len(steps)-1] {
			m.Ctrl, m.Shift, m.Alt = m.Ctrl || s == "Ctrl", m.Shift || s == "Shift", m.Alt || s == "Alt"
		}
		d.do(input.Event{Kind: input.Key, Name: steps[len(steps)-1], Mods: m})
	}
}

func (d *desk) typed(text string) {
	d.asks++
	d.do(input.Event{Kind: input.Type, Text: text})
}

// wait lets time go on.
func (d *desk) wait(long time.Duration) {
	for end := d.now + long; d.now < end; {
		d.now += 90 * time.Millisecond
		d.do(input.Event{Kind: input.Tick})
	}
}

// set types a value into a field of the sheet.
func (d *desk) set(label, text string) {
	d.t.Helper()
	it, ok := d.Item(label)
	if !ok {
		d.t.Fatalf("no field %q on the screen", label)
	}
	d.click(it.Middle())
	d.key("Ctrl+A")
	d.typed(text)
	d.key("Enter")
}

// diff is the lines that two texts do not share.
func diff(a, b string) (gone, come []string) {
	have := map[string]int{}
	for line := range strings.Lines(a) {
		have[line]++
	}
	for line := range strings.Lines(b) {
		if have[line]--; have[line] < 0 {
			come = append(come, strings.TrimRight(line, "\n"))
		}
	}
	for line := range strings.Lines(a) {
		if have[line] > 0 {
			have[line]--
			gone = append(gone, strings.TrimRight(line, "\n"))
		}
	}
	return gone, come
}

func (d *desk) resize(to [2]float64) { d.do(input.Event{Kind: input.Resize, Size: canvas.Point(to)}) }

// clickOn clicks the item with a label or an ID.
func (d *desk) clickOn(what string) {
	d.t.Helper()
	at, ok := d.Item(what)
	if !ok {
		d.t.Fatalf("nothing called %q on the screen", what)
	}
	d.click(at.Middle())
}

// choice opens a list and takes a value by typing its first letters.
func (d *desk) choice(id, value string) {
	d.t.Helper()
	d.clickOn(id)
	d.typed(value)
	d.key("Enter")
}

// typedInto types into the field with an ID, and commits.
func (d *desk) typedInto(id, text string) { d.t.Helper(); d.set(id, text) }

// run finds an action on the help page by typing, and does it.
func (d *desk) run(words string) {
	d.key("F1")
	d.typed(words)
	d.key("Enter")
}
