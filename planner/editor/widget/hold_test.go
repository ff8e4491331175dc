package widget

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
)

// bounds is the rectangle a shape's points or its ink lie in; text reaches from its capitals to its descenders.
func bounds(b *Board, s draw.Shape) canvas.Rect {
	if s.Text != "" {
		return canvas.Rect{X: s.At[0], Y: s.At[1] - capital*s.Size, W: b.Ruler.Width(s.Text, s.Size, s.Bold), H: (capital + below) * s.Size}
	}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, ring := range s.Rings {
		for _, p := range ring {
			x0, y0, x1, y1 = math.Min(x0, p[0]), math.Min(y0, p[1]), math.Max(x1, p[0]), math.Max(y1, p[1])
		}
	}
	return canvas.Rect{X: x0, Y: y0, W: x1 - x0, H: y1 - y0}
}

func inside(r, o canvas.Rect, slack float64) bool {
	return r.X >= o.X-slack && r.Y >= o.Y-slack && r.X+r.W <= o.X+o.W+slack && r.Y+r.H <= o.Y+o.H+slack
}

// finite reports whether a shape can be painted: real numbers, whole letters.
func finite(s draw.Shape) bool {
	for _, ring := range s.Rings {
		for _, p := range ring {
			if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0]+p[1], 0) {
				return false
			}
		}
	}
	return utf8.ValidString(s.Text) && !math.IsNaN(s.At[0]+s.At[1]) && (s.Text != "" || len(s.Rings) > 0)
}

var longWords = []string{"", "x", "Seen in the near band", "between two beams that leave a gap which hides a post up to 68 mm across",
	"Donaudampfschifffahrtsgesellschaftskapitänsmütze", strings.Repeat("long ", 80), "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW", "54.0 deg", "line\nfeed\nand more", "語語語語語語語語"}

func anyItem(rnd *rand.Rand, id string, kind Kind) Item {
	w := func() string { return longWords[rnd.IntN(len(longWords))] }
	it := Item{
		ID: id, Kind: kind, Label: w(), Value: w(), Word: w(), Note: w(), Text: w(), Keys: w(), Hint: w(), Index: rnd.IntN(5) - 1,
		Chosen: rnd.IntN(2) == 0, Disabled: rnd.IntN(4) == 0, Bold: rnd.IntN(2) == 0, Right: rnd.IntN(3) == 0,
		Tall: rnd.Float64() * 900, Ink: []draw.Ink{"", draw.Met, draw.Attention, draw.Blind, draw.Quiet}[rnd.IntN(5)],
	}
	if rnd.IntN(3) == 0 {
		it.Wrong = w()
	}
	if rnd.IntN(2) == 0 {
		it.Mark = Marks()[rnd.IntN(len(Marks()))]
	}
	for range rnd.IntN(5) {
		it.Choices = append(it.Choices, Choice{Label: w(), Note: w(), Keys: w(), Disabled: rnd.IntN(4) == 0, Ticked: rnd.IntN(2) == 0, Rule: rnd.IntN(3) == 0})
	}
	return it
}

// No text and no shape leaves its item, however long the words and however small the item; nor the window when it is
// a list or a tip.
func TestNothingLeavesItsItem(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	texts := 0
	for kind := Sheet; kind <= Search; kind++ {
		for n := range 400 {
			it := anyItem(rnd, "x", kind)
			it.At = at(float64(50+rnd.IntN(400)), float64(50+rnd.IntN(300)), float64(rnd.IntN(400)), float64(rnd.IntN(200)))
			if n%2 == 0 { // as high as asked for
				it.At.W += 60
				it.At.H = 0
			}
			s := newStage(t, it)
			if n%2 == 0 {
				s.items[0].At.H = s.b.Height(it, it.At.W)
				it = s.items[0]
			}
			if n%3 == 0 {
				s.do(keys("Tab")...)
			}
			if n%6 == 0 {
				s.do(keys("End", "Down")...)
			}
			if n%5 == 0 {
				m := it.At.Middle()
				s.do(move(m[0], m[1]), tick(time.Minute))
			}
			for _, l := range s.b.Layers(s.items) {
				for _, sh := range l.Shapes {
					if !finite(sh) {
						t.Fatalf("kind %d: shape %v", kind, sh)
					}
					room, slack := it.At, 1.0
					switch {
					case strings.HasPrefix(l.Name, "list"), l.Name == "tip":
						room = at(0, 0, 1000, 700)
					case sh.Style.Fill == draw.Paper && sh.Style.Opacity == 0.6:
						continue // the veil
					}
					got := bounds(s.b, sh)
					if sh.Text != "" {
						texts++
					}
					if !inside(got, room, slack) && (l.Clip == canvas.Rect{} || sh.Text != "" && (got.X < l.Clip.X-slack || got.X+got.W > l.Clip.X+l.Clip.W+slack)) {
						t.Fatalf("kind %d, item %v, layer %s: %q %v reaches %v", kind, room, l.Name, sh.Text, sh.Style, got)
					}
				}
			}
		}
	}
	if texts < 5000 {
		t.Errorf("only %d texts were looked at", texts)
	}
}

