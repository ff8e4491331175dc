package widget

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/typeset"
)

func at(x, y, w, h float64) canvas.Rect { return canvas.Rect{X: x, Y: y, W: w, H: h} }

// stage is an editor's part: items, and what was done to them. It takes over what a field is given, as an editor would.
type stage struct {
	t     testing.TB
	b     *Board
	items []Item
	acts  []string
	taken bool
	clip  string
}

func newStage(t testing.TB, items ...Item) *stage {
	r, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	s := &stage{t: t, b: New(r), items: items}
	s.b.Size = canvas.Point{1000, 700}
	return s
}

func (s *stage) item(id string) *Item {
	for i := range s.items {
		if s.items[i].ID == id {
			return &s.items[i]
		}
	}
	s.t.Fatalf("no item %q", id)
	return nil
}

func (s *stage) take(acts []Act) {
	words := []string{"pressed", "edited", "committed", "cancelled", "chosen", "toggled", "opened", "closed", "copy", "paste", "pulled"}
	for _, a := range acts {
		s.acts = append(s.acts, strings.TrimSpace(fmt.Sprintf("%s %s %d %s", a.ID, words[a.Do], a.Index, a.Value)))
		switch a.Do {
		case Committed:
			for i := range s.items {
				if s.items[i].ID == a.ID {
					s.items[i].Value = a.Value
				}
			}
		case Copy:
			s.clip = a.Value
		case Paste:
			s.take(s.b.Insert(s.clip, s.items))
		}
	}
}

func (s *stage) do(evs ...input.Event) *stage {
	for _, ev := range evs {
		acts, taken := s.b.Handle(ev, s.items)
		s.taken = taken
		s.take(acts)
	}
	return s
}

// want compares what was done since the last time.
func (s *stage) want(acts ...string) *stage {
	s.t.Helper()
	if !slices.Equal(s.acts, acts) {
		s.t.Errorf("acts\n  %s\nwanted\n  %s", strings.Join(s.acts, "\n  "), strings.Join(acts, "\n  "))
	}
	s.acts = nil
	return s
}

func (s *stage) focus(id string) *stage {
	s.t.Helper()
	if s.b.Focus() != id {
		s.t.Errorf("focus on %q, wanted %q", s.b.Focus(), id)
	}
	return s
}

func (s *stage) text(text string) *stage {
	s.t.Helper()
	if s.b.line.text != text {
		s.t.Errorf("text %q, wanted %q", s.b.line.text, text)
	}
	return s
}

func (s *stage) selected(text string) *stage {
	s.t.Helper()
	if got := s.b.line.selected(); got != text {
		s.t.Errorf("%q is selected, wanted %q", got, text)
	}
	return s
}

// shows reports whether a text is drawn, in a layer whose name begins so.
func (s *stage) shows(layer, text string) bool {
	for _, l := range s.b.Layers(s.items) {
		for _, sh := range l.Shapes {
			if strings.HasPrefix(l.Name, layer) && strings.Contains(sh.Text, text) {
				return true
			}
		}
	}
	return false
}

// key is a key with the keys held before it: "Shift+Ctrl+Left".
func key(name string) input.Event {
	ev := input.Event{Kind: input.Key}
	parts := strings.Split(name, "+")
	for _, m := range parts[:len(parts)-1] {
		ev.Mods.Shift = ev.Mods.Shift || m == "Shift"
		ev.Mods.Ctrl = ev.Mods.Ctrl || m == "Ctrl"
		ev.Mods.Alt = ev.Mods.Alt || m == "Alt"
	}
	ev.Name = parts[len(parts)-1]
	return ev
}

func keys(names ...string) (evs []input.Event) {
	for _, n := range names {
		evs = append(evs, key(n))
	}
	return evs
}

// typing is a text letter by letter, as a keyboard gives it.
func typing(text string) (evs []input.Event) {
	for _, c := range text {
		evs = append(evs, input.Event{Kind: input.Type, Text: string(c)})
	}
	return evs
}

func move(x, y float64) input.Event {
	return input.Event{Kind: input.Move, At: canvas.Point{x, y}}
}

func down(x, y float64) input.Event {
	return input.Event{Kind: input.Press, At: canvas.Point{x, y}, Clicks: 1}
}

func up(x, y float64) input.Event { return input.Event{Kind: input.Lift, At: canvas.Point{x, y}} }

func wheel(x, y, by float64) input.Event {
	return input.Event{Kind: input.Wheel, At: canvas.Point{x, y}, Scroll: canvas.Point{0, by}}
}

func tick(d time.Duration) input.Event { return input.Event{Kind: input.Tick, Now: d} }

func click(x, y float64) []input.Event { return []input.Event{move(x, y), down(x, y), up(x, y)} }

func field(id, value string, y float64) Item {
	return Item{ID: id, Kind: Field, At: at(100, y, 200, 26), Value: value}
}
