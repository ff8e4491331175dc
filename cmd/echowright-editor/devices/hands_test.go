package devices

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// told writes events down shortly, so that a test reads as what was done and what was told.
func told(es []input.Event) string {
	var out []string
	for _, e := range es {
		mods := ""
		for _, m := range []struct {
			on   bool
			name string
		}{{e.Mods.Shift, "shift+"}, {e.Mods.Ctrl, "ctrl+"}, {e.Mods.Alt, "alt+"}} {
			if m.on {
				mods += m.name
			}
		}
		at := fmt.Sprintf("%g,%g", e.At[0], e.At[1])
		switch e.Kind {
		case input.Move:
			out = append(out, "move "+at)
		case input.Press:
			out = append(out, fmt.Sprintf("%spress%d %s ×%d", mods, e.Button, at, e.Clicks))
		case input.Lift:
			out = append(out, fmt.Sprintf("lift%d %s", e.Button, at))
		case input.Wheel:
			out = append(out, fmt.Sprintf("%swheel %g,%g at %s", mods, e.Scroll[0], e.Scroll[1], at))
		case input.Pinch:
			out = append(out, fmt.Sprintf("pinch %.2f at %s", e.Zoom, at))
		case input.Key:
			out = append(out, mods+e.Name)
		case input.Type:
			out = append(out, "“"+e.Text+"”")
		case input.Resize:
			out = append(out, fmt.Sprintf("size %g,%g", e.Size[0], e.Size[1]))
		case input.Leave:
			out = append(out, "leave")
		}
	}
	return strings.Join(out, "; ")
}

// hand is Hands that have seen a window of 100 by 80 with the pointer in its middle.
func hand() *Hands {
	h := &Hands{}
	h.Events(Sample{Size: canvas.Point{100, 80}, At: canvas.Point{50, 40}})
	return h
}

func ms(n int) time.Duration { return time.Duration(n) * time.Millisecond }

// at is a sample some milliseconds after the start.
func at(n int, change func(*Sample)) Sample {
	s := Sample{Now: ms(n), Size: canvas.Point{100, 80}, At: canvas.Point{50, 40}}
	if change != nil {
		change(&s)
	}
	return s
}

func play(t *testing.T, h *Hands, steps ...any) {
	t.Helper()
	for i := 0; i < len(steps); i += 2 {
		if got, want := told(h.Events(steps[i].(Sample))), steps[i+1].(string); got != want {
			t.Errorf("step %d: %q, want %q", i/2+1, got, want)
		}
	}
}

func TestTheFirstSampleTellsTheSize(t *testing.T) {
	h := &Hands{}
	play(t, h, at(0, nil), "size 100,80", at(1, nil), "", at(2, func(s *Sample) { s.Size[0] = 200 }), "size 200,80")
}

func TestClicksAreCounted(t *testing.T) {
	press := func(n, x int) Sample {
		return at(n, func(s *Sample) {
			s.Pressed[0], s.Released[0], s.At = true, true, canvas.Point{float64(x), 40}
		})
	}
	play(t, hand(),
		press(100, 50), "press0 50,40 ×1; lift0 50,40",
		press(300, 52), "move 52,40; press0 52,40 ×2; lift0 52,40",
		press(600, 52), "press0 52,40 ×3; lift0 52,40",
		press(1100, 52), "press0 52,40 ×1; lift0 52,40", // too late
		press(1200, 60), "move 60,40; press0 60,40 ×1; lift0 60,40", // too far
	)
}

func TestADragGoesOnOutsideTheWindow(t *testing.T) {
	play(t, hand(),
		at(10, func(s *Sample) { s.Pressed[0] = true }), "press0 50,40 ×1",
		at(20, func(s *Sample) { s.At = canvas.Point{150, 40} }), "move 150,40",
		at(30, func(s *Sample) { s.At = canvas.Point{160, 40}; s.Released[0] = true }), "move 160,40; lift0 160,40",
		at(40, func(s *Sample) { s.At = canvas.Point{170, 40} }), "",
		at(50, func(s *Sample) { s.At = canvas.Point{90, 40} }), "move 90,40",
		at(60, func(s *Sample) { s.At = canvas.Point{-5, 40} }), "leave",
		at(70, func(s *Sample) { s.At = canvas.Point{-5, 40}; s.Pressed[0] = true }), "", // on the window's own frame
		at(80, func(s *Sample) { s.At = canvas.Point{-5, 40}; s.Released[0] = true }), "",
	)
}

