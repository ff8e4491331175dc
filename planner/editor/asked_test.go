package editor_test

import (
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/live"
	"echowright/planner/plan"
)

// searched is a desk with a layout open that answers searches when it is told to.
func searched(t *testing.T, name, text string) (*desk, *atOnce) {
	t.Helper()
	a := &atOnce{advise: name == "hall-sweeper" || name == "two-beams", slow: true} // remedies are slow, and a clash is told of what misses its budget only
	d := deskWith(t, a)
	d.Load(name+".yaml", []byte(text))
	d.Frame()
	return d, a
}

// cardsOf are the IDs of the cards of a search, in order.
func (d *desk) cardsOf() (ids []string) {
	for _, it := range d.Items() {
		if strings.HasPrefix(it.ID, "asked:") {
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// Every way out that is offered with a button is made as it was reckoned, gives the cycle it promised, shows before and after, and one undo
// brings back the text byte for byte, and the ways with it.
func TestEveryWayIsTakenAndTakenBack(t *testing.T) {
	for _, c := range []struct{ sample, from, to string }{
		{"linen-tug", "", ""}, {"hall-sweeper", "", ""},
	} {
		text := strings.Replace(string(sample(t, c.sample)), c.from, c.to, 1)
		d, a := searched(t, c.sample, text)
		d.run("look for ways out")
		a.goOn(nil, true)
		d.Frame()
		all := d.Ways()
		if all == nil || len(all.Out) == 0 {
			t.Fatalf("%s: no ways out", c.sample)
		}
		before := d.cardsOf()
		for i, o := range all.Out {
			id := "asked:way:" + string(rune('0'+i))
			it := d.item(id)
			if (len(it.Choices) == 1) != o.Taken() || !strings.Contains(it.Text, plan.Milliseconds(o.CycleUs[1])) {
				t.Fatalf("%s: card of %q: %+v", c.sample, o.What, it)
			}
			if !o.Taken() {
				if !strings.Contains(it.Text, "no edit of a layout says it") {
					t.Errorf("%s: %q does not say why it has no button", c.sample, o.What)
				}
				continue
			}
			d.TakeCard(id)
			d.Frame()
			if d.Text() == text || !d.has("tried") || len(d.cardsOf()) > 0 {
				t.Errorf("%s: %q is not taken, or the ways still stand", c.sample, o.What)
			}
			if got := d.Cycle().Microseconds(); got != o.CycleUs[1] && a.plan.Schedule.RunsUs() != o.CycleUs[1] {
				t.Errorf("%s: %q gives %d us, promised %d", c.sample, o.What, got, o.CycleUs[1])
			}
			d.key("Ctrl+Z")
			if d.Text() != text {
				t.Errorf("%s: one undo does not take %q back", c.sample, o.What)
			}
			if !slices.Equal(d.cardsOf(), before) {
				t.Errorf("%s: with the text the ways do not come back: %q, %q", c.sample, d.cardsOf(), before)
			}
		}
	}
}

// Found ways stand in one order, whichever came first.
func TestWaysAsTheyAreFound(t *testing.T) {
	var was []string
	for _, order := range []func([]plan.Way){nil, slices.Reverse[[]plan.Way]} {
		d, a := searched(t, "linen-tug", string(sample(t, "linen-tug")))
		d.run("look for ways out")
		if !d.Busy() || len(d.cardsOf()) != 1 || !strings.Contains(d.item("asked:").Label, "Looking") {
			t.Fatalf("while it looks: %q", d.cardsOf())
		}
		a.goOn(order, false)
		d.Frame()
		var now []string
		for _, it := range d.Items() {
			if strings.HasPrefix(it.ID, "asked:way:") {
				now = append(now, it.Label)
			}
		}
		if len(now) < 2 || was != nil && !slices.Equal(was, now) {
			t.Errorf("%q, then %q", was, now)
		}
		was = now
	}
}

// A search ends with Escape, by asking again and with any change; what still comes of it is not shown, and the document is untouched.
func TestASearchIsStopped(t *testing.T) {
	for what, end := range map[string]func(*desk){
		"Escape":    func(d *desk) { d.key("Escape") },
		"again":     func(d *desk) { d.run("look for ways out") },
		"button":    func(d *desk) { d.TakeCard("asked:") },
		"a change":  func(d *desk) { d.key("N", "Left") },
		"drag":      func(d *desk) { at, _ := d.Sensor("side.left"); p := d.Where(at); d.drag(p, [2]float64{p[0] + 9, p[1]}) },
		"other one": func(d *desk) { d.run("what breaks first") },
	} {
		d, a := searched(t, "linen-tug", string(sample(t, "linen-tug")))
		d.run("look for ways out")
		asked, scene, plan := a.asked, a.scene, a.plan
		end(d)
		if what != "other one" && len(d.cardsOf()) > 0 {
			t.Errorf("%s: cards %q", what, d.cardsOf())
		}
		if a.asked.Number == asked.Number && a.asked.Want == asked.Want {
			t.Errorf("%s: the search goes on beside", what)
		}
		a.asked, a.scene, a.plan = asked, scene, plan
		a.goOn(nil, true)
		d.Frame()
		if slices.ContainsFunc(d.cardsOf(), func(id string) bool { return strings.HasPrefix(id, "asked:way") }) || d.Ways() != nil {
			t.Errorf("%s: ways are shown that were found for something else", what)
		}
	}
}

// What breaks first stands before what each sensor's failure takes away; a click chooses that sensor.
func TestWhatBreaksFirst(t *testing.T) {
	d, a := searched(t, "first-rover", string(sample(t, "first-rover")))
	d.run("what breaks first")
	a.goOn(nil, true)
	d.Frame()
	p := *a.plan
	p.Margins = d.Margins()
	if p.Margins == nil || !strings.Contains(d.item("asked:").Label, p.FirstBreak(false)) || !strings.Contains(d.item("asked:").Text, p.FirstBreak(true)) {
		t.Fatalf("%+v", d.item("asked:"))
	}
	if n := len(p.MarginRows()) + len(p.LostRows()) + 1; len(d.cardsOf()) != n {
		t.Errorf("%d cards of %d", len(d.cardsOf()), n)
	}
	at, _ := d.Item("asked:lost:0")
	d.click([2]float64{at.X + 30, at.Y + 10})
	if !slices.Equal(d.Chosen(), p.LostRows()[0].Of) {
		t.Errorf("chosen %q, not %q", d.Chosen(), p.LostRows()[0].Of)
	}
}

// The findings of a cycle too long and the reason for a cycle lead to the search; a half-built machine has no plan to search.
func TestWhereASearchIsOffered(t *testing.T) {
	d, _ := searched(t, "hall-sweeper", string(sample(t, "hall-sweeper")))
	offers := func() (ids []string) {
		for _, it := range d.Items() {
			for _, c := range it.Choices {
				if it.In == "cards" && c.Value == "ways" {
					ids = append(ids, it.ID)
				}
			}
		}
		return ids
	}
	if len(offers()) == 0 {
		t.Error("not offered by the findings of a cycle too long")
	}
	d.clickOn("plate:cycle")
	if !slices.Contains(offers(), "why") {
		t.Errorf("not offered by the reason: %q", offers())
	}
	d = bare(t)
	for _, a := range d.Actions() {
		if (a.ID == "ways" || a.ID == "margins") && (a.Can || a.Need == "") {
			t.Errorf("%s of a machine without sensors", a.ID)
		}
	}
}

// A search that fails says so in one card; the plan stays, and another can be asked for.
func TestASearchThatFails(t *testing.T) {
	d, a := searched(t, "first-rover", string(sample(t, "first-rover")))
	d.run("look for ways out")
	a.answers = append(a.answers, live.Answer{Number: a.asked.Number, Search: a.asked.Search, Stage: live.Searched, Err: errors.New("internal fault in the search: out of range\nplace")})
	d.Frame()
	if it := d.item("asked:"); !slices.Equal(d.cardsOf(), []string{"asked:"}) || !strings.HasSuffix(it.Text, "out of range") || d.Busy() {
		t.Errorf("%q: %+v", d.cardsOf(), it)
	}
	if d.TakeCard("asked:"); len(d.cardsOf()) > 0 || d.Cycle() == 0 {
		t.Error("not put away, or the plan is gone")
	}
	if d.run("look for ways out"); len(d.cardsOf()) != 1 || !d.Busy() {
		t.Error("cannot be asked again")
	}
}

// Range against cycle is a card with a line a limit, and a picture with a point for each zone and limit, all within its dialog.
func TestRangeAgainstCycle(t *testing.T) {
	d, a := searched(t, "linen-tug", string(sample(t, "linen-tug")))
	d.run("look for ways out")
	a.goOn(nil, true)
	d.Frame()
	front := d.Ways().Front
	it := d.item("asked:front:")
	if len(front) < 2 || strings.Count(it.Text, "cycle ") != len(front) {
		t.Fatalf("%d limits: %q", len(front), it.Text)
	}
	d.TakeCard("asked:front:")
	f, _ := d.Frame()
	i := slices.IndexFunc(f.Layers, func(l canvas.Layer) bool { return l.Name == "front" })
	if i < 0 {
		t.Fatal("no picture")
	}
	points := 0
	for _, s := range f.Layers[i].Shapes {
		if strings.Contains(s.Title, "no window longer than") {
			points++
		}
		for _, r := range s.Rings {
			for _, p := range r {
				if !f.Layers[i].Clip.Inset(-1).Holds(canvas.Point(p)) {
					t.Errorf("%+v lies outside of %+v", p, f.Layers[i].Clip)
				}
			}
		}
		if s.Text != "" && s.Size < 9 {
			t.Errorf("%q in %g points", s.Text, s.Size)
		}
	}
	if points != len(front)*len(front[0].Shares) {
		t.Errorf("%d points of %d limits", points, len(front))
	}
	if d.key("Escape"); d.Asks() != "" || d.Ways() == nil {
		t.Error("Escape does not close it, or takes the ways along")
	}
}

// A budget that cannot be met, with its reason: a way out that promises a met plan is taken, and the plan is met.
func TestAWayOutOfAnImpossibleBudget(t *testing.T) {
	data, err := os.ReadFile("../ways/testdata/two-beams.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d, a := searched(t, "two-beams", string(data))
	var reason string
	for _, f := range a.plan.Findings {
		if f.Code == "cycle-over-budget" {
			reason = f.Reason
		}
	}
	if a.plan.Met || !strings.Contains(reason, "without any one of them the others fit") {
		t.Fatalf("met %v, reason %q", a.plan.Met, reason)
	}
	d.run("look for ways out")
	a.goOn(nil, true)
	d.Frame()
	taken := 0
	for i, o := range d.Ways().Out {
		if !o.Taken() || !o.Met {
			continue
		}
		taken++
		d.TakeCard("asked:way:" + string(rune('0'+i)))
		d.Frame()
		if s := a.plan.Schedule; !a.plan.Met || s.RunsUs() != o.CycleUs[1] || s.RunsUs() > s.BudgetUs {
			t.Errorf("%q: met %v, %d us of %d, promised %d", o.What, a.plan.Met, s.RunsUs(), s.BudgetUs, o.CycleUs[1])
		}
		d.key("Ctrl+Z")
	}
	if taken < 3 {
		t.Errorf("%d ways to a met plan were taken", taken)
	}
}