// The measures of letters used here are the font's.
func TestMeasures(t *testing.T) {
	r, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	for _, bold := range []bool{false, true} {
		if h := r.Height(1, bold); h.Capital != capital || h.Descent != below {
			t.Errorf("bold %v: %+v", bold, h)
		}
		for _, size := range []float64{small, plain, worth, large} {
			if h := r.Height(size, bold); h.Line > lineStep(size) {
				t.Errorf("lines of size %v stand %v apart and need %v", size, lineStep(size), h.Line)
			}
		}
	}
}

// As high as Height asks, an item shows all of a text that is there to be read.
func TestHeightHoldsAll(t *testing.T) {
	text := "Gap between haunch-left and flank-left-2 hides a post up to 68 mm, seen from no place"
	for _, width := range []float64{160, 240, 308, 500} {
		for _, it := range []Item{
			{Kind: Label, Label: text},
			{Kind: Card, Word: "look at it", Label: text, Text: text, Note: "n", Choices: []Choice{{Label: "Try"}}},
			{Kind: Card, Label: text, Text: text, Note: "n"},
			{Kind: Field, Label: "l", Wrong: text},
			{Kind: Dialog, Label: "l", Text: text, Choices: []Choice{{Label: "Do"}}},
		} {
			s := newStage(t, it)
			s.items[0].ID = "x"
			s.items[0].At = at(10, 10, width, s.b.Height(it, width))
			var said []string
			for _, l := range s.b.Layers(s.items) {
				for _, sh := range l.Shapes {
					if sh.Text != "" {
						said = append(said, sh.Text)
					}
				}
			}
			squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
			all := squeeze(strings.Join(said, ""))
			n := 1
			if it.Kind == Card {
				n = 2
			}
			if strings.Count(all, squeeze(text)) != n {
				t.Errorf("kind %d, width %v: shows %q", it.Kind, width, said)
			}
		}
	}
}

// crowd is a board of all kinds, none over another.
func crowd(rnd *rand.Rand, n int) []Item {
	var items []Item
	for i := range n {
		it := anyItem(rnd, fmt.Sprint("x", i), Kind(rnd.IntN(int(Dialog))))
		if it.Kind == Sheet || it.Kind == Scroll {
			it.Kind = Row
		}
		it.At = at(float64(i%4)*200, float64(i/4)*60, 190, 50)
		items = append(items, it)
	}
	items = append(items, Item{ID: "s", Kind: Scroll, At: at(810, 0, 180, 300), Tall: 700})
	for i := range 10 {
		it := anyItem(rnd, fmt.Sprint("y", i), Kind(rnd.IntN(int(Scroll))))
		it.In = "s"
		it.At = at(814, 70*float64(i), 160, 60)
		items = append(items, it)
	}
	return items
}

// Within a layer no shape that fills lies over a text before it.
func TestNothingOverText(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 100 {
		s := newStage(t, crowd(rnd, 40)...)
		for range 12 {
			s.do(key([]string{"Tab", "Tab", "Down", "Space", "End", "Escape"}[rnd.IntN(6)]), move(rnd.Float64()*1000, rnd.Float64()*700))
			for _, l := range s.b.Layers(s.items) {
				for i, sh := range l.Shapes {
					if sh.Style.Fill == draw.None || sh.Text != "" {
						continue
					}
					over := bounds(s.b, sh).Inset(0.5)
					for _, under := range l.Shapes[:i] {
						if under.Text != "" && over.W > 0 && over.H > 0 && bounds(s.b, under).Meets(over) {
							t.Fatalf("layer %s: %v lies over %q", l.Name, sh.Style, under.Text)
						}
					}
				}
			}
		}
	}
}