func TestTheWheelScrollsRightAndDown(t *testing.T) {
	play(t, hand(),
		at(10, func(s *Sample) { s.Wheel = canvas.Point{0, -1} }), "wheel 0,40 at 50,40",
		at(20, func(s *Sample) { s.Wheel = canvas.Point{0.5, 0.25}; s.Mods.Ctrl = true }), "ctrl+wheel -20,-10 at 50,40",
	)
}

func TestHeldKeysRepeat(t *testing.T) {
	h := hand()
	left := func(n int, fresh bool) Sample {
		return at(n, func(s *Sample) { s.Keys = []Key{{7, "Left", fresh}} })
	}
	play(t, h, left(0, true), "Left", left(200, false), "", left(449, false), "")
	n := 0
	for k := 450; k < 1250; k += 10 {
		n += len(h.Events(left(k, false)))
	}
	if n != 20 {
		t.Errorf("a key held for 800 ms past its first repeat repeats %d times, want 20", n)
	}
	play(t, h, at(1300, nil), "", left(1310, true), "Left", left(1320, false), "")
}

// A key that was struck and let go between two ticks is told once, and again when it is struck again.
func TestAQuickKeyIsNotLost(t *testing.T) {
	quick := func(n int) Sample { return at(n, func(s *Sample) { s.Keys = []Key{{3, "A", true}} }) }
	play(t, hand(), quick(10), "A", quick(50), "A", at(90, nil), "")
}

func TestTypedTextIsToldUnlessItIsACommand(t *testing.T) {
	typed := func(text string, m input.Mods) Sample {
		return at(1, func(s *Sample) { s.Typed, s.Mods = text, m })
	}
	play(t, hand(),
		typed("µ", input.Mods{}), "“µ”",
		typed("Ü", input.Mods{Shift: true}), "“Ü”",
		typed("s", input.Mods{Ctrl: true}), "",
		typed("@", input.Mods{Ctrl: true, Alt: true}), "“@”",
	)
}

func touch(n int, ts ...Touch) Sample { return at(n, func(s *Sample) { s.Touches = ts }) }

func finger(id int, x, y float64) Touch { return Touch{id, canvas.Point{x, y}} }

// A value typed by a quick hand and its Enter in one tick: the value first. What corrects or moves comes before.
func TestWhatEndsTypingComesLast(t *testing.T) {
	tick := func(text string, keys ...string) Sample {
		return at(1, func(s *Sample) {
			s.Typed = text
			for i, name := range keys {
				s.Keys = append(s.Keys, Key{100 + i, name, true})
			}
		})
	}
	play(t, hand(),
		tick("75", "Enter", "7", "5"), "7; 5; “75”; Enter",
		tick("m", "Tab", "Backspace"), "Backspace; “m”; Tab",
		tick("", "Escape"), "Escape",
	)
}

func TestATapIsAClick(t *testing.T) {
	play(t, hand(),
		touch(0, finger(1, 20, 30)), "",
		touch(40), "move 20,30; press0 20,30 ×1; lift0 20,30; leave",
		touch(200, finger(2, 21, 30)), "",
		touch(240), "move 21,30; press0 21,30 ×2; lift0 21,30; leave",
	)
}

func TestOneFingerDrags(t *testing.T) {
	play(t, hand(),
		touch(0, finger(1, 20, 30)), "",
		touch(16, finger(1, 23, 30)), "",
		touch(32, finger(1, 30, 30)), "move 20,30; press0 20,30 ×1; move 30,30",
		touch(48, finger(1, 40, 35)), "move 40,35",
		touch(64), "lift0 40,35; leave",
	)
	play(t, hand(), // one that rests presses too
		touch(0, finger(1, 20, 30)), "",
		touch(80, finger(1, 20, 30)), "move 20,30; press0 20,30 ×1",
	)
}

