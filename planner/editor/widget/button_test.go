package widget

import (
	"strings"
	"testing"

	"echowright/planner/editor/input"
	"echowright/planner/export/draw"
)

func buttons() []Item {
	return []Item{
		{ID: "b", Kind: Button, At: at(10, 10, 80, 26), Label: "Press"},
		{ID: "i", Kind: Icon, At: at(10, 50, 34, 34), Mark: Sensor, Label: "Mount", Keys: "S"},
		{ID: "t", Kind: Toggle, At: at(10, 100, 120, 26), Label: "Mirrored"},
		{ID: "p", Kind: Plate, At: at(10, 140, 200, 38), Label: "Seen", Value: "98 %", Word: "met", Ink: draw.Met},
		{ID: "c", Kind: Card, At: at(10, 190, 300, 110), Label: "Gap", Text: "between two beams", Choices: []Choice{{Label: "Try", Value: "turn"}}, Ink: draw.Attention},
		{ID: "off", Kind: Button, At: at(10, 320, 80, 26), Label: "Off", Disabled: true},
	}
}

func TestPresses(t *testing.T) {
	s := newStage(t, buttons()...)
	s.do(click(50, 20)...).do(click(20, 60)...).do(click(20, 110)...).do(click(100, 150)...).do(click(250, 200)...).do(click(40, 280)...).do(click(50, 330)...)
	s.want("b pressed 0", "i pressed 0", "t toggled 1", "p pressed 0", "c pressed 0", "c chosen 0 turn")
	// Let go elsewhere, nothing is pressed.
	s.do(down(50, 20), move(300, 20), up(300, 20)).want()
	s.item("t").Chosen = true
	s.do(keys("Tab", "Shift+Tab")...)
	s.acts = nil
	s.b.SetFocus("b", s.items)
	s.do(keys("Space", "Tab", "Enter", "Tab", "Space", "Tab", "Enter", "Tab", "Enter", "Tab", "Space", "Tab", "Space")...)
	s.want("b pressed 0", "i pressed 0", "t toggled 0", "p pressed 0", "c pressed 0", "c chosen 0 turn", "b pressed 0")
}

// What a mouse pressed does not keep the keys from the drawing.
func TestMouseLeavesKeys(t *testing.T) {
	s := newStage(t, buttons()...)
	s.do(click(50, 20)...).want("b pressed 0")
	if s.do(key("Space")); s.taken {
		t.Error("Space after a click was taken")
	}
	s.do(key("Tab")).focus("i")
	if s.do(key("Space")); !s.taken {
		t.Error("Space after Tab was not taken")
	}
}

func TestTabGoesRound(t *testing.T) {
	s := newStage(t, buttons()...)
	var way []string
	for range 7 {
		s.do(key("Tab"))
		way = append(way, s.b.Focus())
	}
	if got := strings.Join(way, " "); got != "b i t p c c b" {
		t.Errorf("Tab goes %s", got)
	}
	way = nil
	for range 7 {
		s.do(key("Shift+Tab"))
		way = append(way, s.b.Focus())
	}
	if got := strings.Join(way, " "); got != "c c p t i b c" {
		t.Errorf("Shift+Tab goes %s", got)
	}
}

// Small things are hit from a finger's width away, and the nearer of two.
func TestHitSizes(t *testing.T) {
	s := newStage(t, Item{ID: "a", Kind: Button, At: at(100, 100, 10, 10), Label: "a"}, Item{ID: "b", Kind: Button, At: at(100, 120, 10, 10), Label: "b"})
	s.do(click(94, 94)...).want("a pressed 0").do(click(105, 116)...).want("b pressed 0").do(click(105, 113)...).want("a pressed 0").do(click(105, 150)...).want()
}

// What lies on the drawing with nothing under it lets the drawing have the pointer; a sheet keeps it.
func TestWhatIsTaken(t *testing.T) {
	s := newStage(t, Item{ID: "s", Kind: Sheet, At: at(0, 0, 100, 100)}, Item{Kind: Label, At: at(10, 10, 50, 20), Label: "on the sheet"},
		Item{Kind: Label, At: at(200, 10, 50, 20), Label: "on the drawing"}, Item{ID: "b", Kind: Button, At: at(300, 10, 50, 26), Label: "Go"})
	for _, c := range []struct {
		x     float64
		taken bool
	}{{20, true}, {80, true}, {210, false}, {310, true}, {500, false}} {
		for _, ev := range []input.Event{move(c.x, 20), down(c.x, 20), up(c.x, 20), wheel(c.x, 20, 5)} {
			s.do(ev)
			if s.taken != c.taken && (ev.Kind != input.Lift || c.x != 20 && c.x != 80) {
				t.Errorf("%v at %v: taken %v", ev.Kind, c.x, s.taken)
			}
		}
	}
}