// Tab and the arrows reach everything that answers and is on, and nothing else.
func TestKeysReachAll(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 25 {
		s := newStage(t, crowd(rnd, 40)...)
		sc := s.b.see(s.items)
		want, got := map[spot]bool{}, map[spot]bool{}
		for i := range sc.parts {
			if p := &sc.parts[i]; p.answers() {
				want[p.spot] = true
			}
		}
		for range len(sc.parts) + 2 {
			s.do(key("Tab"))
			p := s.b.see(s.items).find(s.b.focus)
			if p == nil {
				break
			}
			got[p.spot] = true
			s.item(p.id)
			// Along the rows and menus of one group, both ways.
			for _, d := range []string{"Right", "Left"} {
				if p.it.Kind != Menu {
					break
				}
				for range 40 {
					s.do(key(d))
					got[s.b.focus] = true
				}
			}
			if p.it.Kind == Row {
				s.do(key("Home"))
				for range 40 {
					got[s.b.focus] = true
					s.do(key("Down"))
				}
			}
			s.b.focus = p.spot
		}
		for sp := range want {
			if !got[sp] {
				p := sc.find(sp)
				t.Fatalf("%v of kind %d is not reached", sp, p.it.Kind)
			}
		}
		for sp := range got {
			if p := sc.find(sp); p.off() {
				t.Fatalf("%v is off and has the focus", sp)
			}
		}
	}
}

// A mark is drawn wherever it has room, whatever fractions the places have.
func TestMarksAreDrawn(t *testing.T) {
	for x := 10.0; x < 11; x += 0.1 {
		for _, it := range []Item{
			{Kind: Icon, At: at(x, x, 34, 34), Mark: Sensor}, {Kind: Icon, At: at(x, x, 28, 28), Mark: Sensor}, {Kind: Icon, At: at(x, x, 60, 34), Mark: Sensor, Keys: "S"},
			{Kind: Button, At: at(x, x, 90, 26), Mark: Sensor, Label: "Mount"}, {Kind: Row, At: at(x, x, 90, 24), Mark: Sensor, Label: "Mount"},
		} {
			s := newStage(t, it)
			n := 0
			for _, sh := range s.b.Layers(s.items)[0].Shapes {
				if sh.Open {
					n++
				}
			}
			if n != 2 { // the two arcs of the sensor's mark
				t.Errorf("kind %d at %v: %d strokes", it.Kind, it.At, n)
			}
		}
	}
}

// What has the focus by keys is marked: the picture differs from the one without.
func TestFocusIsSeen(t *testing.T) {
	for kind := Button; kind < Dialog; kind++ {
		if kind == Scroll {
			continue
		}
		s := newStage(t, Item{ID: "x", Kind: kind, At: at(10, 10, 200, 100), Label: "label", Value: "value", Mark: Plus})
		s.do(keys("Tab")...).focus("x")
		marked := false
		for _, l := range s.b.Layers(s.items) {
			for _, sh := range l.Shapes {
				marked = marked || sh.Style.Stroke == draw.Chosen && sh.Style.Width == 2
			}
		}
		if !marked {
			t.Errorf("kind %d shows no focus", kind)
		}
	}
}

// A verdict is told by its edge's form too, not by colour alone.
func TestEdgesDiffer(t *testing.T) {
	form := map[string]draw.Ink{}
	for _, ink := range []draw.Ink{draw.Met, draw.Attention, draw.Blind, draw.Quiet} {
		p := &pen{}
		p.verdict(at(0, 0, 4, 26), ink)
		key := ""
		for _, s := range p.shapes {
			key += fmt.Sprint(s.Style.Hatched, s.Style.Fill != draw.None, s.Style.Stroke != draw.None, " ")
		}
		if other, ok := form[key]; ok {
			t.Errorf("%s and %s look alike without colour", ink, other)
		}
		form[key] = ink
	}
}