// Two fingers pan and zoom and press nothing; what is left of them does nothing more.
func TestTwoFingersPanAndPinch(t *testing.T) {
	play(t, hand(),
		touch(0, finger(1, 40, 30)), "",
		touch(30, finger(1, 40, 30), finger(2, 60, 30)), "",
		touch(46, finger(2, 70, 34), finger(1, 50, 34)), "wheel -10,-4 at 60,34",
		touch(62, finger(1, 40, 34), finger(2, 80, 34)), "pinch 2.00 at 60,34",
		touch(78, finger(2, 80, 34)), "",
		touch(94, finger(2, 10, 10)), "",
		touch(110), "",
	)
}

// Whatever fingers and buttons do, every press is followed by its lift before the next, and zooms multiply to the whole.
func TestPressesAndLiftsAlternate(t *testing.T) {
	h := hand()
	down := [3]bool{}
	zoom := 1.0
	for n := range 4000 {
		s := at(n*16, nil)
		k := n * 2654435761 >> 7
		for id := range k % 4 {
			s.Touches = append(s.Touches, finger(id, float64(k%97), float64(k%71+10*id)))
		}
		s.Pressed[1], s.Released[1] = k%5 == 0, k%7 == 0
		for _, e := range h.Events(s) {
			switch e.Kind {
			case input.Press:
				if down[e.Button] {
					t.Fatalf("tick %d: button %d pressed twice", n, e.Button)
				}
				down[e.Button] = true
			case input.Lift:
				if !down[e.Button] {
					t.Fatalf("tick %d: button %d lifted twice", n, e.Button)
				}
				down[e.Button] = false
			case input.Pinch:
				if zoom *= e.Zoom; !(zoom > 0) || math.IsInf(zoom, 0) {
					t.Fatalf("zoom %g", zoom)
				}
			}
		}
	}
}

// Keys are named by what the keyboard in use writes, and by their place where it writes no Latin letters.
func TestKeysAreNamedByWhatTheyWrite(t *testing.T) {
	for _, c := range []struct {
		key          ebiten.Key
		writes, want string
	}{
		{ebiten.KeyQ, "q", "Q"}, {ebiten.KeyQ, "a", "A"}, {ebiten.KeyQ, "й", "Q"}, {ebiten.KeyQ, "", "Q"},
		{ebiten.KeyDigit7, "7", "7"}, {ebiten.KeyDigit7, "è", "7"}, {ebiten.KeyNumpad7, "7", "7"},
		{ebiten.KeyEqual, "=", "Plus"}, {ebiten.KeyBracketRight, "+", "Plus"}, {ebiten.KeySlash, "-", "Minus"}, {ebiten.KeyMinus, "", "Minus"},
		{ebiten.KeyArrowLeft, "", "Left"}, {ebiten.KeyEnter, "", "Enter"}, {ebiten.KeyF1, "", "F1"}, {ebiten.KeySemicolon, "ö", ""}, {ebiten.KeyShiftLeft, "", ""},
	} {
		if got := nameOf(c.key, c.writes); got != c.want {
			t.Errorf("%v that writes %q is %q, want %q", c.key, c.writes, got, c.want)
		}
	}
}

// Every name the editor may be told is made by some key.
func TestAllNamesAreMade(t *testing.T) {
	var made []string
	for k := range ebiten.KeyMax + 1 {
		made = append(made, nameOf(k, ""))
	}
	want := strings.Fields("Enter Escape Tab Backspace Delete Left Right Up Down Home End PageUp PageDown Space Plus Minus Comma Period Slash")
	for i := range 12 {
		want = append(want, fmt.Sprintf("F%d", i+1))
	}
	for _, r := range "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789" {
		want = append(want, string(r))
	}
	for _, w := range want {
		if !slices.Contains(made, w) {
			t.Errorf("no key is named %s", w)
		}
	}
	for _, m := range made {
		if m != "" && !slices.Contains(want, m) {
			t.Errorf("a key is named %q, which the editor does not know", m)
		}
	}
}
