package devices

import (
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// Senses ask Ebitengine what the devices report. The zero value is ready.
type Senses struct {
	// called is what keys were named when they went down: the system is slow to answer, and a key keeps its name
	// while it is held.
	called map[ebiten.Key]string
}

// Take is what the devices report now; scale is pixels a point.
func (senses *Senses) Take(scale float64, size canvas.Point, now time.Duration) Sample {
	s := Sample{Now: now, Size: size}
	x, y := ebiten.CursorPosition()
	s.At = canvas.Point{float64(x) / scale, float64(y) / scale}
	for b, of := range []ebiten.MouseButton{ebiten.MouseButtonLeft, ebiten.MouseButtonMiddle, ebiten.MouseButtonRight} {
		s.Pressed[b], s.Released[b] = inpututil.IsMouseButtonJustPressed(of), inpututil.IsMouseButtonJustReleased(of)
	}
	wx, wy := ebiten.Wheel()
	s.Wheel = canvas.Point{wx, wy}
	s.Mods = input.Mods{
		Shift: held(ebiten.KeyShiftLeft, ebiten.KeyShiftRight),
		Ctrl:  held(ebiten.KeyControlLeft, ebiten.KeyControlRight, ebiten.KeyMetaLeft, ebiten.KeyMetaRight),
		Alt:   held(ebiten.KeyAltLeft, ebiten.KeyAltRight),
	}
	s.Keys = senses.keysDown()
	s.Typed = printable(ebiten.AppendInputChars(nil))
	for _, id := range ebiten.AppendTouchIDs(nil) {
		x, y := ebiten.TouchPosition(id)
		s.Touches = append(s.Touches, Touch{int(id), canvas.Point{float64(x) / scale, float64(y) / scale}})
	}
	return s
}

// held reports whether one of these keys is down, or was until within this tick: a quick hand lets go of Ctrl before the
// tick in which the key struck with it is seen.
func held(keys ...ebiten.Key) bool {
	return slices.ContainsFunc(keys, func(k ebiten.Key) bool { return ebiten.IsKeyPressed(k) || inpututil.IsKeyJustReleased(k) })
}

// keysDown are the keys held and those that were only struck since the last tick.
func (senses *Senses) keysDown() []Key {
	var keys []Key
	fresh := map[ebiten.Key]bool{}
	for _, k := range inpututil.AppendJustPressedKeys(nil) {
		fresh[k] = true
		keys = append(keys, Key{int(k), senses.name(k), true})
	}
	for _, k := range inpututil.AppendPressedKeys(nil) {
		if !fresh[k] {
			keys = append(keys, Key{int(k), senses.called[k], false})
		}
	}
	return keys
}

func printable(rs []rune) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, string(rs))
}

// names are the keys that are called the same on every keyboard.
var names = map[ebiten.Key]string{
	ebiten.KeyEnter: "Enter", ebiten.KeyNumpadEnter: "Enter", ebiten.KeyEscape: "Escape", ebiten.KeyTab: "Tab",
	ebiten.KeyBackspace: "Backspace", ebiten.KeyDelete: "Delete", ebiten.KeyArrowLeft: "Left", ebiten.KeyArrowRight: "Right",
	ebiten.KeyArrowUp: "Up", ebiten.KeyArrowDown: "Down", ebiten.KeyHome: "Home", ebiten.KeyEnd: "End",
	ebiten.KeyPageUp: "PageUp", ebiten.KeyPageDown: "PageDown", ebiten.KeySpace: "Space",
	ebiten.KeyNumpadAdd: "Plus", ebiten.KeyNumpadSubtract: "Minus", ebiten.KeyNumpadDivide: "Slash",
	ebiten.KeyF1: "F1", ebiten.KeyF2: "F2", ebiten.KeyF3: "F3", ebiten.KeyF4: "F4", ebiten.KeyF5: "F5", ebiten.KeyF6: "F6",
	ebiten.KeyF7: "F7", ebiten.KeyF8: "F8", ebiten.KeyF9: "F9", ebiten.KeyF10: "F10", ebiten.KeyF11: "F11", ebiten.KeyF12: "F12",
}

// signs are keys named by what they write.
var signs = map[string]string{"+": "Plus", "=": "Plus", "-": "Minus", ",": "Comma", ".": "Period", "/": "Slash"}

// places are the keys of letters, digits and signs as they lie on the keyboard most software is written on; the
// last resort where the keyboard in use writes no Latin letters there.
var places = map[ebiten.Key]string{
	ebiten.KeyEqual: "Plus", ebiten.KeyMinus: "Minus", ebiten.KeyComma: "Comma", ebiten.KeyPeriod: "Period", ebiten.KeySlash: "Slash",
}

func init() {
	for i := range 26 {
		places[ebiten.KeyA+ebiten.Key(i)] = string(rune('A' + i))
	}
	for i := range 10 {
		places[ebiten.KeyDigit0+ebiten.Key(i)] = string(rune('0' + i))
		names[ebiten.KeyNumpad0+ebiten.Key(i)] = string(rune('0' + i))
	}
}

func (senses *Senses) name(k ebiten.Key) string {
	if senses.called == nil {
		senses.called = map[ebiten.Key]string{}
	}
	senses.called[k] = nameOf(k, ebiten.KeyName(k))
	return senses.called[k]
}

// nameOf names a key from what the keyboard in use writes on it.
func nameOf(k ebiten.Key, writes string) string {
	if n, ok := names[k]; ok {
		return n
	}
	if n, ok := signs[writes]; ok {
		return n
	}
	if r, size := utf8.DecodeRuneInString(writes); size == len(writes) && r < utf8.RuneSelf && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
		return strings.ToUpper(writes)
	}
	return places[k]
}

// Point shows a pointer.
func Point(c canvas.Cursor) {
	shape := ebiten.CursorShapeDefault
	switch c {
	case canvas.Hand:
		shape = ebiten.CursorShapePointer
	case canvas.Cross:
		shape = ebiten.CursorShapeCrosshair
	case canvas.Beam:
		shape = ebiten.CursorShapeText
	case canvas.Move:
		shape = ebiten.CursorShapeMove
	}
	ebiten.SetCursorShape(shape)
}