// Every mark has strokes, within its square, and no two are the same.
func TestMarks(t *testing.T) {
	seen := map[string]Mark{}
	for _, m := range Marks() {
		shapes := m.Shapes(at(100, 100, 20, 20), draw.Text)
		if len(shapes) == 0 {
			t.Errorf("%s draws nothing", m)
		}
		key := fmt.Sprint(shapes)
		if o, ok := seen[key]; ok {
			t.Errorf("%s is drawn as %s", m, o)
		}
		seen[key] = m
		for _, s := range shapes {
			if !finite(s) || !inside(bounds(nil, s), at(100, 100, 20, 20), 0.01) {
				t.Errorf("%s leaves its square: %v", m, bounds(nil, s))
			}
		}
	}
}

// check holds the board to what must always be so.
func check(t *testing.T, s *stage) {
	t.Helper()
	l := &s.b.line
	for _, at := range []int{l.caret, l.mark, l.from} {
		if at < 0 || at > len(l.text) || at < len(l.text) && !utf8.RuneStart(l.text[at]) {
			t.Fatalf("place %d in %q", at, l.text)
		}
	}
	if !utf8.ValidString(l.text) || len(l.text) > mostTyped || strings.ContainsAny(l.text, "\n\x00") {
		t.Fatalf("text %q", l.text)
	}
	sc := s.b.see(s.items)
	s.b.follow(sc)
	if p := s.b.editing(sc); p != nil {
		room, size := s.b.lineRoom(p)
		lo, hi := window(s.b.Ruler, l.text, l.from, l.caret, size, room.W)
		if wide := s.b.Ruler.Width(l.text[lo:hi], size, false); lo > l.caret || hi < l.caret || wide > math.Max(room.W, 0)+1e-9 && hi > lo {
			t.Fatalf("caret %d in %d..%d, %v wide of %v", l.caret, lo, hi, wide, room.W)
		}
	}
	if p := sc.find(s.b.focus); s.b.focus.id != "" && (p == nil || !sc.takesFocus(p)) {
		t.Fatalf("focus on %v", s.b.focus)
	}
	for i := range s.items {
		if it := &s.items[i]; it.Kind == Scroll {
			if o := s.b.offset(it); o < 0 || o > math.Max(0, it.Tall-it.At.H) || math.IsNaN(o) {
				t.Fatalf("scrolled by %v", o)
			}
		}
	}
	for _, layer := range s.b.Layers(s.items) {
		for _, sh := range layer.Shapes {
			if !finite(sh) {
				t.Fatalf("layer %s: shape %v", layer.Name, sh)
			}
		}
	}
	s.b.Cursor(s.items)
	s.b.FieldAt(s.items)
}

var keyNames = []string{"A", "C", "X", "V", "Z", "Y", "Enter", "Escape", "Tab", "Tab", "Backspace", "Delete", "Left", "Right", "Up", "Down",
	"Home", "End", "PageUp", "PageDown", "Space", "F1", "F10", "Slash", ""}

var typedTexts = []string{"a", "µ", "e\u0301", "12.5 mm", "\n", "\xff\xfe", "語", "\u200d", "👩‍🔬", " ", "", strings.Repeat("x", 300)}

// play turns bytes into hands on a board whose items change under them.
func play(t *testing.T, data []byte) {
	rnd := rand.New(rand.NewPCG(uint64(len(data)), 9))
	s := newStage(t, crowd(rnd, 14)...)
	if len(data) > 400 {
		data = data[:400]
	}
	for i := 0; i+3 < len(data); i += 4 {
		a, x, y, m := data[i], float64(data[i+1])*4, float64(data[i+2])*3, data[i+3]
		mods := input.Mods{Shift: m&1 != 0, Ctrl: m&2 != 0, Alt: m&4 != 0 && m&8 != 0}
		ev := input.Event{At: canvas.Point{x, y}, Mods: mods, Now: s.b.now + time.Duration(m)*10*time.Millisecond}
		switch a % 16 {
		case 0, 1, 2:
			ev.Kind = input.Move
		case 3, 4:
			ev.Kind, ev.Clicks, ev.Button = input.Press, int(m>>4)%4, input.Button(int(m)%9/7)
		case 5, 6:
			ev.Kind = input.Lift
		case 7:
			ev.Kind, ev.Scroll = input.Wheel, canvas.Point{0, (float64(m) - 128) * 3}
		case 8, 9, 10:
			ev.Kind, ev.Name = input.Key, keyNames[int(data[i+1])%len(keyNames)]
		case 11, 12:
			ev.Kind, ev.Text = input.Type, typedTexts[int(data[i+1])%len(typedTexts)]
		case 13:
			ev.Kind = []input.Kind{input.Tick, input.Leave, input.Pinch, input.Drop}[m%4]
		case 14: // the editor changes its items
			n := int(data[i+1]) % len(s.items)
			switch m % 6 {
			case 0:
				s.items = append(s.items[:n:n], s.items[n+1:]...)
				if len(s.items) == 0 {
					s.items = crowd(rnd, 14)
				}
			case 1:
				s.items[n].Disabled = !s.items[n].Disabled
			case 2:
				s.items[n].Choices = nil
			case 3:
				s.items = append(s.items, Item{ID: "d", Kind: Dialog, At: at(x, y, 300, 200), Choices: []Choice{{Label: "one"}, {Label: "two"}}}, Item{ID: "f", In: "d", Kind: Field, At: at(x, y+60, 200, 26)})
			case 4:
				s.items = append(s.items, searchFor("Undo", "Redo", "Save")[3])
			case 5:
				s.items[n].Kind = Kind(rnd.IntN(int(Search) + 1))
			}
			continue
		case 15:
			switch m % 4 {
			case 0:
				ev.Kind, ev.Size = input.Resize, canvas.Point{x, y}
			case 1:
				s.b.Compose(typedTexts[int(data[i+1])%len(typedTexts)])
			case 2:
				s.take(s.b.SetFocus(fmt.Sprint("x", data[i+1]%14), s.items))
			case 3:
				s.b.Reveal(fmt.Sprint("y", data[i+1]%10), s.items)
			}
		}
		s.do(ev)
		check(t, s)
	}
}

func TestRandomHands(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 60 {
		data := make([]byte, 4+rnd.IntN(396))
		for i := range data {
			data[i] = byte(rnd.IntN(256))
		}
		play(t, data)
	}
}

func FuzzHands(f *testing.F) {
	f.Add([]byte{8, 8, 0, 0, 11, 3, 0, 0, 8, 10, 0, 3, 14, 0, 0, 3, 13, 0, 0, 0})
	f.Add([]byte{3, 10, 10, 0, 5, 10, 10, 0, 11, 2, 0, 0, 8, 12, 0, 1, 14, 1, 1, 4, 11, 0, 0, 0})
	f.Fuzz(func(t *testing.T, data []byte) { play(t, data) })
}

func FuzzLine(f *testing.F) {
	f.Add("54.0 deg", []byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 9})
	f.Add("e\u0301e\u0301 µm", []byte{4, 4, 9, 1, 10, 7, 8})
	f.Fuzz(func(t *testing.T, text string, steps []byte) {
		s := newStage(t, field("a", text, 0))
		s.do(keys("Tab")...)
		names := []string{"Left", "Right", "Shift+Left", "Shift+Right", "Ctrl+Left", "Ctrl+Right", "Backspace", "Delete", "Ctrl+Backspace", "Ctrl+Delete", "Home", "End", "Ctrl+Z", "Ctrl+Y", "Ctrl+A"}
		for _, b := range steps[:min(len(steps), 100)] {
			if n := int(b) % (len(names) + 4); n < len(names) {
				s.do(key(names[n]))
			} else {
				s.do(input.Event{Kind: input.Type, Text: typedTexts[int(b)%len(typedTexts)]})
			}
			check(t, s)
		}
	})
}

// All that a board of a full screen costs for a move of the pointer and a new picture.
func BenchmarkMoveAndLayers(b *testing.B) {
	s := newStage(b, crowd(rand.New(rand.NewPCG(1, 1)), 40)...)
	x := 0.0
	for b.Loop() {
		x = math.Mod(x+7, 1000)
		s.b.Handle(move(x, x/2), s.items)
		if len(s.b.Layers(s.items)) == 0 {
			b.Fatal("nothing drawn")
		}
	}
}
